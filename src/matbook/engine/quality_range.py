"""How sure a percent within limits is, as it comes from so few results.

The lot's own spread and mean, given the results, are s / y and mean + z s / (y sqrt(n)) with y the
root of chi^2 over its degrees of freedom and z normal. For one limit the range that follows is the
exact one of the noncentral t distribution. For two limits no exact range is known: the lower end is
that of a generalised interval; for the upper end the mean's error counts only towards the middle of
the limits. Outwards as well it would nearly always make a lot in the middle look worse than it is,
and its truth lie above the range. y is summed over even steps of its logarithm.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import erfc, exp, expm1, fsum, log, pi, sqrt
from statistics import NormalDist
from typing import Final

from matbook.engine.cited import cited
from matbook.engine.quality import LEAST_RESULTS, check_limits, within_both
from matbook.engine.ranges import within
from matbook.engine.samples import MOST_RESULTS, Sample, spread_out

NONCENTRAL: Final = (
    "one limit: noncentral t, definition; two: generalised interval, Weerahandi 1993, from memory, "
    "and own upper end"
)
NODES: Final = 40
FEW: Final = 160
"""More nodes over n - 1: with few results the spread may be almost anything."""
DEEPEST: Final = 23.0
"""Log of the likelihood ratio at which a spread is left out."""
FARTHEST: Final = 8.0
"""Standard deviations beyond which everything is within a limit, or nothing."""
SURE: Final = 1e-7
"""How well an end is found, in standard deviations and as a chance."""
BENT: Final = 1.1
"""Width from which on a function bends little [standard deviations]."""
ROOT_TWO: Final = sqrt(2.0)
NORMAL: Final = NormalDist()
BELL: Final = 1.0 / sqrt(2.0 * pi)


@dataclass(frozen=True, slots=True)
class PercentRange:
    """A percent within limits with the range that its few results leave it."""

    low_pct: float
    estimate_pct: float
    high_pct: float
    confidence: float
    """Share of lots whose range covers what they truly have."""


@cited("what the lot may truly have, from the spread of mean and deviation", NONCENTRAL)
def pwl_range(
    values: Sequence[float],
    lower: float | None = None,
    upper: float | None = None,
    confidence: float = 0.95,
) -> PercentRange:
    """Percent within limits with the range of what the lot may truly have.

    It covers sampling alone, from a lot that is normally distributed; not errors of testing that
    all results share.

    Equation: one limit: d with P(T(n - 1, d sqrt(n)) > Q sqrt(n)) = (1 -+ confidence) / 2, then
    100 Phi(d)

    Args:
        values: Results at random places, 3 to 10,000, that aren't all the same, in one unit.
        lower: Lower limit, in that unit; None for none.
        upper: Upper limit, in that unit; None for none.
        confidence: Share of lots that the range is to cover [1], 0.5 to 0.999.

    Returns:
        The estimate and both ends of its range [%].

    Raises:
        OutOfRange: Too few results, results all the same, one that is no number, limits the wrong
            way round, or a confidence outside its range.
        Refused: No limit at all.

    Source: one limit: noncentral t distribution, definition. Two limits: generalised interval,
    Weerahandi 1993, from memory, and own upper end; how well it covers is in docs/trust.md.

    Example:
        >>> found = pwl_range([92.4, 93.1, 91.2, 92.8, 91.9], 92.0)
        >>> round(found.low_pct, 1), round(found.estimate_pct, 1), round(found.high_pct, 1)
        (28.8, 63.1, 89.7)
    """
    check_limits(lower, upper)
    within("confidence", confidence, 0.5, 0.999)
    of = spread_out(values, LEAST_RESULTS)
    chance = _chance(of, lower, upper)
    tail = (1.0 - confidence) / 2.0
    return PercentRange(
        100.0 * phi(_crossing(lambda z: chance(z, False) - tail)),
        within_both(of, lower, upper),
        100.0 * phi(_crossing(lambda z: chance(z, True) - (1.0 - tail))),
        confidence,
    )


@cited("share of a normal lot between its limits", "definition")
def true_percent(mean: float, sd: float, lower: float | None, upper: float | None) -> float:
    """Percent of a normally distributed lot within its limits, where mean and spread are known.

    Args:
        mean: Mean of the whole lot.
        sd: Standard deviation of the whole lot, above 0.
        lower: Lower limit; None for none.
        upper: Upper limit; None for none.

    Returns:
        Percentage [%].

    Raises:
        OutOfRange: Limits the wrong way round, or a standard deviation that isn't above 0.
        Refused: No limit at all.

    Source: definition.

    Example:
        >>> round(true_percent(93.0, 0.8, 92.0, None), 2)
        89.44
    """
    check_limits(lower, upper)
    within("sd", sd, 1e-9, 1e9)
    below = 0.0 if lower is None else phi((lower - mean) / sd)
    above = 0.0 if upper is None else phi((mean - upper) / sd)
    return max(0.0, 100.0 * (1.0 - below - above))


@cited("share of a standard normal below a value", "definition")
def phi(z: float) -> float:
    """Share of a standard normal distribution below a value, exact in its lower tail too.

    Args:
        z: The value, in standard deviations.

    Returns:
        Share [1].

    Source: definition.

    Example:
        >>> round(phi(1.96), 4)
        0.975
    """
    return 0.5 * erfc(-z / ROOT_TWO)


Chance = Callable[[float, bool], float]
"""Chance that the lot truly has no more than Phi(z) within its limits, for the upper end if so."""


def _chance(of: Sample, lower: float | None, upper: float | None) -> Chance:
    root = sqrt(of.n)
    if lower is not None and upper is not None:
        half = (upper - lower) / (2.0 * of.sd)
        off = abs(of.mean - (upper + lower) / 2.0) / of.sd
        return lambda z, top: _chance_of_both(z, top, half, off * root, likelihood(of.n))
    q = ((of.mean - lower) if lower is not None else ((upper or 0.0) - of.mean)) / of.sd
    nodes = _nodes(of.n)
    return lambda z, _: fsum([weight * phi(root * (z - q * y)) for y, weight in nodes])


def _chance_of_both(z: float, top: bool, half: float, off: float, density: "Likelihood") -> float:
    """The chance for two limits so far (2 half) apart, the mean so far (off) from their middle.

    For the upper end the mean's error counts towards the middle only.

    Below some y no mean will do; there the share of means that do rises like a root, so the steps
    are even in the root of the distance from it.
    """
    root = sqrt(density.df + 1.0)
    first = log(-NORMAL.inv_cdf(0.5 * phi(-z)) / half)
    if first >= density.end:
        return 1.0
    begin, end = sqrt(max(0.0, density.start - first)), sqrt(density.end - first)
    step = (end - begin) / NODES
    shares = []
    for t in [begin + k * step for k in range(1, NODES + 1)]:
        v = first + t * t
        y = exp(v)
        reach, centre = root * _reach(half * y, z), off * y
        inside = phi(reach - centre) - phi(-reach - centre)
        if top:
            inside = min(1.0, 2.0 * phi(reach - centre))
        shares.append(t * density.at(v) * inside)
    return max(0.0, 1.0 - 2.0 * step * fsum(shares))


def _reach(half: float, z: float) -> float:
    """How far a mean may lie from the middle for Phi(z) to be within limits.

    All in standard deviations. Newton from outside, where the function bends towards its root.
    """
    share, low, high = phi(z), 0.0, max(0.0, half - z)
    reach = high
    while True:
        short = phi(half - reach) - phi(-half - reach) - share
        low, high = (reach, high) if short > 0.0 else (low, reach)
        slope = BELL * (exp(-((half + reach) ** 2) / 2.0) - exp(-((half - reach) ** 2) / 2.0))
        following = reach - short / slope if slope else low
        if not low < following < high:
            following = 0.5 * (low + high)
        moved, reach = abs(following - reach), following
        if moved < 1e-4:  # the next step would be its square
            return reach


@dataclass(frozen=True, slots=True)
class Likelihood:
    """How likely v, the logarithm of y, is after so many results."""

    df: float
    start: float
    end: float
    """Beyond these it doesn't count."""
    scale: float = 1.0

    def at(self, v: float) -> float:
        """Density of v.

        Args:
            v: Logarithm of the results' spread over the lot's.
        """
        return self.scale * exp(_depth(v, self.df))


def _depth(v: float, df: float) -> float:
    return df * (v - expm1(2.0 * v) / 2.0)


@lru_cache(maxsize=64)
def likelihood(n: int) -> Likelihood:
    """How likely each spread of the lot is after so many results.

    Args:
        n: How many results, 2 to 10,000.

    Raises:
        OutOfRange: Too few results or too many.

    Source: chi-squared distribution, definition.

    Example:
        >>> made = likelihood(5)
        >>> made.start < 0.0 < made.end
        True
    """
    within("n", n, 2, MOST_RESULTS)
    df = n - 1.0
    ends = []
    for way in (-1.0, 1.0):
        near, far = 0.0, way
        while _depth(far, df) > -DEEPEST:
            far *= 1.5
        for _ in range(40):
            middle = 0.5 * (near + far)
            near, far = (near, middle) if _depth(middle, df) < -DEEPEST else (middle, far)
        ends.append(far)
    low, high = ends
    count = _count(n)
    step = (high - low) / count
    total = step * fsum([exp(_depth(low + k * step, df)) for k in range(count + 1)])
    return Likelihood(df, low, high, 1.0 / total)


@lru_cache(maxsize=64)
def _nodes(n: int) -> tuple[tuple[float, float], ...]:
    """Values of y, each with its weight."""
    density = likelihood(n)
    count = _count(n)
    step = (density.end - density.start) / count
    places = [density.start + k * step for k in range(count + 1)]
    return tuple((exp(v), step * density.at(v)) for v in places)


def _count(n: int) -> int:
    return NODES + FEW // (n - 1)


def _crossing(rising: Callable[[float], float]) -> float:
    """Where a rising function of z is zero: by halves until it bends little, then by chords;
    an end that stays twice counts half (Illinois).
    """
    low, high = -FARTHEST, FARTHEST
    below, above = rising(low), rising(high)
    if below >= 0.0 or above <= 0.0:
        return low if below >= 0.0 else high
    side = 0.0
    while high - low > SURE:
        place = 0.5 * (low + high)
        if high - low < BENT:
            place = low - below * (high - low) / (above - below)
        found = rising(place)
        if abs(found) < SURE:
            return place
        if found < 0.0:
            low, below, above = place, found, above * (0.5 if side < 0.0 else 1.0)
        else:
            high, above, below = place, found, below * (0.5 if side > 0.0 else 1.0)
        side = found
    return 0.5 * (low + high)
