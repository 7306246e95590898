"""Bunches: whether trucks come close behind each other more often than chance has it."""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import exp, fsum, isfinite

from matbook.engine.chance import Chance, chance
from matbook.engine.cited import cited
from matbook.engine.ranges import above_zero
from matbook.errors import OutOfRange


@dataclass(frozen=True, slots=True)
class Bunching:
    """Whether trucks come in bunches: on a two-lane road they catch up and cannot pass."""

    together: Chance
    """Share of arrivals that came close behind the one before."""
    by_chance: float
    """What that share would be if trucks came independently of each other."""
    longest: int
    """Trucks in the longest bunch."""
    held_up: float
    """Share of trucks that must have been held up by the one ahead, to explain it."""


@cited(
    "share of arrivals close behind another, beside 1 - e^(-close / mean gap)",
    "Poisson arrivals (definition); what is beyond them is held up: own method",
)
def bunching(arrivals_s: Sequence[float], close_s: float) -> Bunching:
    """Whether arrivals come in bunches more than chance alone would have them.

    Equation: h = (p - p0) / (1 - p0), p0 = 1 - exp(-c / g), not below 0

    Args:
        arrivals_s: When trucks arrived [s], at least three, in any order.
        close_s: A truck so soon after another counts as close behind it [s], above 0.

    Returns:
        The share with its 95 % range, that of chance alone, the longest bunch, the share held up.

    Raises:
        OutOfRange: Fewer than three arrivals, or a value outside its range.

    Source: Poisson arrivals (definition); own method, no published source.

    Example:
        >>> found = bunching([0.0, 60.0, 120.0, 1800.0, 1850.0, 1900.0, 3600.0], 90.0)
        >>> round(found.together.value, 2), round(found.by_chance, 2), found.longest
        (0.67, 0.14, 3)
    """
    above_zero("close_s", close_s)
    if len(arrivals_s) < 3:
        raise OutOfRange("arrivals_s", len(arrivals_s), "there must be at least three arrivals")
    for arrival in arrivals_s:
        if not isfinite(arrival):
            raise OutOfRange("arrivals_s", arrival, "it must be a number")
    gaps = [after - before for before, after in pairwise(sorted(arrivals_s))]
    longest = running = 1
    for gap in gaps:
        running = running + 1 if gap <= close_s else 1
        longest = max(longest, running)
    close = sum(gap <= close_s for gap in gaps)  # whole numbers
    mean = fsum(gaps) / len(gaps)
    alone = 1.0 - exp(-close_s / mean) if mean else 1.0
    share = close / len(gaps)
    held_up = max(0.0, (share - alone) / (1.0 - alone)) if alone < 1.0 else 0.0
    return Bunching(chance(close, len(gaps)), alone, longest, held_up)
