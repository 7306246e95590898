"""Lots as they stand: their results, what they are worth, and when a retest may still be asked."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta

from matbook.lots.results import Result, results
from matbook.lots.work import Work, number_of, rule_of
from matbook.lots.worth import Worth, worth
from matbook.plan.model import LotRule
from matbook.shift.figure import Figure


@dataclass(frozen=True, slots=True)
class Lot:
    """One lot."""

    name: str
    rule: LotRule
    results: tuple[Result, ...]
    """All that was tested of it, whether it counts or not, by sublot and in order."""
    worth: Worth

    @property
    def counted(self) -> tuple[Result, ...]:
        return tuple(one for one in self.results if one.counts)

    @property
    def complete(self) -> bool:
        return len(self.counted) >= self.rule.planned

    @property
    def provisional(self) -> bool:
        """Whether a maximum gravity, or a contested entry, may still change it."""
        return any(one.provisional or one.fact.contenders for one in self.counted)

    @property
    def challenge_until(self) -> datetime | None:
        """Until when a retest of the latest result may be asked for; None without a rule."""
        last = max((one.known_at for one in self.counted), default=None)
        if last is None or self.rule.challenge_s is None:
            return None
        return last + timedelta(seconds=self.rule.challenge_s)

    @property
    def latest(self) -> datetime:
        """When its latest result was known."""
        return max(one.known_at for one in self.results)

    def figures(self) -> Mapping[str, Figure]:
        """Its figures by name; those of single results by entry."""
        own = {f"lot/{self.name}/{name}": one for name, one in self.worth.figures.items()}
        single = {
            f"lot/{self.name}/result/{one.fact.id}": one.value
            for one in self.results
            if one.value is not None
        }
        return own | single


@dataclass(frozen=True, slots=True)
class Lots:
    """Every lot of a job that has results, and the results that belong to none."""

    lots: tuple[Lot, ...]
    loose: tuple[Result, ...]

    def named(self, name: str) -> Lot | None:
        return next((lot for lot in self.lots if lot.name == name), None)


def lots(work: Work) -> Lots:
    """The lots of a job, by rule in the plan's order and then by number."""
    found = results(work)
    order = [rule.id for rule in work.plan.lots]
    by_name: dict[str, list[Result]] = {}
    for one in found:
        if one.lot:
            by_name.setdefault(one.lot, []).append(one)
    made = []
    for name, own in by_name.items():
        rule = rule_of(work.plan, name)
        assert rule is not None  # results without a rule are of no lot
        own.sort(key=lambda one: (one.sublot is None, one.sublot or 0, one.fact.order))
        counted = [one for one in own if one.counts]
        made.append(Lot(name, rule, tuple(own), worth(work.plan, rule, counted)))
    made.sort(key=lambda lot: (order.index(lot.rule.id), number_of(lot.rule, lot.name)))
    return Lots(tuple(made), tuple(one for one in found if not one.lot))
