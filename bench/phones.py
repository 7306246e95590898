"""Phones that push what they wrote during an outage, from a process of their own.

python -m bench.phones PORT EACH FOLDER

One phone for each file of the folder, which holds the body of its push; all begin at once, when a
line comes in on standard input, and each tries again as the app does (web/src/book/sync.ts). What
each try came to goes out as JSON. As little as possible is done here: it is the server that is
measured.
"""

import asyncio
import json
import random
import sys
from pathlib import Path
from time import perf_counter
from typing import Final, NamedTuple

FIRST_PAUSE_S: Final = 2.0
LONGEST_PAUSE_S: Final = 60.0
PATIENCE_S: Final = 30.0
AT_MOST_S: Final = 240.0
CUT: Final = 0
"""Stands for the status where the connection ended without an answer."""


class Try(NamedTuple):
    """One request: what came of it, how long it took, and how long after the beginning it ended."""

    status: int
    took_s: float
    ended_s: float


class Answer(NamedTuple):
    """What the server said, as far as a phone needs it."""

    status: int
    retry_after_s: float
    taken: int
    """Entries that it has a receipt for."""


def pause_s(failures: int, asked_s: float) -> float:
    """How long the app waits before it tries again."""
    longest = min(LONGEST_PAUSE_S, FIRST_PAUSE_S * float(2 ** (failures - 1)))
    return max(asked_s, longest * (0.5 + random.random() / 2))


async def phone(port: int, body: bytes, each: int, begun: float) -> list[Try]:
    """Push until every entry is acknowledged; every try on the way there."""
    tries: list[Try] = []
    while True:
        began = perf_counter()
        answer = await asked(port, body)
        ended = perf_counter()
        tries.append(Try(answer.status, ended - began, ended - begun))
        if answer.taken == each:
            return tries
        if answer.status not in (CUT, 429, 503):
            raise SystemExit(f"the server answered {answer.status} with {answer.taken} receipts")
        await asyncio.sleep(pause_s(len(tries), answer.retry_after_s))


async def asked(port: int, body: bytes) -> Answer:
    """One push on a connection of its own."""
    try:
        async with asyncio.timeout(PATIENCE_S):
            reader, writer = await asyncio.open_connection("127.0.0.1", port)
            try:
                writer.write(head(port, len(body)) + body)
                raw = await reader.read()
            finally:
                writer.close()
    except (OSError, TimeoutError):
        return Answer(CUT, 0.0, 0)
    return read(raw)


def head(port: int, length: int) -> bytes:
    """The lines before the body of a push."""
    lines = (
        "POST /api/jobs/ridge/entries HTTP/1.1",
        f"Host: localhost:{port}",
        "Content-Type: application/json",
        f"Content-Length: {length}",
        "Connection: close",
    )
    return "\r\n".join((*lines, "", "")).encode()


def read(raw: bytes) -> Answer:
    """An answer taken apart; no answer at all counts as cut."""
    first, _, body = raw.partition(b"\r\n\r\n")
    if not body:
        return Answer(CUT, 0.0, 0)
    lines = first.decode().lower().split("\r\n")
    headers = dict(line.split(": ", 1) for line in lines[1:])
    taken = body.count(b'"state":"kept"') + body.count(b'"state":"had"')
    return Answer(int(lines[0].split()[1]), float(headers.get("retry-after", 0)), taken)


async def all_of(port: int, each: int, bodies: list[bytes]) -> list[list[Try]]:
    """Every phone at once."""
    begun = perf_counter()
    async with asyncio.timeout(AT_MOST_S):
        return await asyncio.gather(*(phone(port, body, each, begun) for body in bodies))


def main(port: str, each: str, folder: str) -> None:
    """Read the bodies, say that all is ready, and push on the word."""
    bodies = [path.read_bytes() for path in sorted(Path(folder).iterdir())]
    print("ready", flush=True)
    sys.stdin.readline()
    print(json.dumps(asyncio.run(all_of(int(port), int(each), bodies))))


if __name__ == "__main__":
    main(*sys.argv[1:])
