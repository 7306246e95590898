"""What happens in a shift that makes checks fall due: the opening, the start, stops, changes."""

from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from itertools import pairwise
from typing import Final

from matbook.shift.facts import Facts
from matbook.shift.laid import Piece
from matbook.shift.pavers import lines

Moments = list[datetime]


def _opened(facts: Facts, laid: Sequence[Piece]) -> Moments:
    return [fact.at for fact in facts.of("shift-open")]


def _started(facts: Facts, laid: Sequence[Piece]) -> Moments:
    """The first load or the first start of a paver."""
    return sorted([*_seen(facts, "start")[:1], *(fact.at for fact in facts.of("load")[:1])])[:1]


def _stopped(facts: Facts, laid: Sequence[Piece]) -> Moments:
    """Where work went on after a stop."""
    return [s.ended for line in lines(facts) for s in line.stops if s.ended is not None]


def _ended(facts: Facts, laid: Sequence[Piece]) -> Moments:
    """Where a paver ended, or the shift was closed without a word on it."""
    return _seen(facts, "end") or [fact.at for fact in facts.of("shift-close")]


def _seen(facts: Facts, event: str) -> Moments:
    """When a paver was seen to start, or to end."""
    return facts.remembered(
        ("paver.seen", event),
        ("paver",),
        lambda: [fact.at for fact in facts.of("paver") if fact.text("event") == event],
    )


def _changed(name: str) -> Callable[[Facts, Sequence[Piece]], Moments]:
    """Where a paver came to another lane or lift; two of them side by side change neither."""

    def found(facts: Facts, laid: Sequence[Piece]) -> Moments:
        moments: Moments = []
        for paver in {piece.paver for piece in laid}:
            own = [piece for piece in laid if piece.paver == paver]
            moments += [
                after.at
                for before, after in pairwise(own)
                if getattr(before, name) != getattr(after, name)
            ]
        return moments

    return found


EVENTS: Final[Mapping[str, Callable[[Facts, Sequence[Piece]], Moments]]] = {
    "open": _opened,
    "start": _started,
    "stop": _stopped,
    "lane": _changed("lane"),
    "lift": _changed("lift"),
    "end": _ended,
}


class Events:
    """What makes checks fall due in a shift, each kind looked for once."""

    def __init__(self, facts: Facts, laid: Sequence[Piece]) -> None:
        self.facts = facts
        self.laid = sorted(laid, key=lambda piece: piece.part.fact.order[0])
        """The pieces of mat, in the order of time."""
        self._found: dict[str, Moments] = {}

    def of(self, names: Sequence[str]) -> Moments:
        """When any of these happened, in order."""
        for name in names:
            if name not in self._found:
                self._found[name] = EVENTS[name](self.facts, self.laid)
        return sorted(at for name in names for at in self._found[name])
