"""The haul before the shift: what so many trucks bring, and how long the paver would stand.

With all times alike nothing ever waits for chance; with times that scatter the same trucks bring
less; and on a road where they can't pass one another they come in bunches, and bring less again.
"""

from dataclasses import dataclass
from math import fsum
from typing import Final

from matbook.engine.cited import cited
from matbook.engine.fleet import Truck
from matbook.engine.hauling import Haul
from matbook.engine.outlook import PLAYED, forecast
from matbook.engine.ranges import from_zero, up_to, within
from matbook.engine.rhythm import Rhythm
from matbook.errors import OutOfRange

SCATTER: Final = 0.15
"""Standard deviation of a way or a load's laying over its mean: assumed before anything is seen."""
HEADWAY_S: Final = 30.0
"""How close a truck follows one that it can't pass: assumed."""
DAY_S: Final = 6 * 3600.0
FUTURES: Final = 60
BUNCHED: Final = 0.8
"""Share of trucks that can't pass on a busy two-lane road: assumed."""


@dataclass(frozen=True, slots=True)
class OnPaper:
    """What a number of trucks does to the paver."""

    trucks: int
    early: float
    """Share of the time that it stands for want of mix: in one day of ten it is less."""
    middle: float
    late: float
    """In one day of ten it is more."""
    waiting: float
    """Trucks that wait at the paver, on average."""


@cited("the day played out with so many trucks, from the first one docking", PLAYED)
def on_paper(
    trucks: int,
    cycle_s: float,
    laying_s: float,
    held_up: float = 0.0,
    scatter: float = SCATTER,
    spare_s: float = 0.0,
    futures: int = FUTURES,
) -> OnPaper:
    """How long the paver will stand for want of mix, by the number of trucks.

    Args:
        trucks: Trucks in the round [1], 1 to 200.
        cycle_s: One round: loading, both ways, laying one load; no waiting [s], above `laying_s`.
        laying_s: To lay one load at the pace [s], above 0.
        held_up: Share of trucks that can't pass the ones ahead [1], 0 to 1.
        scatter: Standard deviation of each leg over its mean [1], 0 to 1; 0.15 is assumed.
        spare_s: How long the paver can move on what its hopper holds [s], from 0.
        futures: How many days are played [1], 50 to 10,000.

    Returns:
        Share of the time that it stands with its range over days, and trucks waiting.

    Raises:
        OutOfRange: A value outside its range.

    Source: own method, event by event; its ends are those of the finite-source queue.

    Example:
        >>> few, enough = on_paper(4, 3600.0, 600.0), on_paper(8, 3600.0, 600.0)
        >>> few.middle > 0.25, enough.middle < 0.02
        (True, True)
    """
    within("trucks", trucks, 1, 200)
    up_to("laying_s", laying_s, 36_000.0)
    if not laying_s < cycle_s <= 86_400.0:
        raise OutOfRange("cycle_s", cycle_s, f"a round takes longer than laying, {laying_s:g} s")
    from_zero("spare_s", spare_s)
    within("scatter", scatter, 0.0, 1.0)
    within("futures", futures, 50, 10_000)
    away_s = cycle_s - laying_s
    loading_s = min(0.1 * away_s, 0.9 * laying_s)
    way_s = 0.5 * (away_s - loading_s)
    loading, out, laying = (Rhythm(leg, scatter * leg) for leg in (loading_s, way_s, laying_s))
    haul = Haul(loading, out, laying, out, spare_s=spare_s, headway_s=HEADWAY_S, held_up=held_up)
    seen = forecast(haul, [Truck("plant")] * trucks, DAY_S, 0.0, futures, "before")
    shares = sorted(
        fsum(to - since for since, to in one.stops[1:]) / (DAY_S - one.stops[0][1])
        for one in seen.futures
    )
    tenth = len(shares) // 10
    return OnPaper(
        trucks, shares[tenth], shares[len(shares) // 2], shares[-1 - tenth], seen.waiting.middle
    )
