"""What is being typed: what the next load probably is, and what the limits say of a body."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from matbook.book.entry import Entry
from matbook.book.kinds import Fault, Kind, faults, kind_named, unusual
from matbook.desk.seen import Seen
from matbook.errors import Refused
from matbook.plan.judge import Judgement
from matbook.shift.display import clock, sign, written
from matbook.shift.facts import Fact
from matbook.shift.measured import MEASURES, judged
from matbook.shift.numbers import number_of
from matbook.shift.speak import limit_words
from matbook.words import say


@dataclass(frozen=True, slots=True)
class Said:
    """What a limit, or the numbering, says of one field."""

    field: str
    words: str
    state: str


def next_load(seen: Seen) -> dict[str, Any]:
    """The next ticket of each plant, the trucks last used first, and what the last load had."""
    view = seen.view
    tickets = {plant: str(last + 1) for plant, last in view.carry.tickets.items()}
    for found in view.numberings:
        if found.last is not None:
            mine = [load for load in view.loads if load.plant == found.plant]
            tickets[found.plant] = _after(found.last, [load.number for load in mine])
    trucks = dict.fromkeys(load.truck for load in reversed(view.loads) if load.truck)
    trucks |= dict.fromkeys(view.plan.trucks)
    last = view.last_load
    place = {} if last is None else last.fact.entry.place
    defaults = {name: place[name] for name in ("road", "lane", "lift", "paver") if name in place}
    if last is not None:
        defaults |= {"plant": last.plant, "mix": last.mix}
    return {"tickets": tickets, "trucks": list(trucks), "defaults": defaults}


def _after(last: int, numbers: list[str]) -> str:
    """The number after the last one, written as this plant writes its numbers."""
    written = {int(number[-n:]): number for number in numbers if (n := _digits(number))}
    if last not in written:
        return str(last + 1)  # the shift before reached further
    number, digits = written[last], _digits(written[last])
    return f"{number[:-digits]}{last + 1:0{digits}d}"


def _digits(number: str) -> int:
    """How many digits a ticket number ends in."""
    return len(number) - len(number.rstrip("0123456789"))


def judge_typed(seen: Seen) -> dict[str, Any]:
    """What is wrong with a body, what is unusual in it, and what the limits say of it."""
    kind = kind_named(seen.asked("kind"))
    body, place = _map(seen, "body"), _map(seen, "place")
    found = faults(kind, body)
    bad = {fault.field for fault in found}
    sound = {name: value for name, value in body.items() if name not in bad}
    says = list(_says(seen, kind, sound, place))
    return {
        "faults": [_fault(fault) for fault in found],
        "unusual": [_fault(fault) for fault in unusual(kind, sound)],
        "says": [{"field": one.field, "words": one.words, "state": one.state} for one in says],
    }


def _map(seen: Seen, name: str) -> Mapping[str, Any]:
    value = seen.arguments.get(name, {})
    if not isinstance(value, dict):
        raise Refused(name, str(value), "it must be an object")
    return value


def _fault(fault: Fault) -> dict[str, str]:
    return {"field": fault.field, "given": fault.given, "allowed": fault.allowed}


def _says(
    seen: Seen, form: Kind, body: Mapping[str, Any], place: Mapping[str, Any]
) -> Iterator[Said]:
    plan, kind = seen.view.plan, form.name
    data = {"id": "", "kind": kind, "at": seen.view.now.isoformat(), "body": body, "place": place}
    fact = Fact(Entry("", "", data), body)
    if kind == "load":
        yield from _load_says(seen, fact)
    elif kind in MEASURES and {name for name, field in form.fields.items() if field.need} <= {
        *body
    }:
        for reading in MEASURES[kind](plan, fact):
            yield from _limits(seen, "", "", reading.judgements)


def _load_says(seen: Seen, fact: Fact) -> Iterator[Said]:
    plan, temp = seen.view.plan, fact.si("temp")
    if temp is not None and fact.text("temp_how") != "infrared":
        found = judged(plan, fact, "temperature.delivery", temp, "degC", fact.text("mix"))
        yield from _limits(seen, "temp", written(fact.text("temp")), found)
    ticket, plant = fact.text("ticket"), fact.text("plant")
    mine = [load for load in seen.view.loads if load.plant == plant and load.number]
    for load in mine:
        if ticket and load.number.casefold() == ticket.casefold():
            words = say("ticket.repeat", seen.language, ticket=ticket, at=clock(load.at))
            yield Said("ticket", words, "watch")
    digits = ticket[len(ticket.rstrip("0123456789")) :]
    reached = [numbered[1] for load in mine if (numbered := number_of(load))]
    by_job = plant in plan.plants and plan.plants[plant].numbers == "job"
    if by_job and reached and digits and int(digits[:15]) > max(reached) + 1:
        words = say("ticket.gap", seen.language, first=max(reached) + 1, last=int(digits[:15]) - 1)
        yield Said("ticket", words, "watch")


def _limits(
    seen: Seen, field: str, value: str, judgements: tuple[Judgement, ...]
) -> Iterator[Said]:
    for one in judgements:
        unit = sign(one.limit.unit)
        arguments = {
            "value": value or f"{one.value.normalize():f} {unit}".strip().replace("-", "−"),
            "limit": limit_words(one.limit, seen.language),
            "by": f"{one.by.normalize():f} {unit}".strip(),
        }
        if one.ok:
            yield Said(field, say("judged.met", seen.language, **arguments), "fine")
        else:
            yield Said(field, say("judged.beyond", seen.language, **arguments), one.limit.grade)
