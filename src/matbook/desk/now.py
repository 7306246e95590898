"""What needs the person now, most urgent first, and the six standing answers."""

from typing import Any

from matbook.desk.answers import Latest, answers
from matbook.desk.asking import Asked
from matbook.desk.draws import draw_calls
from matbook.desk.lots import found, lot_calls, lot_line
from matbook.desk.notices import draft, told
from matbook.shift.calls import Call
from matbook.shift.speak import spoken
from matbook.shift.view import View


def now(asked: Asked) -> dict[str, Any]:
    """The state of the shift: calls, answers, and whether it is closed and sealed."""
    seen, lots = asked.view, found(asked)
    of_lots = [*lot_calls(asked, lots), *draw_calls(asked)]
    calls = sorted((*seen.calls, *of_lots), key=lambda call: call.urgency)
    latest = max(lots.tested, key=lambda lot: lot.latest, default=None)
    lot = Latest(lot_line(asked, latest), latest, of_lots) if latest else None
    return {
        "shift": asked.shift,
        "job": seen.plan.job.name,
        "units": seen.plan.job.units,
        "at": seen.now.isoformat(),
        "heading": heading(asked),
        "calls": [_call(asked, call) for call in calls],
        "answers": [
            {
                "name": answer.name,
                "title": asked.say(f"answer.{answer.name}"),
                "number": answer.number,
                "lines": list(answer.lines),
                "state": answer.state,
                "figure": answer.figure,
                "entries": list(answer.entries),
            }
            for answer in answers(seen, asked.words, lot)
        ],
        "closed": asked.closed,
        "sealed": asked.sealed,
    }


def heading(asked: Asked) -> dict[str, str]:
    """The job and the shift in words."""
    name = asked.facts.shift
    part = asked.say(f"part.{name.part}")
    return {
        "title": asked.plan.job.name,
        "line": asked.say("heading.line", date=name.date, crew=name.crew, part=part),
    }


def _call(asked: Asked, call: Call) -> dict[str, Any]:
    words = spoken(call, asked.plan, asked.now, asked.words)
    return {
        "id": call.id,
        "code": call.code,
        "grade": call.grade,
        "head": words.head,
        "line": words.line,
        "small": words.small,
        "tell": [
            {"id": person.id, "name": person.name, "role": asked.say(f"role.{person.role}")}
            for person in asked.people(call.tell)
        ],
        "told": told(asked, call),
        "entries": list(call.entries),
        "figure": figure_of(asked.view, call),
        "draft": draft(asked, call, words),
    }


def figure_of(seen: View, call: Call) -> str | None:
    """The name of the figure behind a call's number, where there is one."""
    if call.code == "yield.shift":
        return "yield.shift/deviation"
    if call.code == "yield.lift":
        return f"yield.lift/{call.subject}/deviation"
    if call.code in ("yield.load", "yield.last"):
        return seen.yield_figure(call.code, call.subject)
    if call.code == "rolling.behind":
        return f"rolling.needed/{call.subject}"
    if call.code == "rolling.unlikely":
        return f"rolling.chance/{call.subject}"
    if call.code.startswith("lot.") and "factor" in call.says:
        return f"lot/{call.subject}/pay"
    if call.code == "depth.drift":
        return f"depth/{call.subject}/drift"
    if call.code == "smooth.rough":
        return f"smooth/{call.subject.rpartition('/')[0]}"
    if call.code in ("haul.last", "haul.enough"):
        return f"haul.last/{call.subject}"
    if call.code == "reading.beyond":
        return f"reading/{call.entries[0]}/{call.says['quantity']}"
    return None
