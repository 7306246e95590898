"""Lots as they are cut out of what was laid: how much of each there is, of which loads, and where.

A lot by mass counts the mainline parts of loads on its lift, a lot by length the metres they were
laid along, both from the job's first; a lot by the day is what was laid on that date. Counted in
whole kilograms or millimetres.
"""

from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby
from math import fsum
from typing import NamedTuple

from matbook.engine.sampling import Piece as Cut
from matbook.engine.sampling import cut_lots, pieces
from matbook.lots.work import Work
from matbook.plan.model import Plan
from matbook.plan.rules import LotRule
from matbook.shift.facts import Fact, Facts
from matbook.shift.laid import JOINED_M, KINDS, Piece, Strip, mainline
from matbook.shift.laid import pieces as pieces_of
from matbook.shift.parts import Part
from matbook.shift.places import metres


class Reach(NamedTuple):
    """From where to where in a lane [m]."""

    lane: str
    from_m: float
    to_m: float


class Stretch(NamedTuple):
    """A part of a load, from where to where in all that its rule counts."""

    start: int
    end: int
    part: Part
    piece: Piece | None
    """Where it lies; None where that isn't known."""
    day: str

    def within(self, start: int, end: int) -> tuple[float, float]:
        """From which to which share of it [1] lies between two ends."""
        size = self.end - self.start
        return (max(start, self.start) - self.start) / size, (
            min(end, self.end) - self.start
        ) / size


@dataclass(frozen=True)
class Sublot:
    """A sublot: from where to where, and how much of it is laid."""

    number: int
    start: int
    end: int
    weight: float
    """Its share of the lot."""
    laid: int
    stretches: tuple[Stretch, ...]

    @cached_property
    def reaches(self) -> tuple[Reach, ...]:
        return reaches(self.stretches, self.start, self.end)


@dataclass(frozen=True)
class Extent:
    """How much of a lot is laid."""

    name: str
    per: str
    """mass or distance: what it is counted in, kg or mm."""
    start: int
    end: int
    """So far."""
    planned: int | None
    over: bool
    """Whether nothing more comes: the next lot has begun, or its draw is revealed."""
    stretches: tuple[Stretch, ...]
    sublots: tuple[Sublot, ...] = ()

    @property
    def laid(self) -> int:
        return self.end - self.start

    @cached_property
    def loads(self) -> tuple[str, ...]:
        """Ids of the loads that it is of, in order."""
        return tuple(dict.fromkeys(one.part.load.id for one in self.stretches))

    @cached_property
    def labels(self) -> tuple[str, ...]:
        """The numbers of those loads."""
        return tuple(dict.fromkeys(one.part.load.label for one in self.stretches))

    @cached_property
    def reaches(self) -> tuple[Reach, ...]:
        return reaches(self.stretches, self.start, self.end)

    @cached_property
    def area_m2(self) -> float:
        """Area of it [m2], as far as it is known where it lies."""
        found = []
        for one in self.stretches:
            low, high = one.within(self.start, self.end)
            found.append(0.0 if one.piece is None else (high - low) * one.piece.area_m2)
        return fsum(found)

    @property
    def length_m(self) -> float:
        """Length of lane that it lies along [m]."""
        return fsum(abs(one.to_m - one.from_m) for one in self.reaches)

    @property
    def unequal(self) -> bool:
        """Whether its sublots aren't all of one size, so that their results weigh differently."""
        sizes = [one.end - one.start for one in self.sublots]
        return self.over and bool(sizes) and max(sizes) - min(sizes) > len(sizes)


@dataclass(frozen=True)
class Course:
    """All that a rule counts, and the lots that it is cut into."""

    rule: LotRule
    stretches: tuple[Stretch, ...]
    lots: Mapping[str, Extent]
    short: bool = False
    """Whether the plan's lots are smaller than a load, so that none can be cut."""

    def spots(self, plan: Plan, fact: Fact, at_m: float | None) -> tuple[tuple[float, float], ...]:
        """Where a place lies in what is counted, each time with what is unsure about it."""
        lane = fact.place("lane")
        if at_m is None or not lane:
            return ()
        return tuple(_spots(plan, self.rule, self.stretches, lane, at_m))

    def lot_of(self, spot: tuple[float, float]) -> Extent | None:
        """The lot that the middle of a spot lies in."""
        middle = 0.5 * (spot[0] + spot[1])
        return next((lot for lot in self.lots.values() if lot.start <= middle <= lot.end), None)


def course(work: Work, rule: LotRule) -> Course:
    """What a rule counts so far, cut into its lots."""
    stretches = _stretches(work, rule)
    if not stretches:
        return Course(rule, (), {})
    if rule.size is None:
        return Course(rule, stretches, {one.name: one for one in _by_day(rule, stretches)})
    size, per = rule.size
    whole = round(size if per == "mass" else 1000.0 * size)
    if whole < max(one.end - one.start for one in stretches):
        return Course(rule, stretches, {}, short=True)
    cuts = cut_lots([one.end - one.start for one in stretches], whole, rule.cut)
    told = {fact.text("lot") for _, fact in work.of("draw") if fact.text("step") == "revealed"}
    lots = {}
    for cut in cuts:
        name = f"{rule.id}-{cut.number}"
        over = cut.number < len(cuts) or name in told
        own = _between(stretches, cut.start, cut.end)
        sublots = tuple(_sublots(rule, own, cut, whole, over))
        lots[name] = Extent(name, per, cut.start, cut.end, whole, over, own, sublots)
    return Course(rule, stretches, lots)


def reaches(stretches: Sequence[Stretch], start: int, end: int) -> tuple[Reach, ...]:
    """Where what lies between two ends was laid, run by run."""
    found: list[Reach] = []
    for one in stretches:
        low, high = one.within(start, end)
        if one.piece is None or high <= low:
            continue
        length = one.piece.to_m - one.piece.from_m
        reach = Reach(
            one.piece.lane, one.piece.from_m + low * length, one.piece.from_m + high * length
        )
        last = found[-1] if found else None
        if last and last.lane == reach.lane and abs(last.to_m - reach.from_m) <= JOINED_M:
            found[-1] = Reach(last.lane, last.from_m, reach.to_m)
        else:
            found.append(reach)
    return tuple(found)


# From loads to stretches


def _stretches(work: Work, rule: LotRule) -> tuple[Stretch, ...]:
    by_length = rule.size is not None and rule.size[1] != "mass"
    found: list[Stretch] = []
    end = 0
    for facts in work.shifts:
        day = str(facts.shift.date)
        for part, piece in _laid(facts, rule.lift, work.restarts.get(str(facts.shift), {})):
            length = 0.0 if piece is None else piece.length_m
            size = round(1000.0 * length if by_length else part.mass_kg)
            if size > 0 and part.fact.at <= work.now:
                found.append(Stretch(end, end + size, part, piece, day))
                end += size
    return tuple(found)


def _laid(
    facts: Facts, lift: str, restarts: Mapping[Strip, float]
) -> tuple[tuple[Part, Piece | None], ...]:
    """The mainline parts of a shift on a lift, each with its piece of mat where that is known."""
    key = ("lots", lift, tuple(sorted(restarts.items())))
    return facts.remembered(key, KINDS, lambda: tuple(_parts(facts, lift, restarts)))


def _parts(
    facts: Facts, lift: str, restarts: Mapping[Strip, float]
) -> Iterator[tuple[Part, Piece | None]]:
    placed = {piece.part.fact.id: piece for piece in pieces_of(facts, restarts)}
    for part in mainline(facts):
        if part.strip[1] == lift:
            yield part, placed.get(part.fact.id)


def _between(stretches: Sequence[Stretch], start: int, end: int) -> tuple[Stretch, ...]:
    """The stretches that have something between two ends."""
    first = bisect_right(stretches, start, key=lambda one: one.end)
    last = bisect_right(stretches, end - 1, key=lambda one: one.start)
    return tuple(stretches[first:last])


# Lots and sublots


def _by_day(rule: LotRule, stretches: Sequence[Stretch]) -> Iterator[Extent]:
    days = [(day, tuple(own)) for day, own in groupby(stretches, key=lambda one: one.day)]
    for day, own in days:
        over = day != days[-1][0]
        yield Extent(f"{rule.id}-{day}", "mass", own[0].start, own[-1].end, None, over, own)


def _sublots(
    rule: LotRule, own: Sequence[Stretch], lot: Cut, whole: int, over: bool
) -> Iterator[Sublot]:
    """As planned while the lot is being laid; as the rule for a short last one says at its end."""
    total = lot.size if over else max(whole, lot.size)
    each = max(1, whole // rule.sublots)
    short = rule.short if total < whole else "join"
    for one in pieces(total, each, short, lot.start):
        laid = max(0, min(one.end, lot.end) - one.start)
        where = _between(own, one.start, one.end)
        yield Sublot(one.number, one.start, one.end, one.weight, laid, where)


# Places


def _spots(
    plan: Plan, rule: LotRule, stretches: Sequence[Stretch], lane: str, at_m: float
) -> Iterator[tuple[float, float]]:
    """Unsure by how well stations are read and, by mass, by what the paver holds."""
    error, by_length = plan.station_error_m, rule.size is not None and rule.size[1] != "mass"
    for one in stretches:
        piece = one.piece
        if piece is None or piece.lane != lane:
            continue
        low, high = sorted((piece.from_m, piece.to_m))
        if not low - error <= at_m <= high + error:
            continue
        per_m = (one.end - one.start) / piece.length_m
        along = abs(min(high, max(low, at_m)) - piece.from_m) * per_m
        paver = plan.pavers.get(piece.paver)
        holds = 0.0 if by_length or paver is None else paver.holds_kg
        slack = error * per_m + holds
        yield one.start + along - slack, one.start + along + slack


def middle_m(plan: Plan, fact: Fact) -> float | None:
    """Where an entry is along its road [m]: its station, or the middle of its reach."""
    station, start, end = (metres(plan, fact, name) for name in ("station", "from", "to"))
    if station is not None or start is None or end is None:
        return station if station is not None else start if start is not None else end
    return 0.5 * (start + end)
