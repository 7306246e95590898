"""matbook window: can we pave? Workable minutes by hour and thickness."""

from datetime import datetime
from pathlib import Path
from typing import Any, Final

import click

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
from matbook.cli.show import SHAPES
from matbook.desk.ahead import hours_ahead
from matbook.errors import Refused

PARTS: Final = ("at", "air", "wind", "sky", "surface")


@click.command(
    epilog="""\b
Examples:
  matbook window --mix-temp "145 degC" --air "8 degC" --wind "10 km/h" --sky overcast --at 07:00
  matbook window --mix-temp "145 degC" --hour 07:00,4degC,5m/s,clear --hour 10:00,12degC
  matbook window --mix-temp "290 degF" --air "50 degF" --wind "6 mph" --at 20:00 --opens 05:00
  matbook window --thickness "50 mm" --mix-temp "150 degC" --base-temp "15 degC" --air "15 degC"
    --wind "3 m/s" --latitude 45 --longitude -64 --ends "80 degC" --at 2026-06-16T10:00-03:00"""
)
@click.option("--thickness", multiple=True, help="A thickness; several may be given.")
@click.option("--mix-temp", "laid", help="The mat right behind the screed, such as 145 degC.")
@click.option("--base-temp", "surface", help="What it is laid on; the air's where left out.")
@click.option("--air", help="The air, such as 8 degC.")
@click.option("--wind", help="The wind, such as 10 km/h, where the plan says it is read.")
@click.option("--sky", help="clear, part cloud, overcast or fog; half cloud where left out.")
@click.option("--at", help="The first hour: 07:00, or a whole date and time; now if left out.")
@click.option("--until", help="The last hour; by itself six hours are looked at.")
@click.option(
    "--hour",
    "more",
    multiple=True,
    help="The weather from an hour on: time,air[,wind[,sky[,base]]]. May be given again.",
)
@click.option("--opens", help="When the road must open.")
@click.option("--latitude", help="Degrees, north plus; from the plan where left out.")
@click.option("--longitude", help="Degrees, east plus; from the plan where left out.")
@click.option("--ends", help="Mean of the mat at which rolling ends; from the plan if left out.")
@click.option("--opens-below", help="Mean of the mat at which traffic may come; from the plan.")
@click.option("--lift", help="Which lift of the plan; the first where left out.")
@click.option("-o", "--output", type=click.Path(path_type=Path), help="Write a page to print.")
@job_option
@as_json
@click.pass_context
def window(
    ctx: click.Context,
    /,
    more: tuple[str, ...],
    output: Path | None,
    job: str | None,
    as_json: bool,
    **given: Any,
) -> None:
    """Can we pave? Minutes until rolling makes no more density, by hour and thickness.

    Held against what the plan's rollers need. Without a plan, say where the job lies and at which
    temperature rolling ends. A forecast is advice: the specification and the site decide.
    """
    plan, now = plan_now(ctx, job)
    asked = {name: value for name, value in given.items() if value and name not in PARTS}
    if given["thickness"]:
        asked["thickness"] = list(given["thickness"])
    asked["hours"] = _hours(given, more, now)
    with progress(as_json) as shown:
        task = shown.add_task("Working out", total=None)
        found = hours_ahead(
            plan, asked, now, "en", lambda done, of: shown.update(task, completed=done, total=of)
        )
    if output is not None:
        from matbook.records.window import window_page  # slow to load, so only when used

        write_file(output, window_page(plan.job, found, now))
    tell(found, as_json, _print, output)


def _hours(given: dict[str, Any], more: tuple[str, ...], now: datetime) -> list[dict[str, str]]:
    """The weather as given by options, and by each --hour."""
    rows = []
    if given["air"] or given["wind"] or not more:
        first = {name: given[name] for name in PARTS if given[name]}
        rows.append({"at": now.isoformat(timespec="minutes"), **first})
    for text in more:
        parts = [part.strip() for part in text.split(",")]
        if not 1 < len(parts) <= len(PARTS):
            raise Refused("--hour", text, "time,air[,wind[,sky[,base]]]: 07:00,4 degC,5 m/s,clear")
        rows.append(dict(zip(PARTS, parts, strict=False)))
    return rows


def _print(found: dict[str, Any]) -> None:
    say_line(f"{found['title']}\n")
    say_wrapped(found["line"], 0)
    say_line()
    heads = ["hour", "weather", *(one["words"] for one in found["columns"]), "cool by"]
    rows = [
        [
            row["at"],
            row["weather"],
            *(f"{SHAPES[one['state']]} {one['words']}" for one in row["cells"]),
            row["cool"] or "—",
        ]
        for row in found["rows"]
    ]
    table(heads, rows, {*heads[2:]})
    for words, (state, hours) in _beyond(found).items():
        when = hours[0] if len(hours) == 1 else f"{hours[0]}–{hours[-1]}"
        say_wrapped(f"{SHAPES[state]} {when}: {words}", 4)
    say_line()
    for key in found["keys"]:
        say_wrapped(f"{SHAPES[key['state']]} {key['words']}", 2)
    for part in ("needs", "works", "closure", "orders"):
        say_line()
        for sentence in found[part]:
            say_wrapped(sentence, 2)
    say_line()
    for sentence in found["notes"]:
        say_wrapped(sentence, 0)


def _beyond(found: dict[str, Any]) -> dict[str, tuple[str, list[str]]]:
    """Each limit that the weather is beyond, with its state and the hours."""
    said: dict[str, tuple[str, list[str]]] = {}
    for row in found["rows"]:
        for one in row["limits"]:
            said.setdefault(one["words"], (one["state"], []))[1].append(row["at"])
    return said
