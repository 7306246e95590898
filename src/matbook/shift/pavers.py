"""Each paver's line: where it was when, where it stood and why, and its pace."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cached_property
from itertools import pairwise
from math import fsum
from typing import Final

from matbook.shift.facts import Fact, Facts
from matbook.shift.places import metres

KINDS = ("paver",)
FASTEST_M_S: Final = 1.5
"""No paver lays mat faster: a time or a station is wrong. Common practice, no published source."""


@dataclass(frozen=True, slots=True)
class Point:
    at: datetime
    station_m: float
    lane: str
    lift: str
    id: str
    ends: bool = False
    """The paver ended here: until it starts again it doesn't pave."""


@dataclass(frozen=True, slots=True)
class Stop:
    """The paver stood; `ended` is None while it still stands."""

    paver: str
    started: datetime
    ended: datetime | None
    reason: str
    station: str
    lane: str
    id: str

    def lasted(self, now: datetime) -> timedelta:
        """How long it stood, up to now if it still stands."""
        return (self.ended or max(now, self.started)) - self.started


@dataclass(frozen=True, slots=True)
class Leg:
    """From one point of a paver to its next, in one lane and lift."""

    since: Point
    to: Point
    moving_s: float
    """Without the time that it stood."""

    @property
    def length_m(self) -> float:
        return abs(self.to.station_m - self.since.station_m)

    @property
    def impossible(self) -> bool:
        return self.length_m > FASTEST_M_S * self.moving_s


@dataclass(frozen=True)
class Line:
    """One paver's shift: its points in time, and its stops."""

    paver: str
    points: tuple[Point, ...]
    stops: tuple[Stop, ...]
    working: bool
    """Started and not yet ended."""

    @property
    def standing(self) -> Stop | None:
        return next((stop for stop in self.stops if stop.ended is None), None)

    @cached_property
    def pace_m_s(self) -> float | None:
        """Distance over time while moving, over all points on one lane and lift; None if unknown.

        Time standing does not count, nor from an end to the next start, nor a leg that no paver
        goes: this is the paver's pace while it paves.
        """
        legs = [leg for leg in self._legs if not leg.impossible]
        moving = fsum(leg.moving_s for leg in legs)
        return fsum(leg.length_m for leg in legs) / moving if moving > 0 else None

    @property
    def impossible(self) -> tuple[Leg, ...]:
        """From one point to the next faster than any paver lays mat."""
        return tuple(leg for leg in self._legs if leg.impossible)

    @cached_property
    def _legs(self) -> tuple[Leg, ...]:
        return tuple(
            Leg(a, b, (b.at - a.at).total_seconds() - self._stood(a, b))
            for a, b in pairwise(self.points)
            if (a.lane, a.lift) == (b.lane, b.lift) and not a.ends
        )

    def _stood(self, a: Point, b: Point) -> float:
        """How long it stood between two points; a stop that isn't over comes after both."""
        return fsum(
            max(0.0, (min(stop.ended or b.at, b.at) - max(stop.started, a.at)).total_seconds())
            for stop in self.stops
        )


def lines(facts: Facts) -> tuple[Line, ...]:
    """The line of every paver that wrote anything, in order of first appearance."""
    return facts.remembered("pavers", KINDS, lambda: _lines(facts))


def _lines(facts: Facts) -> tuple[Line, ...]:
    by_paver: dict[str, list[Fact]] = defaultdict(list)
    for fact in facts.of("paver"):
        by_paver[fact.place("paver")].append(fact)
    return tuple(
        Line(paver, _points(facts, said), _stops(paver, said), _working(said))
        for paver, said in by_paver.items()
    )


def _points(facts: Facts, said: Sequence[Fact]) -> tuple[Point, ...]:
    found = []
    for fact in said:
        at_m = metres(facts.plan_at(fact.at), fact)
        if at_m is not None:
            place, ends = fact.place, fact.text("event") == "end"
            found.append(Point(fact.at, at_m, place("lane"), place("lift"), fact.id, ends))
    return tuple(found)


def _stops(paver: str, said: Sequence[Fact]) -> tuple[Stop, ...]:
    """A stop lasts until the paver is next seen anywhere: starting, passing, or ending."""
    found: list[Stop] = []
    for here, after in zip(said, [*said[1:], None], strict=True):
        if here.text("event") == "stop":
            found.append(
                Stop(
                    paver=paver,
                    started=here.at,
                    ended=after.at if after else None,
                    reason=here.text("reason") or "other",
                    station=here.place("station"),
                    lane=here.place("lane"),
                    id=here.id,
                )
            )
    return tuple(found)


def _working(said: Sequence[Fact]) -> bool:
    return said[-1].text("event") != "end"
