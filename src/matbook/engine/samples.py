"""Results of one characteristic: their mean and their standard deviation."""

from collections.abc import Sequence
from functools import lru_cache
from math import fsum, isfinite, sqrt
from typing import Final, NamedTuple

from matbook.engine.cited import cited
from matbook.engine.distributions import t_exceeded
from matbook.engine.ranges import within
from matbook.errors import OutOfRange

WSDOT: Final = "WSDOT 1-06.2(2)D; FDOT 334-8.2.2"
MOST_RESULTS: Final = 10_000
FLOAT_NOISE: Final = 1e-12
"""Share of their mean by which floats may spread results that are all the same."""


class Sample(NamedTuple):
    """Results with their mean and standard deviation (divisor n - 1; 0 for a single one)."""

    values: Sequence[float]
    n: int
    mean: float
    sd: float

    @property
    def spreads(self) -> bool:
        """Whether the results differ by more than float noise."""
        return self.sd > FLOAT_NOISE * abs(self.mean)


@cited("mean and standard deviation of the results, divisor n - 1", WSDOT)
def sample(values: Sequence[float], least: int = 1, field: str = "values") -> Sample:
    """Results with their mean and their standard deviation.

    Equation: s = sqrt(sum of (x - mean)^2 / (n - 1))

    Args:
        values: Results, as many as least to 10,000, all in one unit.
        least: How many there must be at least, from 1.
        field: What a refusal calls them.

    Returns:
        Results, mean and standard deviation; a single result has a standard deviation of 0.

    Raises:
        OutOfRange: Too few results or too many, or one that is no number.

    Source: WSDOT 1-06.2(2)D; FDOT 334-8.2.2.

    Example:
        >>> found = sample([92.4, 93.1, 91.2, 92.8, 91.9])
        >>> round(found.mean, 2), round(found.sd, 6)
        (92.28, 0.752994)
    """
    n = len(values)
    if not least <= n <= MOST_RESULTS:
        raise OutOfRange(field, f"{n} results", f"it takes {least} to {MOST_RESULTS:,} of them")
    if not all(map(isfinite, values)):
        wrong = next(value for value in values if not isfinite(value))
        raise OutOfRange(field, wrong, "every result must be a number")
    mean = fsum(values) / n
    squares = fsum([(off := value - mean) * off for value in values])
    return Sample(values, n, mean, sqrt(squares / (n - 1)) if n > 1 else 0.0)


@cited("mean and standard deviation of results and of more beside them", "definition")
def joined(of: Sample, values: Sequence[float]) -> Sample:
    """Results and more of them, without going through those again that are summed up already.

    Equation: S = S1 + n1 (mean1 - mean)^2 + sum of (x - mean)^2, s = sqrt(S / (n - 1))

    Args:
        of: Results so far, summed up.
        values: Further results, in their unit, each a number.

    Returns:
        All results, their mean and standard deviation.

    Source: definition.

    Example:
        >>> found = joined(sample([92.4, 93.1, 91.2]), [92.8, 91.9])
        >>> round(found.mean, 2), round(found.sd, 6)
        (92.28, 0.752994)
    """
    n = of.n + len(values)
    mean = fsum([of.n * of.mean, *values]) / n
    own = (of.n - 1) * of.sd * of.sd + of.n * (of.mean - mean) * (of.mean - mean)
    squares = fsum([own, *[(off := value - mean) * off for value in values]])
    return Sample([*of.values, *values], n, mean, sqrt(squares / (n - 1)) if n > 1 else 0.0)


@cited("mean and standard deviation of results that aren't all the same", WSDOT)
def spread_out(values: Sequence[float], least: int = 2, field: str = "values") -> Sample:
    """Results that aren't all the same, with their mean and their standard deviation.

    Args:
        values: Results, as many as least to 10,000, all in one unit.
        least: How many there must be at least, from 2.
        field: What a refusal calls them.

    Returns:
        Results, mean and standard deviation.

    Raises:
        OutOfRange: Too few results or too many, one that is no number, or results all the same.

    Source: WSDOT 1-06.2(2)D; FDOT 334-8.2.2.

    Example:
        >>> spread_out([92.0, 92.0, 92.0])
        Traceback (most recent call last):
        ...
        matbook.errors.OutOfRange: values is 92.0; results that are all the same have no spread.
    """
    found = sample(values, least, field)
    if not found.spreads:
        raise OutOfRange(field, values[0], "results that are all the same have no spread")
    return found


@cited("mean -+ t s / sqrt(n), t exceeded in 1 of 40 with n - 1 degrees of freedom", "definition")
def mean_range(values: Sequence[float]) -> tuple[float, float]:
    """95 % range of the mean of results: where what they were drawn from has its mean.

    It speaks of chance alone: results from one side of the mat, or by a gauge that is off, are
    off by more.

    Equation: mean -+ t s / sqrt(n)

    Args:
        values: Results, 2 to 10,000, all in one unit.

    Returns:
        Its low and high end, in the results' unit.

    Raises:
        OutOfRange: Too few results or too many, or one that is no number.

    Source: definition, for results that spread as the normal distribution does.

    Example:
        >>> low, high = mean_range([92.4, 93.1, 91.2, 92.8, 91.9])
        >>> round(low, 2), round(high, 2)
        (91.35, 93.21)
    """
    found = sample(values, 2)
    half = _t(found.n - 1) * found.sd / sqrt(found.n)
    return found.mean - half, found.mean + half


@lru_cache(maxsize=256)
def _t(df: int) -> float:
    """What Student's t exceeds in 1 of 40: slow to find, and asked for over and over."""
    return t_exceeded(0.025, df)


@cited("sum of weight x result / sum of weights", "ASTM D3665, unequal sublots")
def weighted_mean(values: Sequence[float], weights: Sequence[float]) -> float:
    """Mean of results whose sublots aren't all of one size, each counted by its share of the lot.

    Percent within limits has no published form with weights: where sublots differ much, ask the
    specification.

    Equation: mean = sum(w x) / sum(w)

    Args:
        values: Results, 1 to 10,000, all in one unit.
        weights: Weight of each, above 0; the sublots' masses or shares.

    Returns:
        Mean in the results' unit.

    Raises:
        OutOfRange: No results, one that is no number, or weights that aren't one for each, above 0.

    Source: ASTM D3665, unequal sublots.

    Example:
        >>> weighted_mean([92.0, 94.0, 91.0], [400.0, 400.0, 200.0])
        92.6
    """
    found = sample(values)
    if len(weights) != found.n:
        raise OutOfRange("weights", f"{len(weights)} weights", f"there must be {found.n}")
    for weight in weights:
        within("weights", weight, 1e-9, 1e9)
    products = [value * weight for value, weight in zip(values, weights, strict=True)]
    return fsum(products) / fsum(weights)
