"""Killed at random points, a store has lost nothing that it said was kept, and nothing is half in.

A killed process is not a lost power supply: that a commit is on the disk is SQLite's word
(synchronous = FULL), which no test here can check.
"""

import random
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

import pytest

from matbook.book.chain import chains
from matbook.book.entry import read_entry
from matbook.store.contract import Store
from matbook.store.sqlite import open_store
from tests.store.killed import DEVICE, MANY

ROOT = Path(__file__).resolve().parents[2]
SEED = 20260512


def killed(path: Path, how: str, after_s: float, words: int = 0) -> list[str]:
    """Start the child, kill it so long after it said so many things; what it said was kept."""
    child = subprocess.Popen(
        [sys.executable, "-m", "tests.store.killed", str(path), how],
        cwd=ROOT,
        stdout=subprocess.PIPE,
        text=True,
        start_new_session=True,
    )
    assert child.stdout is not None
    assert child.stdout.readline() == "begun\n"
    first = [child.stdout.readline() for _ in range(words)]
    time.sleep(after_s)
    child.send_signal(signal.SIGKILL)
    said = "".join(first) + child.communicate()[0]
    assert child.returncode == -signal.SIGKILL
    check_nobody_left(child.pid)
    return [line for line in said.splitlines(keepends=True) if line.endswith("\n")]


def check_nobody_left(session: int) -> None:
    """Its own children end by themselves soon after."""
    for _ in range(200):
        if not running(session):
            return
        time.sleep(0.01)
    raise AssertionError(f"still there: {running(session)}")


def running(session: int) -> list[str]:
    """The processes of a session, but for those that only wait to be taken note of (proc(5))."""
    found = []
    for process in Path("/proc").glob("[0-9]*/stat"):
        with suppress(OSError):
            state, _, _, of, *_ = process.read_text().rpartition(")")[2].split()
            if int(of) == session and state not in "ZX":
                found.append(process.parent.name)
    return found


def check_sound(path: Path) -> None:
    connection = sqlite3.connect(path)
    try:
        assert connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        assert connection.execute("PRAGMA foreign_key_check").fetchall() == []
    finally:
        connection.close()


def check_one_by_one(store: Store, said: set[str]) -> int:
    """All that was said is there, and the chain is whole; how many entries there are."""
    entries = [read_entry(stored.text, stored.hash) for stored in store.entries("ridge")]
    assert said <= {entry.hash for entry in entries}
    if entries:
        chain = chains(entries)[DEVICE]
        assert chain.whole
        assert store.heads("ridge") == {DEVICE: chain.heads}
    return len(entries)


def check_many_at_once(store: Store, said: set[str]) -> int:
    """What was said is there, and every job is whole or not there at all; how many are there."""
    assert said <= set(store.jobs())
    for job in store.jobs():
        assert len(list(store.entries(job))) == MANY
        assert [head.seq for head in store.heads(job)["phone-1"]] == [MANY]
    return len(store.jobs())


def check_appends_killed(folder: Path, times: int) -> None:
    chance = random.Random(SEED)
    path = folder / "one"
    said: set[str] = set()
    there = 0
    for _ in range(times):
        now = {line.strip() for line in killed(path, "one", chance.uniform(0.0, 0.45))}
        said |= now
        with open_store(path) as store:
            before, there = there, check_one_by_one(store, said)
        check_sound(path)
        assert there - before - len(now) in (0, 1)  # one may be kept that it had no time to say
    assert len(said) > times  # a slow machine keeps fewer


def check_imports_killed(folder: Path, times: int) -> None:
    chance = random.Random(SEED)
    said, there = 0, 0
    for number in range(times):
        path = folder / f"all-{number}"
        words = number % 2  # however slow the machine, every other one is killed after an import
        now = {line.strip() for line in killed(path, "all", chance.uniform(0.0, 1.6), words)}
        with open_store(path) as store:
            count = check_many_at_once(store, now)
        check_sound(path)
        assert count - len(now) in (0, 1)
        said, there = said + len(now), there + count
        path.unlink()
    assert there >= said > 0


@pytest.mark.parametrize(("check", "times"), [(check_appends_killed, 4), (check_imports_killed, 2)])
def test_nothing_is_lost_in_a_few_kills(
    check: Callable[[Path, int], None], times: int, tmp_path: Path
) -> None:
    check(tmp_path, times)


@pytest.mark.long
@pytest.mark.parametrize("check", [check_appends_killed, check_imports_killed])
def test_nothing_is_lost_in_many_kills(check: Callable[[Path, int], None], tmp_path: Path) -> None:
    check(tmp_path, 100)
