"""The plan's checklists as they stand: each line, why it matters, and the latest word on it."""

from typing import Any

from matbook.desk.asking import Asked
from matbook.shift.display import clock
from matbook.shift.lists import Listed, Ticked
from matbook.shift.speak import at_events

Row = dict[str, Any]


def lists(asked: Asked) -> Row:
    """Every checklist, in the plan's order."""
    found = asked.view.lists if asked.has_shift else ()
    return {
        "title": asked.say("lists.title"),
        "none": asked.say("lists.none"),
        "lists": [_list(asked, one) for one in found],
    }


def _list(asked: Asked, one: Listed) -> Row:
    seen = sum(line.seen for line in one.lines)  # whole numbers
    source = " ".join(part for part in (one.list.source, one.list.clause) if part)
    due = one.left is not None
    return {
        "id": one.list.id,
        "name": one.list.name,
        "line": asked.say("lists.line", closed=seen, all=len(one.lines)),
        "due": due,
        "state": _state(asked, one),
        "source": asked.say("lists.source", source=source) if source else "",
        "lines": [_line(asked, line) for line in one.lines],
    }


def _state(asked: Asked, one: Listed) -> str:
    """When it falls due, where it hasn't yet; how often it was passed over, where it was."""
    if one.since is None:
        return asked.say("lists.not-due", at=at_events(one.list, asked.words))
    if one.left is not None and one.left < 0:
        return asked.say("lists.missed", times=round(-one.left))
    return ""


def _line(asked: Asked, ticked: Ticked) -> Row:
    fact = ticked.fact
    said = (fact.text("note"), fact.text("released_by")) if fact else ()
    return {
        "item": ticked.line.item,
        "why": ticked.line.why,
        "hold": asked.say("lists.hold") if ticked.line.hold else "",
        "state": ticked.state,
        "state_words": asked.say(f"choice.{ticked.state}"),
        "at": clock(fact.at) if fact else "",
        "said": " · ".join(part for part in said if part),
        "entry": fact.id if fact else "",
    }
