"""matbook add: write one entry."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any, Final

import click

from matbook.book.entry import Entry
from matbook.book.forms import opened
from matbook.book.kinds import Kind, kind_named, kinds, unusual
from matbook.book.pen import ShiftName
from matbook.bootstrap import Installation
from matbook.cli.fields import attached, entry_named, read_fields, takes
from matbook.cli.shared import (
    as_json,
    at_the_job,
    emit,
    err,
    installation,
    job_named,
    job_option,
    moment_of,
    person_named,
    say_line,
    say_wrapped,
    shift_named,
)
from matbook.desk.job import JobBook
from matbook.errors import Refused

HALF_A_DAY: Final = timedelta(hours=12)
"""A time of day in a correction is the one nearest to the entry it strikes."""


@click.command(
    epilog="""\b
Examples:
  matbook add load plant=east ticket=114 truck=12 net="22.40 t" temp="142 degC" \\
      decision=taken lane=E lift=surface to=2+946
  matbook add paver event=stop reason="waiting for mix" paver=P1 lane=E station=2+946
  matbook add photo file=ticket-114.jpg caption="Ticket 114"
\b
A correction names only what changes; a withdrawal is a note:
  matbook add load net="22.60 t" --strikes ID --why "misread the ticket"
  matbook add note text="entered twice" --strikes ID --why "same as 113"
"""
)
@click.argument("kind", required=False)
@click.argument("fields", nargs=-1, metavar="[FIELD=VALUE]…")
@job_option
@click.option("--shift", help="Which shift; for shift-open: WORKING-DATE/CREW/day or night.")
@click.option("--by", help="Who writes, by their id in the plan.")
@click.option(
    "--at",
    help="When it happened: 14:05 (the latest such time), or a whole date and time. If left out, "
    "now; for a correction, when the struck entry says.",
)
@click.option("--instrument", help="Which instrument, by its id in the plan.")
@click.option(
    "--strikes",
    help="Id of the entry that this one corrects or withdraws, or its first 8 or more characters.",
)
@click.option("--why", help="Why it is corrected.")
@as_json
@click.pass_context
def add(
    ctx: click.Context,
    kind: str | None,
    fields: tuple[str, ...],
    job: str | None,
    shift: str | None,
    by: str | None,
    at: str | None,
    instrument: str | None,
    strikes: str | None,
    why: str | None,
    as_json: bool,
) -> None:
    """Write one entry of a KIND into the book.

    Without a KIND, lists all kinds; with a KIND and no fields, shows the form. A measured value
    carries its unit. Values outside their usual range are kept as written, and named once.
    Where a form takes a file, name a file on this machine: its bytes are kept with the book.

    Nothing can be deleted: a mistake is struck by a new entry with --strikes and --why. It belongs
    to the shift and the moment of the entry it strikes; and if it is of the same KIND, every field
    that isn't given stays as it was there. FIELD= with nothing behind it takes a field away.
    """
    if kind is None:
        _list_kinds()
        return
    form = kind_named(kind)
    if not fields and not strikes and kind not in BARE:
        _show_form(form)
        return
    here = installation(ctx)
    name = job_named(here, job)
    book = here.book(name)
    here = at_the_job(here, book)
    if bool(strikes) != bool(why) and kind != "plan":
        raise Refused(
            "--why" if strikes else "--strikes", "", "a strike and its reason go together"
        )
    struck = entry_named(book, strikes) if strikes else None
    draft = _draft(here, book, form, fields, struck, shift, at)
    entry = here.write(
        name,
        kind,
        attached(here.store, form, draft.body),
        by=person_named(book, by),
        at=draft.at,
        shift=draft.shift,
        place=draft.place,
        instrument=instrument or draft.instrument,
        strikes=struck.id if struck else "",
        why=why or "",
    )
    for fault in unusual(form, draft.body):
        err.print(f"Kept as written, but unusual: {fault}", markup=False)
    seal = here.seal(name, draft.shift) if kind == "shift-close" else None
    if as_json:
        emit({"id": entry.id, "hash": entry.hash, "shift": draft.shift, "seal": seal and seal.hash})
        return
    after = " after its seal" if seal is None and book.seal_of(draft.shift) else ""
    say_line(f"Kept{after}: {kind} {entry.id}" + (f" in {draft.shift}" if draft.shift else ""))
    if seal is not None:
        _say_closed(here.book(name), draft.shift, seal)


@dataclass(frozen=True)
class Draft:
    """An entry to be written: as typed, filled up from what it strikes."""

    body: dict[str, Any]
    place: dict[str, Any]
    instrument: str
    shift: str
    at: datetime | None


def _draft(
    here: Installation,
    book: JobBook,
    form: Kind,
    fields: tuple[str, ...],
    struck: Entry | None,
    shift: str | None,
    at: str | None,
) -> Draft:
    body, place = read_fields(book, form, fields)
    if struck is None:
        which = _shift(here, book, form, shift)
        return Draft(body, place, "", which, moment_of(at, here.clock(), "--at"))
    which = _same_shift(book, struck, shift)
    moment = moment_of(at, struck.at, "--at", HALF_A_DAY) or struck.at
    if struck.kind != form.name:
        return Draft(body, place, "", which, moment)
    body = _changed(opened(struck).body, body)
    return Draft(body, _changed(struck.place, place), struck.instrument, which, moment)


def _say_closed(book: JobBook, shift: str, seal: Entry) -> None:
    """What the closed shift leaves open, and its seal."""
    view = book.view(shift, book.last_moment(shift))
    counts = {grade: [c for c in view.calls if c.grade == grade] for grade in ("act", "watch")}
    waiting = [matter for matter in view.matters if not matter.settled]
    say_line("The shift is closed and sealed.")
    say_line(
        f"Left open: {len(counts['act'])} to act on, {len(counts['watch'])} to watch, "
        f"{len(waiting)} told and not settled. See: matbook show"
    )
    say_line(f"Digest of the seal: {seal.hash}")


BARE: Final = ("shift-open", "shift-close")
"""Kinds that say enough by themselves; any other without a field shows its form."""


def _same_shift(book: JobBook, struck: Entry, said: str | None) -> str:
    if said and shift_named(book, said) != struck.shift:
        allowed = (
            f"the entry struck belongs to {struck.shift or 'the whole job'}; leave --shift out"
        )
        raise Refused("--shift", said, allowed)
    return struck.shift


def _changed(before: Mapping[str, Any], now: Mapping[str, Any]) -> dict[str, Any]:
    """What was there with what is new; what is given empty is left out."""
    return {name: v for name, v in {**before, **now}.items() if v not in ("", [""])}


def _shift(here: Installation, book: JobBook, form: Kind, said: str | None) -> str:
    if form.name == "plan":
        return ""
    if form.name == "shift-open":
        job, name = book.job, said or f"{here.clock():%Y-%m-%d}/a/day"
        return str(ShiftName.read(name if name.startswith(f"{job}/") else f"{job}/{name}"))
    return shift_named(book, said)


def _list_kinds() -> None:
    group = ""
    for form in kinds().values():
        if form.group != group:
            group = form.group
            say_line(f"\n{group}")
        say_wrapped(f"  {form.name:<20} {form.about}", 23)


def _show_form(form: Kind) -> None:
    say_line(f"{form.name}: {form.about}\n")
    for field in form.fields.values():
        need = "needed" if field.need else ""
        say_wrapped(f"  {field.name:<16} {need:<7} {takes(field)}", 27)
    if form.place:
        say_line(f"\n  where: {', '.join(form.place)}")
