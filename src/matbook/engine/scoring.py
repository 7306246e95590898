"""How well forecasts did: what a reading was expected to be, and how often it was."""

from math import sqrt
from statistics import NormalDist
from typing import Final

from matbook.engine.cited import cited
from matbook.engine.ranges import from_zero, within
from matbook.errors import OutOfRange

TENTH: Final = NormalDist().inv_cdf(0.9)
"""One in ten of a normal law lies further above its middle than so many standard deviations."""
SURE: Final = NormalDist().inv_cdf(0.975)


@cited("middle -+ 1.28 standard deviations", "normal law (definition)")
def ten_to_ninety(middle_c: float, spread_k: float) -> tuple[float, float]:
    """Between what eight in ten readings should lie [°C].

    Equation: T = middle -+ 1.2816 s

    Args:
        middle_c: What was expected [°C], -100 to 300.
        spread_k: Its standard deviation, the reading's own error included [K], from 0.

    Returns:
        The ends.

    Raises:
        OutOfRange: A value outside its range.

    Source: normal law (definition).

    Example:
        >>> [round(end, 1) for end in ten_to_ninety(100.0, 5.0)]
        [93.6, 106.4]
    """
    within("middle_c", middle_c, -100.0, 300.0)
    from_zero("spread_k", spread_k)
    return middle_c - TENTH * spread_k, middle_c + TENTH * spread_k


@cited(
    "95 % range of a share by Wilson's score",
    "Wilson, Journal of the American Statistical Association 22 (1927), from memory",
)
def share_range(inside: int, count: int) -> tuple[float, float]:
    """The 95 % range of a share that was found by counting [1].

    Counts must not depend on each other; readings of one mat do, so the truth is wider.

    Equation: (p + z^2/2n -+ z sqrt(p (1 - p)/n + z^2/4n^2)) / (1 + z^2/n)

    Args:
        inside: How many were inside, 0 to count.
        count: How many there were, 1 or more.

    Returns:
        The ends, within 0 to 1.

    Raises:
        OutOfRange: Counts that can't be.

    Source: Wilson 1927, from memory; checked against SciPy's.

    Example:
        >>> [round(end, 2) for end in share_range(8, 10)]
        [0.49, 0.94]
    """
    if count < 1:
        raise OutOfRange("count", count, "it must be 1 or more")
    within("inside", inside, 0, count)
    share, z2 = inside / count, SURE * SURE
    middle = share + z2 / (2.0 * count)
    half = SURE * sqrt(share * (1.0 - share) / count + z2 / (4.0 * count * count))
    whole = 1.0 + z2 / count
    return max(0.0, (middle - half) / whole), min(1.0, (middle + half) / whole)
