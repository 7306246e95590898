"""What to tell whom about a call: the draft of a notice, never an order on how to work."""

from typing import Any, Final

from matbook.desk.asking import Asked
from matbook.errors import NotFound
from matbook.shift.calls import Call
from matbook.shift.speak import Spoken, spoken
from matbook.words import say

REQUESTS: Final = (
    "load",
    "ticket",
    "tie",
    "yield",
    "reading",
    "paver",
    "markings",
    "check",
    "seen",
    "joint",
    "tonight",
)
"""Families of calls that have a request of their own; any other gets the general one."""


def draft(asked: Asked, call: Call, words: Spoken) -> str:
    """A notice as it might be given: what was observed, the limit, and what is asked."""
    family = call.code.partition(".")[0]
    request = f"request.{family}" if family in REQUESTS else "request.other"
    observed = say(
        "draft.observed", asked.words, at=asked.clock(call.at), head=words.head, line=words.line
    )
    return f"{observed} {say(request, asked.words)}"


def call_named(asked: Asked, name: str) -> Call:
    """One call by its id; raises NotFound."""
    for call in asked.view.calls:
        if call.id == name:
            return call
    raise NotFound(f"There is no call “{name[:100]}” in this shift now: it may have been mended.")


def tell(asked: Asked) -> dict[str, Any]:
    """The body of a notice about a call: to whom, its text, and the entries it is about."""
    call = call_named(asked, asked.text("call"))
    here = [one for one in call.entries if asked.facts.find(one) is not None]
    return {
        "to": list(call.tell),
        "text": draft(asked, call, spoken(call, asked.plan, asked.now, asked.words)),
        "call": call.id,
        "about": here,
    }


def told(asked: Asked, call: Call) -> dict[str, Any] | None:
    """Who was told of a call, when, and what they answered; None if nobody was."""
    matter = asked.view.told(call)
    if matter is None:
        return None
    return {
        "id": matter.id,
        "at": asked.clock(matter.at),
        "to": [asked.person(one) for one in matter.to],
        "settled": matter.settled,
        "answer": "; ".join(reply.text("text") for reply in matter.replies),
    }
