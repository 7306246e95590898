"""Yield: mass on the tickets over the area it was laid on, against what was planned.

Yield is not thickness where the base is uneven: the equivalent thickness holds if the base is
even. Every rate has a 95 % range from reading stations and from mix not yet laid at both ends.
"""

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import fsum
from typing import NamedTuple

from matbook.engine.spread import (
    area,
    deviation_pct,
    equivalent_thickness,
    mass_for,
    rate_to_finish,
    spread_range,
    spread_rate,
)
from matbook.plan.judge import Judgement, judge, limits_for
from matbook.plan.model import Lane, Lift, Plan
from matbook.shift.facts import Facts
from matbook.shift.figure import Agreed, Figure, Whole, figure
from matbook.shift.laid import JOINED_M, KINDS, Piece, Strip, pieces

LAST = 5
"""Loads in the running window: enough for one misread station to drop out of the mean."""

Course = tuple[str, str]
"""Lane and lift."""


@dataclass(frozen=True, slots=True)
class Total:
    """Mass, area and planned mass of some pieces: what adds up, from shift to shift too."""

    mass_kg: float = 0.0
    area_m2: float = 0.0
    planned_kg: float = 0.0
    length_m: float = 0.0
    loads: int = 0

    def plus(self, other: "Total") -> "Total":
        return Total(
            self.mass_kg + other.mass_kg,
            self.area_m2 + other.area_m2,
            self.planned_kg + other.planned_kg,
            self.length_m + other.length_m,
            self.loads + other.loads,
        )


@dataclass(frozen=True)
class Yield:
    """The yield of some pieces against the plan."""

    quantity: str
    """yield.load, yield.last, yield.lift or yield.shift: what limits speak of."""
    total: Total
    rate: Figure
    """Spread, kg/m2, with its 95 % range."""
    deviation: Figure | None
    """Percent over (or under) what was planned; None where nothing was."""
    thickness: Figure | None
    """Equivalent thickness, if the base is even."""
    judgements: tuple[Judgement, ...]

    @cached_property
    def beyond(self) -> tuple[Judgement, ...]:
        return tuple(judgement for judgement in self.judgements if not judgement.ok)


class Row(NamedTuple):
    """One piece with its own yield and the last five up to it, within its run."""

    piece: Piece
    own: Yield
    last: Yield | None


@dataclass(frozen=True, slots=True)
class Finish:
    """What is left of a lift, and what it takes."""

    lift: str
    area_m2: float
    mass: Figure | None
    """Mass to the end at the planned spread, kg."""
    budget_left_kg: float | None
    rate: Figure | None
    """Spread that ends on the budget, kg/m2."""


def rows(facts: Facts, restarts: Mapping[Strip, float]) -> tuple[Row, ...]:
    """Every piece in reading order with its yield and its running yield."""
    key = ("yield.rows", tuple(sorted(restarts.items())))
    return facts.remembered(key, KINDS, lambda: _rows(facts, restarts))


def _rows(facts: Facts, restarts: Mapping[Strip, float]) -> tuple[Row, ...]:
    """Each row is kept while the pieces that it is made from stay as they are."""
    laid = pieces(facts, restarts)
    together: dict[str, list[Piece]] = defaultdict(list)
    for piece in laid:
        together[piece.shared or piece.part.fact.id].append(piece)
    window: dict[int, list[Piece]] = defaultdict(list)
    held: dict[str, tuple[list[Piece], list[Piece], Row]] = facts.once("rows before", dict)
    found = []
    for piece in laid:
        run = window[piece.run]
        run.append(piece)
        said, name = run[-_window(run) - 1 :], piece.part.fact.entry.hash
        mine = together[piece.shared or piece.part.fact.id]
        if name not in held or held[name][:2] != (said, mine):
            held[name] = said, mine, _row(facts, piece, mine, said)
        found.append(held[name][2])
    return tuple(found)


def _window(run: Sequence[Piece]) -> int:
    """How many of a run's last pieces are looked at together: no station is cut between loads."""
    count = min(LAST, len(run))
    while count < len(run) and run[-count].shared and run[-count].shared == run[-count - 1].shared:
        count += 1
    return count


def _row(facts: Facts, piece: Piece, mine: Sequence[Piece], said: Sequence[Piece]) -> Row:
    """The row of a piece.

    Args:
        facts: The shift's facts.
        piece: The piece.
        mine: Those that lie up to the same written station, itself among them.
        said: Of its run, as far back as it is looked at, and one more where there is one.
    """
    count = _window(said)
    own = yield_of(facts, "yield.load", mine, first=mine[0] is said[0] and count == len(said))
    if count < LAST:
        return Row(piece, own, None)
    last = said[-count:]
    return Row(piece, own, yield_of(facts, "yield.last", last, first=count == len(said)))


def totals(facts: Facts, restarts: Mapping[Strip, float]) -> dict[Course, Total]:
    """This shift's totals by lane and lift."""
    return {course: found.total for course, found in by_course(facts, restarts).items()}


def by_course(facts: Facts, restarts: Mapping[Strip, float]) -> dict[Course, Yield]:
    """Yield of this shift by lane and lift."""
    laid: dict[Course, list[Piece]] = defaultdict(list)
    for piece in pieces(facts, restarts):
        laid[piece.lane, piece.lift].append(piece)
    return {
        course: yield_of(facts, "yield.lift", said, first=True) for course, said in laid.items()
    }


def of_shift(facts: Facts, restarts: Mapping[Strip, float]) -> Yield | None:
    """Yield of everything laid in the lanes this shift; None if nothing was."""
    laid = pieces(facts, restarts)
    return yield_of(facts, "yield.shift", laid, first=True) if laid else None


def total_of(said: Sequence[Piece]) -> Total:
    """Mass, area, planned mass and length of some pieces, and from how many loads."""
    return Total(
        mass_kg=fsum(piece.mass_kg for piece in said),
        area_m2=fsum(piece.area_m2 for piece in said),
        planned_kg=fsum(piece.planned_kg for piece in said),
        length_m=fsum(piece.length_m for piece in said),
        loads=len({piece.part.load.id for piece in said}),
    )


def yield_of(facts: Facts, quantity: str, said: Sequence[Piece], *, first: bool) -> Yield:
    """The yield of some pieces, with its range and what the limits say of it.

    Args:
        facts: The shift's facts.
        quantity: What limits speak of.
        said: The pieces, in order.
        first: They begin where a paver began empty, so nothing laid before hides in it.
    """
    key = tuple(piece.key for piece in said)
    return facts.once((quantity, first, key), lambda: _yield_of(facts, quantity, said, first))


def _yield_of(facts: Facts, quantity: str, said: Sequence[Piece], first: bool) -> Yield:
    plan = facts.plan_at(said[-1].at)
    total = total_of(said)
    count = len(said)
    rate = figure(
        spread_rate,
        "kg/m2",
        mass_kg=Whole(total.mass_kg, "mass on the tickets", count, lambda: _ids(said)),
        area_m2=Whole(total.area_m2, "area laid", count, lambda: _ids(said)),
    )
    low, high = _range(plan, said, total, first)
    rate = Figure(
        rate.value, rate.unit, rate.made_by, rate.inputs, low, high, "range.95", _flags(said)
    )
    deviation = _deviation(total, rate)
    lift = plan.lifts[said[-1].lift]
    return Yield(
        quantity,
        total,
        rate,
        deviation,
        _thickness(plan, lift, rate) if len({piece.lift for piece in said}) == 1 else None,
        _judged(plan, quantity, deviation, said[-1]),
    )


def _range(plan: Plan, said: Sequence[Piece], total: Total, first: bool) -> tuple[float, float]:
    holds = max((_holds(plan, piece.paver) for piece in said), default=0.0)
    return spread_range(
        total.mass_kg,
        total.area_m2,
        total.length_m,
        station_error_m=plan.station_error_m,
        unlaid_start_kg=0.0 if first else holds,
        unlaid_end_kg=0.0 if _all_emptied(said) else holds,
    )


def _all_emptied(said: Sequence[Piece]) -> bool:
    """Whether every paver laid out all of what it held by the end of these pieces."""
    last = {piece.paver: piece.emptied for piece in said}
    return all(last.values())


def _holds(plan: Plan, paver: str) -> float:
    return plan.pavers[paver].holds_kg if paver in plan.pavers else 0.0


def _flags(said: Sequence[Piece]) -> tuple[str, ...]:
    flags = []
    if any(piece.inferred for piece in said):
        flags.append("flag.start-inferred")
    if not said[-1].ends_as_written:
        flags.append("flag.parted")
    if any(piece.width_by == "measured" for piece in said):
        flags.append("flag.width-measured")
    if any(piece.part.fact.contenders or piece.part.load.fact.contenders for piece in said):
        flags.append("flag.provisional")
    return tuple(flags)


def _ids(said: Sequence[Piece]) -> list[str]:
    return [piece.part.fact.id for piece in said]


def _deviation(total: Total, rate: Figure) -> Figure | None:
    if total.planned_kg <= 0:
        return None
    target = total.planned_kg / total.area_m2
    base = figure(
        deviation_pct, "%", rate=rate, target=Agreed(target, "lifts/spread, or mass per station")
    )
    assert rate.low is not None
    assert rate.high is not None
    return Figure(
        base.value,
        "%",
        base.made_by,
        base.inputs,
        deviation_pct(rate.low, target),
        deviation_pct(rate.high, target),
        "range.95",
        rate.flags,
    )


def _thickness(plan: Plan, lift: Lift, rate: Figure) -> Figure | None:
    mix = plan.mixes.get(lift.mix)
    if mix is None or mix.density_kg_m3 is None or lift.spread_kg_m2 is None:
        return None
    density = Agreed(mix.density_kg_m3, f"mixes/{mix.id}/density")
    made = figure(equivalent_thickness, "m", spread_kg_m2=rate, density_kg_m3=density)
    return Figure(made.value, "m", made.made_by, made.inputs, flags=("flag.if-base-even",))


def _judged(
    plan: Plan, quantity: str, deviation: Figure | None, piece: Piece
) -> tuple[Judgement, ...]:
    if deviation is None:
        return ()
    limits = limits_for(plan, quantity, mix=piece.mix, lift=piece.lift, lane=piece.lane)
    return tuple(judge(limit, deviation.value, "%", plan.job.rounding) for limit in limits)


Reaches = tuple[tuple[float, float], ...]
"""Stretches of road [m], each from the lower station to the higher, apart and in order."""


def covered(before: Mapping[Course, Reaches], laid: Sequence[Piece]) -> dict[Course, Reaches]:
    """The stretches laid, by lane and lift: those before and these pieces, run together."""
    found: dict[Course, list[tuple[float, float]]] = defaultdict(list)
    for course, reaches in before.items():
        found[course] += reaches
    for piece in laid:
        low, high = sorted((piece.from_m, piece.to_m))
        found[piece.lane, piece.lift].append((low, high))
    return {course: _joined(reaches) for course, reaches in found.items()}


def _joined(reaches: Sequence[tuple[float, float]]) -> Reaches:
    joined: list[tuple[float, float]] = []
    for low, high in sorted(reaches):
        if joined and low <= joined[-1][1] + JOINED_M:
            joined[-1] = joined[-1][0], max(high, joined[-1][1])
        else:
            joined.append((low, high))
    return tuple(joined)


def finishes(
    plan: Plan,
    so_far: Mapping[Course, Total],
    laid: Mapping[Course, Reaches],
    unmeasured: Mapping[str, float],
) -> tuple[Finish, ...]:
    """For every lift that goes by spread: what is left, and the rate that ends on its budget.

    Args:
        plan: The plan in force.
        so_far: What was laid so far, by lane and lift.
        laid: On which stretches, by lane and lift.
        unmeasured: Mass laid without an area, by lift [kg].
    """
    return tuple(
        _finish(plan, lift, so_far, laid, unmeasured.get(lift.id, 0.0))
        for lift in plan.lifts.values()
        if lift.spread_kg_m2 is not None
    )


def _finish(
    plan: Plan,
    lift: Lift,
    so_far: Mapping[Course, Total],
    laid: Mapping[Course, Reaches],
    unmeasured_kg: float,
) -> Finish:
    whole, remaining = [], []
    for name in lift.lanes:
        lane = plan.lanes[name]
        whole.append(area(lane.widths, lane.from_m, lane.to_m))
        remaining += [area(lane.widths, *gap) for gap in _gaps(lane, laid.get((name, lift.id), ()))]
    left_m2 = fsum(remaining)
    assert lift.spread_kg_m2 is not None
    placed = fsum(total.mass_kg for (_, name), total in so_far.items() if name == lift.id)
    placed += unmeasured_kg
    budget = lift.budget_kg or mass_for(fsum(whole), lift.spread_kg_m2)
    if left_m2 <= 0:
        return Finish(lift.id, 0.0, None, budget - placed, None)
    spread = Agreed(lift.spread_kg_m2, f"lifts/{lift.id}/spread")
    mass = figure(mass_for, "kg", area_m2=left_m2, spread_kg_m2=spread)
    if budget <= placed:
        return Finish(lift.id, left_m2, mass, budget - placed, None)
    rate = figure(
        rate_to_finish, "kg/m2", budget_kg=budget, placed_kg=placed, remaining_area_m2=left_m2
    )
    return Finish(lift.id, left_m2, mass, budget - placed, rate)


def _gaps(lane: Lane, laid: Reaches) -> Reaches:
    """The stretches of a lane that are not laid yet."""
    at, end = sorted((lane.from_m, lane.to_m))
    gaps = []
    for low, high in laid:
        if low > at + JOINED_M:
            gaps.append((at, min(low, end)))
        at = max(at, high)
        if at >= end:
            break
    if at < end - JOINED_M:
        gaps.append((at, end))
    return tuple(gap for gap in gaps if gap[1] > gap[0])


def cumulative(plan: Plan, lane: str, lift: str, total: Total) -> Iterator[tuple[str, Figure]]:
    """Rate and deviation over all shifts so far, with the range of its stations' ends."""
    if total.area_m2 <= 0 or total.mass_kg <= 0:
        return
    rate = figure(spread_rate, "kg/m2", mass_kg=total.mass_kg, area_m2=total.area_m2)
    ends = spread_range(total.mass_kg, total.area_m2, total.length_m, plan.station_error_m)
    rate = replace(rate, low=ends[0], high=ends[1], range_words="range.95")
    yield f"yield.cumulative/{lane}/{lift}/rate", rate
    deviation = _deviation(total, rate)
    if deviation is not None:
        yield f"yield.cumulative/{lane}/{lift}/deviation", deviation
