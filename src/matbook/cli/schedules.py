"""matbook show schedules, matbook show schedule: which there are, and one looked at or checked."""

from pathlib import Path
from typing import Any

import click

from matbook.cli.shared import as_text, emit, plan_now, say_line, say_wrapped, table, write_file
from matbook.desk.schedules import list_of, page_of
from matbook.errors import Refused


def show_schedules(ctx: click.Context, job: str | None, as_json: bool) -> None:
    """Print every schedule that ships or that the plan brings."""
    rows = list_of(plan_now(ctx, job)[0])
    if as_json:
        emit(rows)
        return
    for row in rows:
        used = f" · lots: {row['lots']}" if row["lots"] else ""
        say_wrapped(f"{row['name']}: {row['title']}", 4)
        say_wrapped(f"    {_source(row)} · {row['from']}{used}", 4)


def show_schedule(
    ctx: click.Context,
    name: str,
    job: str | None,
    results: str | None,
    output: Path | None,
    as_json: bool,
) -> None:
    """Print a schedule by its name, or check the file that should hold one."""
    if not name:
        raise Refused("name", "", "say which schedule, or a file; see: matbook show schedules")
    given = {**schedule_of(name), "results": results}
    page = page_of(plan_now(ctx, job)[0], given)
    if output is not None and not page["faults"]:
        if page["chart"] is None:
            raise Refused("-o", str(output), "what puts factors together has no curve")
        write_file(output, page["chart"]["svg"].encode())
    if as_json:
        emit(page)
    else:
        _print(page, output)
    ctx.exit(1 if page["faults"] else 0)


def schedule_of(name: str) -> dict[str, Any]:
    """A schedule by its name; or the text of a file, for what ends in .toml."""
    file = Path(name)
    if file.suffix != ".toml":
        return {"name": name}
    return {"name": file.stem, "text": as_text(file)}


def _print(page: dict[str, Any], output: Path | None) -> None:
    if page["faults"]:
        say_line(f"“{page['title']}” can't be used as it is:")
        for fault in page["faults"]:
            line = "" if fault["line"] is None else f"line {fault['line']}: "
            say_wrapped(f"  {line}{fault['words']}", 4)
        return
    say_line(f"{page['title']} ({page['name']})\n")
    say_wrapped(_source(page), 2)
    for sentence in page["about"]:
        say_wrapped(sentence, 2)
    say_line()
    rows = [[row["measured"], row["factor"]] for row in page["rows"]]
    table([page["measure"], "factor"], rows, {"factor"})
    if output is not None:
        say_line(f"\nWrote {output}")


def _source(row: dict[str, Any]) -> str:
    edition = "" if row["edition"] == "—" else f", {row['edition']}"
    return f"{row['source']}{edition}; {row['standing']}"
