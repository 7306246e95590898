"""What single events take away from a lot's money, such as streaks of low density."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from matbook.engine.acceptance import event_deduction
from matbook.lots.extent import Course, middle_m
from matbook.lots.work import Work
from matbook.plan.rules import Deduction
from matbook.shift.facts import Fact
from matbook.shift.figure import Agreed, Figure, Input, Whole


@dataclass(frozen=True, slots=True)
class Taken:
    """What the events of one rule take away from one lot."""

    rule: Deduction
    events: tuple[Fact, ...]
    figure: Figure
    """Money, from 0."""


@dataclass(frozen=True, slots=True)
class Events:
    """The events of one rule by lot, and those that no lot can be found for."""

    by_lot: Mapping[str, Taken]
    loose: tuple[Fact, ...]


def events(work: Work, rule: Deduction, along: Course) -> Events:
    """The events that a rule counts, each in the lot that its place was laid in."""
    by_lot: dict[str, list[Fact]] = {}
    loose = []
    for lot, fact in _found(work, rule, along):
        if lot:
            by_lot.setdefault(lot, []).append(fact)
        else:
            loose.append(fact)
    return Events({lot: _taken(rule, own) for lot, own in by_lot.items()}, tuple(loose))


def _found(work: Work, rule: Deduction, along: Course) -> Iterator[tuple[str, Fact]]:
    """Each event with its lot; without one where its place was laid in none, as far as is known."""
    for facts, fact in work.of("defect"):
        if _plain(fact.text("sign")) != _plain(rule.sign):
            continue
        day = f"{along.rule.id}-{facts.shift.date}"
        if along.rule.size is None:
            yield (day if day in along.lots else ""), fact
            continue
        spots = along.spots(work.plan, fact, middle_m(work.plan, fact))
        lot = along.lot_of(spots[-1]) if spots else None
        yield (lot.name if lot else ""), fact


def _taken(rule: Deduction, own: Sequence[Fact]) -> Taken:
    ids = [fact.id for fact in own]
    each = float(rule.each)
    number = Whole(float(len(own)), rule.sign, len(own), lambda: ids)
    inputs: dict[str, Input] = {
        "events": number,
        "each": Agreed(each, f"deductions/{rule.id}/each"),
    }
    found = event_deduction(len(own), each)
    return Taken(rule, tuple(own), Figure(found, "money", event_deduction, inputs))


def _plain(text: str) -> str:
    return " ".join(text.split()).casefold()
