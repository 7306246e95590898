"""What a shift hands to the next one: derived from its book, never stored."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from matbook.shift.facts import Facts
from matbook.shift.joints import Edge, open_edges
from matbook.shift.laid import Strip, ends, pieces
from matbook.shift.loads import loads
from matbook.shift.numbers import numberings
from matbook.shift.told import Matter, still_open
from matbook.shift.yields import Course, Reaches, Total, covered, totals


@dataclass(frozen=True)
class Carry:
    """Open matters, last tickets, totals and fronts, as the shift before left them."""

    shift: str = ""
    """The shift this comes from; empty before the first."""
    matters: tuple[Matter, ...] = ()
    tickets: Mapping[str, int] = field(default_factory=dict)
    """Plant -> its last ticket number."""
    totals: Mapping[Course, Total] = field(default_factory=dict)
    """Lane and lift -> everything laid there so far."""
    covered: Mapping[Course, Reaches] = field(default_factory=dict)
    """Lane and lift -> the stretches laid so far."""
    restarts: Mapping[Strip, float] = field(default_factory=dict)
    """Lane, lift and paver -> where that paver goes on."""
    open_edges: Mapping[Course, Edge] = field(default_factory=dict)
    """Lane and lift -> the edge that was left open there, until an entry closes it."""


NOTHING = Carry()


def carry_of(facts: Facts, before: Carry = NOTHING) -> Carry:
    """What the next shift gets from this one and all before it."""
    laid = pieces(facts, before.restarts)
    plan = facts.plans.latest
    numbers = numberings(plan, loads(facts), before.tickets)
    return Carry(
        shift=str(facts.shift),
        matters=still_open(facts, before.matters),
        tickets={
            **before.tickets,
            **{found.plant: found.last for found in numbers if found.last is not None},
        },
        totals=added(before.totals, totals(facts, before.restarts)),
        covered=covered(before.covered, laid),
        restarts=ends(facts, before.restarts),
        open_edges=open_edges(facts, before.open_edges),
    )


def added(before: Mapping[Course, Total], here: Mapping[Course, Total]) -> dict[Course, Total]:
    """Totals by lane and lift, this shift's on top of those before."""
    return {
        course: before.get(course, Total()).plus(here.get(course, Total()))
        for course in {**before, **here}
    }
