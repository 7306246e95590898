"""matbook draw: the steps of a sealed draw, with the owner's number kept outside the book."""

import secrets
from pathlib import Path
from typing import Any, Final

import click

from matbook.bootstrap import Installation
from matbook.cli.shared import (
    as_json,
    at_the_job,
    emit,
    installation,
    job_named,
    job_option,
    person_named,
    say_line,
    say_wrapped,
    shift_named,
    shift_option,
)
from matbook.desk.job import JobBook
from matbook.desk.open_book import OpenBook
from matbook.engine.sampling import commit
from matbook.errors import FileRefused, NotFound, Refused

STEPS: Final = ("commit", "contribute", "tell", "blocked", "reveal")
WRITTEN: Final = {
    "commit": "committed", "contribute": "contributed", "tell": "told", "blocked": "told",
    "reveal": "revealed",
}  # fmt: skip


@click.command(
    epilog="""\b
In this order:
  matbook draw commit mat-1 --by greta              before the lot's first tonne
  matbook draw contribute mat-1 4711 --by dale      the contractor's number, after that
  matbook draw tell mat-1 --by greta                whatever is near now, as often as you like
  matbook draw blocked mat-1 2 --why "a manhole"    its spare is told when that is near
  matbook draw reveal mat-1 --by greta              once the lot is over
  matbook show draw mat-1                           anybody: was anything picked?"""
)
@click.argument("step", type=click.Choice(STEPS))
@click.argument("lot")
@click.argument("number", default="")
@click.option("--why", default="", help="Why a place is blocked.")
@click.option("--by", help="Who does it, by their id in the plan.")
@job_option
@shift_option
@as_json
@click.pass_context
def draw(
    ctx: click.Context,
    step: str,
    lot: str,
    number: str,
    why: str,
    by: str | None,
    job: str | None,
    shift: str | None,
    as_json: bool,
) -> None:
    """Take one STEP of the draw of a LOT's sample places.

    The owner's secret number lies in this installation's folder, in no entry, until it is
    revealed: whoever can read that folder could know the places beforehand. A step out of order is
    refused.
    """
    here = installation(ctx)
    book = here.book(job_named(here, job))
    here = at_the_job(here, book)
    kept = _Number(here.home, book.job, lot)
    which = shift_named(book, shift)
    with here.lock:
        found = _asked(here, book, which, lot, kept)
        if found["can"][WRITTEN[step]]:
            raise Refused("step", step, found["can"][WRITTEN[step]].rstrip("."))
        rows = _rows(step, found, kept, number, why)
        person = person_named(book, by)
        for body, place in rows:
            here.write(book.job, "draw", body, by=person, shift=which, place=place)
    after = _asked(here, here.book(book.job), which, lot, kept)
    if as_json:
        emit(after)
    elif not rows:
        say_line("No place is near now.")
    else:
        for one in after["steps"][-len(rows) :]:
            say_wrapped(one["words"], 2)


def _asked(
    here: Installation, book: JobBook, shift: str, lot: str, kept: "_Number"
) -> dict[str, Any]:
    given = {"shift": shift, "name": lot, "at": here.clock().isoformat(), "role": "supervisor"}
    answer: dict[str, Any] = OpenBook(book.job, book).ask("draw", given | {"secret": kept.read()})
    return answer


def _rows(
    step: str, found: dict[str, Any], kept: "_Number", number: str, why: str
) -> list[tuple[dict[str, str], dict[str, str]]]:
    """The entries to write: bodies with their places."""
    body = {"step": WRITTEN[step], "lot": found["lot"]}
    if step == "commit":
        return [(body | {"number": kept.made(), "rules": " ".join(found["rules"])}, {})]
    if step == "contribute":
        return [(body | {"number": number}, {})]
    if found["holds"] != "yes":
        raise NotFound(found["holding"])
    if step == "reveal":
        return [(body | {"number": kept.read()}, {})]
    if step == "blocked":
        told = {one["number"] for one in found["places"] if one["state"] == "untested"}
        if number not in told:
            raise Refused("number", number, "it must be a place that was told and not tested yet")
        if not why.strip():
            raise Refused("--why", why, "say why the place can't be tested")
        return [(body | {"number": number, "blocked": why}, {})]
    near = [one for one in found["places"] if one["state"] in ("near", "passed")]
    return [(one["body"], one["place"]) for one in near]


def held(here: Installation, job: str, lot: str) -> str:
    """The owner's number that this installation holds for a lot; empty where it holds none."""
    return _Number(here.home, job, lot).read()


class _Number:
    """The owner's secret number of a lot, in a file that only its owner may read."""

    def __init__(self, home: Path, job: str, lot: str) -> None:
        self.lot = lot
        self.file = home / "draws" / f"{job}.{file_name(lot)}"

    def read(self) -> str:
        """The number; empty where this installation holds none."""
        try:
            return self.file.read_text(encoding="ascii").strip()
        except FileNotFoundError:
            return ""
        except (OSError, UnicodeDecodeError):
            raise FileRefused(f"{self.file} can't be read.") from None

    def made(self) -> str:
        """The commitment to the number, which is made where there is none yet."""
        if not self.read():
            self.file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
            self.file.touch(mode=0o600)
            self.file.write_text(secrets.token_hex(32), encoding="ascii")
        return commit(self.read())


def file_name(lot: str) -> str:
    """A file's name for a lot, whatever it is called."""
    return "".join(c if c.isascii() and (c.isalnum() or c in "-_") else "_" for c in lot)[:60]
