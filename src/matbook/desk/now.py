"""What needs the person now, most urgent first, and the six standing answers."""

from collections.abc import Sequence
from itertools import islice
from typing import Any, Final

from matbook.desk.answers import Latest, answers
from matbook.desk.asking import Asked
from matbook.desk.calls import every, in_words, waits
from matbook.desk.lots import lot_line
from matbook.desk.strips import strip_line
from matbook.shift.calls import Call

MOST: Final = 1000


def now(asked: Asked) -> dict[str, Any]:
    """The state of the shift: calls, answers, and whether it is closed and sealed.

    Takes most: no more calls are then put in words, of those that wait, and more says how many
    others there are.
    """
    seen, up = asked.view, every(asked)
    given = _given(asked, up.calls)
    latest = max(up.lots.tested, key=lambda lot: lot.latest, default=None)
    lot = Latest(lot_line(asked, latest), latest, up.of_lots) if latest else None
    return {
        "shift": asked.shift,
        "job": seen.plan.job.name,
        "units": seen.plan.job.units,
        "at": seen.now.isoformat(),
        "heading": heading(asked),
        "calls": in_words(asked, given),
        "more": len(up.calls) - len(given),
        "answers": [
            {
                "name": answer.name,
                "title": asked.say(f"answer.{answer.name}"),
                "number": answer.number,
                "lines": list(answer.lines),
                "state": answer.state,
                "figure": answer.figure,
                "goes": list(answer.goes),
                "entries": list(answer.entries),
            }
            for answer in answers(seen, asked.words, lot, strip_line(asked, up.tests))
        ],
        "closed": asked.closed,
        "sealed": asked.sealed,
    }


def _given(asked: Asked, up: Sequence[Call]) -> Sequence[Call]:
    """The calls that are put in words: the most urgent of those that wait, or every one."""
    most = asked.count("most", MOST)
    if most is None:
        return up
    return list(islice((call for call in up if waits(asked.view, call)), most))


def heading(asked: Asked) -> dict[str, str]:
    """The job and the shift in words."""
    name = asked.facts.shift
    part = asked.say(f"part.{name.part}")
    return {
        "title": asked.plan.job.name,
        "line": asked.say("heading.line", date=name.date, crew=name.crew, part=part),
    }
