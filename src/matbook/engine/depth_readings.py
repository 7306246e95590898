"""Loose depth as it is read along the lane: whether it drifts, and the roll-down it turned out.

A single reading says little: stones and an uneven base move it. So a trend counts only when it is
beyond what readings that scatter as they do would show by themselves.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import fsum, inf, isfinite, sqrt
from typing import Final

from matbook.engine.chance import TWO_SIDED_95
from matbook.engine.cited import cited
from matbook.engine.depth import roll_down
from matbook.engine.ranges import above_zero, up_to
from matbook.errors import OutOfRange

NOISE_M: Final = 0.004
"""Standard deviation of one reading of loose depth: assumed."""
LEAST_M: Final = 0.001
SUCCESSIVE: Final = (
    "mean square successive difference, von Neumann, Annals of Mathematical Statistics 12 (1941), "
    "from memory"
)


@dataclass(frozen=True, slots=True)
class Drift:
    """How loose depth changes along the lane."""

    mean_m: float
    last_m: float
    """On the line, at the last reading: steadier than that reading itself."""
    slope: float
    """Change of depth over length."""
    least: float
    """Least and most that the slope may be, 95 %."""
    most: float
    drifting: bool
    """Whether that range leaves no slope at all out."""


@cited(
    "least-squares line through the readings; 1.96 noise / sqrt(sum of squared distances)",
    "least squares with a known scatter (definition); the scatter assumed",
)
def drift(readings: Sequence[tuple[float, float]], noise_m: float = NOISE_M) -> Drift:
    """Whether loose depth drifts along the lane, or only scatters.

    Equation: b = sum (x - x0)(z - z0) / Q, Q = sum (x - x0)^2, within 1.96 s / sqrt(Q)

    Args:
        readings: Where each was read along the road [m] and the loose depth there [m], above 0; at
            least three, not all at one place, in the order of paving.
        noise_m: Standard deviation of one reading [m], above 0, to 0.05; 4 mm is assumed unless
            given.

    Returns:
        Mean depth, depth at the end by the line, slope with its range, whether it drifts.

    Raises:
        OutOfRange: Too few readings, all at one place, or a value outside its range.

    Source: least squares with a known scatter (definition); 4 mm assumed.

    Example:
        >>> found = drift([(0.0, 0.075), (30.0, 0.076), (60.0, 0.079), (90.0, 0.082)], 0.002)
        >>> found.drifting, round(100 * found.slope, 4)
        (True, 0.008)
    """
    up_to("noise_m", noise_m, 0.05)
    if len(readings) < 3:
        raise OutOfRange("readings", len(readings), "there must be at least three")
    for at_m, depth_m in readings:
        above_zero("depth_m", depth_m)
        if not isfinite(at_m):
            raise OutOfRange("at_m", at_m, "it must be a number")
    middle_m = fsum(at_m for at_m, _ in readings) / len(readings)
    mean_m = fsum(depth_m for _, depth_m in readings) / len(readings)
    spread = fsum((at_m - middle_m) ** 2 for at_m, _ in readings)
    if spread < 1e-6:
        raise OutOfRange("readings", f"all at {middle_m:g} m", "a trend needs more than one place")
    slope = fsum((at_m - middle_m) * (depth_m - mean_m) for at_m, depth_m in readings) / spread
    half = TWO_SIDED_95 * noise_m / sqrt(spread)
    last_m = mean_m + slope * (readings[-1][0] - middle_m)
    return Drift(mean_m, last_m, slope, slope - half, slope + half, abs(slope) > half)


@cited("sqrt(sum of squared steps / (2 x steps))", SUCCESSIVE)
def scatter(depths_m: Sequence[float]) -> float:
    """How much single readings scatter, by the steps from each to the next: a drift hardly counts.

    Equation: s = sqrt(sum (z[i+1] - z[i])^2 / (2 (n - 1))), not below 1 mm

    Args:
        depths_m: Loose depths in the order of paving [m], above 0, at least two.

    Returns:
        Standard deviation of one reading [m]; a rod read to a millimetre knows no less than 1 mm.

    Raises:
        OutOfRange: Fewer than two, or a value outside its range.

    Source: mean square successive difference, von Neumann, Annals of Mathematical Statistics 12
    (1941), from memory.

    Example:
        >>> round(scatter([0.074, 0.077, 0.073, 0.076]), 5)
        0.00238
    """
    if len(depths_m) < 2:
        raise OutOfRange("depths_m", len(depths_m), "there must be at least two")
    for depth_m in depths_m:
        above_zero("depth_m", depth_m)
    steps = fsum((after - before) ** 2 for before, after in pairwise(depths_m))
    return max(LEAST_M, sqrt(steps / (2.0 * (len(depths_m) - 1))))


@cited("(limit - deviation now) / slope, towards the limit it drifts to", "definition")
def runs_out_after(off_m: float, slope: float, allowed_m: float) -> float:
    """How far the paver goes on at a drift until the depth is as far off as is allowed.

    Equation: d = (A - |o|) / |b| when it drifts away, (A + |o|) / |b| when it comes back first

    Args:
        off_m: Depth less what it should be [m], on the line, now.
        slope: Change of depth over length paved [1].
        allowed_m: How far off it may be, either way [m], above 0, to 1.

    Returns:
        Length to pave [m]: 0 where it is as far off already, infinite without a slope.

    Raises:
        OutOfRange: A value outside its range.

    Source: definition.

    Example:
        >>> runs_out_after(0.002, 0.00008, 0.006)
        50.0
    """
    for name, value in (("off_m", off_m), ("slope", slope)):
        if not isfinite(value):
            raise OutOfRange(name, value, "it must be a number")
    up_to("allowed_m", allowed_m, 1.0)
    if abs(off_m) >= allowed_m:
        return 0.0
    if slope == 0.0:
        return inf
    away = off_m if slope > 0.0 else -off_m
    return (allowed_m - away) / abs(slope)


@dataclass(frozen=True, slots=True)
class StripRollDown:
    """Roll-down as the control strip showed it."""

    roll_down: float
    """Of all places together."""
    least: float
    """Least and most of a single place."""
    most: float
    count: int


@cited(
    "1 - sum of compacted / sum of loose", "NAPA, asphalt pavement handbook (online), section 7.5"
)
def strip_roll_down(pairs: Sequence[tuple[float, float]]) -> StripRollDown:
    """Roll-down from loose and compacted depths at several places; it replaces the plan's.

    Equation: r = 1 - sum t / sum z

    Args:
        pairs: Loose depth and, at the same place, compacted depth [m], above 0, at least one pair.

    Returns:
        Roll-down of all together, that of the single places from least to most, and their number.

    Raises:
        OutOfRange: No pairs, or a compacted depth above its loose one.

    Source: NAPA, asphalt pavement handbook (online), section 7.5; from the job's own strip: common
    practice, no published source.

    Example:
        >>> found = strip_roll_down([(0.075, 0.060), (0.074, 0.060), (0.076, 0.060)])
        >>> round(found.roll_down, 6), found.count
        (0.2, 3)
    """
    if not pairs:
        raise OutOfRange("pairs", 0, "there must be at least one pair")
    single = [roll_down(loose_m, compacted_m) for loose_m, compacted_m in pairs]
    loose_m = fsum(loose for loose, _ in pairs)
    compacted_m = fsum(compacted for _, compacted in pairs)
    return StripRollDown(1.0 - compacted_m / loose_m, min(single), max(single), len(pairs))
