"""The window for paving: the least that still works, and the latest moment to begin."""

from bisect import bisect_left
from collections.abc import Callable, Sequence
from itertools import pairwise
from math import isfinite
from typing import Final

from matbook.engine.cited import cited
from matbook.engine.ranges import above_zero
from matbook.errors import OutOfRange

MOST_STEPS: Final = 10_000


@cited("the smallest multiple of the step that works; more works too", "bisection (definition)")
def least_that_works(
    works: Callable[[float], bool], least: float, most: float, apart: float
) -> float:
    """The least value that works, where more of it works as well: a thickness, a temperature.

    Args:
        works: Tells whether a value works; asked for a dozen values at most.
        least: The smallest value tried [any].
        most: The largest value tried, above least [any].
        apart: Distance between the values tried [any], above 0.

    Returns:
        The least value tried that works; infinity where not even the largest does.

    Raises:
        OutOfRange: A distance that isn't above 0, values that don't rise, or over 10,000 of them.

    Source: bisection (definition).

    Example:
        >>> least_that_works(lambda depth: depth * depth >= 0.0016, 0.01, 0.15, 0.005)
        0.04
    """
    above_zero("apart", apart)
    if not least < most or (most - least) / apart > MOST_STEPS:
        raise OutOfRange(
            "most", most, f"above {least:g}, with {MOST_STEPS} values between at the most"
        )
    tried = [least + n * apart for n in range(round((most - least) / apart) + 1)]
    place = bisect_left(tried, True, key=works)
    return round(tried[place], 9) if place < len(tried) else float("inf")


@cited("the last start after which it is done in time", "linear interpolation (definition)")
def latest_start(starts_s: Sequence[float], takes_s: Sequence[float], by_s: float) -> float:
    """The latest moment to begin something that takes its time, to be done by another.

    How long it takes is known for some starts; between them it changes evenly.

    Equation: largest s with s + takes(s) <= by

    Args:
        starts_s: Starts [s], rising; at least two.
        takes_s: How long it takes from each [s]; infinity where it doesn't come to an end.
        by_s: When it must be done [s].

    Returns:
        Start [s]; minus infinity where even the first start is too late, the last of the starts
        where that still does.

    Raises:
        OutOfRange: Fewer than two starts, starts that don't rise, or not one time for each.

    Source: definition.

    Example:
        >>> latest_start([0.0, 3600.0], [1800.0, 3600.0], 4500.0)
        1800.0
    """
    if len(starts_s) < 2 or len(starts_s) != len(takes_s):
        raise OutOfRange("starts_s", f"{len(starts_s)} of them", "two or more, each with its time")
    if any(b <= a for a, b in pairwise(starts_s)):
        raise OutOfRange("starts_s", list(starts_s), "moments that rise")
    ends = [start + taken for start, taken in zip(starts_s, takes_s, strict=True)]
    for n in range(len(ends) - 1, -1, -1):
        if ends[n] > by_s:
            continue
        if n == len(ends) - 1 or not isfinite(ends[n + 1]):
            return starts_s[n]
        share = (by_s - ends[n]) / (ends[n + 1] - ends[n])
        return starts_s[n] + share * (starts_s[n + 1] - starts_s[n])
    return float("-inf")
