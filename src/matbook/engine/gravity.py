"""Gravities of cores and mix: bulk, maximum, absorption, voids, and percent of maximum.

One density of water goes through a whole calculation: taking 62.4 lb/ft3 here and 62.245 there
moves a percentage by a quarter of a percent of itself. Every percentage is of something: of the
maximum, of the strip's target or of the laboratory's density, and says which.
"""

from collections.abc import Sequence
from math import fsum
from typing import Final

from matbook.engine.cited import cited
from matbook.engine.ranges import above_zero, within
from matbook.errors import OutOfRange

T166: Final = "AASHTO T 166, method A"
T209: Final = "AASHTO T 209, from memory"
T269: Final = "AASHTO T 269, from memory"
COATED: Final = "AASHTO T 275, from memory"
SEALED: Final = "AASHTO T 331, from memory"
D3549: Final = "ASTM D3549, from memory"

WATER_KG_M3: Final = 997.1
"""Water at 25 degC; a unit weight of 62.245 lb/ft3 (WAQTC, from memory)."""
ABSORPTION_MOST_PCT: Final = 2.0
"""Absorption above which T 166 gives way to T 275 or T 331 (WAQTC FOP for T 166)."""
HEAVIEST_G: Final = 100_000.0
LEAST_READINGS: Final = 4


@cited("dry mass / (saturated surface-dry mass - mass in water)", T166)
def bulk_gravity(dry_g: float, ssd_g: float, water_g: float) -> float:
    """Bulk specific gravity of a core, weighed dry, in water, and saturated with a dry surface.

    It holds as long as `ssd_method_holds`. Results are given to 0.001.

    Equation: Gmb = A / (B - C)

    Args:
        dry_g: Dry, in air [g], above 0, to 100,000.
        ssd_g: Saturated surface-dry, in air [g], from the dry mass on.
        water_g: In water [g], from 0, below both.

    Returns:
        Specific gravity [1].

    Raises:
        OutOfRange: Masses that no core can have: heavier in water than in air, lighter wet than
            dry, or a gravity that isn't 1 to 4.

    Source: AASHTO T 166, method A.

    Example:
        >>> round(bulk_gravity(4833.6, 4842.4, 2881.3), 3)
        2.465
    """
    return _gravity(dry_g, _volume(dry_g, ssd_g, water_g))


@cited("water taken up / volume of the core", T166)
def absorption_pct(dry_g: float, ssd_g: float, water_g: float) -> float:
    """Water that a core takes up, in percent of its volume.

    Equation: absorption = 100 (B - A) / (B - C)

    Args:
        dry_g: Dry, in air [g], above 0, to 100,000.
        ssd_g: Saturated surface-dry, in air [g], from the dry mass on.
        water_g: In water [g], from 0, below both.

    Returns:
        Percent of volume [%].

    Raises:
        OutOfRange: Masses that no core can have.

    Source: AASHTO T 166, method A.

    Example:
        >>> round(absorption_pct(4833.6, 4842.4, 2881.3), 2)
        0.45
    """
    volume = _volume(dry_g, ssd_g, water_g)
    _gravity(dry_g, volume)
    return 100.0 * (ssd_g - dry_g) / volume


def ssd_method_holds(
    absorption_pct: float, most_pct: float = ABSORPTION_MOST_PCT, open_voids: bool = False
) -> bool:
    """Whether T 166 holds for a core, or T 275 or T 331 must be used.

    Args:
        absorption_pct: Water taken up [%], 0 to 100.
        most_pct: The most that is allowed [%], 0 to 100.
        open_voids: Whether voids are open to the surface, or join each other.

    Returns:
        Whether it holds.

    Raises:
        OutOfRange: A percentage outside its range.

    Source: WAQTC FOP for AASHTO T 166; Texas Tex-207-F.

    Example:
        >>> ssd_method_holds(1.87), ssd_method_holds(2.01), ssd_method_holds(0.5, open_voids=True)
        (True, False, False)
    """
    within("absorption_pct", absorption_pct, 0.0, 100.0)
    within("most_pct", most_pct, 0.0, 100.0)
    return absorption_pct <= most_pct and not open_voids


@cited("dry mass / (volume of the coated core - volume of the coating)", COATED)
def coated_gravity(
    dry_g: float, coated_g: float, coated_water_g: float, coating_gravity: float
) -> float:
    """Bulk specific gravity of a core coated with paraffin or the like.

    Equation: Gmb = A / (D - E - (D - A) / F)

    Args:
        dry_g: Dry, in air [g], above 0, to 100,000.
        coated_g: Coated, in air [g], from the dry mass on.
        coated_water_g: Coated, in water [g], from 0.
        coating_gravity: Specific gravity of the coating [1], 0.5 to 2.

    Returns:
        Specific gravity [1].

    Raises:
        OutOfRange: Masses that no core can have, or a coating outside its range.

    Source: AASHTO T 275, from memory.

    Example:
        >>> round(coated_gravity(1500.0, 1540.0, 815.0, 0.9), 3)
        2.204
    """
    within("coating_gravity", coating_gravity, 0.5, 2.0)
    weighed = _volume(dry_g, coated_g, coated_water_g, "coated_g", "coated_water_g")
    volume = weighed - (coated_g - dry_g) / coating_gravity
    return _gravity(dry_g, volume)


@cited("dry mass / (volume of the sealed core - volume of the bag)", SEALED)
def sealed_gravity(
    dry_g: float, sealed_g: float, after_g: float, sealed_water_g: float, bag_gravity: float
) -> float:
    """Bulk specific gravity of a core sealed in a bag.

    Equation: Gmb = A / (C + (B - A) - E - (B - A) / F)

    Args:
        dry_g: Dry, in air, before [g], above 0, to 100,000.
        sealed_g: Sealed, in air [g], from the dry mass on.
        after_g: Taken out of the bag, after [g]; more than a few grams above dry is a leak.
        sealed_water_g: Sealed, in water [g], from 0.
        bag_gravity: Specific gravity of the bag [1], 0.5 to 2.

    Returns:
        Specific gravity [1].

    Raises:
        OutOfRange: Masses that no core can have, or a bag outside its range.

    Source: AASHTO T 331, from memory.

    Example:
        >>> round(sealed_gravity(1500.0, 1550.0, 1500.4, 850.0, 0.9), 3)
        2.326
    """
    within("bag_gravity", bag_gravity, 0.5, 2.0)
    within("after_g", after_g, 0.0, HEAVIEST_G)
    _volume(dry_g, sealed_g, sealed_water_g, "sealed_g", "sealed_water_g")
    bag_g = sealed_g - dry_g
    return _gravity(dry_g, after_g + bag_g - sealed_water_g - bag_g / bag_gravity)


@cited("dry mass / (dry mass + vessel - vessel with mix)", T209)
def maximum_gravity(dry_g: float, vessel_g: float, with_mix_g: float) -> float:
    """Maximum specific gravity of loose mix, its air drawn out, by bowl or by flask.

    Equation: Gmm = A / (A + B - C)

    Args:
        dry_g: Dry mix, in air [g], above 0, to 100,000.
        vessel_g: Bowl hanging in water, or flask full of water [g], from 0.
        with_mix_g: The same with the mix in it [g].

    Returns:
        Specific gravity [1].

    Raises:
        OutOfRange: Masses that no mix can have, or a gravity that isn't 1 to 4.

    Source: AASHTO T 209, bowl and flask, from memory.

    Example:
        >>> round(maximum_gravity(1432.7, 286.3, 1134.9), 3)
        2.453
    """
    _mass("dry_g", dry_g)
    within("vessel_g", vessel_g, 0.0, HEAVIEST_G)
    if not vessel_g < with_mix_g <= HEAVIEST_G:
        raise OutOfRange("with_mix_g", with_mix_g, f"it must be more than the vessel, {vessel_g:g}")
    return _gravity(dry_g, dry_g + vessel_g - with_mix_g)


@cited("bulk gravity / maximum gravity", T269)
def percent_of_maximum(bulk: float, maximum: float) -> float:
    """Density in percent of the maximum; both as gravities, or both as densities.

    Equation: % = 100 Gmb / Gmm

    Args:
        bulk: Of the core or the mat, above 0.
        maximum: Of the same mix without air, above 0: that lot's own, once it is in.

    Returns:
        Percent of maximum [%].

    Raises:
        OutOfRange: A value that isn't above 0, or more than 105 % of the maximum, which no mat has.

    Source: AASHTO T 269, from memory.

    Example:
        >>> round(percent_of_maximum(2.342, 2.493), 1)
        93.9
    """
    above_zero("bulk", bulk)
    above_zero("maximum", maximum)
    found = 100.0 * bulk / maximum
    if not 40.0 <= found <= 105.0:
        raise OutOfRange("bulk", bulk, f"beside a maximum of {maximum:g} it must be 40 to 105 %")
    return found


@cited("1 - bulk gravity / maximum gravity", T269)
def air_voids_pct(bulk: float, maximum: float) -> float:
    """Air voids: what is missing to the maximum.

    Equation: Va = 100 (1 - Gmb / Gmm)

    Args:
        bulk: Of the core or the mat, above 0.
        maximum: Of the same mix without air, in the same unit, above 0.

    Returns:
        Percent of volume [%]; below 0 is more than the maximum, and asks for a look at both.

    Raises:
        OutOfRange: A value that isn't above 0, or more than 105 % of the maximum.

    Source: AASHTO T 269, from memory.

    Example:
        >>> round(air_voids_pct(2.342, 2.493), 1)
        6.1
    """
    return 100.0 - percent_of_maximum(bulk, maximum)


@cited("specific gravity x density of water", "definition")
def density_of(gravity: float, water_kg_m3: float = WATER_KG_M3) -> float:
    """Density from a specific gravity, by the one density of water of the whole calculation.

    Equation: d = G w

    Args:
        gravity: Specific gravity [1], 1 to 4.
        water_kg_m3: Density of water [kg/m3], 950 to 1001.

    Returns:
        Density [kg/m3].

    Raises:
        OutOfRange: A value outside its range.

    Source: definition; water at 25 degC: WAQTC, from memory.

    Example:
        >>> round(density_of(2.466), 1)
        2458.8
    """
    within("gravity", gravity, 1.0, 4.0)
    within("water_kg_m3", water_kg_m3, 950.0, 1001.0)
    return gravity * water_kg_m3


@cited("mean of the readings around the core", D3549)
def core_thickness(readings_m: Sequence[float]) -> float:
    """Thickness of a core, from readings spread around it.

    Equation: t = mean

    Args:
        readings_m: Four readings or more [m], 0.001 to 1 each.

    Returns:
        Thickness [m].

    Raises:
        OutOfRange: Fewer than four readings, or one outside its range.

    Source: ASTM D3549, from memory.

    Example:
        >>> round(core_thickness([0.049, 0.051, 0.050, 0.052]), 4)
        0.0505
    """
    if len(readings_m) < LEAST_READINGS:
        raise OutOfRange("readings_m", f"{len(readings_m)} readings", "it takes four or more")
    for reading in readings_m:
        within("readings_m", reading, 0.001, 1.0)
    return fsum(readings_m) / len(readings_m)


def _mass(name: str, mass_g: float) -> None:
    if not 0.0 < mass_g <= HEAVIEST_G:
        raise OutOfRange(name, mass_g, f"it must be above 0, to {HEAVIEST_G:g}")


def _volume(
    dry_g: float, wet_g: float, water_g: float, wet: str = "ssd_g", water: str = "water_g"
) -> float:
    """Volume in grams of water, of masses that a core can have."""
    _mass("dry_g", dry_g)
    _mass(water, water_g)
    if not dry_g <= wet_g <= HEAVIEST_G:
        raise OutOfRange(wet, wet_g, f"soaked or wrapped it can't be lighter than dry, {dry_g:g}")
    if not water_g < dry_g:
        raise OutOfRange(water, water_g, f"a core is lighter in water than dry in air, {dry_g:g}")
    return wet_g - water_g


def _gravity(dry_g: float, volume: float) -> float:
    if not dry_g / 4.0 <= volume <= dry_g:
        found = f"{dry_g / volume:.3f}" if volume > 0.0 else "none"
        raise OutOfRange("gravity", found, "asphalt has 1 to 4: look at the masses again")
    return dry_g / volume
