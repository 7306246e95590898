"""matbook demo: two invented jobs, run from their files to their daily records, then played."""

import os
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from importlib import resources
from importlib.resources.abc import Traversable
from pathlib import Path
from typing import Any, Final

import click
from rich.progress import Progress

from matbook.book.entry import read_entry
from matbook.book.pen import ShiftName
from matbook.bootstrap import Installation, moment_text, open_installation
from matbook.cli.demo_days import TicketFile, finished
from matbook.cli.demo_today import play
from matbook.cli.shared import as_json, emit, progress, say_line, say_wrapped, write_file
from matbook.desk.answers import answers
from matbook.records.lines import from_lines
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
@click.option(
    "--serve/--no-serve",
    default=None,
    help="Then play the metric job as of today, in the app. Left out: where there is a terminal.",
)
@click.option("--open/--no-open", "open_it", default=True, help="Open the app in the browser.")
@click.option(
    "--speed",
    type=click.FloatRange(1, 10_000),
    default=20,
    show_default=True,
    help="How fast the replay catches up with the clock; 1 has nothing to catch up with.",
)
@as_json
def demo(folder: Path, serve: bool | None, open_it: bool, speed: float, as_json: bool) -> None:
    """Run two invented jobs from their files, then play one of them as if it were today.

    First the books and daily records of a metric day shift with the next day's first hour, and of
    a US night shift on the night the clocks go back. Running it again adds nothing to them.

    Then, where standard output is a terminal and CI is not set, or with --serve: the app, on this
    machine alone, with the metric job's first day as yesterday's shift, closed and sealed, and its
    second day as today's, in full swing and going on while you write beside it. Ctrl-C pulls the
    plug. Running it again goes on with that day until it ends, and then begins another.

    Places, firms and people are invented.
    """
    serve = _attended(as_json) if serve is None else serve
    shown = _shown(folder, as_json)
    if as_json:
        emit([_data(one) for one in shown])
    else:
        _say(shown, folder)
    if serve:
        play(folder, speed, open_it)
    elif not as_json:
        say_line(f"Open the app: .venv/bin/matbook demo --folder {folder} --serve")


def _attended(as_json: bool) -> bool:
    """Whether somebody sits there: nobody waits for a script that serves until Ctrl-C."""
    return sys.stdout.isatty() and not os.environ.get("CI") and not as_json


def _shown(folder: Path, quiet: bool) -> list[Shown]:
    here = open_installation(folder / "home")
    shown: list[Shown] = []
    try:
        with progress(quiet) as bar:
            for job in JOBS:
                shown += _job(here, folder, resources.files("matbook.demo") / job, bar)
    finally:
        here.store.close()
    return shown


def _say(shown: Sequence[Shown], folder: Path) -> None:
    for one in shown:
        say_line(f"{one.shift}\n  {one.record}\n  {one.bundle}")
        for number, words in enumerate(one.worth, 1):
            say_wrapped(f"  {number}. {words}", 5)
    job = shown[0].shift.split("/")[0]
    say_line(f"\nLook further: .venv/bin/matbook --home {folder / 'home'} show --job {job}")
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
        here = finished(here, job, shift, _ticket_file(source, shift))
        bar.advance(task)
        found.append(_record(here, job, shift, folder))
        bar.advance(task)
    return found


def _ticket_file(source: Traversable, shift: str) -> TicketFile | None:
    """The plant's file of a shift, where it sent one."""
    file = source / f"tickets-{ShiftName.read(shift).date}.csv"
    return TicketFile(file.name, file.read_bytes()) if file.is_file() else None


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
