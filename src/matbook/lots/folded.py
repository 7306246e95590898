"""Lots as they stand: what is laid of them, their results, their worth, what is in doubt."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import fsum

from matbook.lots.doubts import Dispute, Elsewhere, disputes, elsewhere
from matbook.lots.events import Taken, events
from matbook.lots.extent import Course, Extent, course
from matbook.lots.results import Result, results
from matbook.lots.settling import Far, farthest, settled, without
from matbook.lots.work import Work, number_of, rule_of
from matbook.lots.worth import Worth, planned, worth
from matbook.plan.rules import Deduction, LotRule
from matbook.shift.facts import Fact
from matbook.shift.figure import Figure

LATEST_WARNING = timedelta(hours=24)
"""At most so long before its end, a time to ask for a retest is called."""
LAST_SHARE = 0.25
"""Share of that time that is its end."""


@dataclass(frozen=True, slots=True)
class Lot:
    """One lot."""

    name: str
    rule: LotRule
    results: tuple[Result, ...]
    """All that was tested of it, whether it counts or not, by sublot and in order."""
    worth: Worth
    extent: Extent | None = None
    """How much of it is laid; None where no load tells."""
    far: Far | None = None
    disputes: tuple[Dispute, ...] = ()
    elsewhere: tuple[Elsewhere, ...] = ()
    taken: tuple[Taken, ...] = ()

    @property
    def counted(self) -> tuple[Result, ...]:
        return tuple(one for one in self.results if one.counts)

    @property
    def complete(self) -> bool:
        return len(self.counted) >= self.planned

    @property
    def planned(self) -> int:
        """Results that it will have."""
        return planned(self.rule, self.extent)

    @property
    def provisional(self) -> bool:
        """Whether a maximum gravity, or a contested entry, may still change it."""
        return any(one.provisional or one.fact.contenders or one.contested for one in self.counted)

    @property
    def disputed(self) -> bool:
        """Whether somebody disputes a result that counts."""
        return any(one.disputed for one in self.counted)

    @property
    def challenge_until(self) -> datetime | None:
        """Until when a retest of the latest result may be asked for; None without a rule."""
        last = max((one.known_at for one in self.counted), default=None)
        if last is None or self.rule.challenge_s is None:
            return None
        return last + timedelta(seconds=self.rule.challenge_s)

    @property
    def challenge_called(self) -> datetime | None:
        """From when on the end of that time is called."""
        until, whole = self.challenge_until, self.rule.challenge_s
        if until is None or whole is None:
            return None
        return until - min(LATEST_WARNING, timedelta(seconds=LAST_SHARE * whole))

    @property
    def latest(self) -> datetime:
        """When its latest result was known; when its last load was laid where it has none."""
        laid = [] if self.extent is None else [self.extent.stretches[-1].part.fact.at]
        return max([one.known_at for one in self.results] or laid)

    @property
    def range_pct(self) -> tuple[float, float] | None:
        """What the lot may truly have within its limits [%], whichever side of a dispute counts."""
        found = (self.worth.within, *(one.worth.within for one in self.disputes))
        ranges = [one for one in found if one is not None]
        if self.worth.within is None or not ranges:
            return None
        return min(one.low_pct for one in ranges), max(one.high_pct for one in ranges)

    @property
    def money(self) -> Figure | None:
        """What its factor moves: over what is laid once it is over, else over the planned lot."""
        planned, laid = (self.worth.figures.get(name) for name in ("money", "money.laid"))
        over = self.extent is not None and self.extent.over
        return laid if over and laid is not None else planned

    def figures(self) -> Mapping[str, Figure]:
        """Its figures by name; those of single results by entry."""
        own = {f"lot/{self.name}/{name}": one for name, one in self.worth.figures.items()}
        single = {
            f"lot/{self.name}/result/{one.fact.id}": one.value
            for one in self.results
            if one.value is not None
        }
        taken = {f"lot/{self.name}/taken/{one.rule.id}": one.figure for one in self.taken}
        return own | single | taken

    @property
    def taken_away(self) -> float:
        """What its events take away, in money."""
        return fsum(one.figure.value for one in self.taken)


@dataclass(frozen=True, slots=True)
class Lots:
    """Every lot of a job that was laid or tested, and the results that belong to none."""

    lots: tuple[Lot, ...]
    loose: tuple[Result, ...]
    events: tuple[tuple[Deduction, Fact], ...] = ()
    """Events that take money away from a lot that nobody can tell by their place."""
    small: tuple[LotRule, ...] = ()
    """Rules whose lots are smaller than a load, so that none can be cut from the loads."""

    def named(self, name: str) -> Lot | None:
        return next((lot for lot in self.lots if lot.name == name), None)

    @property
    def tested(self) -> tuple[Lot, ...]:
        return tuple(lot for lot in self.lots if lot.results)


def lots(work: Work) -> Lots:
    """The lots of a job, by rule in the plan's order and then by number."""
    found = settled(results(work))
    along = {rule.id: course(work, rule) for rule in work.plan.lots}
    counted = [(rule, events(work, rule, along[rule.lots])) for rule in work.plan.deductions]
    by_name: dict[str, list[Result]] = {
        name: [] for one in along.values() for name in one.lots
    }  # also those of which nothing is tested yet
    for one in found:
        if one.lot:
            by_name.setdefault(one.lot, []).append(one)
    made = []
    for name, own in by_name.items():
        taken = tuple(one.by_lot[name] for _, one in counted if name in one.by_lot)
        made.append(_lot(work, along, name, own, taken))
    order = [rule.id for rule in work.plan.lots]
    made.sort(key=lambda lot: (order.index(lot.rule.id), number_of(lot.rule, lot.name)))
    return Lots(
        tuple(made),
        tuple(one for one in found if not one.lot),
        tuple((rule, fact) for rule, one in counted for fact in one.loose),
        tuple(one.rule for one in along.values() if one.short),
    )


def _lot(
    work: Work,
    along: Mapping[str, Course],
    name: str,
    own: Sequence[Result],
    taken: tuple[Taken, ...],
) -> Lot:
    rule = rule_of(work.plan, name)
    assert rule is not None  # results without a rule are of no lot
    one_course = along[rule.id]
    extent = one_course.lots.get(name)
    own = sorted(own, key=lambda one: (one.sublot is None, one.sublot or 0, one.fact.order))
    far = farthest(own)
    own = without(own, far)
    counted = [one for one in own if one.counts]
    return Lot(
        name,
        rule,
        tuple(own),
        worth(work.plan, rule, counted, extent),
        extent,
        far,
        tuple(disputes(work.plan, own, extent)),
        tuple(elsewhere(work.plan, one_course, extent, own)),
        taken,
    )
