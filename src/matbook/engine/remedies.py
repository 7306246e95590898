"""What would keep the paver moving: a slower pace, or more trucks.

The same futures are asked about each pace and each number of trucks, so what differs between the
answers is the pace, not chance.
"""

from collections.abc import Callable, Sequence
from dataclasses import replace
from typing import Final, NamedTuple

from matbook.engine.cited import cited
from matbook.engine.fleet import Truck
from matbook.engine.hauling import Haul
from matbook.engine.outlook import PLAYED, Outlook, forecast_if
from matbook.engine.ranges import up_to

TRIED: Final = 300
"""Futures for each pace or number of trucks that is tried."""
SLOWEST: Final = 15
"""Steps of 5 % down to the slowest pace that is tried: a quarter."""
MOST_MORE: Final = 12


class Remedy(NamedTuple):
    """What would keep the paver moving, and the outlook with it."""

    amount: float
    """Share of the present pace, or how many trucks more."""
    outlook: Outlook


@cited("the fastest of 5 % steps of the pace with which the chance of a stop is small", PLAYED)
def steady_pace(
    haul: Haul,
    trucks: Sequence[Truck],
    ahead_s: float = 3600.0,
    hopper_s: float = 0.0,
    allowed: float = 0.1,
    futures: int = TRIED,
    seed: str = "",
    begin: float = 1.0,
) -> Remedy | None:
    """The pace that would keep the paver moving, as a share of the present one.

    Args:
        haul: The haul at the present pace.
        trucks: Where each truck is now.
        ahead_s: How far to look [s], above 0, to 43,200.
        hopper_s: With no truck laying: how long the paver can move on what it has [s], from 0.
        allowed: The chance of a stop in that time that is small enough [1], above 0 to 1.
        futures: Futures for each that is tried [1], 50 to 100,000.
        seed: As for `forecast`.
        begin: The share that is tried first [1], above 0 to 1: near the answer it is found sooner.

    Returns:
        The share [1], from 1 down to 0.25, and the outlook with it; None where none is slow enough.

    Raises:
        OutOfRange: A value outside its range.
        Refused: Two trucks laying at once.

    Source: own method; the same futures for each pace.

    Example:
        >>> from matbook.engine.rhythm import Rhythm
        >>> haul = Haul(Rhythm(0.0), Rhythm(1500.0), Rhythm(400.0), Rhythm(1400.0))
        >>> trucks = [Truck("laying", 100.0), *(Truck("out", 400.0 * n) for n in range(3))]
        >>> found = steady_pace(haul, trucks, 1800.0)
        >>> found and found.amount
        0.4
    """
    up_to("begin", begin, 1.0)

    def at(step: int) -> Remedy | None:
        share = 1.0 - step / 20.0
        slower = replace(haul, laying=haul.laying.slowed(1.0 / share), spare_s=haul.spare_s / share)
        there = [
            replace(truck, for_s=truck.for_s / share) if truck.place == "laying" else truck
            for truck in trucks
        ]
        seen = forecast_if(allowed, slower, there, ahead_s, hopper_s / share, futures, seed)
        return None if seen is None else Remedy(share, seen)

    return _least(at, SLOWEST, min(SLOWEST, int(20.0 * (1.0 - begin))))


@cited("the fewest more trucks at the plant with which the chance of a stop is small", PLAYED)
def trucks_to_add(
    haul: Haul,
    trucks: Sequence[Truck],
    ahead_s: float = 3600.0,
    hopper_s: float = 0.0,
    allowed: float = 0.1,
    futures: int = TRIED,
    seed: str = "",
) -> Remedy | None:
    """How many trucks more, at the plant now, would keep the paver moving.

    They take time to get there: for a stop that is near, no truck is soon enough.

    Args:
        haul: The haul at the present pace.
        trucks: Where each truck is now.
        ahead_s: How far to look [s], above 0, to 43,200.
        hopper_s: With no truck laying: how long the paver can move on what it has [s], from 0.
        allowed: The chance of a stop in that time that is small enough [1], above 0 to 1.
        futures: Futures for each that is tried [1], 50 to 100,000.
        seed: As for `forecast`.

    Returns:
        Their number [1], 0 to 12, and the outlook with them; None where no number is enough.

    Raises:
        OutOfRange: A value outside its range.
        Refused: Two trucks laying at once.

    Source: own method; the same futures for each number.

    Example:
        >>> from matbook.engine.rhythm import Rhythm
        >>> haul = Haul(Rhythm(200.0), Rhythm(600.0), Rhythm(400.0), Rhythm(600.0))
        >>> trucks = [Truck("laying", 0.0), Truck("waiting"), Truck("out"), Truck("out", 300.0)]
        >>> found = trucks_to_add(haul, trucks)
        >>> found and found.amount
        1
    """

    def with_more(count: int) -> Remedy | None:
        there = [*trucks, *[Truck("plant")] * count]
        seen = forecast_if(allowed, haul, there, ahead_s, hopper_s, futures, seed)
        return None if seen is None else Remedy(count, seen)

    return _least(with_more, MOST_MORE, 0)


def _least(tried: Callable[[int], Remedy | None], most: int, first: int) -> Remedy | None:
    """The first step, of those up to the most, that brings the chance of a stop down.

    From the first that is tried onwards, or back: one that is not enough is soon seen to be so.
    """
    found = tried(first)
    if found is None:
        steps = range(first + 1, most + 1)
        return next((remedy for step in steps if (remedy := tried(step))), None)
    for step in range(first - 1, -1, -1):
        remedy = tried(step)
        if remedy is None:
            break
        found = remedy
    return found
