"""What lots are made from: the shifts of a job, the plan, and the places that were drawn."""

from bisect import bisect_right
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Final, NamedTuple, TypeVar

from matbook.book.entry import Entry
from matbook.plan.model import Plan
from matbook.plan.rules import LotRule
from matbook.shift.facts import Fact, Facts
from matbook.shift.laid import Strip

T = TypeVar("T")
PLACES: Final = ("place", "told")
"""Steps of a draw that say where to test: drawn and kept to oneself, or told when it was near."""


class Place(NamedTuple):
    """A place that was drawn: of which lot and sublot."""

    lot: str
    sublot: int | None
    """None where the draw doesn't say it as a number."""


@dataclass(frozen=True)
class Work:
    """The shifts of a job as far as `now`, in order, and what was agreed."""

    shifts: Sequence[Facts]
    plan: Plan
    now: datetime
    places: Mapping[str, Place]
    """Entry of a drawn place -> that place. Only of places where something was tested: what was
    drawn and not yet tested is nobody's to see."""
    restarts: Mapping[str, Mapping[Strip, float]] = field(default_factory=dict)
    """Shift -> where its pavers go on from the shift before."""

    def of(self, kind: str) -> Iterator[tuple[Facts, Fact]]:
        """What stands of a kind in every shift, up to now, with the shift's facts."""
        for facts in self.shifts:
            for fact in facts.of(kind):
                if fact.at <= self.now:
                    yield facts, fact

    def kept(self, key: str, kinds: Sequence[str], work: Callable[[], T]) -> T:
        """What `work` makes of these kinds, the plan and the places, kept until one is another."""
        if not self.shifts:
            return work()
        until = self.now.timestamp()
        stamps = [
            (facts.stamp(kind), bisect_right(facts.of(kind), until, key=_moment))
            for facts in self.shifts
            for kind in kinds
        ]
        made_from = self.plan, self.places, [*self.shifts], stamps
        held: list[tuple[object, T]] = self.shifts[-1].once(("lots", key), list)
        if not held or held[0][0] != made_from:
            held[:] = [(made_from, work())]
        return held[0][1]


def _moment(fact: Fact) -> float:
    return fact.order[0]


def places_of(draws: Iterable[Entry], tested: Iterable[str]) -> dict[str, Place]:
    """The places among these draws at which something was tested, by the entry that drew each.

    Args:
        draws: Entries of the kind `draw`.
        tested: Ids that results name as their place.
    """
    wanted = set(tested)
    return {
        draw.id: Place(str(draw.body.get("lot", "")), _sublot(str(draw.body.get("number", ""))))
        for draw in draws
        if draw.id in wanted and draw.body.get("step") in PLACES
    }


def rule_of(plan: Plan, lot: str) -> LotRule | None:
    """The rule that a lot is of, by the lot's name: its id, a hyphen, a number or a date."""
    found = [rule for rule in plan.lots if lot.startswith(f"{rule.id}-")]
    return max(found, key=lambda rule: len(rule.id), default=None)


def theirs(plan: Plan, fact: Fact) -> bool:
    """Whether the contractor wrote an entry."""
    person = plan.people.get(fact.entry.by)
    return person is not None and person.role == "contractor"


def beside(plan: Plan, lot: str) -> tuple[str, ...]:
    """A lot and those that are paid together with it: the same stretch of the same mix."""
    rule = rule_of(plan, lot)
    if rule is None:
        return (lot,)
    number = lot.removeprefix(f"{rule.id}-")
    sets = (one.of.values() for one in plan.composites if rule.id in one.of.values())
    others = (f"{other}-{number}" for rules in sets for other in rules)
    return tuple(dict.fromkeys((lot, *others)))


def number_of(rule: LotRule, lot: str) -> tuple[int, str]:
    """Sorts the lots of a rule: by their numbers, and those without one after them by name."""
    rest = lot.removeprefix(f"{rule.id}-")
    return (int(rest), "") if rest.isascii() and rest.isdigit() else (10**9, rest)


def _sublot(number: str) -> int | None:
    """“2”, or “2/1” for the first spare of sublot 2."""
    first = number.partition("/")[0].strip()
    return int(first) if first.isascii() and first.isdigit() and len(first) < 4 else None
