"""What the limits say of an entry while it is being typed; nothing is refused, nothing kept."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import UTC, datetime
from typing import Any, Final

from matbook.book.entry import Entry
from matbook.book.forms import place_faults
from matbook.book.kinds import Fault, Field, Kind, faults, kind_named, unusual
from matbook.desk.asking import Asked
from matbook.desk.drawing_lots import draw_of
from matbook.desk.draws import why_not as why_not_step
from matbook.desk.forms import units_of
from matbook.engine.units import convert, parse
from matbook.errors import Refused
from matbook.lots.work import rule_of
from matbook.plan.changes import why_not
from matbook.plan.judge import Judgement
from matbook.plan.usual import usual_at
from matbook.shift.display import fixed, sign, written
from matbook.shift.facts import Fact
from matbook.shift.laid import beyond
from matbook.shift.load_calls import of_load
from matbook.shift.loads import Load, load_from, load_of
from matbook.shift.measured import MEASURES, judged
from matbook.shift.numbers import number_of
from matbook.shift.parts import NOTHING_KG
from matbook.shift.places import label, metres, unreadable
from matbook.shift.speak import limit_words, spoken

Says = dict[str, str]

BEFORE: Final = datetime(2000, 1, 1, tzinfo=UTC)

STATES: Final = ("act", "watch", "unknown", "fine")
"""Gravest first."""

FIELDS: Final[Mapping[str, str]] = {
    # code of a call about a load -> the field beside which it is said
    "load.age": "loaded",
    "load.overweight": "gross",
    "load.gross-below-tare": "tare",
    "load.does-not-add-up": "net",
    "load.loaded-later": "loaded",
    "load.mix-unknown": "mix",
    "load.mix-wrong": "mix",
    "load.job-wrong": "job_on_ticket",
}


def judge(asked: Asked) -> dict[str, Any]:
    """What is wrong with a body, what is unusual in it, and what the plan's limits say of it."""
    kind = kind_named(asked.text("kind"))
    body, place = asked.mapping("body"), asked.mapping("place")
    wrong = faults(kind, body)
    where = place_faults(kind, place)
    bad = {fault.field for fault in (*wrong, *where)}
    fact = _fact(
        kind,
        _at(asked),
        {name: value for name, value in body.items() if name not in bad},
        {name: value for name, value in place.items() if f"place.{name}" not in bad},
    )
    return {
        "faults": [
            *(_said(asked, kind, fault) for fault in (*wrong, *where)),
            *_change(asked, fact),
            *_drawn(asked, fact),
        ],
        "unusual": [
            *(
                {**_named(fault), "allowed": _usual(asked, kind.fields[fault.field])}
                for fault in unusual(kind, fact.body)
            ),
            *_far(asked, fact),
        ],
        "says": _gravest([*_says(asked, fact), *_stations(asked, fact)]),
    }


def _at(asked: Asked) -> datetime:
    """When it happened; where that isn't said, now; before the first shift, once upon a time."""
    return asked.at or (asked.now if asked.has_shift else BEFORE)


def _change(asked: Asked, fact: Fact) -> Iterator[Says]:
    """A change that can't be made to the plan."""
    if (
        fact.entry.kind == "plan"
        and "path" in fact.body
        and (why := why_not(asked.plan, fact.body))
    ):
        yield {"field": "new", "given": str(fact.body.get("new", "")), "allowed": why}


def _drawn(asked: Asked, fact: Fact) -> Iterator[Says]:
    """A step of a draw that is out of its order."""
    lot, step = fact.text("lot"), fact.text("step")
    if fact.entry.kind != "draw" or not step or rule_of(asked.plan, lot) is None:
        return
    if asked.has_shift and "blocked" not in fact.body:
        why = why_not_step(draw_of(asked, lot), step)
        if why:
            yield {"field": "step", "given": step, "allowed": why}


def _far(asked: Asked, fact: Fact) -> Iterator[Says]:
    """A change that can be made to the plan, and is far from what such a value usually is."""
    new = fact.text("new")
    if fact.entry.kind != "plan" or not new or why_not(asked.plan, fact.body):
        return
    usual = usual_at(asked.plan, fact.text("path"))
    if usual is not None and not usual.holds(new):
        unit = parse(new, usual.unit).unit
        ends = {"low": _end(usual.low, unit), "high": _end(usual.high, unit)}
        yield {"field": "new", "given": new, "allowed": asked.say("unusual.range", **ends)}


def _end(bound: str, unit: str) -> str:
    """An end of a usual range in the unit of what was written; as it stands in its own."""
    found = parse(bound)
    if found.unit == unit:
        return written(bound)
    value = convert(float(found.number), found.unit, unit)
    return f"{fixed(value, 0 if abs(value) >= 10 else 2)} {sign(unit)}".rstrip()


@dataclass(frozen=True)
class _Typed(Entry):
    """An entry that isn't written yet."""

    hash: str = ""
    text: str = ""
    data: Mapping[str, Any] = field(default_factory=dict)


def _fact(kind: Kind, at: datetime, body: Mapping[str, Any], place: Mapping[str, Any]) -> Fact:
    when = at.isoformat()
    data: dict[str, Any] = {"id": "", "kind": kind.name, "at": when, "written": when}
    data |= {"by": "", "device": "", "seq": 1, "body": body, "place": place}
    return Fact(_Typed(data=data), body)


def _named(fault: Fault) -> Says:
    return {"field": fault.field, "given": fault.given}


def _said(asked: Asked, kind: Kind, fault: Fault) -> Says:
    """A fault in words: what is allowed in this field."""
    form = kind.fields.get(fault.field)
    return {**_named(fault), "allowed": _allowed(asked, form, fault)}


def _allowed(asked: Asked, form: Field | None, fault: Fault) -> str:
    if form is None:
        place = fault.field.startswith("place.")
        return asked.say("fault.place" if place else "fault.no-field")
    if form.need and not fault.given:
        return asked.say("fault.need")
    if form.type == "quantity":
        typed = units_of(form, asked.plan.job.units)
        signs = ", ".join(sign(unit) for unit in typed)
        if form.low is None:
            return asked.say("fault.amount", units=signs)
        low, high = written(str(form.low)), written(str(form.high))
        return asked.say("fault.quantity", low=low, high=high, units=signs)
    if form.type == "count":
        return asked.say("fault.count", low=form.low or 0, high=form.high or 0)
    return asked.say(f"fault.{form.type}", most=form.most)


def _usual(asked: Asked, form: Field) -> str:
    """The usual range of a field, in the job's unit."""
    assert form.usual is not None
    unit = units_of(form, asked.plan.job.units)[0]
    low, high = (_in(one, unit) for one in form.usual)
    return asked.say("unusual.range", low=low, high=high)


def _in(bound: str, unit: str) -> str:
    found = parse(bound)
    return f"{fixed(convert(float(found.number), found.unit, unit), 0)} {sign(unit)}"


# What the plan says


def _gravest(said: list[Says]) -> list[Says]:
    """The gravest first; beside a field where something is up, what is fine isn't said."""
    up = {one["field"] for one in said if one["state"] in ("act", "watch")}
    kept = [one for one in said if one["state"] != "fine" or one["field"] not in up]
    return sorted(kept, key=lambda one: STATES.index(one["state"]))


def _says(asked: Asked, fact: Fact) -> Iterator[Says]:
    if fact.entry.kind == "load":
        yield from _of_load(asked, fact)
    elif fact.entry.kind == "placed" and asked.has_shift:
        yield from _of_part(asked, fact)
    elif fact.entry.kind in MEASURES and _has_all(fact):
        try:
            found = MEASURES[fact.entry.kind](asked.plan, fact)
        except Refused:
            yield {"field": _first(fact), "words": asked.say("judge.impossible"), "state": "watch"}
            return
        for reading in found:
            name = str(next(iter(reading.value.inputs)))
            name = name if name in fact.body else _first(fact)
            shown = asked.display.of(reading.quantity, reading.value.value)
            for judgement in reading.judgements:
                yield _verdict(asked, name, shown, judgement)
            if reading.note:
                yield {"field": name, "words": asked.say(reading.note), "state": "unknown"}


def _has_all(fact: Fact) -> bool:
    """Whether everything is typed that its kind can't be without."""
    fields = kind_named(fact.entry.kind).fields.values()
    return all(field.name in fact.body for field in fields if field.need)


def _first(fact: Fact) -> str:
    return next(iter(fact.body), "")


def _verdict(asked: Asked, name: str, shown: str, judgement: Judgement) -> Says:
    """What one limit says of one value: 112 °C: 3 °C below the limit, at least 115 °C (4.3)."""
    limit = judgement.limit
    arguments = {"value": shown, "limit": limit_words(limit, asked.words)}
    if judgement.ok:
        return {"field": name, "words": asked.say("judge.fine", **arguments), "state": "fine"}
    digits = len(limit.number.partition(".")[2])
    by = f"{fixed(float(judgement.by), digits)} {sign(limit.unit)}".rstrip()
    beyond = asked.say("beyond.min" if limit.side == "min" else "beyond.max")
    words = asked.say("judge.beyond", by=by, beyond=beyond, **arguments)
    return {"field": name, "words": words, "state": limit.grade}


def _of_load(asked: Asked, fact: Fact) -> Iterator[Says]:
    body = {"plant": "", "decision": "taken", **fact.body}
    load = load_from([Fact(fact.entry, body)])
    looked = load.looked_at
    if looked is not None and looked.text("temp_how") == "infrared":
        yield {"field": "temp", "words": asked.say("reading.skin-only"), "state": "unknown"}
    elif looked is not None:
        temp_c = looked.si("temp") or 0.0
        for judgement in judged(
            asked.plan, load.fact, "temperature.delivery", temp_c, "degC", mix=load.mix
        ):
            yield _verdict(asked, "temp", written(load.temp), judgement)
    for call in of_load(asked.plan, load):
        if call.code in FIELDS:
            words = spoken(call, asked.plan, asked.now if asked.has_shift else call.at, asked.words)
            state = call.grade if call.grade != "note" else "unknown"
            said = f"{words.head}. {words.line}"
            yield {"field": FIELDS[call.code], "words": said, "state": state}
    if load.number and asked.has_shift:
        yield from _number(asked, load)


def _of_part(asked: Asked, fact: Fact) -> Iterator[Says]:
    """Whether a part weighs more than its whole load."""
    load, mass_kg = load_of(asked.facts, fact.text("load")), fact.si("mass")
    if load is not None and load.net_kg is not None and (mass_kg or 0.0) > load.net_kg + NOTHING_KG:
        words = asked.say("judge.part", net=asked.display.show("load", load.net_kg))
        yield {"field": "mass", "words": words, "state": "watch"}


def _number(asked: Asked, load: Load) -> Iterator[Says]:
    """Whether a ticket number is there already, or leaves a gap, as its plant numbers."""
    plant = asked.plan.plants.get(load.plant)
    if plant is None or plant.numbers == "none":
        return
    editing = asked.text("strikes")
    same = [
        other
        for other in asked.view.loads
        if (other.plant, other.number.casefold()) == (load.plant, load.number.casefold())
        and other.decision != "void"
        and editing not in other.ids
    ]
    if same:
        words = asked.say("judge.ticket.repeated", number=load.number, at=asked.clock(same[0].at))
        yield {"field": "ticket", "words": words, "state": "act"}
        return
    said, last = number_of(load), _last(asked, load.plant)
    if plant.numbers == "job" and said is not None and last is not None and said[1] > last + 1:
        first, count = last + 1, said[1] - last - 1
        numbers = str(first) if count == 1 else f"{first}–{said[1] - 1}"
        words = asked.say("judge.ticket.gap", count=count, numbers=numbers)
        yield {"field": "ticket", "words": words, "state": "watch"}


def _last(asked: Asked, plant: str) -> int | None:
    found = {numbering.plant: numbering.last for numbering in asked.view.numberings}
    return found.get(plant, asked.view.carry.tickets.get(plant))


def _stations(asked: Asked, fact: Fact) -> Iterator[Says]:
    for said, why in unreadable(asked.plan, fact.entry):
        name = next(n for n in ("station", "from", "to") if fact.place(n) == said)
        words = asked.say("judge.station", station=said, why=why)
        yield {"field": f"place.{name}", "words": words, "state": "watch"}
    yield from _outside(asked, fact)


def _outside(asked: Asked, fact: Fact) -> Iterator[Says]:
    """Stations that can be read, and lie outside the lane that is named."""
    lane = asked.plan.lanes.get(fact.place("lane"))
    if lane is None:
        return
    low, high = sorted((lane.from_m, lane.to_m))
    for name in ("station", "from", "to"):
        at_m = metres(asked.plan, fact, name)
        if at_m is not None and beyond(lane, at_m):
            ends = {
                "low": label(asked.plan, lane.id, low),
                "high": label(asked.plan, lane.id, high),
            }
            words = asked.say("judge.outside", station=fact.place(name), **ends)
            yield {"field": f"place.{name}", "words": words, "state": "watch"}
