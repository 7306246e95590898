"""The shift's entries as people read them: in order, struck ones too, and searched."""

from datetime import timedelta
from typing import Any, Final

from matbook.book.entry import Entry
from matbook.desk.seen import Seen, in_short, kind_words
from matbook.errors import NotFound
from matbook.shift.display import clock, minutes, written
from matbook.words import has, say

LATE: Final = timedelta(minutes=10)
"""Written this long after it happened, an entry says so."""


def entries(seen: Seen) -> list[dict[str, Any]]:
    """Every entry of the shift, newest first; those that hold what is searched for."""
    wanted = seen.asked("search").casefold().split()
    every = seen.view.facts.entries()
    strikers = {one.strikes: one for one in reversed(every) if one.strikes}
    lines = (_line(seen, one, strikers.get(one.id)) for one in reversed(every))
    return [
        line
        for line in lines
        if all(word in " ".join(map(str, line.values())).casefold() for word in wanted)
    ]


def entry(seen: Seen) -> dict[str, Any]:
    """One entry whole: its fields, every version of the observation, its text as written."""
    name, every = seen.asked("id"), seen.view.facts.entries()
    strikers = {one.strikes: one for one in reversed(every) if one.strikes}
    for one in every:
        if name in (one.id, one.hash):
            settled = seen.view.facts.settled(one)
            ends = [*settled.contenders, *([settled.standing] if settled.standing else [])]
            chain = {version.hash: version for version in (*settled.struck, *ends)}
            return {
                **_line(seen, one, strikers.get(one.id)),
                "fields": _fields(seen, one),
                "chain": [
                    _line(seen, version, strikers.get(version.id)) for version in chain.values()
                ],
                "raw": one.text,
            }
    raise NotFound(f"There is no entry “{name[:80]}” in this shift.")


def where(one: Entry) -> str:
    """Where an entry says it was, as it was written."""
    names = ("area", "lane", "lift", "station", "from", "to", "offset")
    return " · ".join(str(one.place[name]) for name in names if name in one.place)


def _line(seen: Seen, one: Entry, striker: Entry | None) -> dict[str, Any]:
    facts = seen.view.facts
    late = one.written - one.at
    return {
        "id": one.id,
        "hash": one.hash,
        "at": clock(one.at),
        "date": one.at.date().isoformat(),
        "kind": one.kind,
        "title": kind_words(one.kind, seen.language),
        "line": _summary(one),
        "by": seen.person(one.by),
        "device": one.device,
        "state": facts.state(one),
        "struck_by": striker
        and {
            "id": striker.id,
            "why": striker.why,
            "by": seen.person(striker.by),
            "at": clock(striker.at),
        },
        "strikes": one.strikes,
        "written_later": say("entry.later", seen.language, late=minutes(late))
        if late > LATE
        else None,
        "place": where(one),
        "trouble": facts.trouble(one) or None,
    }


def _summary(one: Entry) -> str:
    said = in_short(one)
    more = [
        str(one.body[name]) for name in ("truck", "net", "temp", "decision") if name in one.body
    ]
    return " · ".join(dict.fromkeys([said, *more]))[:200]


def _fields(seen: Seen, one: Entry) -> list[dict[str, str]]:
    return [
        {"name": name, "title": _titled(name, seen.language), "value": value_words(value)}
        for name, value in one.body.items()
    ]


def _titled(name: str, language: str) -> str:
    code = f"field.{name}"
    return say(code, language) if has(code, language) else name


def value_words(value: object) -> str:
    """A field of a body as people read it: a measured one with the sign of its unit."""
    if isinstance(value, list):
        return ", ".join(map(value_words, value))
    text = str(value)
    head, _, tail = text.partition(" ")
    return written(text) if tail and head.strip("-+").replace(".", "", 1).isdigit() else text
