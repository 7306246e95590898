"""matbook show: the shift as it stands, its tables, and every number opened."""

from collections.abc import Callable, Mapping
from datetime import datetime
from typing import Any, Final

import click

from matbook.book.entry import Entry
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
from matbook.desk import standing
from matbook.desk.seen import Seen, in_short
from matbook.errors import NotFound
from matbook.shift.display import Display, clock, minutes, signed, written
from matbook.shift.facts import facts_as_known
from matbook.shift.figure import Figure, shown
from matbook.shift.view import View, view
from matbook.words import has, say

SHAPES: Final[Mapping[str, str]] = {
    "act": "◆",
    "watch": "▲",
    "note": "·",
    "fine": "■",
    "unknown": "○",
}
"""State is a shape and a word; a terminal has no colour to rely on."""

NUMBERS: Final = frozenset(
    {"net", "temp", "age", "loads", "mass", "area", "spread", "over", "points", "pace", "done"}
    | {"left"}
)
"""Headings of the columns whose values line up on the right."""


@click.command(
    epilog="""\b
Examples:
  matbook show                          what needs you now, and the six standing answers
  matbook show loads                    every load and where it went
  matbook show figure yield.shift/rate  open a number: formula, inputs, source, range
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
    as_json: bool,
) -> None:
    """Show a shift: what is up now, loads, yield, pavers, checks due, who was told, entries.

    Every number opens: `show figures` lists them, `show figure NAME` shows the formula, its
    inputs with the entries they came from, its source, and how sure it is.
    """
    here = installation(ctx)
    book = here.book(job_named(here, job))
    if what == "shifts":
        emit(book.shifts) if as_json else say_line("\n".join(book.shifts))
        return
    which = shift_named(book, shift)
    now = _now(book.last_moment(which), here.clock(), book.seal_of(which) is not None)
    seen = book.view(which, now)
    if at is not None:
        known = moment_of(at, now, "--at") or now
        seen = view(facts_as_known(seen.facts.shift, book.entries, known), known, seen.carry)
    data = standing.now(Seen(book, seen, "en", {})) if what == "now" else VIEWS[what](seen, name)
    if as_json:
        emit(data)
    else:
        PRINTERS[what](data)


def _now(last: datetime, clock_now: datetime, closed: bool) -> datetime:
    """A closed or past shift is shown as it stood at its last entry, in its own offset."""
    past = closed or (clock_now - last).total_seconds() > 12 * 3600
    return last if past else clock_now.astimezone(last.tzinfo)


# What each view holds, as plain data


def _loads(seen: View, _: str | None) -> list[dict[str, Any]]:
    display = Display(seen.plan.job.units)
    return [
        {
            "ticket": a.load.label,
            "at": clock(a.load.at),
            "truck": a.load.truck,
            "mix": a.load.mix,
            "net": display.show("load", a.load.net_kg) if a.load.net_kg is not None else "",
            "temp": written(a.load.temp),
            "age": minutes(a.load.age) if a.load.age else "",
            "state": a.state,
            "id": a.load.id,
        }
        for a in seen.accounts
    ]


def _yield(seen: View, _: str | None) -> list[dict[str, Any]]:
    display = Display(seen.plan.job.units)
    rows = []
    for (lane, lift), found in seen.by_course.items():
        deviation = found.deviation
        rows.append(
            {
                "lane": lane,
                "lift": lift,
                "loads": found.total.loads,
                "mass": display.show("mass", found.total.mass_kg),
                "area": display.show("area", found.total.area_m2),
                "spread": display.show("spread", found.rate.value),
                "over": f"{signed(deviation.value, 1)} %" if deviation else "",
                "range": f"{signed(deviation.low or 0, 1)} to {signed(deviation.high or 0, 1)} %"
                if deviation
                else "",
            }
        )
    return rows


def _pavers(seen: View, _: str | None) -> list[dict[str, Any]]:
    display = Display(seen.plan.job.units)
    return [
        {
            "paver": line.paver,
            "points": len(line.points),
            "pace": display.show("pace", pace)
            if (pace := line.pace_m_s(seen.now)) is not None
            else "",
            "stops": "; ".join(
                f"{clock(s.started)} {minutes(s.lasted(seen.now))} {say(f'stop.{s.reason}')}"
                for s in line.stops
            ),
        }
        for line in seen.pavers
    ]


def _due(seen: View, _: str | None) -> list[dict[str, Any]]:
    display = Display(seen.plan.job.units)
    amounts: dict[str, Callable[[float], str]] = {
        "loads": lambda left: say("count.loads", n=f"{left:.0f}"),
        "mass": lambda left: display.show("mass", left, 0),
        "distance": lambda left: display.show("length", left, 0),
        "time": lambda left: f"{left / 60:.0f} min",
    }
    return [
        {
            "check": item.check.name,
            "done": item.done,
            "left": "—" if item.left is None else amounts[item.check.per](item.left),
            "state": "overdue" if item.overdue else "",
        }
        for item in seen.due
    ]


def _told(seen: View, _: str | None) -> list[dict[str, Any]]:
    return [
        {
            "at": clock(matter.at),
            "to": ", ".join(matter.to),
            "how": matter.how,
            "text": matter.text,
            "answer": "; ".join(reply.text("text") for reply in matter.replies),
            "state": "settled" if matter.settled else "open",
            "id": matter.id,
        }
        for matter in seen.matters
    ]


def _entries(seen: View, _: str | None) -> list[dict[str, Any]]:
    return [
        {
            "at": clock(entry.at),
            "kind": entry.kind,
            "what": in_short(entry)[:24],
            "by": entry.by,
            "state": seen.facts.state(entry),
            "id": entry.id,
        }
        for entry in seen.facts.entries()
    ]


def _figures(seen: View, _: str | None) -> list[dict[str, Any]]:
    return [
        {"name": name, "value": shown(found.value), "unit": found.unit}
        for name, found in seen.figures()
    ]


def _figure(seen: View, name: str | None) -> dict[str, Any]:
    found: Figure | None = dict(seen.figures()).get(name or "")
    if found is None:
        raise NotFound(f"There is no figure “{name or ''}” in this shift; see: show figures")
    return {"name": name, **found.open(depth=2)}


def _entry(seen: View, name: str | None) -> dict[str, Any]:
    matching = [e for e in seen.facts.entries() if name and (e.id == name or e.hash == name)]
    if not matching:
        raise NotFound(f"There is no entry “{name or ''}” in this shift; see: show entries")
    entry: Entry = matching[0]
    settled = seen.facts.settled(entry)
    return {
        "hash": entry.hash,
        "state": seen.facts.state(entry),
        "trouble": seen.facts.trouble(entry),
        "stands": settled.standing.id if settled.standing else "",
        "struck": [struck.id for struck in settled.struck],
        "contenders": [other.id for other in settled.contenders],
        "entry": dict(entry.data),
    }


VIEWS: Final[Mapping[str, Callable[[View, str | None], Any]]] = {
    "loads": _loads,
    "yield": _yield,
    "pavers": _pavers,
    "due": _due,
    "told": _told,
    "entries": _entries,
    "figures": _figures,
    "figure": _figure,
    "entry": _entry,
}


# How each is printed


def _print_state(data: dict[str, Any]) -> None:
    say_line(f"{data['job']} · {data['shift']} · {data['at'][11:16]}\n")
    for call in data["calls"]:
        told = "" if call["told"] is None else " · told"
        names = ", ".join(one["name"] for one in call["tell"])
        tell = f" · tell {names}" if names and not told else ""
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
    "entry": _print_tree,
    **dict.fromkeys(("loads", "yield", "pavers", "due", "told", "entries", "figures"), _print_rows),
}
