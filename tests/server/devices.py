"""A phone in Python: its pen, its book, and how it pushes and pulls, as docs/server.md says."""

import asyncio
import json
from collections.abc import Iterable, Mapping
from copy import deepcopy
from datetime import datetime, timedelta
from random import Random
from typing import Any, Protocol
from urllib.parse import urlencode

from starlette.types import Message

from matbook.book.entry import Entry, read_entry
from matbook.book.pen import Pen, new_id
from matbook.server.app import Web

BATCH = 40
PAGE = 60


class Cut(Exception):
    """The connection ended; whether the server heard is not known."""


class Line(Protocol):
    """A connection to the server."""

    async def ask(self, method: str, path: str, body: object = None) -> Any:
        """What the server answers; raises Cut."""
        ...


class Phone:
    """One device. Everything in it is on its own disk: it may be copied, and put back."""

    def __init__(self, name: str, person: str, clock_error_s: float, dice: Random) -> None:
        self.name = name
        self.pen = Pen(name, person)
        self.clock_error = timedelta(seconds=clock_error_s)
        self.dice = dice
        self.book: dict[str, Entry] = {}
        self.met: set[str] = set()
        """What it has met on the server, up to its cursor."""
        self.acknowledged: set[str] = set()
        """What the server has acknowledged since; a pull that reaches the end must meet it."""
        self.cursor, self.behind, self.received, self.epoch = 0, "", "", ""

    def copy(self) -> "Phone":
        """Another phone with the same disk."""
        return deepcopy(self)

    # Writing

    def write(self, kind: str, body: Mapping[str, Any], true_now: datetime, **more: Any) -> Entry:
        """Write by this phone's own clock, right or wrong."""
        now = (true_now + self.clock_error).replace(microsecond=0)
        entry, self.pen = self.pen.write(
            new_id(int(now.timestamp() * 1000), self.dice.randbytes(10)),
            "ridge",
            kind,
            body,
            at=now.isoformat(),
            written=now.isoformat(),
            **more,
        )
        self.book[entry.hash] = entry
        return entry

    def unsent(self) -> list[Entry]:
        """What is not on the server yet, as far as this phone knows: each chain in order."""
        there = self.met | self.acknowledged
        found = [entry for digest, entry in self.book.items() if digest not in there]
        return sorted(found, key=lambda entry: (entry.device, entry.seq, entry.hash))

    # Sync

    async def sync(self, line: Line) -> bool:
        """Push, pull, and push again what the server turns out to lack; False if it was cut off."""
        try:
            for _ in range(4):
                await self._push(line)
                await self._pull(line)
                if not self.unsent():
                    return True
        except Cut:
            return False
        return False

    async def _push(self, line: Line) -> None:
        while batch := self.unsent()[:BATCH]:
            entries = [{"hash": entry.hash, "text": entry.text} for entry in batch]
            answer = await line.ask("POST", "/api/jobs/ridge/entries", {"entries": entries})
            for receipt in answer["receipts"]:
                assert receipt["state"] in ("kept", "had"), receipt
                self.acknowledged.add(receipt["hash"])

    async def _pull(self, line: Line) -> None:
        while True:
            place = {"after": self.cursor, "behind": self.behind, "received": self.received}
            query = urlencode({**place, "limit": PAGE})
            answer = await line.ask("GET", f"/api/jobs/ridge/entries?{query}")
            if answer["again"] or self.epoch not in ("", answer["epoch"]):
                self._begin_again(answer["epoch"])
                continue
            self.epoch = answer["epoch"]
            for sent in answer["entries"]:
                self.book.setdefault(sent["hash"], read_entry(sent["text"], sent["hash"]))
                self.met.add(sent["hash"])
                self.cursor, self.behind = sent["cursor"], sent["hash"]
                self.received = sent["received"]
            if not answer["more"]:
                break
        self.acknowledged.clear()  # the whole server was met: what wasn't is sent again
        self._mind_the_chain(answer["heads"].get(self.pen.device, ()))

    def _begin_again(self, epoch: str) -> None:
        """This is not the store that was known: read all of it, and send what it lacks."""
        self.epoch = epoch
        self.cursor, self.behind, self.received = 0, "", ""
        self.acknowledged |= self.met
        self.met.clear()

    def _mind_the_chain(self, heads: Iterable[Mapping[str, Any]]) -> None:
        """Go on under a new name if somebody else writes on this phone's chain."""
        if self._forked() or any(head["hash"] not in self.book for head in heads):
            self.pen = Pen(f"{self.name}-{self.dice.randbytes(3).hex()}", self.pen.by)

    def _forked(self) -> bool:
        """Whether somebody else writes on this phone's own chain: it was copied, or put back."""
        numbers = [e.seq for e in self.book.values() if e.device == self.pen.device]
        return len(numbers) != len(set(numbers)) or max(numbers, default=0) != self.pen.seq


async def ask(web: Web, method: str, target: str, body: object = None) -> tuple[int, Any]:
    """One request to the server's own code, without a network."""
    path, _, query = target.partition("?")
    raw = b"" if body is None else json.dumps(body).encode()
    headers = [(b"host", b"localhost:8417"), (b"content-length", str(len(raw)).encode())]
    headers += [(b"content-type", b"application/json")] if raw else []
    scope = {
        "type": "http",
        "asgi": {"version": "3.0"},
        "http_version": "1.1",
        "method": method,
        "scheme": "http",
        "path": path,
        "raw_path": path.encode(),
        "query_string": query.encode(),
        "root_path": "",
        "headers": headers,
        "client": ("127.0.0.1", 1),
        "server": ("127.0.0.1", 8417),
    }
    given: list[Message] = [{"type": "http.request", "body": raw, "more_body": False}]
    status, out = 0, bytearray()

    async def receive() -> Message:
        if given:
            return given.pop()
        return await asyncio.Future()

    async def send(message: Message) -> None:
        nonlocal status
        status = message.get("status", status)
        out.extend(message.get("body", b""))

    await web(scope, receive, send)
    return status, json.loads(out)
