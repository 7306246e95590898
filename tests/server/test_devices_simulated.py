"""Many phones and the server's real code, through everything that happens to them outside.

Connections are cut before and after the server hears; requests come twice, or late; the server
is started again from its file, or put back from an older copy of it; phones are copied, put back,
and their clocks are wrong. At the end nothing that anybody wrote is lost, nothing is there twice,
and everybody is shown the same.
"""

import asyncio
import shutil
import sqlite3
import time
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from io import StringIO
from itertools import count
from pathlib import Path
from random import Random
from typing import Any

import pytest

from matbook.book.chain import chains
from matbook.bootstrap import Installation, open_installation
from matbook.desk.open_book import OpenBook
from matbook.server import entries
from matbook.server.app import Web, web_app
from matbook.server.house import Serving
from tests.scribe import Scribe
from tests.server.devices import Cut, Phone, ask
from tests.server.house import PATIENT, PLAN
from tests.store.books import pair

DAY_ONE = datetime.fromisoformat("2026-05-12T06:30:00-03:00")
CLOCKS = (0, 0, 3, -40, 3600, -3600, 86_400, -20_000_000)
"""How wrong a phone's clock is [s]: right, a little, an hour, a day, a dead battery."""


@dataclass
class Tally:
    """What happened, so that a run can say that it happened."""

    device_days: int = 0
    entries: int = 0
    happened: dict[str, int] = field(default_factory=dict)

    def note(self, what: str) -> None:
        self.happened[what] = self.happened.get(what, 0) + 1

    def add(self, other: "Tally") -> None:
        self.device_days += other.device_days
        self.entries += other.entries
        for what, times in other.happened.items():
            self.happened[what] = self.happened.get(what, 0) + times


class Site:
    """The server, the weather on the line to it, and the phones."""

    def __init__(self, home: Path, dice: Random, tally: Tally, phones: int) -> None:
        self.home, self.dice, self.tally = home, dice, tally
        self.house: Installation
        self.web: Web
        self.now = DAY_ONE
        self.weather = 0.0
        self.late: list[tuple[str, str, object]] = []
        self.copies: list[Path] = []
        self.written: dict[str, str] = {}
        self._numbers = count(1000)
        self._open()
        people = ("ana", "sam", "tom")
        self.phones = [
            Phone(f"phone-{n}", people[n % 3], dice.choice(CLOCKS), dice) for n in range(phones)
        ]
        self.old: dict[str, Phone] = {}
        plan = Scribe("tablet", "sam").write("plan", {"toml": PLAN}, -60)
        self.written[plan.hash] = plan.text
        self.phones[0].book[plan.hash] = plan

    def _open(self) -> None:
        self.house = open_installation(self.home, lambda: self.now)
        self.web = web_app(self.house, Serving(limits=PATIENT), out=StringIO())

    # The line

    async def ask(self, method: str, path: str, body: object = None) -> Any:
        fate = self.dice.random()
        if fate < self.weather:
            self.tally.note("cut before the server heard")
            raise Cut
        if fate < 1.3 * self.weather:
            self.late.append((method, path, body))
        status, answer = await ask(self.web, method, path, body)
        assert status == 200, answer
        if fate > 1 - self.weather:
            self.tally.note("cut after the server heard")
            raise Cut
        if fate > 1 - 1.3 * self.weather:
            self.tally.note("heard twice")
            status, answer = await ask(self.web, method, path, body)
        return answer

    async def hear_late(self) -> None:
        """What was on its way for long arrives now, in any order."""
        self.dice.shuffle(self.late)
        while self.late:
            self.tally.note("heard late")
            method, path, body = self.late.pop()
            status, _ = await ask(self.web, method, path, body)
            assert status == 200

    # What happens

    async def day(self) -> None:
        self.weather = self.dice.choice((0.0, 0.05, 0.2, 0.5))
        self.tally.device_days += len(self.phones)
        for _ in range(3 * len(self.phones)):
            self.now += timedelta(minutes=self.dice.randrange(1, 12))
            phone = self.dice.choice(self.phones)
            for _ in range(self.dice.randrange(6)):
                self._write(phone)
            if self.dice.random() < 0.6:
                await phone.sync(self)
            await self._event()
        self.now = self.now.replace(hour=6, minute=30) + timedelta(days=1)

    async def _event(self) -> None:
        fate = self.dice.random()
        if fate < 0.05:
            self._crash()
        elif fate < 0.10:
            self._copy()
        elif fate < 0.13 and self.copies:
            self._put_back(self.dice.choice(self.copies))
        elif fate < 0.15:
            await self.hear_late()
        elif fate < 0.16 and len(self.phones) < 9:
            self._clone(self.dice.choice(self.phones))
        elif fate < 0.20:
            self._put_phone_back(self.dice.choice(self.phones))

    def _write(self, phone: Phone) -> None:
        shift = f"ridge/{self.now.date()}/a/day"
        number = next(self._numbers)
        others = [e for e in phone.book.values() if e.kind == "load" and e.shift == shift]
        if others and self.dice.random() < 0.15:
            self.tally.note("struck")
            more: dict[str, Any] = {"strikes": self.dice.choice(others).id, "why": "wrong truck"}
        else:
            more = {}
        if self.dice.random() < 0.6 or more:
            temp = f"{self.dice.randrange(90, 170)} degC"
            body = {"plant": "hill", "truck": "12", "mix": "ac16", "decision": "taken"}
            body |= {"ticket": str(number), "net": "22.00 t", "temp": temp}
            place = {"lane": "E", "lift": "binder", "paver": "P1"}
            entry = phone.write("load", body, self.now, shift=shift, place=place, **more)
        else:
            entry = phone.write("note", {"text": f"note {number} ☃"}, self.now, shift=shift)
        self.written[entry.hash] = entry.text
        self.tally.entries += 1

    def _crash(self) -> None:
        self.tally.note("server started again")
        self.house.store.close()
        self._open()

    def _copy(self) -> None:
        path = self.home.parent / f"copy-{len(self.copies)}.sqlite"
        source, target = sqlite3.connect(self.home / "books.sqlite"), sqlite3.connect(path)
        source.backup(target)
        source.close()
        target.close()
        self.copies.append(path)

    def _put_back(self, copy: Path) -> None:
        self.tally.note("server put back from a copy")
        self.house.store.close()
        for ending in ("", "-wal", "-shm"):
            self.home.joinpath(f"books.sqlite{ending}").unlink(missing_ok=True)
        shutil.copy(copy, self.home / "books.sqlite")
        self._open()

    def _clone(self, phone: Phone) -> None:
        self.tally.note("phone copied")
        self.phones.append(phone.copy())

    def _put_phone_back(self, phone: Phone) -> None:
        """A phone gets an older state of itself, where nothing is on its disk alone."""
        older = self.old.pop(phone.name, None)
        elsewhere = {h for other in self.phones if other is not phone for h in other.book}
        if older is None:
            self.old[phone.name] = phone.copy()
        elif phone.book.keys() <= elsewhere:
            self.tally.note("phone put back")
            self.phones[self.phones.index(phone)] = older

    # The end

    async def settle(self) -> None:
        """Good weather, until nobody has anything left to say."""
        self.weather = 0.0
        await self.hear_late()
        for _ in range(12):
            done = [await phone.sync(self) for phone in self.phones]
            books = {frozenset(phone.book) for phone in self.phones}
            if all(done) and len(books) == 1 and not any(p.unsent() for p in self.phones):
                return
        raise AssertionError("the phones never agreed")

    async def check(self) -> None:
        """Nothing lost, nothing twice, the same for everybody."""
        stored = [(s.hash, s.text) for s in self.house.store.entries("ridge")]
        assert len(stored) == len({digest for digest, _ in stored}), "twice on the server"
        assert dict(stored) == self.written, "not what was written"
        fresh = Phone("fresh", "tom", 0, self.dice)
        assert await fresh.sync(self)
        at = self.now.isoformat()
        _, expected = await ask(self.web, "GET", f"/api/jobs/ridge/ask/now?at={quoted(at)}")
        for phone in (fresh, *self.phones):
            assert {e.hash: e.text for e in phone.book.values()} == self.written
        for phone in (fresh, self.dice.choice(self.phones)):
            pairs = [pair(entry) for entry in phone.book.values()]
            assert shown(pairs, at) == expected
        pens = {phone.pen for phone in self.phones}  # copies that wrote nothing since share one
        assert len(pens) == len({pen.device for pen in pens}), "two would write on one chain"
        own = chains(fresh.book.values())
        assert not [chain for chain in own.values() if chain.gaps], "a number is missing"


def quoted(moment: str) -> str:
    return moment.replace("+", "%2B")


def shown(pairs: list[tuple[str, str]], at: str) -> object:
    book = OpenBook("ridge")
    book.add(pairs)
    return book.ask("now", {"at": at, "role": "supervisor"})


async def run(folder: Path, seed: int, tally: Tally, phones: int, days: int) -> None:
    site = Site(folder / "home", Random(seed), tally, phones)
    try:
        for _ in range(days):
            await site.day()
        await site.settle()
        await site.check()
    finally:
        site.house.store.close()


def simulate(folder: Path, seed: int, tally: Tally, phones: int = 4, days: int = 5) -> None:
    """One site with a seed of its own; the seed is in the error if anything is wrong."""
    folder.mkdir()
    try:
        asyncio.run(run(folder, seed, tally, phones, days))
    except AssertionError as error:
        error.add_note(f"seed {seed}")
        raise
    shutil.rmtree(folder)


@pytest.mark.parametrize("seed", range(4))
def test_phones_and_server_agree_in_the_end(tmp_path: Path, seed: int) -> None:
    tally = Tally()
    simulate(tmp_path / "site", seed, tally, days=3)
    assert tally.entries > 20


def test_everything_happens_in_the_short_runs(tmp_path: Path) -> None:
    tally = Tally()
    for seed in range(100, 104):
        simulate(tmp_path / f"{seed}", seed, tally, days=4)
    assert set(tally.happened) == {
        "cut before the server heard",
        "cut after the server heard",
        "heard twice",
        "heard late",
        "server started again",
        "server put back from a copy",
        "phone copied",
        "phone put back",
        "struck",
    }


def several(folder: Path) -> None:
    for seed in range(5000, 5012):
        simulate(folder / f"{seed}", seed, Tally(), phones=5, days=6)


@pytest.mark.parametrize(
    ("what", "name", "broken"),
    [
        (entries, "_is_at", lambda *_: True),  # a server that never says: begin again
        (Phone, "_forked", lambda _: False),  # a phone that goes on writing on a copied chain
    ],
)
def test_the_simulation_notices_what_is_broken(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, what: object, name: str, broken: object
) -> None:
    monkeypatch.setattr(what, name, broken)
    with pytest.raises(AssertionError, match=r"never agreed|one chain|not what was written"):
        several(tmp_path)


DEVICE_DAYS, PARTS, MINUTES = 10_000, 25, 15
LONG = Tally()
"""Of all parts of the long run together."""


@pytest.fixture(scope="module")
def began() -> float:
    return time.monotonic()


@pytest.mark.long
@pytest.mark.parametrize("part", range(PARTS))
def test_ten_thousand_device_days(
    tmp_path: Path, began: float, part: int, capsys: pytest.CaptureFixture[str]
) -> None:
    """In parts, each with seeds of its own; what is over the time is left, and the number said."""
    tally, wanted = Tally(), DEVICE_DAYS // PARTS
    for seed in count(1_000_000 * (part + 1)):
        over = time.monotonic() - began > 60 * MINUTES
        if tally.device_days >= wanted or (over and tally.device_days):
            break
        simulate(tmp_path / f"{seed}", seed, tally, phones=5, days=8)
    LONG.add(tally)
    with capsys.disabled():
        print(f"\n{LONG.device_days} device-days, {LONG.entries} entries: {LONG.happened}")
    assert tally.entries > tally.device_days
