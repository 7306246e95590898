"""The maximum gravity that a lot's densities are held against: its own, else the mix design's."""

from collections.abc import Mapping, Sequence
from typing import Final, NamedTuple

from matbook.engine.samples import sample
from matbook.lots.work import Work, beside, theirs
from matbook.plan.model import Plan
from matbook.plan.rules import LotRule
from matbook.shift.facts import Fact, si
from matbook.shift.figure import Agreed, Figure, Whole, read

MAXIMUM: Final = "maximum gravity"
BULK: Final = "bulk gravity"
"""Tests by the names that results give them."""


class Maximum(NamedTuple):
    """A maximum gravity, and whether the lot's own is still awaited."""

    figure: Figure
    provisional: bool


def same_test(fact: Fact, name: str) -> bool:
    """Whether a result is of a test, however its name was written."""
    return " ".join(fact.text("test").split()).casefold() == name.casefold()


def maxima(work: Work) -> Mapping[str, Sequence[Fact]]:
    """The owner's acceptance results of maximum gravity, by lot."""
    found: dict[str, list[Fact]] = {}
    for _, fact in work.of("test-result"):
        if not same_test(fact, MAXIMUM) or theirs(work.plan, fact):
            continue
        if fact.text("purpose") == "acceptance" and is_ratio(fact):
            found.setdefault(fact.text("lot"), []).append(fact)
    return found


def is_ratio(fact: Fact) -> bool:
    """Whether a gravity was written as the plain number that it is."""
    value = fact.si("value")
    return value is not None and 1.0 <= value <= 4.0 and fact.text("value").split()[-1] != "%"


def own_of(plan: Plan, lot: str, found: Mapping[str, Sequence[Fact]]) -> Sequence[Fact]:
    """The results of maximum gravity of a lot, or of one that is paid together with it."""
    return next(filter(None, (found.get(one, ()) for one in beside(plan, lot))), ())


def maximum_of(plan: Plan, rule: LotRule, own: Sequence[Fact]) -> Maximum | None:
    """The mean of the lot's own; without any, that of the mix design, provisionally."""
    if len(own) == 1:
        value = read(own[0], "value")
        return Maximum(Figure(value.value, "1", None, {"result": value}), False)
    if own:
        mean = sample([si(fact.text("value")) for fact in own]).mean
        ids = [fact.id for fact in own]
        whole = Whole(mean, MAXIMUM, len(own), lambda: ids)
        return Maximum(Figure(mean, "1", sample, {"results": whole}), False)
    return of_design(plan, rule.lift)


def of_design(plan: Plan, lift: str) -> Maximum | None:
    """That of the mix design of a lift; None where the plan has none."""
    held = plan.lifts.get(lift)
    mix = plan.mixes.get(held.mix) if held is not None else None
    if mix is None or not mix.maximum_gravity:
        return None
    agreed = Agreed(float(mix.maximum_gravity), f"mixes/{mix.id}/maximum_gravity")
    return Maximum(Figure(agreed.value, "1", None, {"maximum": agreed}), True)
