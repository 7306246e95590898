"""matbook demo: two invented jobs, run from their files to their daily records."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any, Final

import click
from rich.progress import Progress

from matbook.book.entry import read_entry
from matbook.book.pen import ShiftName
from matbook.bootstrap import Installation, moment_text, open_installation
from matbook.cli.importing import offset_at
from matbook.cli.shared import as_json, emit, progress, say_line, say_wrapped, write_file
from matbook.desk.answers import answers
from matbook.records.lines import from_lines
from matbook.records.sheets import read_sheet
from matbook.records.tickets import tickets
from matbook.shift.speak import spoken
from matbook.shift.view import View
from matbook.words import say

JOBS: Final = ("harrow", "kestrel")
WORTH_A_LOOK: Final = 3


@dataclass(frozen=True)
class Shown:
    """One shift of the demo: the files it wrote and what in them is most worth a look."""

    shift: str
    record: Path
    bundle: Path
    worth: Sequence[str]


@click.command()
@click.option(
    "--folder",
    type=click.Path(path_type=Path),
    default="demo",
    help="Folder for the demo's books and records.",
)
@as_json
def demo(folder: Path, as_json: bool) -> None:
    """Run two invented jobs from their files: plans, tickets, entries, seals, daily records.

    A metric day shift with the next day's first hour, and a US night shift on the night the
    clocks go back. Places, firms and people are invented. Running it again adds nothing.
    """
    here = open_installation(folder / "home")
    shown: list[Shown] = []
    try:
        with progress(as_json) as bar:
            for job in JOBS:
                shown += _job(here, folder, resources.files("matbook.demo") / job, bar)
    finally:
        here.store.close()
    if as_json:
        emit([_data(one) for one in shown])
        return
    for one in shown:
        say_line(f"{one.shift}\n  {one.record}\n  {one.bundle}")
        for number, words in enumerate(one.worth, 1):
            say_wrapped(f"  {number}. {words}", 5)
    job = shown[0].shift.split("/")[0]
    say_line(f"\nLook further: .venv/bin/matbook --home {folder / 'home'} show --job {job}")
    say_line(f"Open the app: .venv/bin/matbook --home {folder / 'home'} serve --open")
    say_line(f"Check one:    .venv/bin/matbook verify {shown[0].record}")


def _data(one: Shown) -> dict[str, Any]:
    return {
        "shift": one.shift,
        "record": str(one.record),
        "bundle": str(one.bundle),
        "worth_a_look": list(one.worth),
    }


def _job(here: Installation, folder: Path, source: Traversable, bar: Progress) -> list[Shown]:
    """One job: entries as written on people's devices, then the plant's file, seals, records."""
    pairs, _ = from_lines((source / "entries.jsonl").read_bytes(), f"{source.name}/entries.jsonl")
    task = bar.add_task(f"{source.name}: entries", total=len(pairs))
    here.store.append_all(
        pairs, moment_text(here.clock()), lambda done: bar.update(task, completed=done)
    )
    job = read_entry(pairs[0][1]).job
    shifts = here.book(job).shifts
    task = bar.add_task(f"{source.name}: tickets, seals, records", total=2 * len(shifts))
    found = []
    for shift in shifts:
        here = _at_the_end_of(here, job, shift)
        _tickets(here, job, shift, source)
        book = here.book(job)
        if book.seal_of(shift) is None and book.facts(shift).of("shift-close"):
            here.seal(job, shift)
        bar.advance(task)
        found.append(_record(here, job, shift, folder))
        bar.advance(task)
    return found


def _at_the_end_of(here: Installation, job: str, shift: str) -> Installation:
    """The same installation, its clock set to when that shift's last entry was written.

    The demo plays a day that is over: what the installation adds belongs to that day too.
    """
    own = [entry for entry in here.book(job).entries if entry.shift == shift]
    now = max(entry.written for entry in own) + timedelta(minutes=1)
    return replace(here, clock=lambda: now)


def _tickets(here: Installation, job: str, shift: str, source: Traversable) -> None:
    """Take the plant's file of a shift, as the person at the plant would."""
    name = ShiftName.read(shift)
    file = source / f"tickets-{name.date}.csv"
    if not file.is_file():
        return
    plan = here.book(job).facts(shift).plans.latest
    plant, now = next(iter(plan.plants.values())), here.clock()
    found = tickets(
        read_sheet(file.read_bytes(), file.name, tuple(plant.columns.values())),
        plan,
        plant.id,
        name,
        offset_at(plan.job.time_zone, now),
        now,
    )
    by = next(person.id for person in plan.people.values() if person.role == "plant")
    here.write_all(job, "load", found.drafts, by, shift)


def _record(here: Installation, job: str, shift: str, folder: Path) -> Shown:
    from matbook.records.reporting import (
        make_bundle,
        make_record,
    )  # slow to load, so only when used

    book = here.book(job)
    made = make_record(book, shift, here.key, book.last_moment(shift))
    stem = shift.replace("/", "_")
    record, bundle = folder / f"{stem}.pdf", folder / f"{stem}.zip"
    write_file(record, made.pdf)
    write_file(bundle, make_bundle(book, shift, here.store))
    return Shown(shift, record, bundle, worth_a_look(made.view))


def worth_a_look(view: View) -> list[str]:
    """The most urgent calls in words, filled up with standing answers."""
    found = []
    for call in view.calls:
        words = spoken(call, view.plan, view.now)
        found.append(f"{words.head}: {words.line}")
    for answer in answers(view):
        if answer.number != "—":
            found.append(f"{say(f'answer.{answer.name}')}: {answer.number}, {answer.lines[0]}")
    return found[:WORTH_A_LOOK]
