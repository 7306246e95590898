"""Rates piece by piece: each load's own, the mean of the last few, all so far, and their range."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from math import fsum, hypot, sqrt
from typing import Final

from matbook.engine.cited import cited
from matbook.engine.ranges import above_zero, from_zero
from matbook.errors import OutOfRange

FIVE: Final = "FDOT Section 330-2.2, by Final Estimates and Asphalt Reports training slides"
GUM: Final = "JCGM 100:2008 (GUM), 4.3.7, 5.1.2 and 6.3, for independent inputs; from memory"
HELD: Final = 1.96 / sqrt(12.0)
"""95 % half-width of what lies evenly between nothing and one, as it combines with others: its
standard uncertainty 1 / sqrt(12) by 4.3.7, expanded by 1.96. Half of the width itself, 0.5, would
cover but 91 % of the sum of two."""


@cited("middle of what may be laid / area, +- stations and mix not laid, root sum of squares", GUM)
def spread_range(
    mass_kg: float,
    area_m2: float,
    length_m: float,
    station_error_m: float,
    unlaid_start_kg: float = 0.0,
    unlaid_end_kg: float = 0.0,
) -> tuple[float, float]:
    """95 % range of a spread: how well stations were read, and mix not laid yet at both ends.

    Stations misread by e at both ends change the area by sqrt(2) e / L of itself; that is good
    while e is well below L. Mix in hopper, augers or transfer vehicle at the end is on the tickets
    but not laid; what was in them at the start was laid on top of the tickets. Each may be anything
    from nothing to what they can hold. From full to full the two cancel but for the range. From
    empty to full they don't: less was laid than was ticketed, so the range reaches down, and the
    rate by the tickets lies in its upper part.

    Equation: (m + (u0 - u1) / 2 +- sqrt(2 (m e / L)^2 + k^2 (u0^2 + u1^2))) / A, with
    k = 1.96 / sqrt(12)

    Args:
        mass_kg: Mass on the tickets [kg], above 0.
        area_m2: Area [m2], above 0.
        length_m: Length of it along the road [m], above 0.
        station_error_m: Half-width of the 95 % range of one station as read [m], from 0.
        unlaid_start_kg: Most that the paver may have held at the start [kg], from 0.
        unlaid_end_kg: Most that the paver may hold at the end [kg], from 0.

    Returns:
        Low and high end [kg/m2]; low is never below 0. The rate by the tickets lies between.

    Raises:
        OutOfRange: A value outside its range.

    Source: JCGM 100:2008 (GUM), 4.3.7, 5.1.2 and 6.3, from memory.

    Example:
        >>> low, high = spread_range(22_400.0, 190.0, 52.05, 0.5)
        >>> round(low, 1), round(high, 1)
        (116.3, 119.5)
    """
    for name, value in (("mass_kg", mass_kg), ("area_m2", area_m2), ("length_m", length_m)):
        above_zero(name, value)
    from_zero("station_error_m", station_error_m)
    from_zero("unlaid_start_kg", unlaid_start_kg)
    from_zero("unlaid_end_kg", unlaid_end_kg)
    station_kg = mass_kg * station_error_m / length_m
    middle_kg = mass_kg + (unlaid_start_kg - unlaid_end_kg) / 2
    half_kg = hypot(station_kg, station_kg, HELD * unlaid_start_kg, HELD * unlaid_end_kg)
    return max(0.0, middle_kg - half_kg) / area_m2, (middle_kg + half_kg) / area_m2


@dataclass(frozen=True, slots=True)
class Laid:
    """One piece of mat: its mass, area and length, and the run that it belongs to.

    `run` changes with lane, lift, mix or paver, and after a skip: windows begin again there.
    """

    mass_kg: float
    area_m2: float
    run: object = 0
    length_m: float = 0.0
    """Along the road; only a range needs it."""


@dataclass(frozen=True, slots=True)
class Running:
    """Rates up to and with one piece [kg/m2]."""

    own: float
    last: float | None
    """Over the last pieces of the run; None until the run has that many."""
    cumulative: float
    mass_kg: float
    area_m2: float
    low: float | None = None
    """95 % range of `last`; None without one, and where no station error is given."""
    high: float | None = None


@cited("mass over area: of each piece, of the last few, and of all so far", FIVE)
def running(
    loads: Sequence[Laid],
    last: int = 5,
    station_error_m: float | None = None,
    unlaid_start_kg: float = 0.0,
    unlaid_end_kg: float = 0.0,
) -> list[Running]:
    """Running yield: each piece's own rate, the mean of the last few, and all so far.

    A single load can sit several percent off only because its end station was misread; the mean of
    five removes most of that. The mean is mass over area of the five, not the mean of five rates.

    Args:
        loads: Pieces in the order they were laid.
        last: How many make a window [1], from 1.
        station_error_m: As for `spread_range` [m], from 0; None for no ranges.
        unlaid_start_kg: Most that the paver may have held where a window starts [kg], from 0.
        unlaid_end_kg: Most that the paver may hold where a window ends [kg], from 0.

    Returns:
        One result for each piece.

    Raises:
        OutOfRange: A piece without area, a window below 1, or a range asked of a window that has
            no mass or no length.

    Source: FDOT Section 330-2.2 by its training slides: mean of five loads.

    Example:
        >>> [r.last for r in running([Laid(200.0, 2.0), Laid(210.0, 2.0)], last=2)]
        [None, 102.5]
    """
    if not last >= 1:
        raise OutOfRange("last", last, "it must be 1 or more")
    for piece in loads:
        from_zero("mass_kg", piece.mass_kg)
        above_zero("area_m2", piece.area_m2)
    masses = list(_totals(piece.mass_kg for piece in loads))
    areas = list(_totals(piece.area_m2 for piece in loads))
    found, start = [], 0
    for place, piece in enumerate(loads):
        if piece.run != loads[start].run:
            start = place
        window = loads[place + 1 - last : place + 1] if place + 1 - start >= last else ()
        mass, whole = fsum(p.mass_kg for p in window), fsum(p.area_m2 for p in window)
        low, high = None, None
        if window and station_error_m is not None:
            length = fsum(p.length_m for p in window)
            low, high = spread_range(
                mass, whole, length, station_error_m, unlaid_start_kg, unlaid_end_kg
            )
        found.append(
            Running(
                own=piece.mass_kg / piece.area_m2,
                last=mass / whole if window else None,
                cumulative=masses[place] / areas[place],
                mass_kg=masses[place],
                area_m2=areas[place],
                low=low,
                high=high,
            )
        )
    return found


def _totals(values: Iterable[float]) -> Iterator[float]:
    """Totals so far, as `fsum` would give them: what rounding took off is carried along."""
    total = lost = 0.0
    for value in values:
        parts = (total, lost, value)
        total = fsum(parts)
        lost = fsum((*parts, -total))
        yield total
