"""matbook add: write one entry."""

from collections.abc import Mapping
from typing import Any

import click

from matbook.book.forms import PLACE_TEXTS
from matbook.book.kinds import Field, Kind, kind_named, kinds, unusual
from matbook.book.pen import ShiftName
from matbook.bootstrap import Installation
from matbook.cli.shared import (
    as_json,
    emit,
    err,
    installation,
    job_named,
    job_option,
    moment_of,
    person_named,
    say_line,
    shift_named,
)
from matbook.desk.job import JobBook
from matbook.engine import units
from matbook.errors import Refused


@click.command(
    epilog="""\b
Examples:
  matbook add load plant=east ticket=114 truck=12 net="22.40 t" temp="142 degC" \\
      decision=taken lane=E lift=surface to=2+946
  matbook add paver event=stop reason="waiting for mix" paver=P1 lane=E station=2+946
  matbook add load … --strikes ID --why "misread the ticket"      (a correction)
  matbook add note text="entered twice" --strikes ID --why "…"    (a withdrawal)"""
)
@click.argument("kind", required=False)
@click.argument("fields", nargs=-1, metavar="[FIELD=VALUE]…")
@job_option
@click.option("--shift", help="Which shift; for shift-open: WORKING-DATE/CREW/day or night.")
@click.option("--by", help="Who writes, by their id in the plan.")
@click.option("--at", help="When it happened: 14:05, or a whole date and time. Now if left out.")
@click.option("--instrument", help="Which instrument, by its id in the plan.")
@click.option("--strikes", help="Id of the entry that this one corrects or withdraws.")
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
    Nothing can be deleted: a mistake is struck by a new entry with --strikes and --why.
    """
    if kind is None:
        _list_kinds()
        return
    form = kind_named(kind)
    if not fields and any(field.need for field in form.fields.values()):
        _show_form(form)
        return
    here = installation(ctx)
    name = job_named(here, job)
    book = here.book(name)
    body, place = read_fields(form, fields)
    which = _shift(here, book, name, form, shift)
    if strikes and not why:
        raise Refused("--why", "", "a strike and its reason go together")
    entry = here.write(
        name,
        kind,
        body,
        by=person_named(book, by),
        at=moment_of(at, here.clock(), "--at"),
        shift=which,
        place=place,
        instrument=instrument or "",
        strikes=strikes or "",
        why=why or "",
    )
    for fault in unusual(form, body):
        err.print(f"Kept as written, but unusual: {fault}", markup=False)
    seal = here.seal(name, which) if kind == "shift-close" else None
    if as_json:
        emit({"id": entry.id, "hash": entry.hash, "shift": which, "seal": seal and seal.hash})
        return
    say_line(f"Kept: {kind} {entry.id}")
    if seal is not None:
        say_line(f"The shift is closed and sealed. Digest of the seal: {seal.hash}")


def read_fields(form: Kind, said: tuple[str, ...]) -> tuple[dict[str, Any], dict[str, Any]]:
    """FIELD=VALUE arguments as a body and a place."""
    body: dict[str, Any] = {}
    place: dict[str, Any] = {}
    for one in said:
        name, equals, value = one.partition("=")
        if not equals:
            raise Refused("FIELD=VALUE", one, "write the field's name, an equals sign, its value")
        field = form.fields.get(name.removeprefix("body."))
        if field is not None and not name.startswith("place."):
            typed = read_value(field, value)
            body[field.name] = [*body.get(field.name, []), typed] if field.many else typed
        elif name.removeprefix("place.") in (*PLACE_TEXTS, "offset"):
            place[name.removeprefix("place.")] = value
        else:
            allowed = ", ".join([*form.fields, *form.place])
            raise Refused("field", name, f"{form.name} takes {allowed}")
    return body, place


def read_value(field: Field, value: str) -> Any:
    """A value as typed, in the form that entries keep; left alone where it can't be read."""
    if field.type == "count" and value.isdecimal():
        return int(value)
    if field.type == "quantity":
        return str(units.parse(value))
    return value


def _shift(here: Installation, book: JobBook, job: str, form: Kind, said: str | None) -> str:
    if form.name == "plan":
        return ""
    if form.name == "shift-open":
        name = said or f"{here.clock():%Y-%m-%d}/a/day"
        return str(ShiftName.read(name if name.startswith(f"{job}/") else f"{job}/{name}"))
    return shift_named(book, said)


def _list_kinds() -> None:
    group = ""
    for form in kinds().values():
        if form.group != group:
            group = form.group
            say_line(f"\n{group}")
        say_line(f"  {form.name:<20} {form.about}")


def _show_form(form: Kind) -> None:
    say_line(f"{form.name}: {form.about}\n")
    for field in form.fields.values():
        need = "needed" if field.need else ""
        say_line(f"  {field.name:<16} {need:<7} {takes(field)}")
    if form.place:
        say_line(f"\n  where: {', '.join(form.place)}")


def takes(field: Field) -> str:
    """What a field takes, in words."""
    what: Mapping[str, str] = {
        "choice": ", ".join(field.of),
        "quantity": f"{field.of} with its unit, {field.low} to {field.high}",
        "count": f"a whole number, {field.low} to {field.high}",
        "moment": "a date and time with its offset",
        "entry": "the id of an entry",
        "person": "a person's id in the plan, or a name",
        "file": "the SHA-256 of an attachment",
        "map": "an object",
        "text": f"text, up to {field.most} characters",
    }
    found = what[field.type]
    if field.of == "any":
        found = "an amount with its unit"
    return found + (" (may be given more than once)" if field.many else "")
