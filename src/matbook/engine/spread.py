"""Spread (yield): mass over area, the thickness it equals, and what it takes to finish.

Inside: kg, m, m2, kg/m2. A width law says how wide the mat is planned along the road; areas are
integrated exactly.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import fsum, hypot, inf, isfinite
from typing import Final, Literal

from matbook.engine.cited import cited
from matbook.errors import OutOfRange, Refused

INDOT: Final = "INDOT, HMA Paving Inspection manual, chapter 8, Thickness and tonnage control"
VDOT: Final = "VDOT Materials study guide (2011 v1.0), chapter 9, Paving math problems, p. 9-2"
FDOT: Final = "FDOT, Final Estimates and Asphalt Reports training slides, slides 7, 19, 24"
NAVY: Final = "US Navy NAVEDTRA 14080, Assignment 6 and p. 8-33"
WATER_KG_M3: Final = 62.4 * 0.45359237 / 0.3048**3
"""Water as yield targets use it: 62.4 lb/ft3 (FDOT slide 7: 43.3 = 62.4 x 0.75 x 0.925)."""

Then = Literal["step", "linear", "curve"]


@dataclass(frozen=True, slots=True)
class Width:
    """Planned width from a station on, and how it runs to the next: step, linear or curve."""

    at_m: float
    width_m: float
    then: Then = "step"


WidthLaw = tuple[Width, ...]
"""Widths in order of station; the first and the last hold beyond their ends."""


@cited("mass / area", INDOT)
def spread_rate(mass_kg: float, area_m2: float) -> float:
    """Spread rate (yield): mass on the tickets over the area it was laid on.

    Equation: R = m / A

    Args:
        mass_kg: Mass laid [kg], from 0.
        area_m2: Area laid [m2], above 0.

    Returns:
        Spread [kg/m2].

    Raises:
        OutOfRange: The mass is below zero, or the area isn't above it.

    Source: INDOT, HMA Paving Inspection manual, chapter 8.

    Example:
        >>> round(spread_rate(62_400.0, 148.0 * 3.65), 2)
        115.51
    """
    _from_zero("mass_kg", mass_kg)
    _above_zero("area_m2", area_m2)
    return mass_kg / area_m2


@cited("spread / compacted density", INDOT)
def equivalent_thickness(spread_kg_m2: float, density_kg_m3: float) -> float:
    """Compacted thickness that a spread equals, if the base is even.

    Equation: t = R / rho

    Args:
        spread_kg_m2: Spread [kg/m2], from 0.
        density_kg_m3: Compacted density of the mix [kg/m3], above 0.

    Returns:
        Thickness [m].

    Raises:
        OutOfRange: A value outside its range.

    Source: INDOT, HMA Paving Inspection manual, chapter 8, example 2.

    Example:
        >>> round(equivalent_thickness(118.0, 2360.0), 6)
        0.05
    """
    _from_zero("spread_kg_m2", spread_kg_m2)
    _above_zero("density_kg_m3", density_kg_m3)
    return spread_kg_m2 / density_kg_m3


@cited("area x spread", INDOT)
def mass_for(area_m2: float, spread_kg_m2: float) -> float:
    """Mass that an area takes at a spread.

    Equation: m = A R

    Args:
        area_m2: Area [m2], from 0.
        spread_kg_m2: Spread [kg/m2], from 0.

    Returns:
        Mass [kg].

    Raises:
        OutOfRange: A value below zero.

    Source: INDOT, HMA Paving Inspection manual, chapter 8.

    Example:
        >>> mass_for(500.0 * 3.65, 118.0)
        215350.0
    """
    _from_zero("area_m2", area_m2)
    _from_zero("spread_kg_m2", spread_kg_m2)
    return area_m2 * spread_kg_m2


@cited("mass / (width x spread)", VDOT)
def length_for(mass_kg: float, width_m: float, spread_kg_m2: float) -> float:
    """Length that a mass paves at a width and a spread.

    Equation: L = m / (w R)

    Args:
        mass_kg: Mass [kg], from 0.
        width_m: Width [m], above 0.
        spread_kg_m2: Spread [kg/m2], above 0.

    Returns:
        Length [m].

    Raises:
        OutOfRange: A value outside its range.

    Source: VDOT Materials study guide (2011 v1.0), chapter 9, p. 9-2.

    Example:
        >>> round(length_for(22_400.0, 3.65, 118.0), 2)
        52.01
    """
    _from_zero("mass_kg", mass_kg)
    _above_zero("width_m", width_m)
    _above_zero("spread_kg_m2", spread_kg_m2)
    return mass_kg / (width_m * spread_kg_m2)


@cited("100 x (rate / target - 1)", FDOT)
def deviation_pct(rate: float, target: float) -> float:
    """How far a rate is over (or, below zero, under) its target.

    Equation: d = 100 (R / R0 - 1)

    Args:
        rate: What was laid, in any unit, from 0.
        target: What was planned, in the same unit, above 0.

    Returns:
        Deviation [%].

    Raises:
        OutOfRange: A value outside its range.

    Source: FDOT, Final Estimates and Asphalt Reports training slides, slide 24.

    Example:
        >>> round(deviation_pct(159.6, 152.0), 6)
        5.0
    """
    _from_zero("rate", rate)
    _above_zero("target", target)
    return 100.0 * (rate / target - 1.0)


@cited("maximum gravity x water x share of maximum x thickness", FDOT)
def target_from_density(
    maximum_gravity: float, share_of_maximum: float, thickness_m: float
) -> float:
    """Spread that gives a thickness at a share of the maximum density.

    Equation: R = Gmm rho_w f t, with 62.4 lb/ft3 for water

    Args:
        maximum_gravity: Maximum specific gravity of the mix [1], 1.5 to 4.
        share_of_maximum: Density aimed at over the maximum [1], 0.5 to 1.
        thickness_m: Compacted thickness [m], above 0.

    Returns:
        Spread [kg/m2].

    Raises:
        OutOfRange: A value outside its range.

    Source: FDOT, Final Estimates and Asphalt Reports training slides, slide 7.

    Example:
        >>> round(target_from_density(2.5, 0.94, 0.05), 1)
        117.4
    """
    _within("maximum_gravity", maximum_gravity, 1.5, 4.0)
    _within("share_of_maximum", share_of_maximum, 0.5, 1.0)
    _above_zero("thickness_m", thickness_m)
    return maximum_gravity * WATER_KG_M3 * share_of_maximum * thickness_m


@cited("speed x width x thickness x density", NAVY)
def production_rate(
    speed_m_s: float, width_m: float, thickness_m: float, density_kg_m3: float
) -> float:
    """Mass that a paver lays in a second at a steady speed.

    Equation: Q = v w t rho

    Args:
        speed_m_s: Speed of the paver [m/s], from 0.
        width_m: Width [m], above 0.
        thickness_m: Compacted thickness [m], above 0.
        density_kg_m3: Compacted density [kg/m3], above 0.

    Returns:
        Production [kg/s].

    Raises:
        OutOfRange: A value outside its range.

    Source: US Navy NAVEDTRA 14080, Assignment 6, q. 6-43 and p. 8-33.

    Example:
        >>> round(production_rate(0.1, 3.75, 0.05, 2350.0), 3)
        44.063
    """
    _from_zero("speed_m_s", speed_m_s)
    _above_zero("width_m", width_m)
    _above_zero("thickness_m", thickness_m)
    _above_zero("density_kg_m3", density_kg_m3)
    return speed_m_s * width_m * thickness_m * density_kg_m3


@cited("(budget - placed) / area left", INDOT)
def rate_to_finish(budget_kg: float, placed_kg: float, remaining_area_m2: float) -> float:
    """Spread for the rest of the area that ends exactly on the budget.

    Equation: R = (B - m) / A

    Args:
        budget_kg: Mass there is for the whole [kg], from what is placed on.
        placed_kg: Mass placed so far [kg], from 0.
        remaining_area_m2: Area still to pave [m2], above 0.

    Returns:
        Spread [kg/m2].

    Raises:
        OutOfRange: More was placed than the budget holds, or a value outside its range.

    Source: INDOT, HMA Paving Inspection manual, chapter 8.

    Example:
        >>> round(rate_to_finish(266_100.0, 208_800.0, 487.0), 2)
        117.66
    """
    _from_zero("placed_kg", placed_kg)
    _above_zero("remaining_area_m2", remaining_area_m2)
    _within("budget_kg", budget_kg, placed_kg, inf)
    return (budget_kg - placed_kg) / remaining_area_m2


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
        Refused: The law is empty or out of order.

    Source: definition.

    Example:
        >>> taper = (Width(0.0, 3.0), Width(100.0, 3.0, "linear"), Width(200.0, 4.0))
        >>> area(taper, 50.0, 250.0), area(taper, 250.0, 50.0)
        (700.0, 700.0)
    """
    _checked(width_law)
    for name, value in (("from_m", from_m), ("to_m", to_m)):
        if not isfinite(value):
            raise OutOfRange(name, value, "it must be a station in metres")
    return abs(_integral(width_law, to_m) - _integral(width_law, from_m))


@cited("planned width at a station", "definition")
def width_at(width_law: WidthLaw, at_m: float) -> float:
    """Planned width at a station; where it steps, the width from there on.

    Args:
        width_law: Planned widths in order of station.
        at_m: The station [m].

    Returns:
        Width [m].

    Raises:
        Refused: The law is empty or out of order.

    Source: definition.

    Example:
        >>> width_at((Width(0.0, 3.0, "linear"), Width(100.0, 4.0)), 25.0)
        3.25
    """
    _checked(width_law)
    place = len([1 for width in width_law if width.at_m <= at_m])
    if place == 0:
        return width_law[0].width_m
    here, after = width_law[place - 1], width_law[place] if place < len(width_law) else None
    if after is None:
        return here.width_m
    share = (at_m - here.at_m) / (after.at_m - here.at_m)
    return here.width_m + (after.width_m - here.width_m) * SHAPES[here.then][0](share)


@cited(
    "mass and area at the ends of their 95 % ranges, combined by root sum of squares",
    "JCGM 100:2008 (GUM), 5.1.2, for independent inputs; from memory",
)
def spread_range(
    mass_kg: float,
    area_m2: float,
    length_m: float,
    station_error_m: float,
    unlaid_start_kg: float = 0.0,
    unlaid_end_kg: float = 0.0,
) -> tuple[float, float]:
    """95 % range of a spread: how well stations were read, and mix not laid yet at both ends.

    A station misread by e at each end changes the area by sqrt(2) e / L of itself. Mix in hopper,
    augers or transfer vehicle at the end was ticketed and isn't laid; what was in them at the
    start was laid and ticketed before. Only the difference counts, and each end is known to half
    of what the paver holds.

    Equation: dR / R = sqrt(2 (e / L)^2 + ((u0 / 2)^2 + (u1 / 2)^2) / m^2)

    Args:
        mass_kg: Mass on the tickets [kg], above 0.
        area_m2: Area [m2], above 0.
        length_m: Length of it along the road [m], above 0.
        station_error_m: Half-width of the 95 % range of one station as read [m], from 0.
        unlaid_start_kg: Mix the paver may have held at the start [kg], from 0.
        unlaid_end_kg: Mix the paver may hold at the end [kg], from 0.

    Returns:
        Low and high end [kg/m2]; low is never below 0.

    Raises:
        OutOfRange: A value outside its range.

    Source: JCGM 100:2008 (GUM), 5.1.2, from memory.

    Example:
        >>> low, high = spread_range(22_400.0, 190.0, 52.05, 0.5)
        >>> round(low, 1), round(high, 1)
        (116.3, 119.5)
    """
    rate = spread_rate(mass_kg, area_m2)
    _above_zero("mass_kg", mass_kg)
    _above_zero("length_m", length_m)
    for name, value in (
        ("station_error_m", station_error_m),
        ("unlaid_start_kg", unlaid_start_kg),
        ("unlaid_end_kg", unlaid_end_kg),
    ):
        _from_zero(name, value)
    station = station_error_m / length_m
    share = hypot(station, station, unlaid_start_kg / 2 / mass_kg, unlaid_end_kg / 2 / mass_kg)
    return max(0.0, rate * (1 - share)), rate * (1 + share)


@dataclass(frozen=True, slots=True)
class Laid:
    """One piece of mat: its mass and area, and the run that it belongs to.

    `run` changes with lane, lift, mix or paver, and after a skip: windows begin again there.
    """

    mass_kg: float
    area_m2: float
    run: object = 0


@dataclass(frozen=True, slots=True)
class Running:
    """Rates up to and with one piece [kg/m2]."""

    own: float
    last: float | None
    """Over the last pieces of the run; None until the run has that many."""
    cumulative: float
    mass_kg: float
    area_m2: float


@cited("mass over area: of each piece, of the last few, and of all so far", FDOT)
def running(loads: Sequence[Laid], last: int = 5) -> list[Running]:
    """Running yield: each piece's own rate, the mean of the last few, and all so far.

    A single load can sit several percent off only because its end station was misread; the mean of
    five removes most of that.

    Args:
        loads: Pieces in the order they were laid.
        last: How many make a window, from 1.

    Returns:
        One result for each piece.

    Raises:
        OutOfRange: A piece without area, or a window below 1.

    Source: FDOT Section 330-2.2 by its training slides: mean of five loads.

    Example:
        >>> [r.last for r in running([Laid(200.0, 2.0), Laid(210.0, 2.0)], last=2)]
        [None, 102.5]
    """
    _within("last", last, 1, inf)
    found: list[Running] = []
    window: list[Laid] = []
    for count, piece in enumerate(loads, 1):
        if window and window[-1].run != piece.run:
            window = []
        window = [*window, piece][-last:]
        mass = fsum(p.mass_kg for p in loads[:count])
        whole = fsum(p.area_m2 for p in loads[:count])
        full = len(window) == last
        found.append(
            Running(
                own=spread_rate(piece.mass_kg, piece.area_m2),
                last=_rate(window) if full else None,
                cumulative=spread_rate(mass, whole),
                mass_kg=mass,
                area_m2=whole,
            )
        )
    return found


def _rate(pieces: Sequence[Laid]) -> float:
    return spread_rate(fsum(p.mass_kg for p in pieces), fsum(p.area_m2 for p in pieces))


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
        OutOfRange: A mass per length below zero.

    Source: definition.

    Example:
        >>> levelling_mass([(0.0, 100.0, 55.0), (100.0, 200.0, 70.0)], 150.0, 50.0)
        6250.0
    """
    low, high = sorted((from_m, to_m))
    for _, _, per_m in reaches:
        _from_zero("mass per length", per_m)
    return fsum(
        max(0.0, min(high, max(a, b)) - max(low, min(a, b))) * per_m for a, b, per_m in reaches
    )


Shape = Callable[[float], float]

SHAPES: Final[Mapping[str, tuple[Shape, Shape]]] = {
    # share of the way -> share of the change of width, and the integral of it
    "step": (lambda s: 0.0, lambda s: 0.0),
    "linear": (lambda s: s, lambda s: s * s / 2),
    "curve": (lambda s: s * s * (3 - 2 * s), lambda s: s**3 - s**4 / 2),
}
"""How a width runs to the next one; the curve has no kink at either end."""


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
    for here, after in pairwise(law):
        if not here.at_m < after.at_m:
            raise Refused("width_law", after.at_m, "widths must stand in order of station")


def _within(name: str, value: float, low: float, high: float) -> None:
    if not low <= value <= high:
        allowed = (
            f"it must be {low:g} or more" if high == inf else f"it must be {low:g} to {high:g}"
        )
        raise OutOfRange(name, value, allowed)


def _from_zero(name: str, value: float) -> None:
    if not 0.0 <= value < inf:
        raise OutOfRange(name, value, "it must be a number from 0")


def _above_zero(name: str, value: float) -> None:
    if not 0.0 < value < inf:
        raise OutOfRange(name, value, "it must be a number above 0")
