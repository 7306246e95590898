"""Work of several threads done in one go: entries handed in at the same moment, one transaction.

A transaction waits for the disk, and writes the same pages of an index again and again. Whoever
comes while another writes waits, and the first of those who waited then writes for all of them.
"""

import threading
from collections.abc import Callable, Sequence
from concurrent.futures import Future
from contextlib import suppress
from enum import Enum, auto
from typing import Final, Generic, TypeVar

Work = TypeVar("Work")
Result = TypeVar("Result")

MOST: Final = 16
"""What is done in one go, so that the first does not wait long for the last."""


class _Told(Enum):
    """What one who waits may be told instead of a result."""

    LEAD = auto()
    """Do it, for all who wait."""
    ALONE = auto()
    """Doing it together failed; do your own, so that each hears what became of it."""


class Together(Generic[Work, Result]):
    """Does work for whoever calls it, for several at once where several wait."""

    def __init__(
        self,
        do: Callable[[Sequence[Work]], Sequence[Result]],
        blames: tuple[type[Exception], ...],
    ) -> None:
        """Make it.

        Args:
            do: Gives a result for each piece of work, or does nothing at all and raises.
            blames: Errors for which one piece of work may be to blame.
        """
        self._do = do
        self._blames = blames
        self._door = threading.Lock()
        self._led = False
        self._waiting: list[tuple[Work, Future[Result | _Told]]] = []

    def __call__(self, work: Work) -> Result:
        """The result of this work; raises what doing it raises."""
        mine: Future[Result | _Told] = Future()
        with self._door:
            self._waiting.append((work, mine))
            leads, self._led = not self._led, True
        told = _Told.LEAD if leads else mine.result()
        if told is _Told.LEAD:
            return self._lead()
        return self._do([work])[0] if isinstance(told, _Told) else told

    def _lead(self) -> Result:
        """Do what waits, first of all one's own; then leave the lead to whoever came meanwhile."""
        with self._door:
            group, self._waiting = self._waiting[:MOST], self._waiting[MOST:]
        told: Sequence[Result | _Told] = [_Told.ALONE] * len(group)
        try:
            with suppress(*self._blames):
                told = self._do([work for work, _ in group])
        finally:
            self._pass_on()
            for (_, future), result in zip(group[1:], told[1:], strict=True):
                future.set_result(result)
        own = told[0]
        return self._do([group[0][0]])[0] if isinstance(own, _Told) else own

    def _pass_on(self) -> None:
        with self._door:
            self._led = bool(self._waiting)
            if self._waiting:
                self._waiting[0][1].set_result(_Told.LEAD)
