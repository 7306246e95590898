"""Whose turn it is to push: a few are worked on, some wait, and the rest is told when to come.

After an outage every phone comes at once. One that is turned away is told how long everybody
before it will take, those included who were turned away before; so they come back one after the
other instead of all together again, and each as a rule only once.
"""

import asyncio
import time
from collections.abc import AsyncIterator, Callable
from contextlib import asynccontextmanager
from math import ceil
from typing import Final

AT_A_TIME: Final = 4
"""Pushes worked on together: some are read while others wait for the disk, in one transaction."""
FIRST_GUESS_S: Final = 0.05
"""How long one push takes, before any was seen [s]."""
WEIGHT: Final = 0.1
"""How much the latest push counts in that guess."""
WAIT_S: Final = 1.2
"""So long a wait here is enough [s]: whoever would wait longer is told to come again instead."""
LONGEST_S: Final = 120
"""Nobody is told to stay away for longer [s]; whoever didn't come leaves its turn to others."""


class Turns:
    """Who waits here, and who was told to come again. Lives on the event loop, so needs no lock."""

    def __init__(self, most: int, clock: Callable[[], float] = time.monotonic) -> None:
        """Make it.

        Args:
            most: How many may be here at once.
            clock: Gives seconds that never go back.
        """
        self._most = most
        self._clock = clock
        self._here = 0
        self._each_s = FIRST_GUESS_S
        self._promised = 0.0
        self._work = asyncio.Semaphore(AT_A_TIME)

    @property
    def full(self) -> bool:
        """Whether one more would wait too long."""
        wait_s = self._here * self._each_s
        return self._here >= self._most or (self._here >= AT_A_TIME and wait_s >= WAIT_S)

    def come_again_s(self) -> int:
        """Give the next turn that nobody was promised: in how many seconds it will be."""
        now = self._clock()
        free = now + self._here * self._each_s
        self._promised = min(max(self._promised, free) + self._each_s, now + LONGEST_S)
        return ceil(self._promised - now)

    @asynccontextmanager
    async def taken(self) -> AsyncIterator[None]:
        """Wait for a turn, and hold it; more at a time would slow each other, and all else."""
        self._here += 1
        try:
            async with self._work:
                began = self._clock()
                yield
                spent = (self._clock() - began) / AT_A_TIME
                self._each_s += WEIGHT * (spent - self._each_s)
        finally:
            self._here -= 1
