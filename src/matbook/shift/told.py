"""Who was told what, what they answered, and what is still open."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime, timedelta

from matbook.shift.facts import Fact, Facts

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
    about: tuple[str, ...] = ()
    """Ids of the entries it is about."""

    @property
    def settled(self) -> bool:
        return any(reply.text("settles") == "yes" for reply in self.replies)

    @property
    def answered(self) -> bool:
        return bool(self.replies)

    def waited(self, now: datetime) -> timedelta:
        """From telling to the first answer, or to now."""
        until = self.replies[0].at if self.replies else max(now, self.at)
        return until - self.at


def matters(facts: Facts, carried: tuple[Matter, ...] = ()) -> tuple[Matter, ...]:
    """Every notice of this shift with its replies, after those carried in from before."""
    return facts.remembered(
        ("matters", tuple((m.id, *(r.entry.hash for r in m.replies)) for m in carried)),
        KINDS,
        lambda: _matters(facts, carried),
    )


def still_open(facts: Facts, carried: tuple[Matter, ...] = ()) -> tuple[Matter, ...]:
    """Told, and not settled."""
    return tuple(matter for matter in matters(facts, carried) if not matter.settled)


def _matters(facts: Facts, carried: tuple[Matter, ...]) -> tuple[Matter, ...]:
    replies: dict[str, list[Fact]] = defaultdict(list)
    for reply in facts.of("reply"):
        replies[facts.current(reply.text("notice"))].append(reply)
    before = tuple(
        Matter(
            m.id,
            m.at,
            m.shift,
            m.to,
            m.how,
            m.text,
            m.call,
            (*m.replies, *replies.get(m.id, ())),
            m.about,
        )
        for m in carried
    )
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
            about=tuple(fact.body.get("about", ())),
        )
        for fact in facts.of("notice")
    )
    return before + here
