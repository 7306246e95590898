"""What needs the person now, most urgent first, and the six standing answers."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import timedelta
from typing import Any, Final

from matbook.desk.answers import Latest, answers, done_at
from matbook.desk.asking import Asked
from matbook.desk.draws import draw_calls
from matbook.desk.lots import found, lot_calls, lot_line
from matbook.desk.notices import draft, told
from matbook.desk.strips import strip_line
from matbook.desk.testing import tested, testing_calls
from matbook.plan.model import Plan
from matbook.shift.calls import Call
from matbook.shift.speak import Spoken, aged, ageless
from matbook.shift.view import View


def now(asked: Asked) -> dict[str, Any]:
    """The state of the shift: calls, answers, and whether it is closed and sealed."""
    seen, lots = asked.view, found(asked)
    of_lots = [*lot_calls(asked, lots), *draw_calls(asked)]
    tests = tested(asked)
    of_tests = testing_calls(asked, tests)
    calls = sorted((*seen.calls, *of_lots, *of_tests), key=lambda call: call.urgency)
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
                "goes": list(answer.goes),
                "entries": list(answer.entries),
            }
            for answer in answers(seen, asked.words, lot, strip_line(asked, tests))
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
    worded = _worded(asked, call)
    words = worded.words
    return {
        "id": call.id,
        "code": call.code,
        "grade": call.grade,
        "head": words.head,
        "line": words.line,
        "small": aged(words, call, asked.now, asked.words),
        "tell": worded.tell,
        "told": told(asked, call),
        "entries": list(call.entries),
        "figure": figure_of(asked.view, call),
        "goes": goes(asked.view, call),
        "draft": worded.notice,
    }


@dataclass(frozen=True)
class _Worded:
    """A call in words, whom to tell of it, and the notice as it might be given."""

    call: Call
    plan: Plan
    offset: timedelta | None
    """Of the clock that its time is told by."""
    words: Spoken
    tell: list[dict[str, str]]
    notice: str


def _worded(asked: Asked, call: Call) -> _Worded:
    """A call in words, kept while it says the same: a long day has hundreds, and few are new."""
    held: dict[str, _Worded] = asked.facts.once(("worded", asked.words), dict)
    kept, offset = held.get(call.id), asked.local(call.at).utcoffset()
    if kept is None or kept.call != call or kept.plan is not asked.plan or kept.offset != offset:
        words = ageless(call, asked.plan, asked.words)
        tell = [
            {"id": person.id, "name": person.name, "role": asked.say(f"role.{person.role}")}
            for person in asked.people(call.tell)
        ]
        notice = draft(asked, call, words)
        kept = held[call.id] = _Worded(call, asked.plan, offset, words, tell, notice)
    return kept


GOES: Final[Mapping[str, list[str]]] = {
    "list": ["lists"],
    "joint": ["joints"],
    "tonight": ["joints"],
    "markings": ["joints"],
}
"""Where in the app calls of a family are dealt with, as the parts of an address."""


def goes(seen: View, call: Call) -> list[str]:
    """Where in the app a call is dealt with: a check that is due, lists, joints, draws."""
    family = call.code.partition(".")[0]
    if family == "check":
        return [
            part for due in seen.due if due.check.id == call.subject for part in done_at(due.check)
        ]
    if family == "draw":
        return ["draws", call.subject.partition(":")[0]]
    return GOES.get(family, [])


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
    if call.code in ("strip.falling", "strip.cold"):
        strip, _, spot = call.subject.rpartition("/")
        return f"strip/{strip}/spot-{spot}/highest"
    if call.code == "depth.drift":
        return f"depth/{call.subject}/drift"
    if call.code == "smooth.rough":
        return f"smooth/{call.subject.rpartition('/')[0]}"
    if call.code in ("haul.last", "haul.enough"):
        return f"haul.last/{call.subject}"
    if call.code == "reading.beyond":
        return f"reading/{call.entries[0]}/{call.says['quantity']}"
    return None
