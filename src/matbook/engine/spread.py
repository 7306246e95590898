"""Spread (yield): mass over area, the thickness it equals, and what it takes to finish.

Inside: kg, m, m2, kg/m2. How wide the mat is planned stands in `widths`, rates piece by piece and
their ranges in `running`; both are had from here too.
"""

from math import inf
from typing import Final

from matbook.engine.cited import cited
from matbook.engine.ranges import above_zero, from_zero, within
from matbook.engine.running import Laid as Laid
from matbook.engine.running import Running as Running
from matbook.engine.running import running as running
from matbook.engine.running import spread_range as spread_range
from matbook.engine.widths import SHAPES as SHAPES
from matbook.engine.widths import Then as Then
from matbook.engine.widths import Width as Width
from matbook.engine.widths import WidthLaw as WidthLaw
from matbook.engine.widths import area as area
from matbook.engine.widths import levelling_mass as levelling_mass
from matbook.engine.widths import width_at as width_at
from matbook.errors import OutOfRange

INDOT: Final = "INDOT, HMA Paving Inspection manual, chapter 8, Thickness and tonnage control"
VDOT: Final = "VDOT Materials study guide (2011 v1.0), chapter 9, Paving math problems, p. 9-2"
FDOT: Final = "FDOT, Final Estimates and Asphalt Reports training slides, slides 7, 19, 24"
NAVY: Final = "US Navy NAVEDTRA 14080, Assignment 6 and p. 8-33"
WATER_KG_M3: Final = 62.4 * 0.45359237 / 0.3048**3
"""Water as yield targets use it: 62.4 lb/ft3 (FDOT slide 7: 43.3 = 62.4 x 0.75 x 0.925)."""


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
    from_zero("mass_kg", mass_kg)
    above_zero("area_m2", area_m2)
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
    from_zero("spread_kg_m2", spread_kg_m2)
    above_zero("density_kg_m3", density_kg_m3)
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
    from_zero("area_m2", area_m2)
    from_zero("spread_kg_m2", spread_kg_m2)
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
    from_zero("mass_kg", mass_kg)
    above_zero("width_m", width_m)
    above_zero("spread_kg_m2", spread_kg_m2)
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
    from_zero("rate", rate)
    above_zero("target", target)
    return 100.0 * (rate / target - 1.0)


@cited("maximum gravity x water x share of maximum x thickness", FDOT)
def target_from_density(
    maximum_gravity: float,
    share_of_maximum: float,
    thickness_m: float,
    water_kg_m3: float = WATER_KG_M3,
) -> float:
    """Spread that gives a thickness at a share of the maximum density.

    Equation: R = Gmm rho_w f t

    Args:
        maximum_gravity: Maximum specific gravity of the mix [1], 1.5 to 4.
        share_of_maximum: Density aimed at over the maximum [1], 0.5 to 1.
        thickness_m: Compacted thickness [m], above 0.
        water_kg_m3: Density of water [kg/m3], 950 to 1000; 62.4 lb/ft3 unless given.

    Returns:
        Spread [kg/m2].

    Raises:
        OutOfRange: A value outside its range.

    Source: FDOT, Final Estimates and Asphalt Reports training slides, slide 7.

    Example:
        >>> round(target_from_density(2.5, 0.94, 0.05), 1)
        117.4
    """
    within("maximum_gravity", maximum_gravity, 1.5, 4.0)
    within("share_of_maximum", share_of_maximum, 0.5, 1.0)
    above_zero("thickness_m", thickness_m)
    within("water_kg_m3", water_kg_m3, 950.0, 1000.0)
    return maximum_gravity * water_kg_m3 * share_of_maximum * thickness_m


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
    from_zero("speed_m_s", speed_m_s)
    above_zero("width_m", width_m)
    above_zero("thickness_m", thickness_m)
    above_zero("density_kg_m3", density_kg_m3)
    return speed_m_s * width_m * thickness_m * density_kg_m3


@cited("(budget - placed) / area left", INDOT)
def rate_to_finish(budget_kg: float, placed_kg: float, remaining_area_m2: float) -> float:
    """Spread for the rest of the area that ends exactly on the budget.

    Equation: R = (B - m) / A

    Args:
        budget_kg: Mass there is for the whole [kg], not less than what is placed.
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
    from_zero("placed_kg", placed_kg)
    above_zero("remaining_area_m2", remaining_area_m2)
    if not placed_kg <= budget_kg < inf:
        raise OutOfRange("budget_kg", budget_kg, f"{placed_kg:g} kg of it is placed already")
    return (budget_kg - placed_kg) / remaining_area_m2
