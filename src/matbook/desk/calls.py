"""Calls in words: what needs a person, who is to be told and was, and the figure behind it."""

from bisect import insort
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import timedelta
from operator import attrgetter
from typing import Any, Final, NamedTuple

from matbook.desk.answers import done_at
from matbook.desk.asking import Asked
from matbook.desk.draws import draw_calls
from matbook.desk.lots import found, lot_calls
from matbook.desk.notices import draft, told
from matbook.desk.testing import tested, testing_calls
from matbook.errors import NotFound
from matbook.lots.folded import Lots
from matbook.lots.testing import Testing
from matbook.plan.model import Plan
from matbook.shift.calls import Call
from matbook.shift.speak import Spoken, aged, ageless, spoken
from matbook.shift.view import View

Row = dict[str, Any]


def calls(asked: Asked) -> list[Row]:
    """Calls, the most urgent first. Takes id, of one call, and entry, what they are to be about."""
    one, entry = asked.text("id"), asked.text("entry")
    given = (call for call in every(asked).calls if one in ("", call.id))
    return in_words(asked, (call for call in given if not entry or entry in call.entries))


def tell(asked: Asked) -> Row:
    """The body of a notice about a call: to whom, its text, and the entries it is about.

    Arguments: call, and to (those whom the call names), which the requests are worded for. Raises
    NotFound.
    """
    name = asked.text("call")
    call = next((one for one in every(asked).calls if one.id == name), None)
    if call is None:
        raise NotFound(
            f"There is no call “{name[:100]}” in this shift now: it may have been mended."
        )
    to = asked.texts("to", call.tell)
    here = [one for one in call.entries if asked.facts.find(one) is not None]
    return {
        "to": list(to),
        "text": draft(asked, call, spoken(call, asked.plan, asked.now, asked.words), to),
        "call": call.id,
        "about": here,
    }


class Every(NamedTuple):
    """Every call, and what was looked at for those of lots and of what density is tested with."""

    calls: list[Call]
    """The most urgent first."""
    lots: Lots
    of_lots: list[Call]
    tests: Testing


def every(asked: Asked) -> Every:
    """What needs a person: in the shift, in the job's lots and their draws, in how it is tested."""
    lots, tests = found(asked), tested(asked)
    of_lots = [*lot_calls(asked, lots), *draw_calls(asked)]
    up = list(asked.view.calls)
    for call in (*of_lots, *testing_calls(asked, tests)):
        insort(up, call, key=attrgetter("urgency"))
    return Every(up, lots, of_lots, tests)


def waits(seen: View, call: Call) -> bool:
    """Whether a call waits for somebody: it asks for something, and no notice of it is settled."""
    matter = seen.told(call)
    return call.grade != "note" and not (matter is not None and matter.settled)


def in_words(asked: Asked, given: Iterable[Call]) -> list[Row]:
    """These calls in words, in their order."""
    return [_call(asked, call) for call in given]


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
        "waits": waits(asked.view, call),
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
