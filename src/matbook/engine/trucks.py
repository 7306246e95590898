"""Trucks and pace on paper: how many trucks, how fast the paver, and what stop-and-go costs."""

from dataclasses import dataclass
from math import ceil, floor
from typing import Final

from matbook.engine.cited import cited
from matbook.engine.ranges import above_zero, from_zero, within
from matbook.errors import OutOfRange

NAPA: Final = "NAPA, asphalt pavement handbook (online), section 6.2"
NAVY: Final = "US Navy NAVEDTRA 14080, Assignment 6, q. 6-43 and p. 8-33"
FORM: Final = "mix delivery production calculation form (a trade form, read)"
ARMY: Final = "US Army EN5459, hauling distance; formula derived, its figures are lost on the page"
HAIR: Final = 1e-9
"""A cycle that so many trucks just fill doesn't need another."""


@cited("ceil(rate x cycle / load)", NAPA)
def trucks_needed(rate_kg_s: float, cycle_s: float, load_kg: float) -> int:
    """Trucks that carry a rate of production; always rounded up.

    Equation: N = ceil(Q C / T)

    Args:
        rate_kg_s: Mix in a second [kg/s], above 0.
        cycle_s: One round of a truck, with all its waiting [s], above 0.
        load_kg: One load [kg], above 0.

    Returns:
        Number of trucks.

    Raises:
        OutOfRange: A value outside its range.

    Source: NAPA, asphalt pavement handbook (online), section 6.2: 13.1 means 14.

    Example:
        >>> trucks_needed(250 * 907.18474 / 3600, 85 * 60.0, 20 * 907.18474)
        18
    """
    above_zero("rate_kg_s", rate_kg_s)
    above_zero("cycle_s", cycle_s)
    above_zero("load_kg", load_kg)
    return max(1, ceil(rate_kg_s * cycle_s / load_kg - HAIR))


@cited("trips / whole trips of a truck in the time, both rounded", FORM)
def trucks_for_shift(mass_kg: float, shift_s: float, cycle_s: float, load_kg: float) -> int:
    """Trucks that bring a mass within a shift, when each makes whole rounds only.

    Equation: N = ceil(ceil(M / T) / floor(H / C))

    Args:
        mass_kg: Mix for the shift [kg], above 0.
        shift_s: Time for it [s], above 0, at least one round.
        cycle_s: One round of a truck [s], above 0.
        load_kg: One load [kg], above 0.

    Returns:
        Number of trucks.

    Raises:
        OutOfRange: A value outside its range.

    Source: mix delivery production calculation form (a trade form, read).

    Example:
        >>> trucks_for_shift(2200 * 907.18474, 36_000.0, 85 * 60.0, 20 * 907.18474)
        16
    """
    above_zero("mass_kg", mass_kg)
    above_zero("cycle_s", cycle_s)
    above_zero("load_kg", load_kg)
    above_zero("shift_s", shift_s)
    rounds = floor(shift_s / cycle_s + HAIR)
    if rounds < 1:
        raise OutOfRange("shift_s", shift_s, f"one round alone takes {cycle_s:g} s")
    return ceil(ceil(mass_kg / load_kg - HAIR) / rounds)


@cited("plant's rate + stock / shift", NAPA)
def rate_with_stock(rate_kg_s: float, stock_kg: float, shift_s: float) -> float:
    """Rate at which trucks can be loaded when a silo's stock is used up over the shift.

    Equation: Q = P + S / H

    Args:
        rate_kg_s: What the plant makes [kg/s], from 0.
        stock_kg: Mix in the silo at the start [kg], from 0.
        shift_s: Length of the shift [s], above 0.

    Returns:
        Rate [kg/s].

    Raises:
        OutOfRange: A value outside its range.

    Source: NAPA, asphalt pavement handbook (online), section 6.2.

    Example:
        >>> round(rate_with_stock(0.0, 250_000.0, 36_000.0), 3)
        6.944
    """
    from_zero("rate_kg_s", rate_kg_s)
    from_zero("stock_kg", stock_kg)
    above_zero("shift_s", shift_s)
    return rate_kg_s + stock_kg / shift_s


@cited("rate / (width x thickness x density)", NAVY)
def paver_speed(
    rate_kg_s: float, width_m: float, thickness_m: float, density_kg_m3: float
) -> float:
    """Pace at which the paver uses up just what is delivered, on average.

    While it moves a paver that also stands is as much faster.

    Equation: v = Q / (w t rho)

    Args:
        rate_kg_s: Mix delivered in a second [kg/s], from 0.
        width_m: Width [m], above 0.
        thickness_m: Compacted thickness [m], above 0.
        density_kg_m3: Compacted density [kg/m3], above 0.

    Returns:
        Speed [m/s].

    Raises:
        OutOfRange: A value outside its range.

    Source: US Navy NAVEDTRA 14080, Assignment 6, q. 6-43 and p. 8-33.

    Example:
        >>> round(60 * paver_speed(200_000.0 / 3600, 3.75, 0.05, 2350.0), 2)
        7.57
    """
    from_zero("rate_kg_s", rate_kg_s)
    above_zero("width_m", width_m)
    above_zero("thickness_m", thickness_m)
    above_zero("density_kg_m3", density_kg_m3)
    return rate_kg_s / (width_m * thickness_m * density_kg_m3)


@cited("trucks x truck's speed x load / (2 x rate)", ARMY)
def keeps_up_to(trucks: int, truck_m_s: float, load_kg: float, rate_kg_s: float) -> float:
    """How far from the plant so many trucks still carry the rate; beyond it the paver waits.

    Times that don't grow with the distance (loading, waiting) are left out, so it is the most.

    Equation: d1 = N S D / (2 M)

    Args:
        trucks: Trucks [1], from 1 to 2,000.
        truck_m_s: Their mean speed, loaded and empty [m/s], above 0.
        load_kg: One load [kg], above 0.
        rate_kg_s: What the paver would lay [kg/s], above 0.

    Returns:
        Distance [m].

    Raises:
        OutOfRange: A value outside its range.

    Source: US Army EN5459, hauling distance; formula derived, its figures are lost on the page.

    Example:
        >>> round(keeps_up_to(8, 10.0, 10_000.0, 40.0))
        10000
    """
    within("trucks", trucks, 1, 2_000)
    above_zero("truck_m_s", truck_m_s)
    above_zero("load_kg", load_kg)
    above_zero("rate_kg_s", rate_kg_s)
    return trucks * truck_m_s * load_kg / (2.0 * rate_kg_s)


@dataclass(frozen=True, slots=True)
class StopAndGo:
    """What a paver that goes and stands could do instead."""

    steady_m_s: float
    """Pace that never stands and gets as far."""
    standing_share: float
    """Share of the time that it stands."""
    stop_every_m: float
    """Length from one stop to the next: each is a cold place, and may be a bump."""


@cited("pace x moving / (moving + standing)", "definition")
def stop_and_go(pace_m_s: float, moving_s: float, standing_s: float) -> StopAndGo:
    """A paver that moves and stands in turns, and the steady pace that gets as far.

    Equation: v' = v m / (m + s); a stop every v m

    Args:
        pace_m_s: Pace while it moves [m/s], above 0.
        moving_s: How long it moves from one stop to the next [s], above 0.
        standing_s: How long it stands each time [s], from 0.

    Returns:
        The steady pace, the share of time it stands, and the length between stops.

    Raises:
        OutOfRange: A value outside its range.

    Source: definition.

    Example:
        >>> stop_and_go(0.1, 400.0, 100.0)
        StopAndGo(steady_m_s=0.08, standing_share=0.2, stop_every_m=40.0)
    """
    above_zero("pace_m_s", pace_m_s)
    above_zero("moving_s", moving_s)
    from_zero("standing_s", standing_s)
    whole = moving_s + standing_s
    return StopAndGo(pace_m_s * moving_s / whole, standing_s / whole, pace_m_s * moving_s)
