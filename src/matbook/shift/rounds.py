"""Trucks' times that can't be: out of their order, or two loads of one truck at the same time.

The haul leaves such times out by itself; here they are said, so that somebody mends the entry.
"""

from collections.abc import Iterator
from itertools import pairwise
from typing import Final

from matbook.shift.calls import Call
from matbook.shift.display import clock
from matbook.shift.facts import Facts
from matbook.shift.loads import Load, loads

ROUND: Final = ("loaded", "arrived", "discharged")
"""What a load says of its way, in the order in which it happens."""


def calls(facts: Facts) -> Iterator[Call]:
    """Times that run backwards, and a truck that is loaded before its last load was taken."""
    last: dict[str, Load] = {}
    for found in facts.each("backwards", loads(facts), lambda load: [*_backwards(facts, load)]):
        yield from found
    for load in loads(facts):
        if not load.truck or not load.counts or not load.seen_on_road:
            continue
        before = last.get(load.truck)
        if before is not None and before.plant == load.plant:
            yield from _twice(facts, before, load)
        last[load.truck] = load


def _backwards(facts: Facts, load: Load) -> Iterator[Call]:
    seen = [(name, at) for name in ROUND if (at := load.moment(name)) is not None]
    for (first, earlier), (then, later) in pairwise(seen):
        if later < earlier:
            says = {
                "load": load.label,
                "field": then,
                "first": first,
                "at_first": clock(facts.local(earlier)),
                "at_then": clock(facts.local(later)),
            }
            yield Call("haul.backwards", load.id, "note", load.at, says, entries=load.ids)


def _twice(facts: Facts, before: Load, load: Load) -> Iterator[Call]:
    """One truck has one load at a time: the next can't be loaded before the last was taken."""
    loaded = load.moment("loaded")
    taken = before.moment("arrived") or before.at
    if loaded is not None and loaded < taken and load.number != before.number:
        says = {
            "truck": load.truck,
            "load": load.label,
            "other_load": before.label,
            "at_first": clock(facts.local(taken)),
            "at_then": clock(facts.local(loaded)),
        }
        entries = (before.id, load.id)
        yield Call("haul.twice", load.id, "watch", load.at, says, entries=entries)
