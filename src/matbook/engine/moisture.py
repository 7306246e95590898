"""Water under a mat: what a damp or frozen base takes from its heat."""

from typing import Final

from matbook.engine.cited import cited
from matbook.engine.ranges import above_zero, within

STEAM: Final = "properties of water, steam tables, from memory"

WATER_KG_M3: Final = 1000.0
WATER_HEAT_J_KGK: Final = 4186.0
BOILING_J_KG: Final = 2.257e6
"""Latent heat at 100 degC and one atmosphere."""
MELTING_J_KG: Final = 3.34e5


@cited("mass of water x (heat to 100 °C + heat to boil off)", STEAM)
def boiling_heat(water_m: float, water_c: float = 15.0) -> float:
    """Heat that a film of water takes from the mat above it until it has boiled off.

    Equation: q = rho d (c (100 - T) + L)

    Args:
        water_m: Depth of the film [m], 0 to 0.01.
        water_c: Its temperature [degC], 0 to 100.

    Returns:
        Heat over area [J/m2].

    Raises:
        OutOfRange: A value outside its range.

    Source: properties of water, steam tables, from memory.

    Example:
        >>> round(boiling_heat(0.0001) / 1000)
        261
    """
    within("water_m", water_m, 0.0, 0.01)
    within("water_c", water_c, 0.0, 100.0)
    return WATER_KG_M3 * water_m * (WATER_HEAT_J_KGK * (100.0 - water_c) + BOILING_J_KG)


@cited("moisture x dry density x heat of melting", STEAM)
def thawing_heat(moisture: float, dry_density_kg_m3: float) -> float:
    """Heat that a frozen base takes to thaw, all its moisture being ice at 0 °C.

    Equation: q = w rho_d L_f

    Args:
        moisture: Mass of water over mass of dry soil [1], 0 to 0.5.
        dry_density_kg_m3: Dry density of the base [kg/m3], above 0.

    Returns:
        Heat over volume [J/m3].

    Raises:
        OutOfRange: A value outside its range.

    Source: properties of water, steam tables, from memory.

    Example:
        >>> round(thawing_heat(0.06, 1900.0) / 1e6, 1)
        38.1
    """
    within("moisture", moisture, 0.0, 0.5)
    above_zero("dry_density_kg_m3", dry_density_kg_m3)
    return moisture * dry_density_kg_m3 * MELTING_J_KG
