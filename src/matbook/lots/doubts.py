"""What is in doubt about a lot: results that somebody disputes, and places outside their sublot."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from matbook.lots.extent import Course, Extent, middle_m
from matbook.lots.results import Result
from matbook.lots.worth import Worth, worth
from matbook.plan.model import Plan

OTHERS = ("contractor", "verification")
"""States of results that may stand against one that counts."""


@dataclass(frozen=True, slots=True)
class Dispute:
    """A result that counts and may be another, and the lot's worth if it is: somebody disputes it,
    or its entry was corrected more than once.
    """

    result: Result
    other: Result | None
    """The other side's result of the same sample, or else of the same sublot; None without one."""
    worth: Worth
    """With the other's value in its place; without either where there is none."""
    contested: bool = False
    """Whether both values are corrections of one entry."""


@dataclass(frozen=True, slots=True)
class Elsewhere:
    """A result whose place was not laid as part of its sublot."""

    result: Result
    lot: str
    """Where it was laid instead."""
    sublot: int | None
    """None where lots are by the day, which have no sublots until they are over."""


def disputes(plan: Plan, found: Sequence[Result], extent: Extent | None) -> Iterator[Dispute]:
    """Each disputed result of a lot that counts, with what the lot is worth by the other side."""
    counted = [one for one in found if one.counts]
    for one in counted:
        for value in one.contested:
            other = replace(one, value=value)
            yield Dispute(one, other, _by(plan, counted, one, other, extent), True)
        if one.disputed:
            against = _other(one, found)
            yield Dispute(one, against, _by(plan, counted, one, against, extent))


def _by(
    plan: Plan,
    counted: Sequence[Result],
    one: Result,
    other: Result | None,
    extent: Extent | None,
) -> Worth:
    """What a lot is worth with another value in the place of one, or else without it."""
    rest = [each for each in counted if each is not one]
    if other is not None:
        same = replace(one, value=other.value)
        rest = [same if each is one else each for each in counted]
    return worth(plan, one.rule, rest, extent)


def _other(one: Result, found: Sequence[Result]) -> Result | None:
    """The other side's latest value of the same sample; of the same sublot where it names none."""
    others = [each for each in found if each.state in OTHERS and each.value is not None]
    same = [each for each in others if one.sample and each.sample == one.sample]
    near = [each for each in others if each.sublot is not None and each.sublot == one.sublot]
    return next(reversed(same or near), None)


def elsewhere(
    plan: Plan, along: Course, extent: Extent | None, found: Sequence[Result]
) -> Iterator[Elsewhere]:
    """The results of a lot whose places lie outside their sublot, beyond what is unsure of them.

    A place that nothing was laid at as far as is written says nothing.
    """
    ends = {one.number: (one.start, one.end) for one in extent.sublots} if extent else {}
    whole = (extent.start, extent.end) if extent else None
    for one in found:
        spots = along.spots(plan, one.fact, middle_m(plan, one.fact))
        reach = ends.get(one.sublot or 0, whole)
        if not spots or reach is None:
            continue
        if any(low <= reach[1] and high >= reach[0] for low, high in spots):
            continue
        middle = 0.5 * (spots[-1][0] + spots[-1][1])
        lot = along.lot_of(spots[-1])
        assert lot is not None  # lots are cut out of all that is laid
        sublot = next((s.number for s in lot.sublots if s.start <= middle <= s.end), None)
        yield Elsewhere(one, lot.name, sublot)
