"""What a shift hands to the next one: derived from its book, never stored."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from matbook.shift.facts import Facts
from matbook.shift.laid import Strip, ends, pieces
from matbook.shift.loads import loads
from matbook.shift.numbers import numberings
from matbook.shift.told import Matter, still_open
from matbook.shift.yields import Course, Total, totals


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
    fronts: Mapping[Course, float] = field(default_factory=dict)
    """Lane and lift -> where the mat ends, in metres along the road."""
    restarts: Mapping[Strip, float] = field(default_factory=dict)
    """Lane, lift and paver -> where that paver goes on."""
    open_edges: tuple[str, ...] = ()
    """Ids of joint entries whose edge was left open."""


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
        fronts={**before.fronts, **{(piece.lane, piece.lift): piece.to_m for piece in laid}},
        restarts=ends(facts, before.restarts),
        open_edges=_open_edges(facts),
    )


def added(before: Mapping[Course, Total], here: Mapping[Course, Total]) -> dict[Course, Total]:
    """Totals by lane and lift, this shift's on top of those before."""
    return {
        course: before.get(course, Total()).plus(here.get(course, Total()))
        for course in {**before, **here}
    }


def _open_edges(facts: Facts) -> tuple[str, ...]:
    latest: dict[tuple[str, str], tuple[str, str]] = {}
    for fact in facts.of("joint-longitudinal"):
        latest[fact.place("lane"), fact.place("lift")] = fact.text("edge"), fact.id
    return tuple(entry for edge, entry in latest.values() if edge == "open")
