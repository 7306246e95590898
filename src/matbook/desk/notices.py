"""What to tell whom about a call: the draft of a notice, never an order on how to work."""

from collections.abc import Sequence
from typing import Any

from matbook.desk.asking import Asked
from matbook.shift.calls import Call
from matbook.shift.display import minutes
from matbook.shift.speak import Spoken, limit_words, observed
from matbook.shift.told import Matter
from matbook.words import has


def draft(asked: Asked, call: Call, words: Spoken, to: Sequence[str] | None = None) -> str:
    """A notice as it might be given: what was observed, the limit, and what is asked of whom.

    Args:
        asked: The question.
        call: What it is about.
        words: The call in words.
        to: Who is told, by id or name; those whom the call names if left out.
    """
    line = observed(call, asked.plan, asked.words)
    said = [asked.say("draft.observed", at=asked.clock(call.at), head=words.head, line=line)]
    limit = limit_words(call.limit, asked.words) if call.limit else ""
    if limit not in line:
        said.append(asked.say("draft.limit", limit=limit))
    return " ".join([*said, *_requests(asked, call, call.tell if to is None else to)])


def _requests(asked: Asked, call: Call, to: Sequence[str]) -> list[str]:
    """What is asked, of each whom it is asked; without names where all are asked the same."""
    asks: dict[str, list[str]] = {}
    for one in to:
        role = asked.plan.people[one].role if one in asked.plan.people else ""
        asks.setdefault(_request(asked, call, role), []).append(asked.person(one))
    if len(asks) < 2:
        return list(asks) or [_request(asked, call, "")]
    return [
        asked.say("draft.to", who=", ".join(names), request=request)
        for request, names in asks.items()
    ]


def _request(asked: Asked, call: Call, role: str) -> str:
    """The most particular request there is: what is to be found out, never how to work."""
    family = call.code.partition(".")[0]
    particular = (
        f"request.{role}",
        f"request.{call.code}",
        f"request.{family}.{role}",
        f"request.{family}",
    )
    code = next((code for code in particular if has(code, asked.words)), "request.other")
    return asked.say(code)


def told(asked: Asked, call: Call) -> dict[str, Any] | None:
    """Who was told of a call, when, and what they answered; None if nobody was."""
    matter = asked.view.told(call)
    if matter is None:
        return None
    sent = [line for one in asked.view.notices_of(call) for line in asked.went(one)]
    return matter_words(asked, matter) | {"sent": sent}


def matter_words(asked: Asked, matter: Matter) -> dict[str, Any]:
    """A notice: to whom, how soon it was given and answered, and what became of it on its way."""
    return {
        "id": matter.id,
        "at": asked.clock(matter.at),
        "to": [asked.person(one) for one in matter.to],
        "times": times(asked, matter),
        "sent": asked.went(matter),
        "settled": matter.settled,
        "answer": "; ".join(reply.text("text") for reply in matter.replies),
    }


def times(asked: Asked, matter: Matter) -> str:
    """From the observation to telling, and from telling to the answer or to now."""
    seen, answered = matter.told_after, matter.answered_after
    code = "told.waits" if answered is None else "told.answered"
    said = [] if seen is None else [asked.say("told.after", minutes=minutes(seen))]
    return ", ".join([*said, asked.say(code, minutes=minutes(matter.waited(asked.now)))])
