"""What lies behind the paver: how far and how long rolling still makes density, who rolls it."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from matbook.engine.forecasting import Range
from matbook.engine.forecasting import forecast as forecast_made
from matbook.plan.model import Plan
from matbook.shift.calls import Call
from matbook.shift.display import clock
from matbook.shift.facts import Fact, Facts
from matbook.shift.figure import Agreed, Figure, Input, read
from matbook.shift.laid import Strip
from matbook.shift.mat_checks import Checked, Compared, checked
from matbook.shift.mats import Mat, mats
from matbook.shift.places import label, metres

STEP_M: Final = 2.0
"""The mat is looked at every so many metres."""
FRESH: Final = timedelta(minutes=20)
"""A roller noted longer ago says nothing of where rolling is now; ours."""
SOON_S: Final = 300.0
"""Unrolled mat whose time is up within this is said."""
LATELY: Final = timedelta(hours=1)
"""A reading at odds with the forecast is said for so long."""


@dataclass(frozen=True)
class Stretch:
    """Mat from one station to another, in the direction of paving [m]."""

    from_m: float
    to_m: float

    @property
    def length_m(self) -> float:
        return abs(self.to_m - self.from_m)


@dataclass(frozen=True)
class Behind:
    """The mat of one lane and lift behind its paver, at a moment."""

    strip: Strip
    last: Mat
    """The piece laid last."""
    left: Range
    """Time from laying until rolling makes no more density [s]."""
    early: Stretch
    """Mat whose time is not up, by the early end of the range."""
    middle: Stretch
    front: Fact | None
    """The latest roller noted in a phase that makes density."""
    front_m: float | None
    """How far it has rolled by now, if it kept its distance behind the paver since it was noted."""
    late: Stretch | None
    """Mat beyond the roller whose time is up by the early end; None if there is none."""
    soon_s: float | None
    """Time left for the mat just beyond the roller [s]; None where nobody noted one lately."""

    def fresh(self, now: datetime) -> bool:
        """Whether somebody noted lately how far the rollers are."""
        return self.front is not None and now - self.front.at <= FRESH


def behind(facts: Facts, now: datetime, restarts: Mapping[Strip, float]) -> tuple[Behind, ...]:
    """The mat behind each paver whose latest piece can still be rolled or was laid lately."""
    seen = checked(facts, now, restarts)
    by_strip: dict[Strip, list[Mat]] = {}
    for mat in mats(facts, restarts):
        if mat.from_at <= now:
            by_strip.setdefault(mat.piece.strip, []).append(mat)
    found = (_behind(facts, now, strip, laid, seen) for strip, laid in by_strip.items())
    return tuple(one for one in found if one is not None)


def _behind(
    facts: Facts, now: datetime, strip: Strip, laid: Sequence[Mat], seen: Checked
) -> Behind | None:
    last = laid[-1]
    left = last.left(seen.weights)
    if left is None:
        return None
    front, front_m = _front(facts, strip, now)
    if front is not None and front_m is not None:
        front_m += _reached(laid, now) - _reached(laid, front.at)
    spots = list(_spots(laid, now, seen))
    late = soon = None
    if front is not None and front_m is not None and now - front.at <= FRESH:
        beyond = [spot for spot in spots if _sense(last) * (spot[0] - front_m) > 0.0]
        over = [at_m for at_m, early_s, _ in beyond if early_s <= 0.0]
        late = Stretch(over[-1], over[0]) if over else None
        soon = min((early_s for _, early_s, _ in beyond), default=None)
    return Behind(
        strip,
        last,
        left,
        _workable(spots, 1),
        _workable(spots, 2),
        front,
        front_m,
        late,
        soon,
    )


def _reached(laid: Sequence[Mat], at: datetime) -> float:
    """How far the mat had been laid at a moment [m]."""
    for mat in reversed(laid):
        if mat.from_at <= at:
            return mat.station_at(at)
    return laid[0].piece.from_m


def _sense(mat: Mat) -> float:
    return 1.0 if mat.piece.to_m >= mat.piece.from_m else -1.0


Spot = tuple[float, float, float]
"""A station [m], and the time that is left there by the early end and in the middle [s]."""


def _spots(laid: Sequence[Mat], now: datetime, seen: Checked) -> Iterator[Spot]:
    """The mat from the paver backwards, as far as it may still be rolled, and a little on."""
    for mat in reversed(laid):
        left = mat.left(seen.weights)
        if left is None or (now - mat.to_at).total_seconds() > 2.0 * left.late:
            return
        steps = max(1, round(mat.piece.length_m / STEP_M))
        for n in range(steps + 1):
            at_m = mat.piece.to_m + (mat.piece.from_m - mat.piece.to_m) * n / steps
            laid_at = mat.at_station(at_m)
            if laid_at <= now:
                since = (now - laid_at).total_seconds()
                yield at_m, left.early - since, left.middle - since


def _workable(spots: Sequence[Spot], which: int) -> Stretch:
    """From the paver back to where no time is left."""
    if not spots:
        return Stretch(0.0, 0.0)
    edge = first = spots[0]
    for spot in spots:
        if spot[which] <= 0.0:
            break
        edge = spot
    return Stretch(edge[0], first[0])


def _front(facts: Facts, strip: Strip, now: datetime) -> tuple[Fact | None, float | None]:
    """The latest roller in this lane in a phase that makes density, and how far it has come."""
    lane, lift, _ = strip
    plan = facts.plan_at(now)
    marks = {one.id for one in plan.phases if not one.makes_density} | {"finish"}
    for fact in reversed(facts.of("roller")):
        if fact.at > now or fact.text("event") not in ("rolling", "end"):
            continue
        if fact.text("phase") in marks or fact.place("lane") != lane:
            continue
        if fact.place("lift") not in ("", lift):
            continue
        ends = [metres(facts.plan_at(fact.at), fact, name) for name in ("to", "station", "from")]
        at_m = next((end for end in ends if end is not None), None)
        if at_m is not None:
            return fact, at_m
    return None, None


# What is said of it


def calls(facts: Facts, now: datetime, seen: Sequence[Behind], read: Checked) -> Iterator[Call]:
    """Unrolled mat past its time or near it, and readings at odds with the forecast."""
    plan = facts.plan_at(now)
    tell = tuple(one.id for one in plan.people.values() if one.role == "contractor")
    for one in seen:
        lane, lift, _ = one.strip
        if one.late is not None and one.front is not None:
            says = {
                "metres": one.late.length_m,
                "from": label(plan, lane, one.late.from_m),
                "to_station": label(plan, lane, one.late.to_m),
                "seen": clock(facts.local(one.front.at)),
            }
            yield Call("mat.late", f"{lane}/{lift}", "act", now, says, None, tell, (one.front.id,))
        elif one.soon_s is not None and one.soon_s <= SOON_S and one.front is not None:
            says = {
                "minutes": max(0.0, one.soon_s) / 60.0,
                "station": label(plan, lane, one.front_m or 0.0),
            }
            yield Call(
                "mat.soon", f"{lane}/{lift}", "watch", now, says, None, tell, (one.front.id,)
            )
    for odd in read.odd:
        if now - odd.fact.at <= LATELY:
            yield _odd(odd)


def _odd(odd: Compared) -> Call:
    says = {
        "read": odd.read_c,
        "expected": odd.expected_c,
        "station": odd.fact.place("station"),
    }
    return Call("mat.odd", odd.fact.id, "watch", odd.fact.at, says, None, (), (odd.fact.id,))


def figures(facts: Facts, now: datetime, seen: Sequence[Behind]) -> Iterator[tuple[str, Figure]]:
    """How long rolling makes density in the mat laid last, by lane and lift; it opens."""
    plan = facts.plan_at(now)
    for one in seen:
        lane, lift, _ = one.strip
        yield f"cooling/{lane}/{lift}", _figure(facts, plan, one)


def _figure(facts: Facts, plan: Plan, one: Behind) -> Figure:
    mat = one.last
    inputs: dict[str, Input] = {
        "lift_m": Agreed(mat.family.lift.thickness_m, f"lifts/{mat.piece.lift}")
    }
    laid = facts.find(mat.laid_entry)
    fact = next(
        (f for kind in ("temperature", "load") for f in facts.of(kind) if f.id == mat.laid_entry),
        None,
    )
    if laid is not None and fact is not None:
        inputs["laid_c"] = read(fact, "temp")
    for fact in facts.of("weather"):
        if fact.id in mat.sky.entries:
            for name in ("air", "wind"):
                if fact.si(name) is not None:
                    inputs[name] = read(fact, name)
    inputs["rolling_ends_c"] = Agreed(mat.family.ends_c, f"mixes/{mat.piece.mix}/rolling_ends")
    return Figure(
        one.left.middle / 60.0,
        "min",
        forecast_made,
        inputs,
        one.left.early / 60.0,
        one.left.late / 60.0,
        "range.10-90",
    )
