"""Loads as a table, and what the next one will most likely be."""

import re
from typing import Any, Final

from matbook.desk.asking import Asked
from matbook.desk.entries import place_words
from matbook.shift.display import minutes, written
from matbook.shift.loads import Load
from matbook.shift.numbers import number_of
from matbook.shift.places import label

_DIGITS: Final = re.compile(r"\d+$")

Row = dict[str, Any]


def loads(asked: Asked) -> list[Row]:
    """Every load of the shift, and where it went."""
    display = asked.display
    return [
        {
            "ticket": account.load.label,
            "at": asked.clock(account.load.at),
            "truck": account.load.truck,
            "mix": account.load.mix,
            "net": display.show("load", kg) if (kg := account.load.net_kg) is not None else "",
            "temp": written(account.load.temp),
            "age": minutes(account.load.age) if account.load.age else "",
            "state": account.state,
            "id": account.load.id,
            "state_words": asked.say(f"account.{account.state}"),
            "decision": asked.say(f"decision.{account.load.decision}"),
            "place": place_words(asked, account.load.fact.entry.place),
        }
        for account in asked.view.accounts
    ]


def last_load(asked: Asked) -> Row:
    """What the last load says of the next: plant, mix, truck, and where its piece begins."""
    if not asked.has_shift:
        return _first(asked)
    load = asked.view.last_load
    if load is None:
        return _first(asked)
    found = {name: load.first(name) for name in ("plant", "mix", "truck")}
    place = next((f for f in (load.fact, *load.witnesses) if f.place("lane")), load.fact)
    found |= {name: place.place(name) for name in ("lane", "lift", "paver", "road")}
    return {**found, "to": _reached(asked, found)}


def _first(asked: Asked) -> Row:
    """Before the first load, whatever the plan has only one of."""
    plan = asked.plan
    many = {
        "plant": plan.plants,
        "mix": plan.mixes,
        "lane": plan.lanes,
        "lift": plan.lifts,
        "paver": plan.pavers,
        "road": plan.roads,
    }
    found = {name: next(iter(held)) if len(held) == 1 else "" for name, held in many.items()}
    if found["lift"]:
        found["mix"] = plan.lifts[found["lift"]].mix
    return {**found, "truck": "", "to": ""}


def _reached(asked: Asked, found: Row) -> str:
    """The station where the strip of these defaults goes on; empty where it isn't known."""
    strip = found["lane"], found["lift"], found["paver"]
    at_m = asked.view.ends.get(strip)
    return "" if at_m is None else label(asked.plan, found["lane"], at_m)


def next_load(asked: Asked) -> Row:
    """The next ticket of each plant, the trucks with the last used first, and the defaults."""
    seen = asked.view.loads if asked.has_shift else ()
    used = list(dict.fromkeys(load.truck for load in reversed(seen) if load.truck))
    trucks = [*used, *(truck for truck in asked.plan.trucks if truck not in used)]
    return {
        "tickets": {plant: _next_ticket(asked, plant, seen) for plant in asked.plan.plants},
        "trucks": trucks,
        "defaults": last_load(asked),
    }


def _next_ticket(asked: Asked, plant: str, seen: tuple[Load, ...]) -> str:
    """The number after the last one of a plant that numbers for this job; else nothing."""
    if asked.plan.plants[plant].numbers != "job" or not asked.has_shift:
        return ""
    numbering = {found.plant: found.last for found in asked.view.numberings}
    last = numbering.get(plant)
    last = asked.view.carry.tickets.get(plant) if last is None else last
    if last is None:
        return ""
    written_as = [load.number for load in seen if load.plant == plant and number_of(load)]
    before = _DIGITS.sub("", written_as[-1]) if written_as else ""
    wide = len(written_as[-1]) - len(before) if written_as else 0
    return f"{before}{last + 1:0{wide}d}"
