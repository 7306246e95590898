"""Where every truck is now, and from there where each may be in a future."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from matbook.engine.hauling import AT_PAVER, AT_PLANT, Haul, Road, Start
from matbook.engine.likely import likely_rest, stream
from matbook.engine.ranges import from_zero, picked
from matbook.engine.rhythm import Rhythm
from matbook.errors import Refused

OVERDUE: Final = 250
"""A truck that has taken longer than this one of the 256 likely values is overdue: 1 in 40 does."""
TRIES: Final = 40
"""So often is a round drawn for a truck that should be there already; then it comes at once."""
Next = tuple[float, int]
"""When a truck is where."""
Coming = Callable[[Start, Iterator[int]], Next]
"""Draws for one future when a truck is where next."""


@dataclass(frozen=True, slots=True)
class Truck:
    """Where a truck is now, and for how long it has been so.

    "laying": its load is being laid. "waiting": at the paver, not yet its turn. "out": on its way
    there, not yet seen. "back": empty and gone, not yet there again; nobody saw more of it.
    "plant": waiting to be loaded.
    """

    place: str
    for_s: float = 0.0
    watched: bool = True
    """Whether somebody would have seen it arrive; if not, it may be there and wait already."""

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
        self.overdue = sum(_is_overdue(haul, truck) for truck in trucks)  # whole numbers
        """Trucks that should have come: the rhythm hardly explains where they are."""
        self._nexts = [PLACES[truck.place](haul, truck) for truck in ordered]

    def begin(self, name: str) -> Start:
        """The start of a future: when each truck is where next."""
        haul, which = self.haul, stream(f"{name} now")
        out, back = Road(haul, haul.out, f"{name} out"), Road(haul, haul.back, f"{name} back")
        start = Start([], out, back, 0.0, self.hopper_s)
        for number, come in enumerate(self._nexts):
            at, where = come(start, which)
            start.events.append((at, number, where))
        return start


def _waiting(haul: Haul, truck: Truck) -> Coming:
    return lambda start, which: (0.0, AT_PAVER)


def _out(haul: Haul, truck: Truck) -> Coming:
    if truck.watched:
        rests = _rest(haul.out, truck.for_s)
    else:
        rests = tuple(max(0.0, time - truck.for_s) for time in haul.out.likely)
    return lambda start, which: (start.out.follow(rests[next(which)]), AT_PAVER)


def _back(haul: Haul, truck: Truck) -> Coming:
    """Nobody saw how far it is: on its way, at the plant, or out again."""
    for_s, tries = truck.for_s, range(TRIES if truck.watched else 1)
    back, loading, out = haul.back.likely, haul.loading.likely, haul.out.likely

    def come(start: Start, which: Iterator[int]) -> Next:
        for _ in tries:
            at_plant = back[next(which)] - for_s
            if at_plant > 0.0:
                return start.back.follow(at_plant), AT_PLANT
            arrives = at_plant + loading[next(which)] + out[next(which)]
            if arrives > 0.0:
                return start.out.follow(arrives), AT_PAVER
        return start.out.follow(0.0), AT_PAVER

    return come


def _laying(haul: Haul, truck: Truck) -> Coming:
    rests = _rest(haul.laying, truck.for_s)

    def come(start: Start, which: Iterator[int]) -> Next:
        rest_s = rests[next(which)]
        start.free_s, start.empty_s = rest_s + haul.exchange_s, rest_s + haul.spare_s
        return start.back.arrive(rest_s), AT_PLANT

    return come


def _plant(haul: Haul, truck: Truck) -> Coming:
    return lambda start, which: (0.0, AT_PLANT)


def _rest(leg: Rhythm, gone_s: float) -> tuple[float, ...]:
    """What is left of a leg whose end would have been seen."""
    return likely_rest(gone_s, leg.mean_s, leg.widened_s, leg.law)


PLACES: Final[Mapping[str, Callable[[Haul, Truck], Coming]]] = {
    # the order settles who is ahead of whom: at the paver, and on the road
    "waiting": _waiting,
    "out": _out,
    "back": _back,
    "laying": _laying,
    "plant": _plant,
}
"""Where a truck can be, and when it is where next."""


def _is_overdue(haul: Haul, truck: Truck) -> bool:
    late_s = haul.out.likely[OVERDUE]
    if truck.place == "back":
        late_s += haul.back.likely[OVERDUE] + haul.loading.likely[OVERDUE]
    return truck.watched and truck.place in ("out", "back") and truck.for_s > late_s
