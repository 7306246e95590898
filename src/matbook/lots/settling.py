"""Which of several results of a sublot counts, and which lies too far from the rest for chance.

Both by the plan's rules. Whatever they say, every result stays and is shown as what it is.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from matbook.engine.comparison import Outlier, outlier
from matbook.errors import Refused
from matbook.lots.results import Result

BOTH_SIDES = 2
"""Grubbs's limit for a result too far on either side: neither was suspected beforehand."""


@dataclass(frozen=True, slots=True)
class Far:
    """A lot's result that is farthest from the mean, where that is too far for chance."""

    result: Result
    found: Outlier
    left_out: bool


def settled(found: Sequence[Result]) -> tuple[Result, ...]:
    """Results in reading order, each further one of a sublot set aside by its lot's rule."""
    first = [one for one in found if one.rule.retests == "beside"]
    last = [one for one in found if one.rule.retests != "beside"]
    aside = dict(_aside(first, "retest")) | dict(_aside(last[::-1], "replaced"))
    return tuple(replace(one, state=aside.get(one.fact.id, one.state)) for one in found)


def _aside(found: Sequence[Result], state: str) -> Iterator[tuple[str, str]]:
    """Those beyond the number that a sublot has, in the order given, and what they are then."""
    taken = Counter[tuple[str, int | None]]()
    for one in found:
        if one.counts:
            taken[one.lot, one.sublot] += 1
            if taken[one.lot, one.sublot] > one.rule.tests:
                yield one.fact.id, state


def farthest(found: Sequence[Result]) -> Far | None:
    """The outlier among a lot's results that count; None without a rule, or where there is none."""
    counted = [one for one in found if one.counts and one.value is not None]
    rule = counted[0].rule if counted else None
    if rule is None or not rule.outlier:
        return None
    values = [one.value.value for one in counted if one.value is not None]
    try:
        held = outlier(values, float(rule.outlier), BOTH_SIDES)
    except Refused:  # too few, or all the same: there is nothing to hold one against
        return None
    if not held.differ:
        return None
    return Far(counted[held.place], held, rule.outliers == "left out")


def without(found: Sequence[Result], far: Far | None) -> tuple[Result, ...]:
    """The results as they count once an outlier that is left out is set aside."""
    if far is None or not far.left_out:
        return tuple(found)
    gone = far.result.fact.id
    return tuple(replace(one, state="outlier") if one.fact.id == gone else one for one in found)
