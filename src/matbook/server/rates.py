"""How often somebody may ask: a bucket that fills steadily, and empties with each request."""

from collections import OrderedDict
from collections.abc import Callable
from typing import Final

MOST_NAMES: Final = 10_000
"""Buckets kept at once; the one that was used longest ago goes first, when it is full again."""


class Rates:
    """One bucket for each name. Used from the event loop alone, so it needs no lock."""

    def __init__(self, rate: tuple[float, float], clock: Callable[[], float]) -> None:
        """Make it.

        Args:
            rate: How many at once, and how many a second after that.
            clock: Gives seconds that never go back.
        """
        self._most, self._per_s = rate
        self._clock = clock
        self._left: OrderedDict[str, tuple[float, float]] = OrderedDict()

    def wait_s(self, name: str) -> float:
        """Take one out; 0.0 if there was one, else how long to wait for it [s]."""
        now = self._clock()
        left, before = self._left.pop(name, (self._most, now))
        left = min(self._most, left + (now - before) * self._per_s)
        wait = 0.0 if left >= 1 else (1 - left) / self._per_s
        self._left[name] = (left if wait else left - 1, now)
        while len(self._left) > MOST_NAMES:
            self._left.popitem(last=False)
        return wait
