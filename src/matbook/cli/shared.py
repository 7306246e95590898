"""What several commands share: output, the installation, the job, the shift, the person."""

import json
from collections.abc import Iterable, Sequence
from datetime import datetime
from pathlib import Path
from typing import Any

import click
from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn
from rich.table import Table

from matbook.bootstrap import Installation, open_installation
from matbook.desk.job import JobBook
from matbook.errors import MatbookError, NotFound, Refused

out = Console(highlight=False, soft_wrap=True)
err = Console(stderr=True, highlight=False, soft_wrap=True)

as_json = click.option("--json", "as_json", is_flag=True, help="Answer with JSON, for a program.")
job_option = click.option("--job", help="Which job, when the book holds more than one.")
shift_option = click.option("--shift", help="Which shift; the latest one if left out.")


def complain(error: MatbookError) -> None:
    """Say on standard error what was refused, and why."""
    err.print(f"matbook: {error}", markup=False)


def emit(data: object) -> None:
    """Print JSON for a program."""
    click.echo(json.dumps(data, ensure_ascii=False, indent=2, default=str))


def say_line(text: str = "") -> None:
    """Print a line exactly as it is: nothing in it is markup."""
    out.print(text, markup=False)


def table(
    headings: Sequence[str], rows: Iterable[Sequence[str]], right: Sequence[int] = ()
) -> None:
    """Print a table; `right` are the columns of numbers."""
    printed = Table(box=None, pad_edge=False, header_style="bold")
    for place, heading in enumerate(headings):
        printed.add_column(heading, justify="right" if place in right else "left")
    for row in rows:
        printed.add_row(*(cell.replace("[", "\\[") for cell in row))
    Console(highlight=False, width=None if out.is_terminal else 160).print(printed)


def progress(quiet: bool = False) -> Progress:
    """A progress bar on standard error: it shows on a terminal and is silent elsewhere."""
    return Progress(
        TextColumn("{task.description}"),
        BarColumn(),
        MofNCompleteColumn(),
        TimeRemainingColumn(),
        console=err,
        transient=True,
        disable=quiet or not err.is_terminal,
    )


def installation(ctx: click.Context) -> Installation:
    """This installation, opened once for a command and closed at its end."""
    opened = open_installation(Path(ctx.obj))
    ctx.call_on_close(opened.store.close)
    return opened


def job_named(here: Installation, job: str | None) -> str:
    """The job asked for, or the only one there is."""
    jobs = here.store.jobs()
    if job:
        if job not in jobs:
            raise NotFound(f"There is no job “{job}” here; there is: {', '.join(jobs) or 'none'}.")
        return job
    if len(jobs) != 1:
        hint = "import a plan first: matbook import plan.toml" if not jobs else "say --job NAME"
        raise NotFound(f"There are {len(jobs)} jobs here ({', '.join(jobs)}): {hint}.")
    return jobs[0]


def shift_named(book: JobBook, shift: str | None) -> str:
    """The shift asked for by its name or the end of it (2026-05-12/a/day), or the latest."""
    if not shift:
        return book.latest()
    ends = [name for name in book.shifts if name == shift or name.endswith(f"/{shift}")]
    if len(ends) == 1:
        return ends[0]
    raise NotFound(
        f"There is no shift “{shift}”; there is: {', '.join(book.shifts) or 'none yet'}."
    )


def moment_of(text: str | None, now: datetime, field: str) -> datetime | None:
    """A moment as typed: a whole one with its offset, or 14:05 today (in this place's offset)."""
    if text is None:
        return None
    try:
        if len(text) <= 5:
            hour, minute = (int(part) for part in text.split(":"))
            return now.replace(hour=hour, minute=minute, second=0, microsecond=0)
        at = datetime.fromisoformat(text)
    except ValueError:
        raise Refused(field, text, "it must be 14:05, or 2026-05-12T14:05:00-04:00") from None
    return at if at.tzinfo else at.replace(tzinfo=now.tzinfo)


def person_named(book: JobBook, by: str | None) -> str:
    """Who writes: as said, or the only inspector in the plan."""
    if by:
        return by
    plan = book.facts(book.latest()).plans.latest if book.shifts else None
    inspectors = [p.id for p in plan.people.values() if p.role == "inspector"] if plan else []
    if len(inspectors) == 1:
        return inspectors[0]
    raise Refused("--by", "", "say who writes, by their id in the plan")


def grid(pairs: Iterable[tuple[str, Any]]) -> None:
    """Print labels and values, one pair a line."""
    rows = [(label, str(value)) for label, value in pairs]
    wide = max((len(label) for label, _ in rows), default=0)
    for label, value in rows:
        say_line(f"{label:<{wide}}  {value}")
