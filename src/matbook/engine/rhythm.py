"""The rhythm of a haul: what each leg of the trucks' round takes, and how it scatters.

A round: left the plant, arrived at the paver, docked (its turn to discharge), emptied, back at the
plant. An inspector on the road sees the middle three and reads the first off the ticket; what isn't
seen is left out, and the legs beside it are what they are.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from math import fsum, isfinite, sqrt
from statistics import stdev
from typing import Final

from matbook.engine.cited import cited
from matbook.engine.likely import LAWS, VALUES, likely_values
from matbook.engine.ranges import from_zero, picked
from matbook.errors import OutOfRange, Refused

LATE: Final = round(0.9 * VALUES)
TIMES: Final = ("left_s", "arrived_s", "docked_s", "emptied_s", "back_s")


@dataclass(frozen=True)
class Rhythm:
    """How long something takes: its mean, its standard deviation, and what that rests on."""

    mean_s: float
    scatter_s: float = 0.0
    count: int = 0
    """How many times it was seen; 0 where it is assumed."""
    law: str = "lognormal"

    def __post_init__(self) -> None:
        from_zero("mean_s", self.mean_s)
        from_zero("scatter_s", self.scatter_s)
        from_zero("count", self.count)
        picked("law", self.law, LAWS)

    @property
    def widened_s(self) -> float:
        """Scatter of the next one [s]: wider where the mean rests on few, by sqrt(1 + 1/n)."""
        return self.scatter_s * (sqrt(1.0 + 1.0 / self.count) if self.count else 1.0)

    @cached_property
    def likely(self) -> tuple[float, ...]:
        """256 equally likely values of the next one."""
        return likely_values(self.mean_s, self.widened_s, self.law)

    @property
    def late_s(self) -> float:
        """The next one takes longer than this in one case of ten [s]."""
        return self.likely[LATE]

    def slowed(self, by: float) -> "Rhythm":
        """The same, so many times as slow."""
        from_zero("by", by)
        return replace(self, mean_s=by * self.mean_s, scatter_s=by * self.scatter_s)


@dataclass(frozen=True, slots=True)
class Trip:
    """One round of one truck, with the times that somebody saw [s]; None for what nobody did."""

    truck: str
    left_s: float | None = None
    arrived_s: float | None = None
    docked_s: float | None = None
    emptied_s: float | None = None
    back_s: float | None = None

    def seen(self) -> list[tuple[str, float]]:
        """The times that were seen, in the order of the round."""
        values = ((name, getattr(self, name)) for name in TIMES)
        return [(name, value) for name, value in values if value is not None]


@dataclass(frozen=True, slots=True)
class Rhythms:
    """What each leg of the round takes; None where it was never seen."""

    out: Rhythm | None
    """From the plant to the paver."""
    wait: Rhythm | None
    """From arriving until its turn."""
    laying: Rhythm | None
    """From docking until empty."""
    back: Rhythm | None
    """From the paver to the plant."""
    turn: Rhythm | None
    """From empty until it leaves the plant again: the way back, the queue there, loading."""
    round: Rhythm | None
    """From leaving the plant until leaving it again."""


@cited("mean and standard deviation of the times between what was seen", "definition")
def rhythm(times_s: Sequence[float], law: str = "lognormal") -> Rhythm:
    """Mean and scatter of times as they were seen.

    Args:
        times_s: The times [s], from 0, at least one; one alone says nothing of scatter, and is
            taken to scatter by a third.
        law: How they vary, a row of `likely.LAWS`.

    Returns:
        The rhythm; its scatter is the sample's standard deviation (n - 1).

    Raises:
        OutOfRange: No times, or one below zero.

    Source: definition; a third for a single time is assumed.

    Example:
        >>> found = rhythm([1500.0, 1620.0, 1740.0])
        >>> found.mean_s, found.scatter_s, found.count
        (1620.0, 120.0, 3)
    """
    if not times_s:
        raise OutOfRange("times_s", 0, "there must be at least one time")
    for time in times_s:
        from_zero("times_s", time)
    mean = fsum(times_s) / len(times_s)
    scatter = stdev(times_s) if len(times_s) > 1 else mean * ALONE
    return Rhythm(mean, scatter, len(times_s), law)


ALONE: Final = 1.0 / 3.0
"""Scatter of a time that was seen once, as a share of it: assumed."""


def rhythms(trips: Iterable[Trip]) -> Rhythms:
    """The rhythm of every leg from the rounds that were seen.

    Args:
        trips: The rounds, in any order.

    Returns:
        Each leg with its mean, scatter and how often it was seen.

    Raises:
        OutOfRange: Times of a round that run backwards, a time that is no number.
        Refused: A round in which nothing was seen; a truck that comes again before it was gone.

    Source: definition.

    Example:
        >>> found = rhythms(
        ...     [
        ...         Trip("7", 0.0, 1500.0, 1600.0, 2000.0),
        ...         Trip("7", 4100.0, 5800.0, 5800.0, 6300.0),
        ...     ]
        ... )
        >>> [leg and leg.mean_s for leg in (found.out, found.wait, found.laying, found.turn)]
        [1600.0, 50.0, 450.0, 2100.0]
    """
    rounds = in_order(trips)
    following = [(before, after) for each in rounds.values() for before, after in pairwise(each)]
    all_of = [trip for each in rounds.values() for trip in each]
    return Rhythms(
        out=_leg((trip.left_s, trip.arrived_s) for trip in all_of),
        wait=_leg((trip.arrived_s, trip.docked_s) for trip in all_of),
        laying=_leg((trip.docked_s, trip.emptied_s) for trip in all_of),
        back=_leg((trip.emptied_s, trip.back_s) for trip in all_of),
        turn=_leg((before.emptied_s, after.left_s) for before, after in following),
        round=_leg((before.left_s, after.left_s) for before, after in following),
    )


def in_order(trips: Iterable[Trip]) -> dict[str, list[Trip]]:
    """The rounds of each truck, one after the other.

    Args:
        trips: The rounds, in any order.

    Returns:
        Truck -> its rounds.

    Raises:
        OutOfRange: Times of a round that run backwards, a time that is no number.
        Refused: A round in which nothing was seen; a truck that comes again before it was gone.

    Source: definition.

    Example:
        >>> [trip.left_s for trip in in_order([Trip("7", 60.0), Trip("7", 0.0, 50.0)])["7"]]
        [0.0, 60.0]
    """
    rounds: dict[str, list[Trip]] = {}
    for trip in trips:
        _check_forward(trip)
        rounds.setdefault(trip.truck, []).append(trip)
    for truck, each in rounds.items():
        each.sort(key=lambda trip: [time for _, time in trip.seen()])
        for before, after in pairwise(each):
            last, (name, first) = before.seen()[-1], after.seen()[0]
            if first <= last[1]:
                within = f"within an earlier round of truck {truck}, whose {last[0]} is {last[1]:g}"
                raise Refused(name, first, f"that is {within}: a truck can't come twice")
    return rounds


def _check_forward(trip: Trip) -> None:
    seen = trip.seen()
    if not seen:
        raise Refused("trip", trip.truck, "at least one of its times must have been seen")
    for name, time in seen:
        if not isfinite(time):
            raise OutOfRange(name, time, f"a time of truck {trip.truck} must be a number")
    for (earlier, first), (name, then) in pairwise(seen):
        if then < first:
            backwards = f"truck {trip.truck} can't have it before {earlier}, {first:g}"
            raise OutOfRange(name, then, backwards)


def _leg(ends: Iterable[tuple[float | None, float | None]]) -> Rhythm | None:
    times = [to - since for since, to in ends if since is not None and to is not None]
    return rhythm(times) if times else None
