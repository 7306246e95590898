"""After an outage: hundreds of phones push all that they wrote meanwhile, at one moment.

A real `matbook serve` over loopback, without accounts; the phones live in processes of their own,
send batches as the app does, and wait as the app does when they are told to come again. What
others wrote, and would be pulled next, is not part of it.
"""

import json
import subprocess
import sys
from collections.abc import Callable, Sequence
from itertools import islice
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from typing import Final, NamedTuple

import httpx

from bench.phones import Try
from bench.row import Row
from bench.store import BUILD, alone, as_values, insert, timed, written
from matbook.bootstrap import open_installation
from matbook.store.contract import Written
from tests.web.office import Office

EACH: Final = 500
"""Entries that each phone has to send: the most that one push may hold."""
HANDS: Final = 2
"""Processes that the phones live in."""
LOOK_S: Final = 0.5


class Outage(NamedTuple):
    """What one outage came to."""

    tries: list[Try]
    all_s: float
    memory_mb: list[float]
    """Of the server: before, now and then in between, and after."""


def rows(quick: bool) -> list[Row]:
    """How long a push takes, until when everything is acknowledged, what the server needs."""
    phones = 30 if quick else 300
    entries = list(islice(written(phones), phones * EACH))
    batches = [entries[number::phones] for number in range(phones)]
    BUILD.mkdir(exist_ok=True)
    with TemporaryDirectory(dir=BUILD, prefix="bench-") as name:
        folder = Path(name)
        spent = inserted(folder, batches)
        found = outage(folder, batches)
    kept = sorted(one.took_s for one in found.tries if one.status == 200)
    every = sorted(one.took_s for one in found.tries)
    again = len(every) - len(kept)
    who = f"{phones} phones, {EACH} entries each"
    one = f"INSERT of the same {EACH} rows by sqlite3 alone"
    before, *between = found.memory_mb
    half, after = between[len(between) // 2], between[-1]
    return [
        ratio(f"{who}: a push that is taken, median, ms", median(kept), median(spent), one),
        ratio(
            f"{who}: a push that is taken, 99 %, ms",
            late(kept),
            median(spent),
            f"aim under 2000 ms; {one}",
        ),
        ratio(
            f"{who}: any answer, 99 %, ms",
            late(every),
            median(spent),
            f"aim under 2000 ms; {again} of {len(every)} were told to come again; {one}",
        ),
        ratio(
            f"{who}: until all are acknowledged, ms",
            found.all_s,
            sum(spent),
            "all at once, tried again as the app does; the same INSERTs one after the other",
        ),
        Row(
            f"{who}: memory of the server, after, MB",
            after,
            half,
            after / half,
            f"aim flat; half way; {before:.0f} MB before, at most {max(between):.0f} MB",
        ),
    ]


def ratio(name: str, ours_s: float, reference_s: float, note: str) -> Row:
    """A row of milliseconds."""
    return Row(name, ours_s * 1000, reference_s * 1000, ours_s / reference_s, note)


def late(spent: Sequence[float]) -> float:
    """What 99 % stay under, of sorted values."""
    return spent[min(len(spent) - 1, int(len(spent) * 0.99))]


def inserted(folder: Path, batches: Sequence[list[Written]]) -> list[float]:
    """How long sqlite3 alone takes for each batch [s], in a durable transaction of its own."""
    values = iter(list(as_values([entry for batch in batches for entry in batch])))
    with alone(folder / "raw") as raw:
        return [timed(insert, raw, list(islice(values, EACH))) for _ in batches]


def outage(folder: Path, batches: Sequence[list[Written]]) -> Outage:
    """Let every phone push its batch to a server of its own process."""
    open_installation(folder / "home").store.close()
    for number, batch in enumerate(batches):
        hand = folder / f"hand-{number % HANDS}"
        hand.mkdir(exist_ok=True)
        (hand / f"{number:04d}").write_bytes(pushed(batch))
    office = Office(folder / "home")
    try:
        warmed(office)
        memory = [memory_mb(office)]
        tries = driven(
            office.port,
            [folder / f"hand-{number}" for number in range(HANDS)],
            lambda: memory.append(memory_mb(office)),
        )
        memory.append(memory_mb(office))
        assert len(office.entries("ridge")) == 1000, "acknowledged, and not there"
    finally:
        office.kill()
    store = open_installation(folder / "home").store
    with store:
        assert store.cursor("ridge") == EACH * len(batches), "acknowledged, and not there"
    return Outage(tries, max(one.ended_s for one in tries), memory)


def pushed(batch: Sequence[Written]) -> bytes:
    """The body of a push, as the app writes it."""
    entries = [{"hash": digest, "text": text} for digest, text in batch]
    body = {"entries": entries, "signed": None}
    return json.dumps(body, ensure_ascii=False, separators=(",", ":")).encode()


def warmed(office: Office) -> None:
    """Have the server do everything once that is loaded when it is first needed."""
    path = f"{office.address}/api/jobs/warm/entries"
    for _ in range(3):
        httpx.post(path, json={"entries": []}).raise_for_status()


def driven(port: int, folders: Sequence[Path], look: Callable[[], None]) -> list[Try]:
    """Start the processes, give all of them the word at once, and gather what they tell."""
    command = [sys.executable, "-m", "bench.phones", str(port), str(EACH)]
    hands = [
        subprocess.Popen(
            [*command, str(folder)], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )
        for folder in folders
    ]
    for hand in hands:
        assert hand.stdout
        assert hand.stdout.readline() == "ready\n", "the phones did not start"
    for hand in hands:
        assert hand.stdin
        hand.stdin.write("go\n")
        hand.stdin.flush()
    told = [heard(hand, look) for hand in hands]
    assert all(hand.returncode == 0 for hand in hands), "not all phones were heard"
    return [Try(*one) for text in told for phone in json.loads(text) for one in phone]


def heard(hand: subprocess.Popen[str], look: Callable[[], None]) -> str:
    """What a process tells at its end; until then, a look at the server every now and then."""
    while True:
        try:
            return hand.communicate(timeout=LOOK_S)[0]
        except subprocess.TimeoutExpired:
            look()


def memory_mb(office: Office) -> float:
    """What the server has in memory [MB], as the kernel tells it."""
    lines = Path(f"/proc/{office.pid}/status").read_text(encoding="ascii").splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith("VmRSS:")) / 1024
