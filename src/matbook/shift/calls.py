"""Calls: what needs a person, said with its number, its limit and who should hear of it.

Each subject makes its own. A call's `subject` is a stable id, so that a notice still answers it
after everything has been worked out again.
"""

from collections.abc import Mapping
from datetime import datetime
from types import MappingProxyType
from typing import Final, NamedTuple

from matbook.plan.judge import Judgement, people_to_tell
from matbook.plan.model import Limit, Plan

GRADES: Final = ("act", "watch", "note")
"""Most urgent first. `note` asks for nothing; it says what a reader should know."""
RANKS: Final = {grade: rank for rank, grade in enumerate(GRADES)}


class Call(NamedTuple):
    code: str
    """Names the sentence in `words` (as call.<code>) and the kind of matter."""
    subject: str
    """What it is about, by an id that stays: a load, a check, a stretch, a device."""
    grade: str
    at: datetime
    """When what it speaks of was observed."""
    says: Mapping[str, object] = MappingProxyType({})
    """Arguments of the sentence."""
    limit: Limit | None = None
    tell: tuple[str, ...] = ()
    """Ids of the people in the plan to tell."""
    entries: tuple[str, ...] = ()

    @property
    def id(self) -> str:
        return f"{self.code}:{self.subject}"

    @property
    def urgency(self) -> tuple[int, float]:
        """Sorts the most urgent first: by grade, then the latest first."""
        return RANKS[self.grade], -self.at.timestamp()


def of_roles(plan: Plan, *roles: str) -> tuple[str, ...]:
    """Ids of the people in the plan who have one of these roles."""
    return tuple(one.id for one in plan.people.values() if one.role in roles)


def beyond(
    judgement: Judgement,
    plan: Plan,
    code: str,
    grade: str | None,
    subject: str,
    at: datetime,
    entries: tuple[str, ...],
    /,
    **says: object,
) -> Call:
    """The call for a value beyond its limit, of the limit's grade unless another is given."""
    limit = judgement.limit
    return Call(
        code=code,
        subject=subject,
        grade=grade or limit.grade,
        at=at,
        says={"side": limit.side, **says},
        limit=limit,
        tell=tuple(person.id for person in people_to_tell(plan, limit)),
        entries=entries,
    )
