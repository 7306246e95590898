"""A ticket file turned into entries, against writing the same entries into a database.

Ours reads the CSV, drafts every load, checks it by its form and writes it with a pen: text, hash
and chain. The references are executemany of those entries in one transaction, into the store's
own table (the aim) and into a table without an index; and reading the same CSV into dicts.
"""

import csv
import io
import random
import sqlite3
import time
from collections.abc import Callable, Iterator, Sequence
from datetime import UTC, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

from bench.row import Row
from matbook.book.entry import Entry
from matbook.book.pen import Pen, ShiftName
from matbook.plan.model import Job, Mix, Plan, Plant
from matbook.records.sheets import read_sheet
from matbook.records.tickets import Draft, tickets
from matbook.store.sqlite import open_store

SHIFT = ShiftName.read("harrow/2026-05-12/a/day")
NOW = datetime(2026, 5, 13, tzinfo=UTC)
RUNS = 3
PLAIN = "CREATE TABLE entry (job, cursor, id, hash, shift, device, seq, text, received)"
HEADINGS = (
    "Ticket No",
    "Truck",
    "Gross t",
    "Tare t",
    "Net t",
    "Mix",
    "Temp C",
    "Loaded at",
    "Note",
)
INSERT = "INSERT INTO entry VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?)"


def rows(quick: bool) -> Iterator[Row]:
    """CSV to entries, entries per second; then its first part alone."""
    count = 20_000 if quick else 100_000
    data = ticket_csv(count)
    drafts = drafted(data)
    entries = written(drafts)
    if len(entries) != count:
        raise SystemExit(f"only {len(entries)} of {count} rows were taken")
    filed = [
        (e.job, at, bytes.fromhex(e.id.replace("-", "")), bytes.fromhex(e.hash), e.shift, e.device,
         e.seq, e.text, NOW.isoformat())
        for at, e in enumerate(entries, start=1)
    ]  # fmt: skip
    del entries
    draft_s, write_s, own_s, plain_s, dicts_s = best(
        lambda: timed(lambda: drafted(data)),
        lambda: timed(lambda: written(drafts)),
        lambda: inserted(filed, own_table=True),
        lambda: inserted(filed, own_table=False),
        lambda: timed(lambda: list(csv.DictReader(io.StringIO(data.decode())))),
    )
    ours_s = draft_s + write_s
    name = "CSV to entries, entries/s"
    note = "aim 0.10; executemany of the same rows into the same table"
    yield Row(name, count / ours_s, count / own_s, own_s / ours_s, note)
    note = "the same rows into a table without an index"
    yield Row(name, count / ours_s, count / plain_s, plain_s / ours_s, note)
    name, note = "of it, CSV to drafts, rows/s", "csv.DictReader alone"
    yield Row(name, count / draft_s, count / dicts_s, dicts_s / draft_s, note)


def best(*measures: Callable[[], float]) -> list[float]:
    """The shortest time of each [s], over rounds in which all take their turn."""
    rounds = [[measure() for measure in measures] for _ in range(RUNS)]
    return [min(times) for times in zip(*rounds, strict=True)]


def timed(work: Callable[[], object]) -> float:
    """How long some work takes [s]."""
    begun = time.perf_counter()
    work()
    return time.perf_counter() - begun


def ticket_csv(count: int) -> bytes:
    """A day's tickets of an invented plant, far more than any plant loads."""
    draw = random.Random(2026)
    text = io.StringIO()
    writer = csv.writer(text)
    writer.writerow(HEADINGS)
    begin = datetime(2026, 5, 12)
    for number in range(count):
        tare, net = draw.randint(1100, 1500), draw.randint(1800, 2600)
        masses = [f"{mass / 100:.2f}" for mass in (tare + net, tare, net)]
        loaded = (begin + timedelta(seconds=number * 86_000 // count)).isoformat(" ")
        truck, temp = draw.randint(1, 40), draw.randint(140, 165)
        writer.writerow([400_000 + number, truck, *masses, "ac11", temp, loaded, ""])
    return text.getvalue().encode()


def plan() -> Plan:
    """A plan with one plant and one mix."""
    nothing: dict[str, object] = {}
    return Plan(
        job=Job("harrow", "Harrow Road", "Merrow County", "metric", "America/Halifax"),
        roads={}, lanes={}, areas={}, lifts={},
        mixes={"ac11": Mix("ac11", "AC 11 surface")},
        limits=(), checks=(),
        plants={"north": Plant("north", "North plant", "job", "t")},
        trucks={}, pavers={}, rollers={}, instruments={}, people={},
        station_error_m=0.5, acceptance=nothing, document=nothing,
    )  # fmt: skip


def drafted(data: bytes) -> Sequence[Draft]:
    """CSV to drafts."""
    sheet = read_sheet(data, "tickets.csv")
    return tickets(sheet, plan(), "north", SHIFT, lambda at, fold: "-03:00", NOW).drafts


def written(drafts: Sequence[Draft]) -> list[Entry]:
    """Drafts to entries on one chain."""
    pen, entries, now, shift = Pen("office-1", "ana"), [], NOW.isoformat(), str(SHIFT)
    for draft in drafts:
        entry, pen = pen.write(
            draft.id, "harrow", "load", draft.body, at=draft.at, written=now, shift=shift
        )
        entries.append(entry)
    return entries


def inserted(filed: Sequence[tuple[object, ...]], *, own_table: bool) -> float:
    """How long entries take into a fresh database, in one transaction [s]."""
    with TemporaryDirectory() as folder:
        path = Path(folder) / "entries.db"
        if own_table:
            open_store(path).close()
        database = sqlite3.connect(path)
        if own_table:
            database.execute("INSERT INTO job VALUES ('harrow')")
        else:
            database.execute("PRAGMA journal_mode = WAL")
            database.execute(PLAIN)
        database.commit()
        begun = time.perf_counter()
        with database:
            database.executemany(INSERT, filed)
        taken = time.perf_counter() - begun
        database.close()
    return taken
