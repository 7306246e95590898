"""Checking a long import on the machine's other processors.

Plain child processes on pipes rather than a pool from the standard library: they don't run the
caller's own script again, and they end by themselves when this process is killed.
"""

import os
import subprocess
import sys
from collections import deque
from collections.abc import Generator, Iterable, Iterator
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import ExitStack, contextmanager
from itertools import chain, islice
from queue import Empty, SimpleQueue
from typing import Final, cast

from matbook.store.checking import Checked, checked, receive, send
from matbook.store.contract import Written

PIECE: Final = 2000
"""Entries checked and written together."""

_ALONE: Final = 4
"""So many pieces are checked here before others are called in: starting them takes as long."""

_COMMAND: Final = (sys.executable, "-P", "-m", "matbook.store.checking")

Piece = tuple[list[Written], Checked]
Hand = subprocess.Popen[bytes]


def checked_pieces(
    written: Iterable[Written], hands: int | None = None, command: tuple[str, ...] = _COMMAND
) -> Generator[Piece]:
    """Cut a stream of entries into pieces and check each; they come out in the order they went in.

    Args:
        written: The entries, any number of them.
        hands: Child processes for a long stream; None for as many as there are processors.
        command: What a child runs; if it won't start or answer, its work is done here.
    """
    pieces = cut(written)
    for piece in islice(pieces, _ALONE):
        yield piece, checked(piece)
    for piece in islice(pieces, 1):
        wanted = min(os.cpu_count() or 1, 4) if hands is None else hands
        yield from _by_hands(chain([piece], pieces), wanted, command)


def _by_hands(
    pieces: Iterable[list[Written]], hands: int, command: tuple[str, ...]
) -> Iterator[Piece]:
    with ExitStack() as crew:
        idle: SimpleQueue[Hand] = SimpleQueue()
        for _ in range(hands):
            for hand in crew.enter_context(_hired(command)):
                idle.put(hand)
        threads = crew.enter_context(ThreadPoolExecutor(max(hands, 1)))
        waiting: deque[tuple[list[Written], Future[Checked]]] = deque()
        for piece in pieces:
            waiting.append((piece, threads.submit(_ask, idle, piece)))
            if len(waiting) > hands + 1:
                first, answer = waiting.popleft()
                yield first, answer.result()
        for first, answer in waiting:
            yield first, answer.result()


def cut(written: Iterable[Written]) -> Iterator[list[Written]]:
    """The entries in pieces of `PIECE`."""
    source = iter(written)
    while piece := list(islice(source, PIECE)):
        yield piece


@contextmanager
def _hired(command: tuple[str, ...]) -> Iterator[list[Hand]]:
    """One child, or none where it can't be started."""
    try:
        hand = subprocess.Popen(
            command,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
        )
    except OSError:
        yield []
        return
    try:
        yield [hand]
    finally:
        hand.kill()
        hand.communicate()


def _ask(idle: "SimpleQueue[Hand]", piece: list[Written]) -> Checked:
    """Have a child check a piece; one that fails isn't asked again, and the piece is done here."""
    try:
        hand = idle.get_nowait()
    except Empty:
        return checked(piece)
    assert hand.stdin
    assert hand.stdout
    try:
        send(hand.stdin, piece)
        answer = cast(Checked, receive(hand.stdout))
    except (OSError, EOFError, ValueError):
        return checked(piece)
    idle.put(hand)
    return answer
