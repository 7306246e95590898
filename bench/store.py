"""Keeping entries: one at a time durably, and a season's worth at once, against SQLite alone."""

import json
import sqlite3
import time
from collections import deque
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from itertools import islice
from pathlib import Path
from statistics import median
from tempfile import TemporaryDirectory
from typing import Any

from bench.row import Row
from matbook.book.entry import checked_hash, envelope
from matbook.book.pen import Pen, new_id
from matbook.store.checking import checked
from matbook.store.contract import Written
from matbook.store.crew import cut
from matbook.store.sqlite import SqliteStore, open_store

BUILD = Path(__file__).resolve().parents[1] / "build"
"""On the disk of the project: a temporary folder may lie in memory, where nothing is durable."""

NOW = "2026-05-12T12:00:00+00:00"
DEVICES = 5
PER_SHIFT = 2000
INSERT = "INSERT INTO entry VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)"
CLEAR = ("DELETE FROM entry", "DELETE FROM head", "VACUUM")
SAME = ("synchronous", "fullfsync", "foreign_keys", "cache_size", "journal_size_limit")

Values = tuple[object, ...]


def rows(quick: bool) -> Iterator[Row]:
    """What the store does in a second, beside SQLite's own inserts into the same table."""
    entries = list(islice(written(), 100_000 if quick else 1_000_000))
    BUILD.mkdir(exist_ok=True)
    with TemporaryDirectory(dir=BUILD, prefix="bench-") as name:
        folder = Path(name)
        yield appended(folder, entries[: 500 if quick else 3000])
        yield imported(folder, entries)
        yield from parts(folder, entries[:20_000])


def written(devices: int = DEVICES) -> Iterator[Written]:
    """Invented loads of a long job, as several devices would write them by turns."""
    pens = [Pen(f"phone-{number}", "ana") for number in range(devices)]
    number = 0
    while True:
        day, turn = divmod(number, PER_SHIFT)
        date = f"{2026 + day // 336}-{1 + day // 28 % 12:02d}-{1 + day % 28:02d}"
        at = f"{date}T{7 + turn * 10 // PER_SHIFT:02d}:{turn % 60:02d}:00-03:00"
        body = {"ticket": str(100_000 + number), "plant": "north", "mix": "base-19", "truck": "t7"}
        entry, pens[number % devices] = pens[number % devices].write(
            new_id(1_780_000_000_000 + 20_000 * number, number.to_bytes(10, "big")),
            "ridge",
            "load",
            {**body, "net": {"unit": "t", "value": f"{18 + number % 700 / 100:.2f}"}},
            at=at,
            written=at,
            shift=f"ridge/{date}/a/day",
        )
        yield entry.hash, entry.text
        number += 1


def appended(folder: Path, entries: list[Written]) -> Row:
    """Each entry in a transaction of its own, by turns here and there."""
    values = list(as_values(entries))
    ours, reference = [], []
    with fresh(folder / "ours") as store, alone(folder / "raw") as raw:
        for entry, row in zip(entries, values, strict=True):
            ours.append(timed(store.append, [entry], NOW))
            reference.append(timed(insert, raw, [row]))
    return rate(
        "durable append, entries/s",
        1 / median(ours),
        1 / median(reference),
        "aim 0.5; one INSERT of the same row by sqlite3 alone, same table, indexes and pragmas",
    )


def imported(folder: Path, entries: list[Written]) -> Row:
    """All entries in one transaction, three times by turns."""
    values = list(as_values(entries))
    ours, reference = [], []
    for _ in range(3):
        with alone(folder / "raw") as raw:
            reference.append(timed(insert, raw, values))
        with fresh(folder / "ours") as store:
            ours.append(timed(store.append_all, iter(entries), NOW))
            assert len(store.heads("ridge")) == DEVICES
    return rate(
        f"import of {len(entries)} written entries, entries/s",
        len(entries) / median(ours),
        len(entries) / median(reference),
        "aim 0.4, at least 0.25; executemany of the same rows, same table, indexes and pragmas",
    )


def parts(folder: Path, entries: list[Written]) -> Iterator[Row]:
    """What an import spends its time on, on one processor, each part apart."""
    texts = [text for _, text in entries]
    pieces = [(piece, checked(piece)) for piece in cut(entries)]
    hashes = [hash_ for hash_, _ in entries]
    parse = best(lambda: done(map(json.loads, texts)))
    check = best(lambda: done(map(envelope, texts))) - parse
    digest = best(lambda: done(map(checked_hash, texts, hashes)))
    with fresh(folder / "ours") as store:

        def write() -> None:
            with store._writing(NOW) as writer:
                for piece, found in pieces:
                    writer.keep(piece, found)

        spent = {"parse": parse, "check": check, "hash": digest, "write": timed(write)}
    whole = parse + check + digest + spent["write"]
    for name, part in spent.items():
        yield Row(
            f"import: {name}, µs an entry",
            part / len(entries) * 1e6,
            whole / len(entries) * 1e6,
            part / whole,
            "its share of the four together, on one processor",
        )


def rate(name: str, ours: float, reference: float, note: str) -> Row:
    return Row(name, ours, reference, ours / reference, note)


def timed(work: Callable[..., object], *given: object) -> float:
    """How long it takes [s]."""
    begun = time.perf_counter()
    work(*given)
    return time.perf_counter() - begun


def done(work: Iterator[object]) -> None:
    deque(work, maxlen=0)


def best(work: Callable[[], object]) -> float:
    """The shortest of three [s]: what a small piece of work takes when nothing disturbs it."""
    return min(timed(work) for _ in range(3))


def as_values(entries: list[Written]) -> Iterator[Values]:
    """The rows of the table `entry` that the store makes of these entries."""
    cursor = 0
    for piece in cut(entries):
        for (_, text), row in zip(piece, checked(piece)[0], strict=True):
            assert row is not None
            cursor += 1
            yield (row[0], cursor, row[1], row[2], *row[3:6], text, NOW)


@contextmanager
def fresh(path: Path) -> Iterator[SqliteStore]:
    """A new store, gone afterwards."""
    with open_store(path) as store:
        yield store
    path.unlink()


@contextmanager
def alone(path: Path) -> Iterator[sqlite3.Connection]:
    """sqlite3 alone on an empty file with our tables and pragmas, gone afterwards."""
    with open_store(path) as store, store._reading() as connection:
        store.append([next(written())], NOW)  # so that the job is known
        settings = {
            pragma: connection.exec_driver_sql(f"PRAGMA {pragma}").scalar_one() for pragma in SAME
        }
    raw = sqlite3.connect(path, isolation_level=None)
    for statement in CLEAR:
        raw.execute(statement)
    for pragma, value in settings.items():
        raw.execute(f"PRAGMA {pragma} = {value}")
    yield raw
    raw.close()
    path.unlink()


def insert(raw: sqlite3.Connection, values: list[Any]) -> None:
    raw.execute("BEGIN IMMEDIATE")
    raw.executemany(INSERT, values)
    raw.execute("COMMIT")
