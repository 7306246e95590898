"""Where every truck is now, and from there where each may be in a future."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple

from matbook.engine.draws import VALUES, likely_rest, stream
from matbook.engine.hauling import AT_PAVER, AT_PLANT, Haul, Road, Start
from matbook.engine.ranges import from_zero, picked
from matbook.engine.rhythm import Rhythm
from matbook.errors import Refused

OVERDUE: Final = 250
"""A truck that has taken longer than this one of the 256 likely values is overdue: 1 in 40 does."""


@dataclass(frozen=True, slots=True)
class Truck:
    """Where a truck is now, and for how long it has been so.

    "laying": its load is being laid. "waiting": at the paver, not yet its turn. "out": on its way
    there, not yet seen. "back": empty and on its way; nobody sees it arrive. "plant": waiting to be
    loaded.
    """

    place: str
    for_s: float = 0.0

    def __post_init__(self) -> None:
        picked("place", self.place, PLACES)
        from_zero("for_s", self.for_s)


class Fleet:
    """The trucks as they are now; each future begins from them."""

    def __init__(self, haul: Haul, trucks: Sequence[Truck], hopper_s: float = 0.0) -> None:
        """What lies ahead of each truck.

        Args:
            haul: The legs, the hopper and the road.
            trucks: Where each is; at most one is laying.
            hopper_s: With no truck laying: how long the paver can move on what it has [s], from 0.

        Raises:
            OutOfRange: A value below zero.
            Refused: Two trucks laying at once.
        """
        from_zero("hopper_s", hopper_s)
        order = {place: rank for rank, place in enumerate(PLACES)}
        ordered = sorted(trucks, key=lambda truck: (order[truck.place], -truck.for_s))
        laying = sum(truck.place == "laying" for truck in trucks)  # whole numbers
        if laying > 1:
            raise Refused("trucks", laying, "of these only one at a time can be laying")
        self.haul = haul
        self.hopper_s = hopper_s
        here = any(truck.place in ("laying", "waiting") for truck in trucks)
        self.stands_now = hopper_s == 0.0 and not here
        """Whether the paver stands now, with nothing to lay."""
        self.overdue = sum(_is_overdue(haul.out, truck) for truck in trucks)  # whole numbers
        """Trucks on their way that should have come: the rhythm hardly explains where they are."""
        self._ahead = [
            (PLACES[truck.place].put, PLACES[truck.place].rest(haul, truck.for_s))
            for truck in ordered
        ]

    def begin(self, name: str) -> Start:
        """The start of a future: when each truck is where next."""
        haul, which = self.haul, stream(f"{name} now")
        out, back = Road(haul, haul.out, f"{name} out"), Road(haul, haul.back, f"{name} back")
        start = Start([], out, back, 0.0, self.hopper_s)
        for number, (put, rest) in enumerate(self._ahead):
            at, where = put(start, haul, rest[next(which)])
            start.events.append((at, number, where))
        return start


class _Place(NamedTuple):
    """What is ahead of a truck at a place: the likely values of what is left, and what follows."""

    rest: Callable[[Haul, float], tuple[float, ...]]
    put: Callable[[Start, Haul, float], tuple[float, int]]


def _seen(leg: Rhythm, gone_s: float) -> tuple[float, ...]:
    """What is left of a leg whose end would have been seen."""
    return likely_rest(gone_s, leg.mean_s, leg.widened_s, leg.law)


def _unseen(leg: Rhythm, gone_s: float) -> tuple[float, ...]:
    """What is left of a leg that may be over already."""
    return tuple(max(0.0, value - gone_s) for value in leg.likely)


def _put_laying(start: Start, haul: Haul, rest_s: float) -> tuple[float, int]:
    start.free_s, start.empty_s = rest_s + haul.exchange_s, rest_s + haul.spare_s
    return start.back.arrive(rest_s), AT_PLANT


NOTHING: Final = (0.0,) * VALUES
PLACES: Final[Mapping[str, _Place]] = {
    # the order settles who is ahead of whom: on the way back, and at the paver
    "back": _Place(
        lambda haul, gone_s: _unseen(haul.back, gone_s),
        lambda start, haul, rest_s: (start.back.follow(rest_s), AT_PLANT),
    ),
    "waiting": _Place(lambda haul, gone_s: NOTHING, lambda start, haul, rest_s: (0.0, AT_PAVER)),
    "out": _Place(
        lambda haul, gone_s: _seen(haul.out, gone_s),
        lambda start, haul, rest_s: (start.out.follow(rest_s), AT_PAVER),
    ),
    "laying": _Place(lambda haul, gone_s: _seen(haul.laying, gone_s), _put_laying),
    "plant": _Place(lambda haul, gone_s: NOTHING, lambda start, haul, rest_s: (0.0, AT_PLANT)),
}
"""Where a truck can be."""


def _is_overdue(out: Rhythm, truck: Truck) -> bool:
    return truck.place == "out" and truck.for_s > out.likely[OVERDUE]
