"""Loose depth: what to set, whether it drifts, and from where a check means something again.

A floating screed follows a change of its setting over several tow-arm lengths, so what is read
before that is not yet what was set. Roll-down is the plan's; what this job's own cores say of it is
shown beside it, and limits go by it once the plan says so.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from math import fsum, isfinite
from typing import Final

from matbook.engine.depth import loose_depth
from matbook.engine.depth_readings import (
    NOISE_M,
    Drift,
    StripRollDown,
    drift,
    runs_out_after,
    scatter,
    strip_roll_down,
)
from matbook.engine.units import convert
from matbook.errors import Refused
from matbook.plan.judge import limits_for, people_to_tell
from matbook.plan.model import Lift, Limit, Plan
from matbook.shift.calls import Call
from matbook.shift.facts import Fact, Facts
from matbook.shift.figure import Agreed, Figure, Input, Whole, figure
from matbook.shift.laid import Strip, ends
from matbook.shift.pavers import lines
from matbook.shift.places import label, metres
from matbook.shift.settling import Point, Settling, along, settling

KINDS: Final = ("loose-depth", "core", "paver")
WINDOW: Final = 16
"""Readings that a drift is taken over: ours. Fewer since an adjustment, where there was one."""
KNOWN: Final = 8
"""Readings whose own scatter is taken; of fewer, the assumed one."""
FEWEST: Final = 3
SOON_M: Final = 150.0
"""A limit that the drift reaches within so much paving is said: ours."""
BESIDE_M: Final = 15.0
"""A core belongs to the loose depths read so near to it: ours, about two readings."""
ENOUGH: Final = 3
"""Cores before their roll-down is called the job's own: ours."""


@dataclass(frozen=True)
class Depth:
    """The loose depth of one strip."""

    strip: Strip
    points: tuple[Point, ...]
    """Readings that the drift is taken over."""
    to_set: Figure | None
    """By the plan's roll-down."""
    own: StripRollDown | None
    """Roll-down by this job's cores."""
    own_set: Figure | None
    trend: Drift | None
    noise_m: float
    """Scatter of one reading: their own, or assumed."""
    runs_out_m: float | None
    """Length to pave until it is beyond its limit, if it drifts on."""
    limit: Limit | None
    settling: Settling | None
    forward: bool
    """Stations rise in the direction of paving."""

    @property
    def id(self) -> str:
        return "/".join(self.strip)

    @property
    def off_m(self) -> float | None:
        """Depth on the line at the last reading, less what it should be."""
        if self.trend is None or self.to_set is None:
            return None
        return self.trend.last_m - self.to_set.value


def depths(facts: Facts, restarts: Mapping[Strip, float]) -> tuple[Depth, ...]:
    """Every strip that a loose depth was read in, in order of its first."""
    reached = ends(facts, restarts)
    found = facts.remembered("depths", KINDS, lambda: tuple(_depths(facts)))
    return tuple(_reached(one, reached.get(one.strip)) for one in found)


def _reached(one: Depth, reached: float | None) -> Depth:
    """With how far the mat reaches by now: every load changes that, and nothing else of it."""
    waits = one.settling
    if waits is None or reached is None:
        return one
    passed = along(reached, one.forward) >= waits.ahead_m
    return replace(one, settling=replace(waits, passed=passed))


def _depths(facts: Facts) -> Iterator[Depth]:
    read: dict[Strip, list[Fact]] = {}
    for fact in facts.of("loose-depth"):
        strip = fact.place("lane"), fact.place("lift"), fact.place("paver")
        if strip[0] in facts.plan_at(fact.at).lanes:
            read.setdefault(strip, []).append(fact)
    for strip, said in read.items():
        yield _depth(facts, strip, said)


def _depth(facts: Facts, strip: Strip, said: Sequence[Fact]) -> Depth:
    plan = facts.plan_at(said[-1].at)
    lane, lift = plan.lanes[strip[0]], plan.lifts.get(strip[1])
    forward = lane.to_m >= lane.from_m
    kept = (
        facts.once(("point", fact.key, forward), partial(_point, facts, fact, forward))
        for fact in said
    )
    points = [point for point in kept if point]
    waits = settling(plan, strip, points, forward)
    settled = _settled(facts, strip, points, waits)
    to_set, own = _to_set(lift), _own(facts, strip, points, forward)
    noise_m = scatter([p.depth_m for p in points]) if len(points) >= KNOWN else NOISE_M
    trend = _trend(settled, noise_m)
    limit = _limit(plan, strip)
    left = None
    if trend is not None and trend.drifting and limit is not None and to_set is not None:
        allowed = convert(float(limit.number), limit.unit, "m")
        left = runs_out_after(trend.last_m - to_set.value, trend.slope, allowed)
    return Depth(
        strip=strip,
        points=tuple(settled),
        to_set=to_set,
        own=own,
        own_set=_own_set(lift, own),
        trend=trend,
        noise_m=noise_m,
        runs_out_m=left,
        limit=limit,
        settling=waits,
        forward=forward,
    )


def _point(facts: Facts, fact: Fact, forward: bool) -> Point | None:
    at_m, depth_m = metres(facts.plan_at(fact.at), fact), fact.si("depth")
    if at_m is None or not depth_m:
        return None
    return Point(fact, along(at_m, forward), depth_m)


def _limit(plan: Plan, strip: Strip) -> Limit | None:
    """The narrowest limit on how far a loose depth may be off."""
    mix = plan.lifts[strip[1]].mix if strip[1] in plan.lifts else ""
    found = [
        one
        for one in limits_for(plan, "loose-depth", mix=mix, lift=strip[1], lane=strip[0])
        if one.side == "within"
    ]
    return min(found, key=lambda one: convert(float(one.number), one.unit, "m"), default=None)


# What to set


def _to_set(lift: Lift | None) -> Figure | None:
    if lift is None or lift.thickness_m is None or lift.roll_down is None:
        return None
    return figure(
        loose_depth,
        "m",
        compacted_m=Agreed(lift.thickness_m, f"lifts/{lift.id}/thickness"),
        roll_down=Agreed(lift.roll_down, f"lifts/{lift.id}/roll_down"),
    )


def _own(
    facts: Facts, strip: Strip, points: Sequence[Point], forward: bool
) -> StripRollDown | None:
    """Cores of the same lane and lift, each beside the mean of the loose depths near it."""
    pairs = []
    for core in facts.of("core"):
        thick_m, at_m = core.si("thickness"), metres(facts.plan_at(core.at), core)
        if core.place("lane") != strip[0] or not thick_m or at_m is None:
            continue
        if core.place("lift") not in ("", strip[1]):
            continue
        here = along(at_m, forward)
        near = [p.depth_m for p in points if abs(p.along_m - here) <= BESIDE_M]
        if near:
            pairs.append((fsum(near) / len(near), thick_m))
    if len(pairs) < ENOUGH:
        return None
    try:
        return strip_roll_down(pairs)
    except Refused:  # a core thicker than the loose mat: one of the two was read or written wrong
        return None


def _own_set(lift: Lift | None, own: StripRollDown | None) -> Figure | None:
    if lift is None or lift.thickness_m is None or own is None or own.roll_down >= 0.6:
        return None
    thick = Agreed(lift.thickness_m, f"lifts/{lift.id}/thickness")
    share = Figure(
        own.roll_down, "1", strip_roll_down, {"count": float(own.count)}, own.least, own.most,
        "range.single",
    )  # fmt: skip
    return figure(loose_depth, "m", compacted_m=thick, roll_down=share)


# Whether it drifts


def _settled(
    facts: Facts, strip: Strip, points: Sequence[Point], waits: Settling | None
) -> list[Point]:
    """The latest readings of one setting: since the last change took hold, and the last stop."""
    since = max(
        (stop.started for line in lines(facts) if line.paver == strip[2] for stop in line.stops),
        default=None,
    )
    kept = [p for p in points if since is None or p.fact.at >= since]
    if waits is not None:
        after = waits.fact.order
        kept = [p for p in kept if p.fact.order > after and p.along_m >= waits.ahead_m]
    return kept[-WINDOW:]


def _trend(points: Sequence[Point], noise_m: float) -> Drift | None:
    if len(points) < FEWEST:
        return None
    try:
        return drift([(point.along_m, point.depth_m) for point in points], min(noise_m, 0.05))
    except Refused:  # all of them at one place
        return None


# What is said of it


def calls(facts: Facts, restarts: Mapping[Strip, float]) -> Iterator[Call]:
    """A drift that is still within the limit and won't be, and a change that waits for a check."""
    for one in depths(facts, restarts):
        yield from _drifts(facts, one)
        yield from _waits(facts, one)


def _drifts(facts: Facts, one: Depth) -> Iterator[Call]:
    trend, left = one.trend, one.runs_out_m
    if trend is None or left is None or not 0.0 < left <= SOON_M or not isfinite(left):
        return
    assert one.limit is not None
    last = one.points[-1]
    plan = facts.plan_at(last.fact.at)
    at_m = along(last.along_m + left, one.forward)
    says = {
        "drift": trend.slope,
        "drift_low": trend.least,
        "drift_high": trend.most,
        "depth_m": trend.last_m,
        "wanted_m": one.to_set.value if one.to_set else None,
        "station": label(plan, one.strip[0], at_m),
        "n": len(one.points),
    }
    tell = tuple(person.id for person in people_to_tell(plan, one.limit))
    entries = tuple(point.fact.id for point in one.points)
    yield Call("depth.drift", one.id, "watch", last.fact.at, says, one.limit, tell, entries)


def _waits(facts: Facts, one: Depth) -> Iterator[Call]:
    """Where to check next, until somebody has; what was read too early is named."""
    waits = one.settling
    if waits is None or waits.checked:
        return
    plan = facts.plan_at(waits.fact.at)
    code = "depth.check" if waits.passed else "depth.wait"
    grade = "watch" if waits.passed else "note"
    says: dict[str, object] = {
        "way": waits.way,
        "station": label(plan, one.strip[0], waits.from_m),
        "done": label(plan, one.strip[0], waits.done_m),
        "early": len(waits.early),
    }
    entries = (waits.fact.id, *(fact.id for fact in waits.early))
    yield Call(code, waits.fact.id, grade, waits.fact.at, says, None, (), entries)


def figures(facts: Facts, restarts: Mapping[Strip, float]) -> Iterator[tuple[str, Figure]]:
    """What to set, its drift, and how far until a check means something, by strip."""
    for one in depths(facts, restarts):
        if one.to_set is not None:
            yield f"depth/{one.id}/set", one.to_set
        if one.own_set is not None:
            yield f"depth/{one.id}/own", one.own_set
        if one.trend is not None:
            yield f"depth/{one.id}/drift", _drift_figure(one, one.trend)
        if one.settling is not None:
            yield f"depth/{one.id}/recheck", one.settling.distance


def _drift_figure(one: Depth, trend: Drift) -> Figure:
    ids = [point.fact.id for point in one.points]
    inputs: dict[str, Input] = {
        "readings": Whole(float(len(ids)), "loose depths", len(ids), lambda: ids),
        "noise_m": one.noise_m,
    }
    return Figure(trend.slope, "1", drift, inputs, trend.least, trend.most, "range.drift")
