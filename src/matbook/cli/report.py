"""matbook report: the daily record of a shift, or the report of a lot."""

from pathlib import Path

import click

from matbook.cli.shared import (
    as_json,
    emit,
    installation,
    job_named,
    job_option,
    say_line,
    shift_named,
    shift_option,
    write_file,
)
from matbook.desk.job import JobBook
from matbook.words import ENGLISH, languages


@click.command()
@job_option
@shift_option
@click.option("--lot", help="Report of this lot instead, such as mat-1.")
@click.option("-o", "--output", type=click.Path(path_type=Path), help="File to write.")
@click.option("--unsigned", is_flag=True, help="Leave the file unsigned: a draft.")
@click.option(
    "--language",
    type=click.Choice(languages()),
    default=ENGLISH,
    show_default=True,
    help="Of the sentences; what people wrote stays as they wrote it.",
)
@as_json
@click.pass_context
def report(
    ctx: click.Context,
    job: str | None,
    shift: str | None,
    lot: str | None,
    output: Path | None,
    unsigned: bool,
    language: str,
    as_json: bool,
) -> None:
    """Write the daily record of a shift as a PDF.

    The entries travel inside, with the seal and a program that checks them, and the file is
    signed: any changed byte shows. See `matbook verify`. A shift that was closed but not sealed is
    sealed first, unless --unsigned.

    With --lot the report of a lot: its results, and every step from them to the pay factor; as a
    workbook with live formulas where the file is named .xlsx.
    """
    if lot is not None:
        _lot_report(ctx, job, shift, lot, output, unsigned, language, as_json)
        return
    from matbook.records.reporting import make_record  # slow to load, so only when used

    here = installation(ctx)
    name = job_named(here, job)
    book = here.book(name)
    which = shift_named(book, shift)
    unfinished = not unsigned and closed_without_seal(book, which)
    if unfinished:
        here.seal(name, which)
        book = here.book(name)
    now = book.last_moment(which)
    made = make_record(book, which, None if unsigned else here.key, now, language)
    path = output or Path(which.replace("/", "_") + ".pdf")
    write_file(path, made.pdf)
    seal = made.seal.hash if made.seal else ""
    if as_json:
        emit(
            {
                "file": str(path),
                "shift": which,
                "seal": seal,
                "sealed_now": unfinished,
                "key": here.key.fingerprint,
            }
        )
        return
    if unfinished:
        say_line("The shift was closed but not sealed; it is sealed now.")
    say_line(f"Wrote {path}")
    say_line(f"Seal: {seal}" if seal else "The shift is not sealed: this record is a draft.")
    say_line(f"Key of this installation: {here.key.fingerprint}")


def _lot_report(
    ctx: click.Context,
    job: str | None,
    shift: str | None,
    lot: str,
    output: Path | None,
    unsigned: bool,
    language: str,
    as_json: bool,
) -> None:
    from matbook.records.lot import make_lot_report  # slow to load, so only when used
    from matbook.records.lot_sheet import lot_sheet

    here = installation(ctx)
    book = here.book(job_named(here, job))
    which = shift_named(book, shift)
    now = book.last_moment(which)
    path = output or Path(f"{book.job}_lot_{lot}.pdf")
    if path.suffix == ".xlsx":
        made = lot_sheet(book, which, lot, now, language)
    else:
        made = make_lot_report(book, which, lot, None if unsigned else here.key, now, language)
    write_file(path, made)
    if as_json:
        emit({"file": str(path), "lot": lot, "shift": which, "key": here.key.fingerprint})
        return
    say_line(f"Wrote {path}")
    say_line(f"Key of this installation: {here.key.fingerprint}")


def closed_without_seal(book: JobBook, shift: str) -> bool:
    """Whether a shift was closed but its seal is missing, as when the power fails in between."""
    return bool(book.facts(shift).of("shift-close")) and book.seal_of(shift) is None
