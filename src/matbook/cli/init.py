"""matbook init: a commented plan to begin with."""

from pathlib import Path

import click

from matbook.cli.shared import say_line
from matbook.errors import FileRefused
from matbook.plan.starter import starter


@click.command()
@click.argument("file", type=click.Path(path_type=Path), default="plan.toml")
@click.option(
    "--units", type=click.Choice(["metric", "us"]), default="metric", help="Units of the plan."
)
def init(file: Path, units: str) -> None:
    """Write a commented starter plan to FILE (plan.toml), to be edited.

    Every number in it is an example, labelled as common practice or with its published source;
    none is in force until you import the plan. The owner's specification always rules.
    """
    try:
        with file.open("x", encoding="utf-8") as written:
            written.write(starter("us" if units == "us" else "metric"))
    except FileExistsError:
        raise FileRefused(f"{file} is already there; name another file.") from None
    except OSError as error:
        raise FileRefused(f"{file} can't be written: {error.strerror}.") from None
    say_line(f"Wrote {file}. Edit it, then take it over with: matbook import {file}")
