"""The book as people read it: every entry in words, what was struck, and how to find one."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import datetime
from typing import Any, Final

from matbook.book.entry import Entry, moment
from matbook.book.kinds import Field, kinds
from matbook.desk.asking import Asked
from matbook.desk.notices import matter_words
from matbook.errors import EntryRefused, Refused
from matbook.shift.book_calls import written_later
from matbook.shift.display import clock, minutes, written
from matbook.shift.loads import load_of
from matbook.shift.places import metres_at, road_of
from matbook.words import has

Row = dict[str, Any]

LONGEST: Final = 160
"""Characters of the line that stands for an entry in the list."""
NAMING: Final = ("ticket", "item", "sample", "core", "machine", "layout", "roller", "craft")
"""Fields that tell an entry from others of its kind, and so stand in its title."""
PLAIN: Final = (
    *("temp", "percent", "density", "speed", "pace", "frequency"),
    *("hours", "count", "amount", "value"),
)
"""Numbers that their unit, or the kind of the entry, names well enough."""
QUIET: Final = ("moment", "file", "map", "entry")
"""Types of field that say little in a line."""


def entries(asked: Asked) -> list[Row]:
    """The entries of the shift, the newest first; those that `search` and `kind` ask for."""
    terms, kind = asked.text("search").casefold().split(), asked.text("kind")
    found = []
    for entry in reversed(asked.facts.entries()):
        if (kind and entry.kind != kind) or not asked.sees(entry):
            continue
        row = in_words(asked, entry)
        if all(_matches(asked, entry, row, term) for term in terms):
            found.append(row)
    return found


def entry(asked: Asked) -> Row:
    """One entry, opened: field by field, its versions, and the text as it was written.

    A notice that is still open is called for in later shifts too: it opens as of its own.
    """
    name = asked.text("id")
    home = asked.book.shift_of(name)
    if home and home != asked.shift and asked.facts.find(name) is None:
        asked = replace(asked, arguments={**asked.arguments, "shift": home}, views={})
    found = asked.entry_of(name)
    settled = asked.facts.settled(found)
    standing = (settled.standing,) if settled.standing else ()
    versions = {e.hash: e for e in (*settled.struck, *standing, *settled.contenders, found)}
    ids = {one.id for one in versions.values()}
    return {
        **in_words(asked, found),
        "fields": list(_fields(asked, found)),
        "chain": [
            in_words(asked, one) for one in sorted(versions.values(), key=_order) if asked.sees(one)
        ],
        "photos": list(_photos(asked, ids)),
        "told": _told(asked, found),
        "raw": found.text,
        "stands": settled.standing.id if settled.standing else "",
        "struck": [one.id for one in settled.struck],
        "contenders": [one.id for one in settled.contenders],
        "entry": dict(found.data),
    }


def _photos(asked: Asked, about: set[str]) -> Iterator[Row]:
    """The photos that stand and are about an entry, or about another version of it."""
    for fact in asked.facts.of("photo"):
        if about & set(fact.body.get("about", ())) and asked.sees(fact.entry):
            yield {**in_words(asked, fact.entry), "file": fact.text("file")}


def _order(one: Entry) -> tuple[float, float, str, int, str]:
    return one.order


def in_words(asked: Asked, entry: Entry) -> Row:
    """An entry as one line of the book."""
    state = asked.facts.state(entry)
    later = written_later(entry)
    named, told, place = words_of(asked, entry)
    said = asked.say
    return {
        "id": entry.id,
        "hash": entry.hash,
        "at": asked.clock(entry.at),
        "date": asked.local(entry.at).date().isoformat(),
        "clock": _clock(asked, entry.at),
        "kind": entry.kind,
        "title": named,
        "named": naming(entry),
        "line": told,
        "by": asked.person(entry.by),
        "by_id": entry.by,
        "device": entry.device,
        "state": state,
        "state_words": said(f"entry.{state}"),
        "struck_by": _struck_by(asked, entry) if state == "struck" else None,
        "strikes": entry.strikes or None,
        "written_later": said("entry.written-later", later=minutes(later)) if later else None,
        "place": place,
        "trouble": asked.facts.trouble(entry) or None,
        "can_strike": _can_strike(asked, entry, state),
    }


def _clock(asked: Asked, at: datetime) -> str | None:
    """The time on its writer's clock, with the offset, where that isn't the shift's; else None."""
    if asked.local(at).utcoffset() == at.utcoffset():
        return None
    return asked.say("entry.clock", at=clock(at), offset=at.isoformat()[-6:])


def _struck_by(asked: Asked, entry: Entry) -> Row | None:
    found = asked.facts.struck_by(entry)
    if found is None:
        return None
    by = asked.person(found.by)
    return {"id": found.id, "why": found.why, "by": by, "at": asked.clock(found.written)}


def _can_strike(asked: Asked, entry: Entry, state: str) -> bool:
    """Whether the person asking may strike it; whoever doesn't say who they are may ask to."""
    if state not in ("stands", "contender", "quarantine") or entry.kind in ("plan", "seal"):
        return False
    by = asked.text("by")
    person = asked.plan.people.get(by)
    return not by or by == entry.by or (person is not None and person.role == "supervisor")


# Words for an entry


def words_of(asked: Asked, entry: Entry) -> tuple[str, str, str]:
    """Title, line and place of an entry, remembered while the plan stays: they say nothing else."""
    return asked.facts.once(
        ("words", entry.hash, asked.words, id(asked.plan)),
        lambda: (title(asked, entry), line(asked, entry), place_words(asked, entry.place)),
    )


def kind_title(asked: Asked, kind: str) -> str:
    """A kind in words, as a title."""
    words = asked.say(f"kind.{kind}") if has(f"kind.{kind}") else kind
    return words[:1].upper() + words[1:]


def title(asked: Asked, entry: Entry) -> str:
    """The kind, and what tells this entry from others of its kind: “Load 114”."""
    return f"{kind_title(asked, entry.kind)} {naming(entry)}".rstrip()


def naming(entry: Entry) -> str:
    """What tells an entry from others of its kind: a ticket, a machine; empty if nothing does."""
    return next((str(entry.body[name])[:40] for name in NAMING if entry.body.get(name)), "")


def line(asked: Asked, entry: Entry) -> str:
    """What the entry says, in one line."""
    kind = kinds().get(entry.kind)
    if kind is None:
        return ""
    if "toml" in entry.body:
        return asked.say("entry.plan-imported")
    said = [
        _in_line(asked, entry.kind, field, entry.body[name])
        for name, field in kind.fields.items()
        if name in entry.body and name not in (*NAMING, "witness") and field.type not in QUIET
    ]
    text = " · ".join(one for one in said if one)
    return text if len(text) <= LONGEST else text[: LONGEST - 1] + "…"


def _in_line(asked: Asked, kind: str, field: Field, value: object) -> str:
    """A value in an entry's line, with its title where it says nothing without."""
    words = value_words(asked, kind, field, value)
    if value in ("yes", "no") or field.name == "truck":
        return f"{field_title(asked, kind, field.name)} {words}"
    said = field_title(asked, kind, field.name)
    plain = field.name in PLAIN or said == kind_title(asked, kind)
    if field.type in ("quantity", "count") and not plain:
        return _named_number(asked, words, said)
    return words


def _named_number(asked: Asked, value: str, title: str) -> str:
    """A number that says what it is a number of: “22.40 t net”."""
    return asked.say("line.named", value=value, name=title[:1].lower() + title[1:])


def value_words(asked: Asked, kind: str, field: Field, value: object) -> str:
    """A field's value as people read it."""
    if isinstance(value, list):
        return ", ".join(value_words(asked, kind, field, one) for one in value)
    if field.type == "quantity":
        return written(str(value))
    if field.type == "choice":
        return choice_words(asked, kind, field.name, str(value))
    if field.type == "person":
        return asked.person(str(value))
    if field.type == "moment":
        return _moment_words(asked, str(value))
    if field.type == "entry":
        return _named(asked, str(value))
    plan = asked.plan
    names = {"mix": plan.mixes, "plant": plan.plants, "area": plan.areas, "roller": plan.rollers}
    known: Mapping[str, Any] = names.get(field.name, {})
    return known[str(value)].name if str(value) in known else str(value)


def _moment_words(asked: Asked, text: str) -> str:
    """A moment on the shift's clock; as it was written where it can't be read."""
    try:
        return asked.clock(moment(text))
    except EntryRefused:
        return text


def choice_words(asked: Asked, kind: str, field: str, value: str) -> str:
    """A choice in words: its own for this kind and field, else the one all share."""
    own = f"choice.{kind}.{field}.{value}"
    if has(own):
        return asked.say(own)
    shared = f"choice.{value}"
    return asked.say(shared) if has(shared) else value


def _named(asked: Asked, name: str) -> str:
    """An entry that another one points to, by its title."""
    load = load_of(asked.facts, name)
    found = asked.facts.find(load.id if load else name)
    return title(asked, found) if found else name


def place_words(asked: Asked, place: Mapping[str, Any]) -> str:
    """Where an entry says it was: lane, lift, paver, stations, offset."""
    plan = asked.plan
    parts = [
        names[str(place[name])].name if str(place[name]) in names else str(place[name])
        for name, names in (
            ("lane", plan.lanes),
            ("lift", plan.lifts),
            ("paver", plan.pavers),
            ("area", plan.areas),
        )
        if place.get(name)
    ]
    parts += [str(place["station"])] if place.get("station") else []
    ends = {name: str(place[name]) for name in ("from", "to") if place.get(name)}
    if ends:
        parts.append(asked.say("place.span" if len(ends) == 2 else f"place.{min(ends)}", **ends))
    if place.get("offset"):
        offset = written(str(place["offset"]))
        parts.append(_named_number(asked, offset, asked.say("title.offset")))
    return ", ".join(parts)


def field_title(asked: Asked, kind: str, name: str) -> str:
    """A field's title: its own for this kind, else the one all share."""
    own = f"title.{kind}.{name}"
    code = own if has(own) else f"title.{name}"
    return asked.say(code) if has(code) else name.replace("_", " ")


def _told(asked: Asked, found: Entry) -> dict[str, Any] | None:
    """Of a notice that stands: how soon it was given and answered, and what became of it."""
    matters = (matter for matter in asked.view.matters if matter.id == found.id)
    return next((matter_words(asked, matter) for matter in matters), None)


def _fields(asked: Asked, entry: Entry) -> Iterator[Row]:
    kind = kinds().get(entry.kind)
    for name, value in entry.body.items():
        field = kind.fields.get(name) if kind else None
        words = value_words(asked, entry.kind, field, value) if field else str(value)
        yield {"name": name, "title": field_title(asked, entry.kind, name), "value": words}
    if entry.place:
        words = place_words(asked, entry.place)
        yield {"name": "place", "title": asked.say("title.place"), "value": words}
    if entry.instrument:
        found = asked.plan.instruments.get(entry.instrument)
        words = found.name if found else entry.instrument
        yield {"name": "instrument", "title": asked.say("title.instrument"), "value": words}
    if entry.why:
        yield {"name": "why", "title": asked.say("title.why"), "value": entry.why}


# Finding


def _matches(asked: Asked, entry: Entry, row: Row, term: str) -> bool:
    """Whether an entry has a word, is of a time, or lies at a station.

    Digits alone must be a whole word: 12 is truck 12 and not ticket 112.
    """
    text = " ".join(
        (row["at"], row["title"], row["line"], row["place"], row["by"], row["device"], entry.id)
    ).casefold()
    plain = " ".join(str(value) for value in entry.body.values()).casefold()
    if term.isdecimal():
        words = f"{text} {plain}".replace("·", " ").replace(",", " ").split()
        return term in words
    return term in text or term in plain or _lies_at(asked, entry, term)


def _lies_at(asked: Asked, entry: Entry, term: str) -> bool:
    """Whether a station lies within the reach of an entry."""
    road = road_of(asked.plan, entry.place)
    if road is None or not any(c.isdecimal() for c in term):
        return False
    try:
        at_m = road.stationing.parse(term)
    except Refused:
        return False
    place = {name: metres_at(asked.plan, entry.place, name) for name in ("station", "from", "to")}
    ends = (asked.begun.get(entry.id, place["from"]), place["to"])
    if ends[0] is None or ends[1] is None:
        return at_m in (place["station"], *ends)
    return min(ends[0], ends[1]) <= at_m <= max(ends[0], ends[1])
