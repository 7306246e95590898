"""Checking a long import on the machine's other processors.

Plain child processes on pipes rather than a pool from the standard library: they don't run the
caller's own script again, and they end by themselves when this process is killed.
"""

import os
import subprocess
import sys
from collections import deque
from collections.abc import Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import ExitStack, contextmanager
from itertools import islice
from queue import SimpleQueue
from typing import Final

from matbook.store.checking import Checked, checked, receive, send
from matbook.store.contract import Written

PIECE: Final = 2000
"""Entries checked and written together."""

_ALONE: Final = 4
"""So many pieces are checked here before others are called in: starting them takes as long."""

Piece = tuple[list[Written], Checked]


def checked_pieces(written: Iterable[Written], hands: int | None = None) -> Iterator[Piece]:
    """Cut a stream of entries into pieces and check each; they come out in the order they went in.

    Args:
        written: The entries, any number of them.
        hands: Child processes for a long stream; None for as many as there are processors.
    """
    wanted = min(os.cpu_count() or 1, 4) if hands is None else hands
    pieces = _cut(written)
    for piece in islice(pieces, _ALONE):
        yield piece, checked(piece)
    first = next(pieces, None)
    if first is None:
        return
    with ExitStack() as crew:
        idle: SimpleQueue[subprocess.Popen[bytes]] = SimpleQueue()
        for _ in range(wanted):
            idle.put(crew.enter_context(_hand()))
        threads = crew.enter_context(ThreadPoolExecutor(max(wanted, 1)))
        waiting: deque[tuple[list[Written], Future[Checked]]] = deque()
        for piece in _with_first(first, pieces):
            waiting.append((piece, threads.submit(_ask, idle, piece)))
            if len(waiting) > wanted + 1:
                done, answer = waiting.popleft()
                yield done, answer.result()
        for done, answer in waiting:
            yield done, answer.result()
