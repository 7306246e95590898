"""A straightedge laid along a surface: where it rests, and the gaps below it.

The edge is laid at one place after the other. It comes to rest on points of the surface on both
sides of its middle, and the gap is the deepest below it between the outermost of these. On a crest
it would rock; it is taken as it rests on one side.
"""

from collections.abc import Iterable, Sequence
from itertools import pairwise
from math import isfinite
from typing import Final, NamedTuple

from matbook.engine.cited import cited
from matbook.engine.ranges import above_zero, from_zero
from matbook.errors import OutOfRange

EDGE: Final = (
    "EN 13036-7, apparatus as described (read); US clauses measure between two contacts with the "
    "surface; resting by geometry"
)
HAIR_M: Final = 1e-9
TOUCH_M: Final = 1e-6
"""A surface so close below the edge touches it."""

Point = tuple[float, float]
"""A place along the surface, and its height [m]."""


class Gap(NamedTuple):
    """The deepest gap below the edge at one place where it was laid."""

    at_m: float
    """Where the gap is deepest."""
    gap_m: float
    from_m: float
    """Where the edge rests, before the gap."""
    to_m: float
    """Where it rests after the gap."""


@cited("height of the edge, resting on two points, less that of the surface", EDGE)
def straightedge_gaps(profile: Sequence[Point], length_m: float) -> list[Gap]:
    """The gaps below a straightedge that is laid with its end at each point of a profile.

    Args:
        profile: Points along the surface, as (where [m], height [m]), in order; a gap in the
            profile that is longer than a quarter of the edge is refused.
        length_m: Length of the edge [m], above 0; 3 m, or 10 ft, is usual.

    Returns:
        For each place at which the whole edge lies on the profile: the deepest gap.

    Raises:
        OutOfRange: Points out of order or too far apart, a value that is no number, a profile
            shorter than the edge.

    Source: EN 13036-7, apparatus as described (read); US clauses measure between two contacts with
    the surface (WSDOT-type clause, read); resting by geometry (definition).

    Example:
        >>> dip = [(0.25 * n, -0.004 if n == 8 else 0.0) for n in range(17)]
        >>> max(straightedge_gaps(dip, 3.0), key=lambda gap: gap.gap_m)
        Gap(at_m=2.0, gap_m=0.004, from_m=0.0, to_m=3.0)
    """
    above_zero("length_m", length_m)
    _check(profile, length_m)
    end_m = profile[-1][0] - length_m + HAIR_M
    found = []
    last = 0
    for first, from_m in enumerate(at_m for at_m, _ in profile if at_m <= end_m):
        while last < len(profile) and profile[last][0] <= from_m + length_m + HAIR_M:
            last += 1
        found.append(_resting(profile[first:last], from_m + 0.5 * length_m))
    return found


@cited("gaps over the limit, each once where it is deepest", "definition")
def over_limit(gaps: Iterable[Gap], limit_m: float) -> list[Gap]:
    """The places where a gap is more than the limit, in order along the road.

    Args:
        gaps: As `straightedge_gaps` found them.
        limit_m: The largest gap allowed [m], from 0.

    Returns:
        One gap for each place where one is deepest: the largest that any laying showed there.

    Raises:
        OutOfRange: A limit below zero.

    Source: definition.

    Example:
        >>> dip = [(0.25 * n, -0.004 if n == 8 else 0.0) for n in range(17)]
        >>> [gap.at_m for gap in over_limit(straightedge_gaps(dip, 3.0), 0.003)]
        [2.0]
    """
    from_zero("limit_m", limit_m)
    deepest: dict[float, Gap] = {}
    for gap in gaps:
        if gap.gap_m > limit_m + HAIR_M:
            before = deepest.get(gap.at_m, gap)
            deepest[gap.at_m] = max(before, gap, key=lambda one: one.gap_m)
    return [deepest[at_m] for at_m in sorted(deepest)]


def _resting(below: Sequence[Point], middle_m: float) -> Gap:
    """The deepest gap under an edge over these points: it rests on their upper hull."""
    hull: list[Point] = []
    for point in below:
        while len(hull) > 1 and _is_below(hull[-1], hull[-2], point):
            hull.pop()
        hull.append(point)
    left, right = next(
        (a, b) for a, b in pairwise(hull) if b[0] >= middle_m - HAIR_M or b is hull[-1]
    )
    rise = (right[1] - left[1]) / (right[0] - left[0])
    gaps = [(left[1] + rise * (at_m - left[0]) - height_m, at_m) for at_m, height_m in below]
    touching = [at_m for gap_m, at_m in gaps if gap_m <= TOUCH_M]
    between = [gap for gap in gaps if touching[0] <= gap[1] <= touching[-1]]
    gap_m, at_m = max(between, key=lambda gap: gap[0])
    return Gap(at_m, max(0.0, gap_m), touching[0], touching[-1])


def _is_below(point: Point, before: Point, after: Point) -> bool:
    """Whether a point is not above the line between the ones beside it."""
    rise = (point[1] - before[1]) * (after[0] - before[0])
    return rise <= (after[1] - before[1]) * (point[0] - before[0])


def _check(profile: Sequence[Point], length_m: float) -> None:
    for at_m, height_m in profile:
        if not (isfinite(at_m) and isfinite(height_m)):
            raise OutOfRange("profile", f"{at_m:g}, {height_m:g}", "both must be numbers")
    for (before_m, _), (at_m, _) in pairwise(profile):
        if not at_m > before_m:
            raise OutOfRange("profile", at_m, f"it must lie beyond the point before, {before_m:g}")
        if at_m - before_m > 0.25 * length_m + HAIR_M:
            apart = f"there is a gap of {at_m - before_m:g} m before it: take the pieces apart"
            raise OutOfRange("profile", at_m, apart)
    if len(profile) < 2 or profile[-1][0] - profile[0][0] < length_m - HAIR_M:
        raise OutOfRange("profile", f"{len(profile)} points", f"it must reach over {length_m:g} m")
