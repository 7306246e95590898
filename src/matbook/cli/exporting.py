"""matbook export: a shift as tables, as JSON lines, or as a bundle that stands on its own."""

from pathlib import Path
from typing import Final

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
from matbook.errors import FileRefused
from matbook.records.bundle import lines
from matbook.records.shift_tables import shift_tables
from matbook.records.tables import to_csv, to_xlsx

ENDINGS: Final = {"bundle": ".zip", "lines": ".jsonl", "xlsx": ".xlsx", "csv": ""}


@click.command()
@click.argument("form", type=click.Choice(list(ENDINGS)))
@job_option
@shift_option
@click.option("-o", "--output", type=click.Path(path_type=Path), help="File (for csv: folder).")
@as_json
@click.pass_context
def export(
    ctx: click.Context,
    form: str,
    job: str | None,
    shift: str | None,
    output: Path | None,
    as_json: bool,
) -> None:
    """Write a shift in another FORM: a bundle, JSON lines, an XLSX workbook, or CSV tables.

    The bundle holds the entries exactly as written, the seal, the attachments and a program that
    checks them without Matbook. Cells that a spreadsheet could take for a formula are escaped.
    """
    from matbook.records.reporting import make_bundle  # slow to load, so only when used

    here = installation(ctx)
    book = here.book(job_named(here, job))
    which = shift_named(book, shift)
    path = output or Path(which.replace("/", "_") + ENDINGS[form])
    view = book.view(which, book.last_moment(which))
    if form == "csv":
        files = {path / f"{t.name}.csv": to_csv(t) for t in shift_tables(view)}
    elif form == "xlsx":
        files = {path: to_xlsx(shift_tables(view), view.now)}
    elif form == "lines":
        files = {path: lines(e for e in book.entries if e.shift in ("", which))}
    else:
        files = {path: make_bundle(book, which, here.store)}
    for name, raw in files.items():
        try:
            name.parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise FileRefused(f"{path} can't be written: {error.strerror}.") from None
        write_file(name, raw)
    if as_json:
        emit({"shift": which, "files": [str(name) for name in files]})
        return
    for name in files:
        say_line(f"Wrote {name}")
