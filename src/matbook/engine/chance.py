"""A probability that was counted, with what the count leaves open."""

from math import sqrt
from statistics import NormalDist
from typing import Final, NamedTuple

from matbook.engine.cited import cited
from matbook.engine.ranges import within

WILSON: Final = "Wilson 1927, J. American Statistical Association 22, 209-212; from memory"
TWO_SIDED_95: Final = NormalDist().inv_cdf(0.975)


class Chance(NamedTuple):
    """A share of cases, and its 95 % interval by their number."""

    value: float
    least: float
    most: float


@cited("cases / all, with Wilson's 95 % interval", WILSON)
def chance(cases: int, tried: int) -> Chance:
    """A share of cases as a probability, with its 95 % interval.

    Equation: (p + z^2/2n +- z sqrt(p (1 - p) / n + z^2 / 4n^2)) / (1 + z^2 / n), z = 1.96

    Args:
        cases: How many [1], from 0.
        tried: Of how many [1], from 1, not fewer.

    Returns:
        The share, and the ends of its interval [1].

    Raises:
        OutOfRange: A value outside its range.

    Source: Wilson 1927, J. American Statistical Association 22, 209-212; from memory.

    Example:
        >>> [round(share, 4) for share in chance(20, 200)]
        [0.1, 0.0657, 0.1494]
    """
    within("tried", tried, 1, 10**9)
    within("cases", cases, 0, tried)
    share, z2 = cases / tried, TWO_SIDED_95 * TWO_SIDED_95
    middle = share + z2 / (2 * tried)
    half = TWO_SIDED_95 * sqrt(share * (1.0 - share) / tried + z2 / (4 * tried * tried))
    whole = 1.0 + z2 / tried
    low = (middle - half) / whole if cases else 0.0
    return Chance(share, low, (middle + half) / whole if cases < tried else 1.0)
