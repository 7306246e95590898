"""Transverse joints step by step, and checklists line by line: what was said, and what wasn't."""

from collections.abc import Iterator, Sequence
from typing import Any, Final

from matbook.records.daily.blocks import Block, Cell, cell, column, table
from matbook.records.daily.sheet import Sheet
from matbook.shift.facts import Fact
from matbook.shift.joints import HOLDS, Joint, joints
from matbook.shift.lists import Listed, is_of

MISSED: Final = ("missing", "not looked at", "not done", "held")


def joint_steps(sheet: Sheet) -> Block | None:
    """Every word on every transverse joint, in time; last what was passed over on restarting."""
    rows: list[list[Cell]] = []
    for joint in joints(sheet.view.facts):
        passed = [sheet.say(f"choice.{step}") for step in _passed(joint)]
        place = sheet.where(joint.words[0]) or sheet.say("kind.joint-transverse")
        rows += _group(sheet, place, joint.words, "step", passed)
    return _table(sheet, ("head.joint", "head.step"), rows)


def _passed(joint: Joint) -> Iterator[str]:
    """Steps of a joint that was started from and that nobody has written a word about."""
    if "restarted" in joint.steps:
        yield from (s for s in (*HOLDS, "straightedge") if joint.state(s) == "not looked at")


def checklists(sheet: Sheet) -> Block | None:
    """The plan's lists with every word on each line, then whatever else was ticked."""
    facts, rows = sheet.view.facts, list[list[Cell]]()
    rest = [*facts.of("checklist"), *facts.of("hold-point")]
    for one in sheet.view.lists:
        own = [fact for fact in rest if is_of(one.list, fact)]
        rest = [fact for fact in rest if fact not in own]
        rows += _group(sheet, one.list.name, own, "item", _unseen(one))
    for name in dict.fromkeys(fact.text("list") for fact in rest):
        own = [fact for fact in rest if fact.text("list") == name]
        rows += _group(sheet, name or sheet.say("kind.hold-point"), own, "item")
    return _table(sheet, ("head.list", "head.line"), rows)


def _unseen(one: Listed) -> list[str]:
    """Lines without a word of a list whose time has come."""
    return [line.line.item for line in one.lines if one.since and line.fact is None]


def _group(
    sheet: Sheet, name: str, own: Sequence[Fact], what: str, unseen: Sequence[str] = ()
) -> Iterator[list[Cell]]:
    """Its name leads the first row alone."""
    rows = [_row(sheet, fact, what) for fact in sorted(own, key=lambda fact: fact.at)]
    words = cell(sheet.say("choice.not looked at"), state="watch")
    rows += [["", line, words, ""] for line in unseen]
    for number, (time, *rest) in enumerate(rows):
        yield [time, "" if number else name, *rest]


def _row(sheet: Sheet, fact: Fact, what: str) -> list[Cell]:
    """Time, line or step, how it stood with whatever else was written, and by whom."""
    line = fact.text("point") or fact.text(what)
    step = what == "step"
    name = "held" if step else "state"
    state = fact.text(name)
    more = sheet.described(fact, "list", "item", "point", "step", "held", "state")
    said = cell(
        sheet.choice(fact.entry.kind, name, state),
        state="watch" if state in MISSED else "",
        small=more,
    )
    line = sheet.say(f"choice.{line}") if step else line
    return [sheet.time(fact.at), line, said, sheet.who(fact.entry.by)]


def _table(sheet: Sheet, heads: tuple[str, str], rows: list[list[Cell]]) -> Block | None:
    columns: list[dict[str, Any]] = [
        column(sheet.say("head.time"), None),
        column(sheet.say(heads[0]), 1.8),
        column(sheet.say(heads[1]), 3.2),
        column(sheet.say("head.state"), 3.2),
        column(sheet.say("head.by"), 1.5),
    ]
    return table(columns, rows) if rows else None
