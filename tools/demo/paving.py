"""A paver's way along the road, the loads that feed it, and the trucks that bring them."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from itertools import pairwise


@dataclass
class Load:
    """A truckload; masses in hundredths of the ticket's unit, as scales print them."""

    loaded: datetime
    arrived: datetime
    at: datetime
    """When the truck was empty, or was sent away."""
    net: int
    elsewhere: int = 0
    """How much of it didn't go into the lane."""
    from_m: float = 0.0
    to_m: float = 0.0
    lane: str = ""
    paver: str = ""
    lift: str = ""
    mix: str = ""
    decision: str = "taken"
    ticket: str = ""
    truck: str = ""
    tare: int = 0
    temp: int | None = None
    state: str = "Delivered"
    """As the plant's file has it."""
    id: str = ""
    """Of the entry on the road, once it is written."""
    away: timedelta | None = None
    """How long the truck is gone after this load, if not as long as usual."""
    rest_from_m: float = 0.0
    rest_to_m: float = 0.0
    rest_at: datetime | None = None
    """Where and when the rest of a split load was laid, by the other paver."""
    tag: str = ""
    """What the story knows this load by."""

    @property
    def gross(self) -> int:
        return self.net + self.tare


@dataclass
class Line:
    """Where a paver is when."""

    at: datetime
    station_m: float
    track: list[tuple[datetime, float]] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.track.append((self.at, self.station_m))

    def stand(self, minutes: float) -> None:
        self._go(timedelta(minutes=minutes), 0.0)

    def lay(self, length_m: float, pace_m_min: float) -> None:
        self._go(timedelta(minutes=length_m / pace_m_min), length_m)

    def _go(self, lasts: timedelta, length_m: float) -> None:
        self.at += lasts
        self.station_m += length_m
        self.track.append((self.at, self.station_m))

    def where(self, at: datetime) -> float:
        """The station at a moment, in metres along the road."""
        for (t0, x0), (t1, x1) in pairwise(self.track):
            if t0 <= at <= t1:
                share = (at - t0) / (t1 - t0) if t1 > t0 else 0.0
                return x0 + (x1 - x0) * share
        return self.track[0][1] if at < self.track[0][0] else self.track[-1][1]

    def stood(self) -> list[tuple[datetime, datetime]]:
        """Where it stood for longer than a change of trucks: from when to when."""
        return [
            (t0, t1)
            for (t0, x0), (t1, x1) in pairwise(self.track)
            if x0 == x1 and t1 - t0 > timedelta(minutes=2)
        ]

    def when(self, station_m: float) -> datetime:
        """The moment at which a station was passed."""
        for (t0, x0), (t1, x1) in pairwise(self.track):
            if x0 <= station_m <= x1 and x1 > x0:
                return t0 + (t1 - t0) * ((station_m - x0) / (x1 - x0))
        raise ValueError(f"the paver never passed {station_m}")


def space_out(loads: Sequence[Load], least: timedelta) -> None:
    """Let the plant fill one truck after the other, no sooner than its silo can."""
    for before, load in pairwise(loads):
        load.loaded = max(load.loaded, before.loaded + least)


def give_trucks(
    loads: Iterable[Load], tares: Mapping[str, int], away: timedelta, reweighed: Sequence[int]
) -> None:
    """Give each load the truck that has waited longest at the plant.

    Args:
        loads: In the order in which they were loaded; one that names its truck keeps it.
        tares: Truck -> tare by the plan, in hundredths.
        away: From leaving the paver to being loaded again.
        reweighed: What tares come to when trucks are weighed empty, against the plan's.
    """
    ready = dict.fromkeys(tares, datetime.min)
    for number, load in enumerate(loads):
        loaded = load.loaded.replace(tzinfo=None)
        if not load.truck:
            load.truck = min(ready, key=lambda truck: (ready[truck], truck))
        if ready[load.truck] > loaded:
            raise ValueError(f"truck {load.truck} is not back by {load.loaded}")
        load.tare = tares[load.truck] + reweighed[number % len(reweighed)]
        ready[load.truck] = load.at.replace(tzinfo=None) + (load.away or away)
