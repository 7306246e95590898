"""One future of a haul, event by event: trucks go round between plant and paver.

At the plant trucks are loaded one after the other. On a two-lane road a truck that catches up with
one that it can't pass arrives close behind it, so trucks come in bunches. At the paver a truck
waits for its turn; the paver lays what is in hopper and truck, and the truck is free as soon as the
rest of its load fits in the hopper. When hopper and truck are empty the paver stands.
"""

from collections import deque
from dataclasses import dataclass
from heapq import heapify, heapreplace
from math import inf
from typing import Final, NamedTuple

from matbook.engine.likely import VALUES, stream
from matbook.engine.ranges import from_zero, within
from matbook.engine.rhythm import Rhythm

AT_PLANT: Final = 0
AT_PAVER: Final = 1

Event = tuple[float, int, int]
"""When, which truck (its number settles ties), and where it then is."""


@dataclass(frozen=True, slots=True)
class Haul:
    """How the haul goes: its legs, the paver's hopper, and the road."""

    loading: Rhythm
    """Loading one truck at the plant; 0 where `back` lasts until it leaves the plant again."""
    out: Rhythm
    """From the plant to the paver, on a free road."""
    laying: Rhythm
    """To lay one load at the pace."""
    back: Rhythm
    """From the paver to the plant, on a free road."""
    exchange_s: float = 0.0
    """From one truck pulling away until the next has docked."""
    spare_s: float = 0.0
    """How long the paver can move on what its hopper holds."""
    headway_s: float = 0.0
    """How close a truck follows one that it can't pass."""
    held_up: float = 0.0
    """Share of trucks that can't pass the ones ahead: 0 on a free road, 1 where none can."""

    def __post_init__(self) -> None:
        for name in ("exchange_s", "spare_s", "headway_s"):
            from_zero(name, getattr(self, name))
        within("held_up", self.held_up, 0.0, 1.0)


class Road:
    """A road in one direction: when trucks arrive on it."""

    def __init__(self, haul: Haul, leg: Rhythm, name: str) -> None:
        self.times = leg.likely
        self.which = stream(name)
        self.share = haul.held_up * VALUES
        self.held = stream(f"{name} held up") if self.share else iter(())
        self.headway_s = haul.headway_s
        self.last_s = -inf
        """When the last truck of all that are on it arrives."""

    def arrive(self, leaves_s: float) -> float:
        """When a truck arrives that leaves now [s]."""
        arrives_s = leaves_s + self.times[next(self.which)]
        return self.follow(arrives_s) if self.share else arrives_s

    def follow(self, arrives_s: float) -> float:
        """When a truck arrives that would, were the road free [s]: behind those it can't pass."""
        if not self.share:
            return arrives_s
        if next(self.held) < self.share:
            arrives_s = max(arrives_s, self.last_s + self.headway_s)
        self.last_s = max(self.last_s, arrives_s)
        return arrives_s


@dataclass(slots=True)
class Start:
    """Where everything is as a future begins; playing the future uses it up."""

    events: list[Event]
    """Trucks that will be at the plant or at the paver, and when."""
    out: Road
    back: Road
    free_s: float = 0.0
    """When another truck may dock."""
    empty_s: float = 0.0
    """Until when the paver has mix."""


class Future(NamedTuple):
    """What happens in one future, from now on."""

    stops: list[tuple[float, float]]
    """When the paver stands, from and to [s]; the last may end with the time looked at."""
    loads: int
    """Trucks that dock."""
    waited_s: float
    """Time that trucks wait at the paver, all together."""
    most: int
    """Most trucks waiting at once."""


def play(haul: Haul, start: Start, name: str, until_s: float) -> Future:
    """One future; the same name gives the same one again.

    Each leg takes its draws in the order in which trucks begin it, so another pace or one more
    truck meets the same roads. Where loading takes no time and the road is free, a truck that
    goes back has both its ways drawn at once.

    Args:
        haul: The legs, the hopper and the road.
        start: Where everything is; it is used up.
        name: Another name, another future.
        until_s: How far to look [s], from 0.

    Returns:
        Stops, loads and waiting.

    Raises:
        OutOfRange: A time below zero.

    Source: event by event (definition); trucks that can't pass: own method, no published source.

    Example:
        >>> haul = Haul(Rhythm(300.0), Rhythm(1200.0), Rhythm(600.0), Rhythm(900.0))
        >>> out, back = Road(haul, haul.out, "out"), Road(haul, haul.back, "back")
        >>> start = Start([(0.0, 0, AT_PAVER), (100.0, 1, AT_PAVER)], out, back)
        >>> play(haul, start, "a morning", 3600.0)
        Future(stops=[(1200.0, 3000.0)], loads=3, waited_s=500.0, most=1)
    """
    from_zero("until_s", until_s)
    events, out, back = start.events, start.out, start.back
    heapify(events)
    loading, laying = haul.loading.likely, haul.laying.likely
    which_loading, which_laying = stream(f"{name} loading"), stream(f"{name} laying")
    plant, free, empty = 0.0, start.free_s, start.empty_s
    spare, exchange = haul.spare_s, haul.exchange_s
    at_once = haul.loading.mean_s == 0.0 and not out.share
    stops: list[tuple[float, float]] = []
    waiting: deque[float] = deque()
    loads, waited, most = 0, 0.0, 0
    while events and events[0][0] < until_s:
        at, truck, where = events[0]
        if where == AT_PLANT:
            plant = (at if at > plant else plant) + loading[next(which_loading)]
            heapreplace(events, (out.arrive(plant), truck, AT_PAVER))
            continue
        docks = free if free > at else at
        loads += docks < until_s
        while waiting and waiting[0] <= at:
            waiting.popleft()
        if docks > at:
            waited += min(docks, until_s) - at
            waiting.append(docks)
            if len(waiting) > most:
                most = len(waiting)
        if docks > empty:
            if empty < until_s:
                stops.append((empty, min(docks, until_s)))
            empty = docks
        empty += laying[next(which_laying)]
        leaves = empty - spare if empty - spare > docks else docks
        free = leaves + exchange
        if at_once:
            there = leaves + back.times[next(back.which)] + out.times[next(out.which)]
            heapreplace(events, (there, truck, AT_PAVER))
        else:
            heapreplace(events, (back.arrive(leaves), truck, AT_PLANT))
    if empty < until_s:
        stops.append((empty, until_s))
    return Future(stops, loads, waited, most)
