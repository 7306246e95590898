"""The order that a sealed draw must keep, and what was done out of it.

1. The owner commits to a secret number before the lot's first tonne.
2. The contractor gives a number after that, and before the first tonne as well.
3. Places are told one by one, each when it is near.
4. The owner reveals the secret once the lot is over.

An entry out of order stays, as every entry does; it is said, so that nobody is fooled by a draw
that proves nothing.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from matbook.lots.work import Work
from matbook.plan.model import Plan
from matbook.shift.facts import Fact

SIDES: Final[Mapping[str, bool]] = {"committed": False, "contributed": True, "told": False}
"""Step -> whether it is the contractor's to take."""


@dataclass(frozen=True, slots=True)
class Trouble:
    """One thing out of order, as the code of its sentence, with the entry it is about."""

    code: str
    fact: Fact


def steps_of(work: Work, lot: str) -> list[Fact]:
    """Every step of a lot's draw that may be seen, in order."""
    found = [fact for _, fact in work.of("draw") if fact.text("lot") == lot]
    return sorted(found, key=lambda fact: fact.order)


def number_of_step(steps: Sequence[Fact], step: str) -> str:
    """The number that a step gave; of several the first counts. Empty where there is none."""
    found = (fact.text("number") for fact in steps if fact.text("step") == step)
    return next(found, "")


def troubles(plan: Plan, steps: Sequence[Fact], begun: datetime | None) -> Iterator[Trouble]:
    """What was done out of order.

    Args:
        plan: For who is the contractor.
        steps: The steps of one lot's draw, in order.
        begun: When the lot's first tonne was laid; None where it wasn't yet.
    """
    for number, fact in enumerate(steps):
        step = fact.text("step")
        code = refused(steps[:number], step, begun, fact.at)
        if code:
            yield Trouble(code, fact)
        if step in SIDES and _is_contractor(plan, fact) is not SIDES[step]:
            yield Trouble(f"whose.{step}", fact)


def refused(steps: Sequence[Fact], step: str, begun: datetime | None, at: datetime) -> str:
    """Why a step can't be taken at a moment, as the code of its sentence; empty if it can.

    Args:
        steps: What was done before, in order.
        step: What is to be done.
        begun: When the lot's first tonne was laid; None where it wasn't yet.
        at: The moment.
    """
    seen = {fact.text("step") for fact in steps}
    if step in ("committed", "contributed"):
        if step in seen:
            return "twice"
        if begun is not None and at > begun:
            return "late"
    if step != "committed" and "committed" not in seen:
        return "first"
    if step in ("place", "told", "revealed") and "contributed" not in seen:
        return "second"
    return "after" if step == "told" and "revealed" in seen else ""


def _is_contractor(plan: Plan, fact: Fact) -> bool:
    person = plan.people.get(fact.entry.by)
    return person is not None and person.role == "contractor"
