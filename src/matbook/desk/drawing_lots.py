"""One lot's draw, as far as the one who asks may know it.

The owner's secret number is no entry until it is revealed. Whoever holds it hands it in with the
question.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property
from typing import Final

from matbook.book.kinds import WRITERS
from matbook.desk.asking import Asked
from matbook.engine.sampling import combined, commit
from matbook.errors import NotFound
from matbook.lots.along import MM, Along
from matbook.lots.extent import course
from matbook.lots.order import number_of_step, steps_of
from matbook.lots.places import Sited, sited
from matbook.lots.work import PLACES, Work, rule_of
from matbook.plan.rules import LotRule
from matbook.shift.facts import Fact
from matbook.shift.places import label

TESTS: Final = ("core", "density", "sample")
"""Kinds that say at which drawn place something was tested."""


@dataclass(frozen=True)
class Draw:
    """One lot's draw as far as the one who asks may know it."""

    asked: Asked
    lot: str
    rule: LotRule
    secret: str = ""
    """The owner's number, where the device that asks holds it."""
    courses: dict[str, Along] = field(default_factory=dict)
    """How lifts were laid, by rule: worked out once for all lots that are looked at together."""

    @cached_property
    def work(self) -> Work:
        book = self.asked.book
        names = book.shifts[: book.shifts.index(self.asked.shift) + 1]
        shifts = [book.facts(name) for name in names if book.wrote(name)]
        restarts = {str(one.shift): book.carry_to(str(one.shift)).restarts for one in shifts}
        return Work(shifts, self.asked.plan, self.asked.now, {}, restarts)

    @cached_property
    def steps(self) -> list[Fact]:
        return steps_of(self.work, self.lot)

    @cached_property
    def along(self) -> Along | None:
        """How its lift was laid; None for a lot by the day."""
        if self.rule.size is None:
            return None
        if self.rule.id not in self.courses:
            self.courses[self.rule.id] = Along(self.asked.plan, course(self.work, self.rule))
        return self.courses[self.rule.id]

    @cached_property
    def begun(self) -> datetime | None:
        """When the lot's first tonne was laid."""
        return None if self.along is None else self.along.when(self.along.start_of(self.lot))

    # The number

    @property
    def holds(self) -> str:
        """yes, no, or wrong: whether the number handed in is the one that was committed."""
        if not self.secret:
            return "no"
        committed = number_of_step(self.steps, "committed")
        return "yes" if committed in ("", commit(self.secret)) else "wrong"

    @cached_property
    def seed(self) -> str:
        """The seed of the draws; empty where it isn't known here, or a number is lacking."""
        revealed = number_of_step(self.steps, "revealed")
        owners = revealed or (self.secret if self.holds == "yes" else "")
        committed = number_of_step(self.steps, "committed")
        contributed = number_of_step(self.steps, "contributed")
        if not (owners and committed and contributed) or commit(owners) != committed:
            return ""
        return combined(owners, contributed)

    @property
    def revealed(self) -> bool:
        return bool(number_of_step(self.steps, "revealed"))

    # The places

    @cached_property
    def sited(self) -> list[Sited]:
        """Every place with its spares, where the seed is known here."""
        if not self.seed or self.along is None:
            return []
        return sited(self.lot, self.seed, self.along, self.revealed)

    @cached_property
    def told(self) -> dict[str, Fact]:
        """What was told, by its number."""
        return {
            fact.text("number"): fact
            for fact in reversed(self.steps)
            if fact.text("step") in PLACES and "blocked" not in fact.body
        }

    @cached_property
    def blocked(self) -> dict[str, Fact]:
        """What was found blocked, by its number."""
        return {fact.text("number"): fact for fact in self.steps if "blocked" in fact.body}

    @cached_property
    def tested(self) -> dict[str, str]:
        """Entry of a told place -> an entry of what was tested there."""
        return {
            fact.text("draw"): fact.id
            for kind in TESTS
            for _, fact in self.work.of(kind)
            if fact.text("draw")
        }

    def due(self) -> Iterator[Sited]:
        """The places that are next in their sublots: the first spare that isn't blocked."""
        done: set[str] = set()
        for one in self.sited:
            first = one.number if not one.drawn.spare else one.number.rpartition("/")[0]
            if first not in done and one.number not in self.blocked:
                done.add(first)
                yield one

    # In words

    def amount(self, value: float) -> str:
        """So much of the lift: tonnes or metres."""
        by_mass = self.rule.size is None or self.rule.size[1] == "mass"
        if by_mass:
            return self.asked.display.show("mass", value)
        return self.asked.display.show("length", value / MM, 0)

    def where(self, one: Sited) -> dict[str, str]:
        """Station and offset as people say them; a dash where they aren't known."""
        if one.spot is None:
            return {"station": "—", "offset": "—"}
        station = label(self.asked.plan, one.spot.lane, one.spot.at_m)
        return {"station": station, "offset": self.offset(one.offset_m)}

    def offset(self, offset_m: float) -> str:
        return self.asked.display.show("length", offset_m, 2)

    def place(self, one: Sited) -> dict[str, str]:
        """Where it is, as an entry carries it."""
        assert one.spot is not None  # what is near is known to lie somewhere
        plan = self.asked.plan
        unit = "m" if plan.job.units == "metric" else "ft"
        return {
            "lane": one.spot.lane,
            "lift": one.spot.lift,
            "station": label(plan, one.spot.lane, one.spot.at_m),
            "offset": f"{self.asked.display.number('length', one.offset_m, 2)} {unit}",
        }


def draw_of(
    asked: Asked, lot: str, secret: str = "", courses: dict[str, Along] | None = None
) -> Draw:
    """A lot's draw; raises NotFound where the plan has no such lots."""
    rule = rule_of(asked.plan, lot)
    if rule is None:
        known = ", ".join(f"{one.id}-1" for one in asked.plan.lots) or "none"
        raise NotFound(f"The plan has no lots “{lot[:40]}” is of; it has such as: {known}.")
    own = secret if asked.role in WRITERS else ""
    return Draw(asked, lot, rule, own, {} if courses is None else courses)
