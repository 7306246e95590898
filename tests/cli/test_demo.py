"""matbook demo as it is typed: it ends by itself in a script, and is alive where it serves."""

import json
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import httpx
import pytest

from matbook.book.chain import chains
from matbook.book.entry import Entry, read_entry
from matbook.book.pen import Pen, new_id
from matbook.bootstrap import open_installation
from matbook.records.reporting import holding_seal
from tests.cli.conftest import Site


class Playing:
    """A demo that serves, in a process of its own."""

    def __init__(self, folder: Path, speed: str) -> None:
        command = [sys.executable, "-m", "matbook", "demo", "--folder", str(folder)]
        self.process = subprocess.Popen(
            [*command, "--serve", "--no-open", "--speed", speed],
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        assert self.process.stdout is not None
        said = next((line for line in self.process.stdout if "in full swing at" in line), "")
        self.address = said.split()[-1] if said else self._failed()
        self.entries_at = f"{self.address}/api/jobs/harrow/entries"

    def _failed(self) -> str:
        raise AssertionError(self.process.communicate(timeout=10)[1])

    def entries(self) -> list[Entry]:
        got = httpx.get(self.entries_at, params={"limit": 1000}, timeout=20).json()["entries"]
        return [read_entry(one["text"], one["hash"]) for one in got]

    def shift(self) -> str:
        return max(entry.shift for entry in self.entries())

    def loads(self) -> list[Entry]:
        found = self.entries()
        shift = max(entry.shift for entry in found)
        return [entry for entry in found if (entry.kind, entry.shift) == ("load", shift)]

    def push(self, *entries: Entry) -> list[dict[str, Any]]:
        batch = {"entries": [{"hash": entry.hash, "text": entry.text} for entry in entries]}
        receipts: list[dict[str, Any]] = httpx.post(self.entries_at, json=batch).json()["receipts"]
        return receipts

    def stop(self) -> str:
        """Pull the plug, as Ctrl-C does; gives what was said last."""
        self.process.send_signal(signal.SIGINT)
        out, errors = self.process.communicate(timeout=30)
        assert errors == ""
        assert self.process.returncode == 0
        return out.strip().splitlines()[-1]


@contextmanager
def playing(folder: Path, speed: str = "600") -> Iterator[Playing]:
    found = Playing(folder, speed)
    try:
        yield found
    finally:
        if found.process.poll() is None:
            found.process.kill()
            found.process.communicate()


def wait_for(what: Callable[[], bool], seconds: float = 60) -> None:
    until = time.monotonic() + seconds
    while not what():
        assert time.monotonic() < until, f"still not so after {seconds} s"
        time.sleep(0.2)


def taken(phone: Pen, shift: str, ticket: int) -> tuple[Entry, Pen]:
    """A load that somebody takes in the app, now."""
    now = datetime.now().astimezone().replace(microsecond=0)
    body = {"plant": "stonewick", "ticket": str(ticket), "net": "22.40 t", "decision": "taken"}
    return phone.write(
        new_id(int(now.timestamp() * 1000), ticket.to_bytes(10, "big")),
        "harrow",
        "load",
        {**body, "mix": "ac16", "truck": "30"},
        at=now.isoformat(),
        written=now.isoformat(),
        shift=shift,
    )


def test_where_nobody_sits_it_writes_the_records_and_ends(tmp_path: Path, site: Site) -> None:
    folder = tmp_path / "demo"
    shown = site.json("demo", "--folder", str(folder))
    assert [one["shift"] for one in shown] == [
        "harrow/2026-06-16/a/day",
        "harrow/2026-06-17/a/day",
        "kestrel/2026-10-31/b/night",
    ]
    assert all(Path(one["record"]).read_bytes().startswith(b"%PDF") for one in shown)
    assert not list(folder.glob("today-*"))


@pytest.mark.long
def test_without_a_terminal_it_says_how_to_check_and_serves_nothing(
    tmp_path: Path, site: Site
) -> None:
    folder = tmp_path / "demo"
    done = site.run("demo", "--folder", str(folder))  # standard output is no terminal here
    assert "Check one:" in done.stdout
    assert not list(folder.glob("today-*"))


@pytest.mark.long
def test_it_plays_today_beside_somebody_and_goes_on_after_the_plug_is_pulled(
    tmp_path: Path,
) -> None:
    folder = tmp_path / "demo"
    with playing(folder) as first:
        before, shift = first.entries(), first.shift()
        began = datetime.now().astimezone()
        late = began - timedelta(minutes=3)
        assert max(entry.written for entry in before) < late
        wait_for(lambda: max(entry.written for entry in first.entries()) > late)
        assert len(first.entries()) > len(before) + 100, "it went on by itself"
        today = [entry for entry in first.entries() if entry.shift == shift]
        now = datetime.now().astimezone()
        assert today[0].kind == "shift-open"
        assert str(today[0].at.date()) == shift.split("/")[1]
        assert all(now - timedelta(hours=3) < e.at <= e.written <= now for e in today)

        last = max(int(load.body["ticket"]) for load in first.loads())
        mine, phone = taken(Pen("phone-of-a-guest", "ines"), shift, last + 1)
        assert [one["state"] for one in first.push(mine)] == ["kept"]
        theirs = {entry.hash for entry in first.entries() if entry.device == "phone-bo"}
        assert "The app in the browser goes on" in first.stop()

    assert_intact(folder)
    with playing(folder) as again:
        assert again.address == first.address, "the app that is still open finds it again"
        wait_for(lambda: mine.hash in {entry.hash for entry in again.entries()})
        other, _ = taken(phone, shift, last + 2)
        assert [one["state"] for one in again.push(other)] == ["kept"]
        wait_for(lambda: {e.hash for e in again.entries() if e.device == "phone-bo"} > theirs)
        tickets = [load.body["ticket"] for load in again.loads()]
        assert len(tickets) == len(set(tickets))
        again.stop()
    assert_intact(folder)


def assert_intact(folder: Path) -> None:
    """Whole chains; yesterday closed and sealed; nothing refused; one home for both runs."""
    (home,) = folder.glob("today-*")
    with open_installation(home).store as store:
        assert list(store.quarantined()) == []
    here = open_installation(home)
    book = here.book("harrow")
    found = chains(book.entries)
    assert all(chain.whole and len(chain.heads) == 1 for chain in found.values())
    assert holding_seal(book, book.shifts[0]) is not None
    assert book.facts(book.shifts[0]).of("shift-close")
    here.store.close()
    assert json.loads((home / "replay.json").read_text("utf-8"))["port"] > 0
