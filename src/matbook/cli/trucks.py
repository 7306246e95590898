"""matbook trucks: before the shift, how many trucks and which pace."""

from typing import Any

import click

from matbook.cli.placed import print_trucks
from matbook.cli.shared import as_json, emit, job_option, plan_now
from matbook.cli.show import SHAPES
from matbook.desk.trucks import ROADS, trucks_ahead


@click.command(
    epilog="""\b
Examples:
  matbook trucks --mass "1600 t" --hours "10 h"
  matbook trucks --mass "1600 t" --hours "10 h" --load "22 t" --cycle "85 min" --trucks 9
  matbook trucks --mass "1200 ton" --hours "7 h" --road two-lane"""
)
@click.option("--mass", help="Mix for the shift; the lift's budget where left out.")
@click.option("--hours", help="How long mix is laid, such as 10 h.")
@click.option("--load", help="A usual load; from the plan where left out.")
@click.option("--cycle", help="A round without waiting: loading, ways, laying; from the plan.")
@click.option("--trucks", help="Trucks there are, to see what they do.")
@click.option("--road", type=click.Choice([*ROADS]), help="Whether trucks can pass one another.")
@click.option("--lift", help="Which lift of the plan; the first where left out.")
@job_option
@as_json
@click.pass_context
def trucks(ctx: click.Context, /, job: str | None, as_json: bool, **given: Any) -> None:
    """How many trucks, and which pace? For the planned mass, before the shift.

    With how long the paver would stand, on a road where trucks can pass and on one where they
    can't, and what stop-and-go costs against a slower steady pace. A forecast is advice.
    """
    plan, _ = plan_now(ctx, job)
    found = trucks_ahead(plan, {name: value for name, value in given.items() if value})
    if as_json:
        emit(found)
    else:
        print_trucks(found, dict(SHAPES))
