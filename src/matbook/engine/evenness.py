"""How evenly warm a mat is behind the screed: cold patches are hard to roll to density."""

from collections.abc import Sequence
from math import inf

from matbook.engine.cited import cited
from matbook.engine.ranges import within
from matbook.errors import OutOfRange


@cited("hottest - coldest", "definition")
def difference_k(temps_c: Sequence[float]) -> float:
    """The difference of temperatures read in one stretch of mat [K].

    Equation: difference = max(T) - min(T)

    Args:
        temps_c: Temperatures read [°C], each -40 to 250; two or more.

    Returns:
        The difference.

    Raises:
        OutOfRange: A temperature outside its range; fewer than two.

    Source: definition.

    Example:
        >>> difference_k([141.0, 128.5, 139.0])
        12.5
    """
    if len(temps_c) < 2:
        raise OutOfRange("temps_c", f"{len(temps_c)} of them", "two or more to tell apart")
    for temp in temps_c:
        within("temps_c", temp, -40.0, 250.0)
    return max(temps_c) - min(temps_c)


@cited("of the readings near enough, the one that differs the most", "definition")
def farthest_from(
    reading: tuple[float, float], others: Sequence[tuple[float, float]], within_m: float
) -> int | None:
    """Which of other readings, within a length along the mat, differs the most from one.

    Args:
        reading: Where it was taken [m], and what was read [°C].
        others: The same of others.
        within_m: The length [m], above 0.

    Returns:
        Its place among the others; None where none is near enough.

    Raises:
        OutOfRange: A length that is none.

    Source: definition.

    Example:
        >>> farthest_from((120.0, 128.0), [(60.0, 150.0), (95.0, 141.0), (110.0, 131.0)], 50.0)
        1
    """
    if not 0.0 < within_m < inf:
        raise OutOfRange("within_m", within_m, "it must be a number above 0")
    at_m, temp_c = reading
    near = [n for n, (where, _) in enumerate(others) if abs(where - at_m) <= within_m]
    return max(near, key=lambda n: abs(others[n][1] - temp_c), default=None)
