"""Percent within limits of many lots at once, as a season has them: the exact form alone."""

from collections.abc import Sequence
from math import asin, dist, fsum, isfinite, isnan, nan, pi, sqrt
from typing import Final, NoReturn

from matbook.engine.cited import cited
from matbook.engine.quality import BETA, LEAST_RESULTS, check_limits, closed_form
from matbook.engine.samples import FLOAT_NOISE, WSDOT, spread_out
from matbook.errors import OutOfRange

ONE_PASS: Final = 4
"""Up to so many factors the series is written out: a pass over all lots costs more than it."""


@cited("percent within the lower limit + percent within the upper - 100", WSDOT)
def pwl_of_lots(
    lots: Sequence[Sequence[float]], lower: float | None = None, upper: float | None = None
) -> list[float]:
    """Percent of each of many lots within its limits, as `quality.pwl` has it.

    Args:
        lots: Results of each lot, 3 to 10,000 that aren't all the same.
        lower: Lower limit, in their unit; None for none.
        upper: Upper limit, in their unit; None for none.

    Returns:
        Percentage of each lot [%], in the order of the lots.

    Raises:
        OutOfRange: A lot of too few results, of results all the same, or with one that is no
            number; limits the wrong way round.
        Refused: No limit at all.

    Source: WSDOT 1-06.2(2)D; FDOT 334-8.2.2.

    Example:
        >>> good, poor = pwl_of_lots([[92.4, 93.1, 91.2], [91.0, 92.0, 91.7, 91.1]], 91.5)
        >>> round(good, 1), round(poor, 1)
        (73.0, 46.5)
    """
    check_limits(lower, upper)
    by_n: dict[int, list[int]] = {}
    for place, values in enumerate(lots):
        by_n.setdefault(len(values), []).append(place)
    found = [0.0] * len(lots)
    for n, places in by_n.items():
        centres = [_centre(lots[place]) for place in places]
        sides = []
        if lower is not None:
            indices = [(mean - lower) / sd for mean, sd in centres]
            sides.append(percents_within_limits(indices, n))
        if upper is not None:
            indices = [(upper - mean) / sd for mean, sd in centres]
            sides.append(percents_within_limits(indices, n))
        for place, shares in zip(places, zip(*sides, strict=True), strict=True):
            both = shares[0] + shares[-1] - 100.0
            found[place] = shares[0] if len(shares) == 1 else max(0.0, both)
    return found


@cited("share of each lot within a limit by its quality index, exact", BETA)
def percents_within_limits(indices: Sequence[float], n: int) -> list[float]:
    """The same for many lots of as many results each, several times as fast.

    Args:
        indices: Quality index of each lot.
        n: How many results each rests on, 3 to 10,000.

    Returns:
        Percentage of each lot [%].

    Raises:
        OutOfRange: Fewer than 3 results, or an index that is no number.

    Source: symmetric beta distribution: Willenbrock and Kopac 1976, from memory; Colorado CP 71.

    Example:
        >>> [round(percent, 2) for percent in percents_within_limits([0.371849, 2.0], 5)]
        [63.14, 100.0]
    """
    by_q, odd, factors = closed_form(n)
    if not odd and len(factors) <= ONE_PASS:
        return _in_one_pass(indices, by_q, factors)
    if any(map(isnan, indices)):
        _refuse()
    top = 1.0 / by_q
    us = [q * by_q if -top < q < top else 1.0 if q > 0.0 else -1.0 for q in indices]
    ws = [(1.0 - u) * (1.0 + u) for u in us]
    series = [factors[0] if factors else 0.0] * len(us)
    for factor in factors[1:]:
        series = [so_far * w + factor for so_far, w in zip(series, ws, strict=True)]
    if odd:
        return [
            50.0 + 100.0 * (asin(u) / pi + u * sqrt(w) * so_far)
            for u, w, so_far in zip(us, ws, series, strict=True)
        ]
    return [50.0 + 100.0 * u * so_far for u, so_far in zip(us, series, strict=True)]


def _in_one_pass(indices: Sequence[float], by_q: float, factors: Sequence[float]) -> list[float]:
    """The same for few factors, lots gone through once: what an even n up to 10 has.

    Written out in v = Q^2, which says as well whether an index is beyond the last: for so few
    factors nothing is lost by it that a percentage would show in its thirteenth digit.
    """
    top = 1.0 / (by_q * by_q)
    c0, c1, c2, c3 = _in_squares(by_q, factors)
    if len(factors) == 1:  # n = 4: a straight line
        return [c0 * q + 50.0 if q * q < top else _beyond(q) for q in indices]
    return [
        q * (((c3 * v + c2) * v + c1) * v + c0) + 50.0 if (v := q * q) < top else _beyond(q)
        for q in indices
    ]


def _in_squares(by_q: float, factors: Sequence[float]) -> list[float]:
    """Factors of the powers of w, from the highest down, as those of v, from the lowest up."""
    found = [0.0] * ONE_PASS
    for factor in factors:  # w = 1 - (by_q Q)^2
        found = [own - by_q**2 * less for own, less in zip(found, [0.0, *found], strict=False)]
        found[0] += factor
    return [100.0 * by_q * one for one in found]


def _beyond(q: float) -> float:
    """What an index gives from which on all is within, or nothing."""
    return 100.0 if q > 0.0 else 0.0 if q < 0.0 else _refuse()


def _refuse() -> NoReturn:
    raise OutOfRange("indices", nan, "each must be a number")


def _centre(values: Sequence[float]) -> tuple[float, float]:
    """Mean and standard deviation, as `spread_out` has them or refuses them."""
    n = len(values)
    if n < LEAST_RESULTS or not all(map(isfinite, values)):
        spread_out(values, LEAST_RESULTS, "lots")
    mean = fsum(values) / n
    sd = dist(values, [mean] * n) / sqrt(n - 1)
    if sd <= FLOAT_NOISE * abs(mean):
        spread_out(values, LEAST_RESULTS, "lots")
    return mean, sd
