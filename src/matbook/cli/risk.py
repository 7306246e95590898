"""matbook risk: what a pay schedule pays for work of every quality, before the season."""

from pathlib import Path
from typing import Any

import click

from matbook.cli.schedules import schedule_of
from matbook.cli.shared import (
    as_json,
    job_option,
    plan_now,
    progress,
    say_line,
    say_wrapped,
    table,
    tell,
    write_file,
)
from matbook.desk.risk import risk_of
from matbook.words import say

COLUMNS = ("mean", "within", "expected", "range", "full", "rejected")


@click.command(
    epilog="""\b
Examples:
  matbook risk florida-percent --sd 1.0 --lower 92 --results 4
  matbook risk ours.toml --sd 0.8 --lower 92 -o risk.pdf
  matbook risk --lots mat --sd 1.0              as the plan has its lots
  matbook risk corps-mat-density --sd 0.7 --from 91 --to 98 -o risk.svg"""
)
@click.argument("schedule", required=False)
@click.option("--lots", help="The id of lots in the plan: their schedule, limits and results.")
@click.option("--results", help="Results of a lot.")
@click.option("--sd", required=True, help="How much the work spreads: its standard deviation.")
@click.option("--lower", help="Lower limit, where the schedule brings none.")
@click.option("--upper", help="Upper limit, where the schedule brings none.")
@click.option("--target", help="What deviations are taken from, where the schedule brings none.")
@click.option("--from", "from_", help="The first true mean to look at.")
@click.option("--to", help="The last.")
@click.option("--points", help="How many means; 200 where left out.")
@click.option("--good", help="Percent within limits that deserves full pay; 90 where left out.")
@click.option("--poor", help="Percent within limits that doesn't; 50 where left out.")
@click.option(
    "-o",
    "--output",
    type=click.Path(path_type=Path),
    help="Write a page to print (.pdf), or the curve of pay as a picture (.svg).",
)
@job_option
@as_json
@click.pass_context
def risk(
    ctx: click.Context,
    /,
    schedule: str | None,
    from_: str | None,
    output: Path | None,
    job: str | None,
    as_json: bool,
    **given: Any,
) -> None:
    """What a pay SCHEDULE (a name, or a file) pays on average for work of every quality, and what
    owner and contractor risk with it: 2,000 lots are simulated for each true mean of the work.

    It can be stopped with Ctrl-C; nothing is written then.
    """
    plan, now = plan_now(ctx, job)
    asked = {**given, **({} if schedule is None else schedule_of(schedule)), "from": from_}
    with progress(as_json) as shown:
        task = shown.add_task("Simulating lots", total=None)

        def told(done: int, of: int) -> bool:
            shown.update(task, completed=done, total=of)
            return True

        found = risk_of(plan, asked, progress=told)
    if output is not None and output.suffix == ".svg":
        write_file(output, found["charts"][0]["svg"].encode())
    elif output is not None:
        from matbook.records.risk import risk_page  # slow to load, so only when used

        write_file(output, risk_page(plan.job, found, now))
    tell(found, as_json, _print, output)


def _print(found: dict[str, Any]) -> None:
    say_line(f"{found['title']}\n")
    for sentence in (found["line"], found["standing"]):
        say_wrapped(sentence, 2)
    say_line()
    heads = [say(f"risk.column.{name}") for name in COLUMNS]
    table(heads, [[row[name] for name in COLUMNS] for row in found["rows"]], heads)
    for part in ("risks", "notes"):
        say_line()
        for sentence in found[part]:
            say_wrapped(sentence, 2)
