"""The stream that says that there is something to pull.

It carries no entry, only how far the book reaches: what is said here may be lost or doubled
without harm, because the pull goes by the client's own cursor.
"""

import asyncio
import time
from collections.abc import AsyncIterator, Callable
from typing import Final

from starlette.concurrency import run_in_threadpool

from matbook.store.contract import Store

LOOK_S: Final = 1.0
"""How often the store is looked at for what other processes wrote [s]."""
BEAT_S: Final = 15.0
"""A line that says nothing, so that a dead connection is found out [s]."""


class News:
    """Tells everybody who listens for a job how far it reaches. Lives on the event loop."""

    def __init__(self, store: Store, clock: Callable[[], float] = time.monotonic) -> None:
        self._store = store
        self._clock = clock
        self._looked: dict[str, tuple[float, int]] = {}
        self._bell = asyncio.Event()
        self._stopped = False

    def ring(self) -> None:
        """Something was written here: don't wait for the next look."""
        self._looked.clear()
        bell, self._bell = self._bell, asyncio.Event()
        bell.set()

    def stop(self) -> None:
        """Send everybody home: the server ends."""
        self._stopped = True
        self.ring()

    async def cursor(self, job: str) -> int:
        """How far a job reaches; one look serves everybody who asks within a second."""
        looked, found = self._looked.get(job, (float("-inf"), 0))
        if self._clock() - looked >= LOOK_S:
            found = await run_in_threadpool(self._store.cursor, job)
            self._looked[job] = (self._clock(), found)
        return found

    async def listen(self, job: str) -> AsyncIterator[str]:
        """Events for as long as somebody listens: first how far it reaches, then each change."""
        told, quiet_since = -1, self._clock()
        while not self._stopped:
            bell = self._bell
            found = await self.cursor(job)
            if found != told:
                told, quiet_since = found, self._clock()
                yield f'event: more\ndata: {{"cursor":{found}}}\n\n'
            elif self._clock() - quiet_since >= BEAT_S:
                quiet_since = self._clock()
                yield ": still here\n\n"
            try:
                await asyncio.wait_for(bell.wait(), LOOK_S)
            except TimeoutError:
                continue
