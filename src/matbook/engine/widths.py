"""Widths of the mat along the road as planned, the areas they make, and levelling by mass.

A width law says how wide the mat is planned: in steps, by straight tapers, or by smooth curves with
no kink at either end. Areas are integrated exactly. Beyond its ends a law keeps its end widths: a
lane that the plan gives one width is that wide wherever it is paved.
"""

from bisect import bisect_right
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import fsum, inf, isfinite
from typing import Final, Literal

from matbook.engine.cited import cited
from matbook.engine.ranges import from_zero
from matbook.errors import OutOfRange, Refused

Then = Literal["step", "linear", "curve"]


@dataclass(frozen=True, slots=True)
class Width:
    """Planned width from a station on, and how it runs to the next: step, linear or curve."""

    at_m: float
    width_m: float
    then: Then = "step"


WidthLaw = tuple[Width, ...]
"""Widths in order of station; the first and the last hold beyond their ends."""

Shape = Callable[[float], float]

SHAPES: Final[Mapping[str, tuple[Shape, Shape]]] = {
    # share of the way -> share of the change of width, and the integral of it
    "step": (lambda s: 0.0, lambda s: 0.0),
    "linear": (lambda s: s, lambda s: s * s / 2),
    "curve": (lambda s: s * s * (3 - 2 * s), lambda s: s**3 - s**4 / 2),
}
"""How a width runs to the next one; the curve has no kink at either end."""


@cited("width of the mat, integrated from station to station", "definition")
def area(width_law: WidthLaw, from_m: float, to_m: float) -> float:
    """Area between two stations by the planned widths, in either direction of paving.

    Equation: A = |integral of w(x) dx|, exact for steps, straight tapers and smooth curves

    Args:
        width_law: Planned widths in order of station; the end widths hold beyond the ends.
        from_m: Where the mat begins [m].
        to_m: Where it ends [m].

    Returns:
        Area [m2], from 0.

    Raises:
        OutOfRange: A station that is no number.
        Refused: The law is empty, out of order, or runs on in a way it can't.

    Source: definition.

    Example:
        >>> taper = (Width(0.0, 3.0), Width(100.0, 3.0, "linear"), Width(200.0, 4.0))
        >>> area(taper, 50.0, 250.0), area(taper, 250.0, 50.0)
        (700.0, 700.0)
    """
    _checked(width_law)
    _station("from_m", from_m)
    _station("to_m", to_m)
    return abs(_integral(width_law, to_m) - _integral(width_law, from_m))


@cited("planned width at a station", "definition")
def width_at(width_law: WidthLaw, at_m: float) -> float:
    """Planned width at a station; where it steps, the width from there on.

    Args:
        width_law: Planned widths in order of station; the end widths hold beyond the ends.
        at_m: The station [m].

    Returns:
        Width [m].

    Raises:
        OutOfRange: A station that is no number.
        Refused: The law is empty, out of order, or runs on in a way it can't.

    Source: definition.

    Example:
        >>> width_at((Width(0.0, 3.0, "linear"), Width(100.0, 4.0)), 25.0)
        3.25
    """
    _checked(width_law)
    _station("at_m", at_m)
    place = bisect_right(width_law, at_m, key=lambda width: width.at_m)
    here = width_law[max(0, place - 1)]
    if not 0 < place < len(width_law):
        return here.width_m
    after = width_law[place]
    share = (at_m - here.at_m) / (after.at_m - here.at_m)
    return here.width_m + (after.width_m - here.width_m) * SHAPES[here.then][0](share)


@cited("mass per length, summed over the reaches it overlaps", "definition")
def levelling_mass(
    reaches: Sequence[tuple[float, float, float]], from_m: float, to_m: float
) -> float:
    """Mass that levelling by mass per station plans between two stations.

    Args:
        reaches: (from [m], to [m], mass per length [kg/m]) of each reach.
        from_m: Where the mat begins [m].
        to_m: Where it ends [m].

    Returns:
        Mass [kg]; stretches outside all reaches plan nothing.

    Raises:
        OutOfRange: A mass per length below zero, or a station that is no number.

    Source: definition.

    Example:
        >>> levelling_mass([(0.0, 100.0, 55.0), (100.0, 200.0, 70.0)], 150.0, 50.0)
        6250.0
    """
    _station("from_m", from_m)
    _station("to_m", to_m)
    for start, end, per_m in reaches:
        _station("reaches", start)
        _station("reaches", end)
        from_zero("reaches", per_m)
    low, high = sorted((from_m, to_m))
    return fsum(
        max(0.0, min(high, max(a, b)) - max(low, min(a, b))) * per_m for a, b, per_m in reaches
    )


def _integral(law: WidthLaw, to_m: float) -> float:
    """Area from the first breakpoint to a station, below zero before it."""
    first = law[0]
    if to_m <= first.at_m:
        return first.width_m * (to_m - first.at_m)
    pieces = []
    for here, after in zip(law, (*law[1:], Width(inf, law[-1].width_m)), strict=True):
        length = min(to_m, after.at_m) - here.at_m
        if length <= 0:
            break
        pieces.append(here.width_m * length)
        if isfinite(after.at_m):
            whole = after.at_m - here.at_m
            change = after.width_m - here.width_m
            pieces.append(change * whole * SHAPES[here.then][1](length / whole))
    return fsum(pieces)


def _checked(law: WidthLaw) -> None:
    if not law:
        raise Refused("width_law", "empty", "it needs at least one width")
    for width in law:
        _station("width_law", width.at_m)
        from_zero("width_law", width.width_m)
        if width.then not in SHAPES:
            raise Refused("width_law", width.then, f"a width runs on by {', '.join(SHAPES)}")
    for here, after in pairwise(law):
        if not here.at_m < after.at_m:
            raise Refused("width_law", after.at_m, "widths must stand in order of station")


def _station(name: str, value: float) -> None:
    if not isfinite(value):
        raise OutOfRange(name, value, "it must be a station in metres")
