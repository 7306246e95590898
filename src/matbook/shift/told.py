"""Who was told what, how soon, what they answered, and what is still open."""

from collections import defaultdict
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from matbook.book.entry import moment
from matbook.book.sending import Sending
from matbook.shift.display import clock
from matbook.shift.facts import Fact, Facts
from matbook.words import say

KINDS = ("notice", "reply")


@dataclass(frozen=True, slots=True)
class Matter:
    """A notice and its replies; settled by a reply that says so."""

    id: str
    at: datetime
    shift: str
    to: tuple[str, ...]
    how: str
    text: str
    call: str
    """Id of the call it answers, if any."""
    replies: tuple[Fact, ...] = ()
    observed: datetime | None = None
    """When the last of what it is about was observed before it; None where it doesn't say."""
    about: tuple[str, ...] = ()
    """Ids of the entries it is about."""

    @property
    def settled(self) -> bool:
        return self.answered and any(reply.text("settles") == "yes" for reply in self.replies)

    @property
    def answered(self) -> bool:
        return bool(self.replies)

    @property
    def told_after(self) -> timedelta | None:
        """From the observation to telling."""
        return None if self.observed is None else self.at - self.observed

    @property
    def answered_after(self) -> timedelta | None:
        """From telling to the first answer; None while there is none."""
        return self.replies[0].at - self.at if self.replies else None

    def waited(self, now: datetime) -> timedelta:
        """From telling to the first answer, or to now."""
        if self.replies:
            return self.replies[0].at - self.at
        return max(now - self.at, timedelta())


def matters(facts: Facts, carried: tuple[Matter, ...] = ()) -> tuple[Matter, ...]:
    """Every notice of this shift with its replies, after those carried in from before."""
    before = tuple((m.id, *(r.entry.hash for r in m.replies)) for m in carried)
    observed = tuple(_observed(facts, fact) for fact in facts.of("notice"))
    return facts.remembered(
        ("matters", before, observed), KINDS, lambda: _matters(facts, carried, observed)
    )


def still_open(facts: Facts, carried: tuple[Matter, ...] = ()) -> tuple[Matter, ...]:
    """Told, and not settled."""
    return tuple(matter for matter in matters(facts, carried) if not matter.settled)


def went(one: Sending, who: str, like: datetime, language: str) -> str:
    """What became of a notice on its way to one person, in words.

    Args:
        one: What is known of it.
        who: The person's name.
        like: A moment whose offset the time is shown in.
        language: Of the sentence.
    """
    state = say(f"sending.{one.state}", language)
    at = clock(moment(one.at).astimezone(like.tzinfo))
    why = say(f"sending.why.{one.why}", language, said=one.said) if one.why else ""
    code = "sending.because" if why else "sending.line"
    return say(code, language, who=who, state=state, at=at, why=why)


def _observed(facts: Facts, notice: Fact) -> datetime | None:
    """When the last of what a notice is about was observed; None if nothing of it came before."""
    found = [facts.find(name) for name in notice.body.get("about", ())]
    before = (entry.at for entry in found if entry is not None and entry.at <= notice.at)
    return max(before, default=None)


def _matters(
    facts: Facts, carried: tuple[Matter, ...], observed: tuple[datetime | None, ...]
) -> tuple[Matter, ...]:
    replies: dict[str, list[Fact]] = defaultdict(list)
    for reply in facts.of("reply"):
        replies[facts.current(reply.text("notice"))].append(reply)
    before = tuple(replace(m, replies=(*m.replies, *replies.get(m.id, ()))) for m in carried)
    here = tuple(
        Matter(
            id=fact.id,
            at=fact.at,
            shift=fact.entry.shift,
            to=tuple(fact.body.get("to", ())),
            how=fact.text("how"),
            text=fact.text("text"),
            call=fact.text("call"),
            replies=tuple(replies.get(fact.id, ())),
            observed=seen,
            about=tuple(fact.body.get("about", ())),
        )
        for fact, seen in zip(facts.of("notice"), observed, strict=True)
    )
    return before + here
