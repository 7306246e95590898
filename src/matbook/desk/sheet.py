"""The day sheet: half a page that says how the shift went, then everything as tables to print."""

from collections.abc import Iterator, Mapping
from typing import Any, Final

from matbook.desk import deliveries, tables
from matbook.desk.asking import Asked
from matbook.desk.entries import entries
from matbook.desk.now import heading
from matbook.shift.places import label
from matbook.shift.speak import spoken

Row = dict[str, Any]

MOST: Final = 5
"""Matters that the summary names: with more of them it would be no summary."""


def day_sheet(asked: Asked) -> Row:
    """The shift as tables for the browser to print; it says that it isn't the official record."""
    head = heading(asked)
    calls = [
        {"state": asked.say(f"mark.{call.grade}"), "head": words.head, "line": words.line}
        for call in asked.view.calls
        if (words := spoken(call, asked.plan, asked.now, asked.words))
    ]
    written = [
        {"at": row["at"], "title": row["title"], "line": row["line"], "place": row["place"],
         "by": row["by"], "state": row["state_words"]}
        for row in reversed(entries(asked))
    ]  # fmt: skip
    plan = asked.plan
    delivered = [
        {**row, "state": row["state_words"], "mix": _name(plan.mixes, row["mix"])}
        for row in deliveries.loads(asked)
    ]
    laid = [
        {**row, "lane": _name(plan.lanes, row["lane"]), "lift": _name(plan.lifts, row["lift"])}
        for row in tables.yields(asked)
    ]
    moved = [{**row, "paver": _name(plan.pavers, row["paver"])} for row in tables.pavers(asked)]
    sections = (
        ("calls", calls, ("state", "head", "line")),
        ("loads", delivered, ("ticket", "at", "truck", "mix", "net", "temp", "state", "place")),
        ("yield", laid, ("lane", "lift", "loads", "mass", "spread", "over")),
        ("pavers", moved, ("paver", "pace", "stops")),
        (
            "told",
            tables.told(asked),
            ("at", "to", "text", "after", "answered", "answer", "state", "sent"),
        ),
        ("due", tables.due(asked), ("check", "done", "left", "state")),
        ("entries", written, ("at", "title", "line", "place", "by", "state")),
    )
    return {
        "title": asked.say("sheet.title", job=head["title"]),
        "line": head["line"],
        "job_note": asked.plan.job.note,
        "summary_title": asked.say("sheet.summary"),
        "summary": [
            {"title": asked.say(f"sheet.{name}"), "lines": lines}
            for name, lines in _summary(asked)
            if lines
        ],
        "sections": [
            {
                "title": asked.say(f"sheet.{name}"),
                "columns": [asked.say(f"column.{column}") for column in columns],
                "rows": [[str(row[column]) for column in columns] for row in rows],
            }
            for name, rows, columns in sections
            if rows
        ],
        "note": asked.say("sheet.note"),
    }


def _name(held: Mapping[str, Any], name: str) -> str:
    """What a lane, lift, mix or paver is called; its id where the plan has none."""
    return str(held[name].name) if name in held else name


# The summary


def _summary(asked: Asked) -> Iterator[tuple[str, list[str]]]:
    """What a reader wants to know first, by the name of its title."""
    seen = asked.view
    state = "sealed" if asked.sealed else "closed" if asked.closed else "open"
    yield "state", [asked.say(f"sheet.state.{state}")]
    yield "taken", [_taken(asked)]
    yield "laid", list(_laid(asked))
    yield "needs", list(_needs(asked))
    waiting = [matter for matter in seen.matters if not matter.settled]
    told = asked.say("sheet.notices.line", n=len(seen.matters), open=len(waiting))
    yield "notices", [told] if seen.matters else []
    late = ", ".join(item.check.name for item in seen.due if item.overdue)
    yield "overdue", [late or asked.say("sheet.overdue.none")]
    own = [entry for entry in asked.facts.entries() if entry.shift == asked.shift]
    struck = [entry for entry in own if asked.facts.state(entry) == "struck"]
    yield "struck", [asked.say("sheet.struck.line", n=len(struck))] if struck else []
    yield "writers", [", ".join(asked.person(by) for by in dict.fromkeys(e.by for e in own))]


def _taken(asked: Asked) -> str:
    seen = asked.view
    taken = len([load for load in seen.loads if load.counts])
    away = len([load for load in seen.loads if load.decision == "turned away"])
    mass = asked.display.show("mass", seen.taken_kg)
    words = asked.say("sheet.taken.line", count=taken, mass=mass)
    return f"{words}; {asked.say('sheet.turned', n=away)}" if away else words


def _laid(asked: Asked) -> Iterator[str]:
    """Each lane and lift: its mass, how far the mat reached, and what that is against the plan."""
    plan, ends = asked.plan, asked.view.ends
    for row in tables.yields(asked):
        lane, lift = row["lane"], row["lift"]
        named = {"lane": plan.lanes[lane].name, "lift": plan.lifts[lift].name}
        parts = [asked.say("sheet.laid.line", mass=row["mass"], count=row["loads"], **named)]
        parts += [
            asked.say("sheet.laid.reached", station=label(plan, lane, at_m))
            for strip, at_m in ends.items()
            if strip[:2] == (lane, lift)
        ]
        parts += [asked.say("sheet.laid.over", over=row["over"])] if row["over"] else []
        yield " · ".join(parts)


def _needs(asked: Asked) -> Iterator[str]:
    """The gravest matters that nobody settled, a few of them."""
    seen = asked.view
    asking = [call for call in seen.calls if call.grade != "note"]
    calls = [call for call in asking if not ((told := seen.told(call)) and told.settled)]
    for call in calls[:MOST]:
        words = spoken(call, asked.plan, asked.now, asked.words)
        yield f"{words.head}: {words.line}"
    if len(calls) > MOST:
        yield asked.say("sheet.needs.more", n=len(calls) - MOST)
    if not calls:
        yield asked.say("sheet.needs.nothing")
