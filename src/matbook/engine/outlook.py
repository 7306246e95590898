"""The coming hour of a haul: when the paver will stand, how surely, and how many trucks wait.

The hour is played out some thousands of times from where everything is now.
"""

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate
from math import ceil, fsum
from typing import Final

from matbook.engine.chance import Chance, chance
from matbook.engine.cited import cited
from matbook.engine.fleet import Fleet, Truck
from matbook.engine.forecasting import Range
from matbook.engine.hauling import Future, Haul, play
from matbook.engine.ranges import up_to, within

PLAYED: Final = (
    "own method, event by event; its long run is the finite-source queue of Anderson et al., An "
    "Introduction to Management Science"
)
FUTURES: Final = 2_000


@dataclass(frozen=True)
class Outlook:
    """The futures, and what they say together; every share with its 95 % interval by their number.

    Ranges are 10, 50 and 90 %. A standing paver is asked for as from now: `moves_s` says when it
    will move again, and the first stop is the one after that.
    """

    ahead_s: float
    """How far was looked."""
    futures: tuple[Future, ...]
    stands_now: bool
    """Whether the paver stands now."""
    overdue: int
    """Trucks that should have come: ask where they are, the rhythm can't say."""

    @cached_property
    def firsts_s(self) -> list[float]:
        """When each future that has a stop has its first, rising [s]."""
        later = (one.stops[_opens(one, self.stands_now) :] for one in self.futures)
        return sorted(stops[0][0] for stops in later if stops)

    def stops_by(self, until_s: float) -> Chance:
        """The chance that the paver has come to a stop by then."""
        within("until_s", until_s, 0.0, self.ahead_s)
        return chance(bisect_right(self.firsts_s, until_s), len(self.futures))

    def first_stop(self, share: float) -> float | None:
        """By when the paver has stopped in that share of futures [s]; None if not in the time."""
        up_to("share", share, 1.0)
        place = ceil(share * len(self.futures)) - 1
        return self.firsts_s[place] if place < len(self.firsts_s) else None

    def stands(self, every_s: float = 60.0) -> list[Chance]:
        """The chance that it stands at each moment, one after the other, the first of them now."""
        up_to("every_s", every_s, self.ahead_s)
        moments = ceil(self.ahead_s / every_s)
        changes = [0] * (moments + 1)
        for one in self.futures:
            for begins, ends in one.stops:
                changes[ceil(begins / every_s)] += 1
                changes[min(ceil(ends / every_s), moments)] -= 1
        return [chance(count, len(self.futures)) for count in accumulate(changes[:moments])]

    @cached_property
    def moves_s(self) -> Range | None:
        """When a paver that stands will move again; None if it moves."""
        if not self.stands_now:
            return None
        return _range([one.stops[0][1] if _opens(one, True) else 0.0 for one in self.futures])

    @cached_property
    def standing_s(self) -> Range:
        """How long the paver stands, in all."""
        return _range([fsum(to - since for since, to in one.stops) for one in self.futures])

    @cached_property
    def stops(self) -> Range:
        """How many times it stands."""
        return _range([len(one.stops) for one in self.futures])

    @cached_property
    def loads(self) -> Range:
        """Trucks that dock."""
        return _range([one.loads for one in self.futures])

    @cached_property
    def waiting(self) -> Range:
        """Trucks that wait at the paver, on average over the time."""
        return _range([one.waited_s / self.ahead_s for one in self.futures])

    @cached_property
    def most_waiting(self) -> Range:
        """Most trucks waiting at once."""
        return _range([one.most for one in self.futures])


def _range(values: Sequence[float]) -> Range:
    """10, 50 and 90 %: a tenth of the futures, rounded up, are at or below the first."""
    rising = sorted(values)
    early, middle, late = (rising[ceil(share * len(rising)) - 1] for share in (0.1, 0.5, 0.9))
    return Range(early, middle, late)


@cited("the coming time played out from where every truck is now", PLAYED)
def forecast(
    haul: Haul,
    trucks: Sequence[Truck],
    ahead_s: float = 3600.0,
    hopper_s: float = 0.0,
    futures: int = FUTURES,
    seed: str = "",
) -> Outlook:
    """The coming hour: when the paver stands still, how surely, and how many trucks wait.

    Args:
        haul: The legs with their scatter, the paver's hopper, and the road.
        trucks: Where each truck is now and for how long. One that goes home is left out.
        ahead_s: How far to look [s], above 0, to 43,200.
        hopper_s: With no truck laying: how long the paver can move on what it has [s], from 0.
        futures: How many futures [1], 50 to 100,000; fewer are sooner there and less sure, and
            every chance says how sure.
        seed: Another seed, other futures; the same one gives the same digits again.

    Returns:
        The outlook.

    Raises:
        OutOfRange: A value outside its range.
        Refused: Two trucks laying at once.

    Source: the haul played out event by event; its long run is the finite-source queue of
    Anderson et al., An Introduction to Management Science. Bunches on a two-lane road: own method.

    Example:
        >>> from matbook.engine.rhythm import Rhythm
        >>> legs = (
        ...     Rhythm(300.0),
        ...     Rhythm(1500.0, 240.0),
        ...     Rhythm(540.0, 60.0),
        ...     Rhythm(1300.0, 200.0),
        ... )
        >>> trucks = [Truck("laying", 200.0), Truck("out", 600.0), Truck("back", 300.0)]
        >>> seen = forecast(Haul(*legs, spare_s=120.0), trucks, futures=200)
        >>> chance = seen.stops_by(1200.0)
        >>> chance.least < chance.value <= chance.most
        True
    """
    fleet = _fleet(haul, trucks, ahead_s, hopper_s, futures)
    return _seen(fleet, tuple(_played(fleet, ahead_s, futures, seed)), ahead_s)


def forecast_if(
    allowed: float,
    haul: Haul,
    trucks: Sequence[Truck],
    ahead_s: float = 3600.0,
    hopper_s: float = 0.0,
    futures: int = FUTURES,
    seed: str = "",
) -> Outlook | None:
    """The same outlook if no more than a share of the futures have a stop.

    Args:
        allowed: The share [1], above 0 to 1.
        haul: As for `forecast`.
        trucks: As for `forecast`.
        ahead_s: As for `forecast`.
        hopper_s: As for `forecast`.
        futures: As for `forecast`.
        seed: As for `forecast`.

    Returns:
        The outlook, or None; the futures are no longer played once too many have a stop.

    Raises:
        OutOfRange: A value outside its range.
        Refused: Two trucks laying at once.

    Source: as for `forecast`.

    Example:
        >>> from matbook.engine.rhythm import Rhythm
        >>> haul = Haul(Rhythm(300.0), Rhythm(1500.0), Rhythm(540.0), Rhythm(1300.0))
        >>> forecast_if(0.1, haul, [Truck("laying")], futures=50) is None
        True
    """
    up_to("allowed", allowed, 1.0)
    fleet = _fleet(haul, trucks, ahead_s, hopper_s, futures)
    played: list[Future] = []
    stopped = 0
    for one in _played(fleet, ahead_s, futures, seed):
        played.append(one)
        stopped += len(one.stops) > _opens(one, fleet.stands_now)
        if stopped / futures > allowed:
            return None
    return _seen(fleet, tuple(played), ahead_s)


def _fleet(
    haul: Haul, trucks: Sequence[Truck], ahead_s: float, hopper_s: float, futures: int
) -> Fleet:
    up_to("ahead_s", ahead_s, 43_200.0)
    within("futures", futures, 50, 100_000)
    return Fleet(haul, trucks, hopper_s)


def _played(fleet: Fleet, ahead_s: float, futures: int, seed: str) -> Iterator[Future]:
    for number in range(futures):
        name = f"{seed} {number}"
        yield play(fleet.haul, fleet.begin(name), name, ahead_s)


def _seen(fleet: Fleet, played: tuple[Future, ...], ahead_s: float) -> Outlook:
    return Outlook(ahead_s, played, fleet.stands_now, fleet.overdue)


def _opens(one: Future, stands_now: bool) -> int:
    """How many stops a future opens with: 1 where the paver stands now."""
    return int(stands_now and one.stops[:1] != [] and one.stops[0][0] == 0.0)
