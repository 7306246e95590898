"""What water and ice take from a mat, and what is lost before the screed.

Water under or on a fresh mat boils off, and takes that heat from the mix. A damp base is a drop of
the lift's mean temperature at the start; roller water is a flux at the surface while it is applied;
ice in the base is a colder start of the layer it is in. All are known poorly: warn, and read a
probe. The heats themselves are in `moisture`.
"""

from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from matbook.engine.cited import cited
from matbook.engine.layers import Layer
from matbook.engine.moisture import MELTING_J_KG, WATER_KG_M3, boiling_heat, thawing_heat
from matbook.engine.ranges import picked, within
from matbook.errors import OutOfRange

BOILING_C: Final = 100.0
WATER_ON: Final[Mapping[str, tuple[float, bool, str]]] = {
    # state of a base -> water on it [kg/m2], whether it is ice, and where that comes from
    "dry": (0.0, False, "definition"),
    "damp": (0.1, False, "common practice, no published source: damp without a shine"),
    "wet": (0.5, False, "common practice, no published source: it shines, nothing stands"),
    "frozen": (0.1, True, "assumed: frost or a film of ice"),
}
"""What a base holds on its surface by the word for its state."""


@cited("heat taken / (density x heat x thickness)", "definition")
def mean_drop_k(taken_j_m2: float, lift: Layer) -> float:
    """By how much a lift's mean temperature falls when heat is taken from it [K].

    Equation: drop = q / (rho c L)

    Args:
        taken_j_m2: Heat taken [J/m2], 0 to 2e7.
        lift: The lift.

    Returns:
        The drop.

    Raises:
        OutOfRange: A value outside its range.

    Source: definition.

    Example:
        >>> lift = Layer(0.050, 1.21, 2243.0, 921.0, 150.0)
        >>> round(mean_drop_k(261_000.0, lift), 1)
        2.5
    """
    within("taken_j_m2", taken_j_m2, 0.0, 2.0e7)
    return taken_j_m2 / (lift.heat_j_m3k * lift.thickness_m)


def on_damp_base(lift: Layer, water_kg_m2: float, water_c: float = 15.0) -> Layer:
    """A lift laid on a damp base: it starts colder by what the water takes to boil off.

    The water takes its heat from the underside within the first minute or so; for the mean, which
    is what counts, that is the same. Water that drains off or stays takes less: an upper bound.

    Args:
        lift: The lift as it left the screed.
        water_kg_m2: Water on the base [kg/m2], 0 to 5; damp without a shine is about 0.1.
        water_c: Its temperature [°C], 0 to 100.

    Returns:
        The lift with its start lowered.

    Raises:
        OutOfRange: A value outside its range; more water than the lift can boil.

    Source: definition; how much water a damp base holds is common practice, no published source.

    Example:
        >>> lift = Layer(0.050, 1.21, 2243.0, 921.0, 150.0)
        >>> round(on_damp_base(lift, 0.5).hottest_c, 1)
        137.4
    """
    within("water_kg_m2", water_kg_m2, 0.0, 5.0)
    drop = mean_drop_k(boiling_heat(water_kg_m2 / WATER_KG_M3, water_c), lift)
    if lift.hottest_c - drop < BOILING_C:
        allowed = f"less: the lift can't boil it off and stay above {BOILING_C:g} °C"
        raise OutOfRange("water_kg_m2", water_kg_m2, allowed)
    return _colder(lift, drop)


@cited(
    "temperature laid - heat to boil off the water on the base / heat of the lift",
    "steam tables (from memory); how much water, see WATER_ON",
)
def on_base_c(laid_c: float, lift: Layer, state: str) -> float:
    """What a lift cools from on a base as somebody saw it: colder by what the water takes.

    An upper bound, as `on_damp_base`; but water takes nothing to boil from a mat at 100 °C.

    Equation: T = max(T_laid - w (c (100 - 15) + L) / (rho c L), 100), never above T_laid

    Args:
        laid_c: Temperature behind the screed [°C], -60 to 260.
        lift: The lift; its own temperature plays no part.
        state: dry, damp, wet or frozen, as in `WATER_ON`.

    Returns:
        The temperature that it starts from.

    Raises:
        OutOfRange: A temperature outside its range.
        Refused: No such state.

    Source: steam tables (from memory).

    Example:
        >>> lift = Layer(0.050, 1.21, 2243.0, 921.0, 150.0)
        >>> [round(on_base_c(150.0, lift, state), 1) for state in WATER_ON]
        [150.0, 147.5, 137.4, 147.1]
    """
    within("laid_c", laid_c, -60.0, 260.0)
    water, ice, _ = picked("state", state, WATER_ON)
    taken = boiling_heat(water / WATER_KG_M3) + (water * MELTING_J_KG if ice else 0.0)
    return min(laid_c, max(BOILING_C, laid_c - mean_drop_k(taken, lift)))


@cited("- water x (heat to 100 °C + heat to boil) / time", "steam tables (from memory)")
def roller_water_w_m2(water_kg_m2: float, passes: int, time_s: float) -> float:
    """What rollers' water adds to the heat absorbed at the surface while they roll: it is negative.

    To be added to `absorbed_w_m2` of the surroundings for that time. Water that runs off, or that
    lies on a surface below 100 °C and dries slowly, takes less: an upper bound.

    Equation: absorbed = -n w (2.257e6 + 4186 (100 - 15)) / t

    Args:
        water_kg_m2: Water over area in one pass [kg/m2], 0 to 0.5; a light spray is about 0.02.
        passes: Passes in that time, 0 to 60.
        time_s: The time [s], 1 to 36000.

    Returns:
        The heat absorbed [W/m2], 0 or less.

    Raises:
        OutOfRange: A value outside its range.

    Source: steam tables (from memory); a roller's water is common practice, no published source.

    Example:
        >>> round(roller_water_w_m2(0.02, 6, 600.0))
        -523
    """
    within("water_kg_m2", water_kg_m2, 0.0, 0.5)
    within("passes", passes, 0, 60)
    within("time_s", time_s, 1.0, 36_000.0)
    return -passes * boiling_heat(water_kg_m2 / WATER_KG_M3) / time_s


def frozen(layer: Layer, moisture: float) -> Layer:
    """A frozen layer below a lift: colder at the start by what its ice takes to thaw.

    Only the part that thaws takes that heat, so that this errs to the early side.

    Args:
        layer: The layer, at 0 °C or below, with its dry density.
        moisture: Mass of water over mass of dry stone [1], 0 to 0.15.

    Returns:
        The layer with its start lowered.

    Raises:
        OutOfRange: A value outside its range; a layer that isn't frozen.

    Source: definition; see `moisture.thawing_heat`.

    Example:
        >>> base = Layer(1.0, 2.74, 1900.0, 840.0, -1.0)
        >>> round(frozen(base, 0.06).hottest_c, 1)
        -24.9
    """
    within("moisture", moisture, 0.0, 0.15)
    if layer.hottest_c > 0.0:
        raise OutOfRange("start_c", layer.hottest_c, "0 °C or below: it isn't frozen")
    return _colder(layer, thawing_heat(moisture, layer.density_kg_m3) / layer.heat_j_m3k)


@cited("temperature in the truck - loss on the way", "definition")
def behind_screed_c(truck_c: float, loss_k: float) -> float:
    """Temperature behind the screed: what was read in the truck, less what is lost on the way.

    The loss through hopper, transfer vehicle and augers is an input: read both ends on the day.

    Equation: T = T_truck - loss

    Args:
        truck_c: Temperature read in the truck [°C], 60 to 220.
        loss_k: Loss between truck and screed [K], 0 to 40.

    Returns:
        The temperature behind the screed.

    Raises:
        OutOfRange: A value outside its range.

    Source: definition.

    Example:
        >>> behind_screed_c(158.0, 6.0)
        152.0
    """
    within("truck_c", truck_c, 60.0, 220.0)
    within("loss_k", loss_k, 0.0, 40.0)
    return truck_c - loss_k


def _colder(layer: Layer, drop_k: float) -> Layer:
    return replace(layer, start_c=tuple((depth, temp - drop_k) for depth, temp in layer.profile))
