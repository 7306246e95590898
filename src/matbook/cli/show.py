"""matbook show: the shift as it stands, its tables, and every number opened."""

from collections.abc import Callable, Mapping
from datetime import datetime
from pathlib import Path
from typing import Any, Final

import click

from matbook.cli.draw import held
from matbook.cli.placed import placement_rows, print_haul
from matbook.cli.schedules import show_schedule, show_schedules
from matbook.cli.shared import (
    as_json,
    emit,
    grid,
    installation,
    job_named,
    job_option,
    moment_of,
    say_line,
    say_wrapped,
    shift_named,
    shift_option,
    table,
)
from matbook.desk.asking import PAST
from matbook.desk.job import JobBook
from matbook.desk.open_book import OpenBook
from matbook.words import has, say

SHAPES: Final[Mapping[str, str]] = {
    "act": "◆",
    "watch": "▲",
    "note": "·",
    "fine": "■",
    "unknown": "○",
}
"""State is a shape and a word; a terminal has no colour to rely on."""

LONGEST: Final = 24
"""Characters of an entry's words in the list of entries."""

NUMBERS: Final = frozenset(
    {
        "net",
        "temp",
        "age",
        "loads",
        "mass",
        "value",
        "exact",
        "area",
        "spread",
        "over",
        "points",
        "readings",
        "inside",
        "share",
        "off",
        "read",
        "pace",
        "done",
    }
    | {"left"}
)
"""Headings of the columns whose values line up on the right."""


@click.command(
    epilog="""\b
Examples:
  matbook show                          what needs you now, and the six standing answers
  matbook show loads                    every load and where it went
  matbook show figure yield.shift/rate  open a number: formula, inputs, source, range
  matbook show score                    how the forecasts of cooling did, over all shifts
  matbook show haul                     the coming hour, what would help, the last load
  matbook show placement                tack, depth, width, slope and edges, smoothness
  matbook show lots                     every lot: mean, percent within limits, pay
  matbook show lot mat-1                a lot with every step to its pay factor
  matbook show strip                    control strips: pattern, target, every place, sections
  matbook show gauges                   standard counts, certificates, cores beside the gauge
  matbook show draw mat-1               how its sample places were drawn, and whether it fits
  matbook show schedules                pay schedules: what each rests on
  matbook show schedule ours.toml       check a schedule's file; -o curve.svg draws it
  matbook show entry ID                 one entry as it was written, and its corrections
  matbook show --at 11:40               the shift as it was known then"""
)
@click.argument(
    "what",
    type=click.Choice(
        [
            "now",
            "loads",
            "yield",
            "pavers",
            "due",
            "told",
            "score",
            "joints",
            "haul",
            "placement",
            "lists",
            "guide",
            "lots",
            "lot",
            "strip",
            "gauges",
            "cores",
            "schedules",
            "schedule",
            "draws",
            "draw",
            "entries",
            "figures",
            "figure",
            "entry",
            "shifts",
        ]
    ),
    default="now",
)
@click.argument("name", required=False)
@job_option
@shift_option
@click.option("--results", help="Of a schedule: for lots of so many results.")
@click.option(
    "-o",
    "--output",
    type=click.Path(path_type=Path),
    help="Of a schedule: write its curve as a picture (SVG).",
)
@click.option("--at", help="As it was known at this moment: 11:40, or a whole date and time.")
@as_json
@click.pass_context
def show(
    ctx: click.Context,
    what: str,
    name: str | None,
    job: str | None,
    shift: str | None,
    at: str | None,
    results: str | None,
    output: Path | None,
    as_json: bool,
) -> None:
    """Show a shift: what is up now, loads, yield, pavers, checks due, who was told, joints and
    what traffic meets tonight, the haul, what is placed, checklists, entries; the guide to what
    mix and mat look like; lots and what they are worth; control strips, gauges, cores and their
    custody; sample places; pay schedules, by name or as a file to be checked; and how the
    forecasts did.

    Every number opens: `show figures` lists them, `show figure NAME` shows the formula, its
    inputs with the entries they came from, its source, and how sure it is.
    """
    if what == "schedules":
        show_schedules(ctx, job, as_json)
        return
    if what == "schedule":
        show_schedule(ctx, name or "", job, results, output, as_json)
        return
    here = installation(ctx)
    book = here.book(job_named(here, job))
    if what == "shifts":
        emit(book.shifts) if as_json else say_line("\n".join(book.shifts))
        return
    which = shift_named(book, shift)
    asked = {"shift": which, "at": here.clock().isoformat(), "name": name or "", "id": name or ""}
    asked |= {"secret": held(here, book.job, name or "")} if what == "draw" else {}
    if at is not None:
        known = _known_at(book, which, at, here.clock())
        book, asked["at"] = book.as_known(known), known.isoformat()
    data = SHAPED.get(what, _as_it_is)(OpenBook(book.job, book).ask(what, asked))
    if as_json:
        emit(data)
    else:
        PRINTERS[what](data)


def _known_at(book: JobBook, shift: str, at: str, clock_now: datetime) -> datetime:
    """The moment of --at: a time of day is the latest such time in the shift's life so far."""
    last = book.last_moment(shift)
    past = book.closed(shift) or (clock_now - last) > PAST
    now = last if past else clock_now.astimezone(last.tzinfo)
    return moment_of(at, now, "--at") or now


# The core's answers, in the columns that a terminal has room for


def _as_it_is(answer: Any) -> Any:
    return answer


def _loads(answer: Any) -> list[dict[str, Any]]:
    columns = ("ticket", "at", "truck", "mix", "net", "temp", "age", "state", "id")
    return [{name: row[name] for name in columns} for row in answer]


def _entries(answer: Any) -> list[dict[str, Any]]:
    return [
        {
            "at": row["at"],
            "kind": row["kind"],
            "what": (row["named"] or row["line"])[:LONGEST],
            "by": row["by_id"],
            "state": row["state"],
            "id": row["id"],
        }
        for row in reversed(answer)
    ]


def _figures(answer: Any) -> list[dict[str, Any]]:
    columns = ("name", "value", "exact", "unit")
    return [{name: row[name] for name in columns} for row in answer]


def _figure(answer: Any) -> dict[str, Any]:
    head = {"name": answer["name"], "title": answer["title"], "shown": answer["value"]}
    return {**head, **answer["exact"]}


def _entry(answer: Any) -> dict[str, Any]:
    columns = ("hash", "title", "line", "state", "trouble", "stands", "struck", "contenders")
    told = {name: answer["told"][name] for name in ("times", "sent")} if answer["told"] else {}
    return {name: answer[name] or "" for name in columns} | told | {"entry": answer["entry"]}


def _joints(answer: Any) -> list[dict[str, Any]]:
    """Steps of every joint, then what traffic meets tonight."""
    columns = ("what", "where", "state", "at", "told")
    steps = [
        {"what": one["step"], "where": joint["title"], "state": one["state_words"], "at": one["at"]}
        for joint in answer["joints"]
        for one in joint["steps"]
    ]
    tonight = [{**one, "state": one["state_words"]} for one in answer["tonight"]]
    return [{name: row.get(name, "") for name in columns} for row in (*steps, *tonight)]


def _lists(answer: Any) -> list[dict[str, Any]]:
    return [
        {"list": one["name"], "item": line["item"], "state": line["state_words"], "at": line["at"]}
        for one in answer["lists"]
        for line in one["lines"]
    ]


def _guide(answer: Any) -> list[dict[str, Any]]:
    return [
        {"sign": one["name"], "first": one["first"], "tell": "; ".join(one["tell"])}
        for group in answer["groups"]
        for one in group["signs"]
    ]


SHAPED: Final[Mapping[str, Callable[[Any], Any]]] = {
    "loads": _loads,
    "entries": _entries,
    "figures": _figures,
    "figure": _figure,
    "entry": _entry,
    "joints": _joints,
    "lists": _lists,
    "guide": _guide,
    "placement": placement_rows,
}


# How each is printed


def _print_state(data: dict[str, Any]) -> None:
    say_line(f"{data['job']} · {data['shift']} · {data['at'][11:16]}\n")
    for call in data["calls"]:
        told = "" if call["told"] is None else " · told"
        wanted = call["tell"] and not told
        tell = f" · tell {', '.join(one['name'] for one in call['tell'])}" if wanted else ""
        say_wrapped(f"{SHAPES[call['grade']]} {call['head']}   {call['line']}", 4)
        say_wrapped(f"    {call['small']}{told}{tell}", 4)
    say_line()
    for answer in data["answers"]:
        say_wrapped(f"{SHAPES[answer['state']]} {answer['title']}: {answer['number']}", 4)
        for line in answer["lines"]:
            say_wrapped(f"    {line}", 4)


def _print_rows(data: list[dict[str, Any]]) -> None:
    if not data:
        say_line("Nothing yet.")
        return
    headings = list(data[0])
    table(headings, [[str(row[name]) for name in headings] for row in data], NUMBERS)


def _print_told(data: list[dict[str, Any]]) -> None:
    if not data:
        say_line("Nothing yet.")
    for row in data:
        say_wrapped(f"{row['at']}  {row['to']} · {row['how']} · {row['state']}", 7)
        for name in ("text", "times", "answer", "sent", "id"):
            if row[name]:
                say_wrapped(f"       {row[name]}", 7)


def _print_score(data: dict[str, Any]) -> None:
    for name in ("rows", "readings"):
        if data[name]:
            _print_rows(data[name])
            say_line()
    for note in data["notes"]:
        say_wrapped(note, 0)


def _print_lot(data: dict[str, Any]) -> None:
    say_line(f"{data['title']}\n")
    say_wrapped(data["line"], 0)
    if data["factor"] != "—":
        money = f" · {data['money']}" if data["money"] else ""
        say_line(f"{say('lot.pay', factor=data['factor'])}{money}")
    say_line()
    columns = ("sublot", "at", "station", "sample", "value", "state")
    if data["rows"]:
        _print_rows([{name: row[name] for name in columns} for row in data["rows"]])
    for part in ("rule", "laid", "steps", "doubts", "ahead", "sides", "custody", "draw", "notes"):
        if data[part]:
            say_line()
        for one in data[part]:
            say_wrapped(one["text"] if part == "steps" else one, 2)
    if data["why"]:
        say_wrapped(data["why"], 0)


def _print_parts(data: dict[str, Any]) -> None:
    """Strips, gauges or cores: sentences with their shapes, then tables."""
    for one in data["parts"]:
        say_line(f"{one['title']}\n")
        for each in one["lines"]:
            say_wrapped(f"{SHAPES.get(each['state'], ' ')} {each['text']}", 2)
        for found in one["tables"]:
            say_line(f"\n{found['title']}")
            table(found["columns"], [[cell["text"] for cell in row] for row in found["rows"]])
        say_line()
        for note in one["notes"]:
            say_wrapped(note, 2)
    for sentence in (data["none"], *data["notes"], *data["cautions"]):
        if sentence:
            say_wrapped(sentence, 2)


def _print_draw(data: dict[str, Any]) -> None:
    say_line(f"{data['title']}\n")
    for part in ("rules", "steps", "order", "places", "agrees"):
        for one in data[part]:
            say_wrapped(one if isinstance(one, str) else one["words"], 2)
        if data[part]:
            say_line()
    for sentence in (data["to_come"], data["holding"], data["fits"]):
        if sentence:
            say_wrapped(sentence, 2)


def _print_tree(data: dict[str, Any], depth: int = 0) -> None:
    wide = max(
        (len(name) for name, value in data.items() if not isinstance(value, dict)), default=0
    )
    for name, value in data.items():
        if isinstance(value, dict):
            say_line(f"{'  ' * depth}{name}:")
            _print_tree(value, depth + 1)
        else:
            many = value if isinstance(value, list) else [value]
            label = f"{'  ' * depth}{name:<{wide}}"
            grid([(label, ", ".join(_worded(one) for one in many))])


def _worded(value: object) -> str:
    text = str(value)
    return say(text) if has(text) else text


PRINTERS: Final[Mapping[str, Callable[[Any], None]]] = {
    "now": _print_state,
    "figure": _print_tree,
    "score": _print_score,
    "told": _print_told,
    "entry": _print_tree,
    "lot": _print_lot,
    "draw": _print_draw,
    "haul": print_haul,
    **dict.fromkeys(("lots", "loads", "yield", "pavers", "due", "entries", "figures"), _print_rows),
    **dict.fromkeys(("joints", "lists", "guide", "draws", "placement"), _print_rows),
    **dict.fromkeys(("strip", "gauges", "cores"), _print_parts),
}
