"""What several commands share: output, the installation, the job, the shift, the person."""

import json
import os
import secrets
import textwrap
import unicodedata
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any, Final
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

import click
from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn
from rich.table import Table
from rich.text import Text

from matbook.bootstrap import Installation, local_now, open_installation
from matbook.desk.job import JobBook
from matbook.errors import FileRefused, MatbookError, NotFound, Refused
from matbook.plan.changes import NO_PLAN
from matbook.plan.model import Plan
from matbook.plan.reader import read_plan

out = Console(highlight=False, soft_wrap=True)
err = Console(stderr=True, highlight=False, soft_wrap=True)

WIDTH: Final = 100
"""Columns of what is printed where there is no terminal to ask."""
UNBROKEN: Final = frozenset({"id", "at"})
"""Headings of columns that are of no use in pieces."""
LARGEST: Final = 512 * 1024 * 1024
"""Bytes of a file that is read whole."""
NARROWEST: Final = 40
"""A narrower terminal breaks the lines itself."""

as_json = click.option("--json", "as_json", is_flag=True, help="Answer with JSON, for a program.")
job_option = click.option("--job", help="Which job, when the book holds more than one.")
shift_option = click.option("--shift", help="Which shift; the latest one if left out.")


def complain(error: MatbookError) -> None:
    """Say on standard error what was refused, and why."""
    err.print(f"matbook: {error}", markup=False)


def emit(data: object) -> None:
    """Print JSON for a program."""
    click.echo(json.dumps(data, ensure_ascii=False, indent=2, default=str))


def tell(
    found: dict[str, Any],
    as_json: bool,
    printed: Callable[[dict[str, Any]], None],
    wrote: Path | None,
) -> None:
    """Give an answer as JSON, or as it is printed, with the file that it was written to."""
    if as_json:
        emit(found)
        return
    printed(found)
    if wrote is not None:
        say_line(f"Wrote {wrote}")


def say_line(text: str = "") -> None:
    """Print a line exactly as it is: nothing in it is markup, or moves the cursor."""
    out.print(clean(text), markup=False)


def clean(text: str) -> str:
    """A text without the characters that a terminal would obey instead of showing them."""
    return "".join(c if c == "\n" or unicodedata.category(c)[0] != "C" else "\ufffd" for c in text)


def width() -> int:
    """How many columns a line may have."""
    return max(out.width, NARROWEST) if out.is_terminal else WIDTH


def say_wrapped(text: str, hanging: int) -> None:
    """Print a line, wrapped to the terminal; what runs on is indented by so many columns."""
    say_line(
        textwrap.fill(
            text,
            width(),
            subsequent_indent=" " * min(hanging, width() // 2),
            break_long_words=False,
            break_on_hyphens=False,
            drop_whitespace=True,
            replace_whitespace=False,
        )
    )


def write_file(path: Path, raw: bytes) -> None:
    """Write a file whole or not at all: one that was there before stays until then.

    Raises:
        FileRefused: It can't be written.
    """
    try:
        if path.exists() and not path.is_file():  # a pipe, a terminal: nothing to put in its place
            path.write_bytes(raw)
            return
        target = path.resolve()  # so that a link stays a link
        part = target.with_name(f".{target.name[:100]}.{secrets.token_hex(4)}.part")
        try:
            with part.open("xb") as file:
                file.write(raw)
                file.flush()
                os.fsync(file.fileno())
            part.replace(target)
        finally:
            part.unlink(missing_ok=True)
    except OSError as error:
        raise FileRefused(f"{path} can't be written: {error.strerror}.") from None


def as_bytes(file: Path) -> bytes:
    """What a file holds; raises FileRefused."""
    try:
        if file.stat().st_size > LARGEST:
            raise FileRefused(f"{file} is larger than {LARGEST} bytes.")
        return file.read_bytes()
    except OSError as error:
        raise FileRefused(f"{file} can't be read: {error.strerror}.") from None


def as_text(file: Path) -> str:
    """A text file's text; raises FileRefused."""
    return decoded(file, as_bytes(file))


def decoded(file: Path, raw: bytes) -> str:
    """The text of a file, its lines ended as everywhere; raises FileRefused."""
    try:
        return raw.decode("utf-8-sig").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        raise FileRefused(f"{file} is not UTF-8 text: {error.reason}.") from None


def table(
    headings: Sequence[str], rows: Iterable[Sequence[str]], right: Iterable[str] = ()
) -> None:
    """Print a table; `right` are the headings of the columns of numbers."""
    printed = Table(box=None, pad_edge=False, header_style="bold")
    for heading in headings:
        number = heading in right
        printed.add_column(
            heading, justify="right" if number else "left", no_wrap=number or heading in UNBROKEN
        )
    for row in rows:
        printed.add_row(*(Text(clean(cell)) for cell in row))
    Console(highlight=False, width=width()).print(printed)


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


def installation(ctx: click.Context, *, new: bool = False) -> Installation:
    """This installation, opened once for a command and closed at its end.

    Args:
        ctx: The command's.
        new: Whether to make it if it isn't there: only an import begins a book.
    """
    home = Path(ctx.obj)
    if not new and not (home / "books.sqlite").exists() and (home.is_dir() or not home.exists()):
        raise NotFound(
            f"There is no book in {home} yet: begin one with `matbook import plan.toml`."
        )
    opened = open_installation(home)
    ctx.call_on_close(opened.store.close)
    return replace(opened, warn=lambda sentence: err.print(sentence, markup=False))


def at_the_job(here: Installation, book: JobBook) -> Installation:
    """The same installation, its clock showing the time of the job's place."""
    zone = zone_of(book.facts(book.latest()).plans.latest.job.time_zone) if book.shifts else None
    plans = [entry for entry in book.entries if "toml" in entry.body]
    if zone is None and plans:
        zone = zone_of(read_plan(str(plans[-1].body["toml"])).job.time_zone)
    return here if zone is None else replace(here, clock=lambda: here.clock().astimezone(zone))


def zone_of(name: str) -> ZoneInfo | None:
    """A time zone by its name; None where this machine does not know it."""
    try:
        return ZoneInfo(name)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        return None


def job_named(here: Installation, job: str | None) -> str:
    """The job asked for, or the only one there is."""
    jobs = here.store.jobs()
    if job:
        if job not in jobs:
            raise NotFound(f"There is no job “{job}” here; there is: {', '.join(jobs) or 'none'}.")
        return job
    if len(jobs) != 1:
        if not jobs:
            raise NotFound(
                "There is no job here yet: import a plan first: matbook import plan.toml"
            )
        raise NotFound(f"There are {len(jobs)} jobs here: say --job and one of {', '.join(jobs)}.")
    return jobs[0]


def plan_now(ctx: click.Context, job: str | None) -> tuple[Plan, datetime]:
    """The latest plan of the job and the time at its place; no plan where there is no book."""
    home = Path(ctx.obj)
    if job is None and not (home / "books.sqlite").exists():
        return NO_PLAN, local_now().replace(microsecond=0)
    here = installation(ctx)
    book = here.book(job_named(here, job))
    return book.plans.latest, at_the_job(here, book).clock().replace(microsecond=0)


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


def moment_of(
    text: str | None, now: datetime, field: str, ahead: timedelta = timedelta(minutes=10)
) -> datetime | None:
    """A moment as typed: a whole one with its offset, or 14:05 by the clock of `now`.

    A time of day is the latest one that is at most `ahead` of now: 23:50 typed at 00:10 was
    yesterday.
    """
    if text is None:
        return None
    try:
        if len(text) <= 5:
            hour, minute = (int(part) for part in text.split(":"))
            latest = now + ahead
            at = latest.replace(hour=hour, minute=minute, second=0, microsecond=0)
            return at if at <= latest else at - timedelta(days=1)
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
        say_wrapped(f"{label:<{wide}}  {value}", wide + 2)
