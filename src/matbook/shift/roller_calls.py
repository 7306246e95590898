"""What the rollers need said: too slow for the paver, or standing on mat that is still hot."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime, timedelta
from typing import Final

from matbook.plan.model import Plan
from matbook.shift.behind import Behind
from matbook.shift.calls import Call
from matbook.shift.facts import Fact, Facts
from matbook.shift.laid import Strip
from matbook.shift.mats import Mat, mats
from matbook.shift.pavers import lines
from matbook.shift.places import label, metres
from matbook.shift.rolling import Keeping, Three, keeping, planned_pace, works

EVEN: Final = 0.5
"""Rollers less likely to keep up than not are said; ours."""

Kept = Mapping[str, tuple[Keeping, ...]]


def kept(
    facts: Facts, now: datetime, seen: Sequence[Behind], weights: tuple[float, ...] | None
) -> Kept:
    """Each phase that makes density, against its paver, by lane and lift."""
    found = {}
    for one in seen:
        pace = _pace(facts, one, now)
        if pace is not None:
            lane, lift, _ = one.strip
            found[f"{lane}/{lift}"] = tuple(_keeping(facts, now, one, pace, weights))
    return found


def _pace(facts: Facts, one: Behind, now: datetime) -> float | None:
    """The paver's pace as it has been in this shift; before it is known, as planned."""
    paver = one.strip[2]
    seen = next((line.pace_m_s for line in lines(facts) if line.paver == paver), None)
    return seen or planned_pace(facts.plan_at(now))


def _keeping(
    facts: Facts,
    now: datetime,
    one: Behind,
    pace_m_s: float,
    weights: tuple[float, ...] | None,
) -> Iterator[Keeping]:
    piece = one.last.piece
    found = works(facts, facts.plan_at(now), piece.mix, piece.lane, piece.to_m, now)
    for n, mine in enumerate(found):
        left = one.last.until(mine.phase.ends_c, weights)
        time: Three | None = None if left is None else (left.early, left.middle, left.late)
        yield keeping(mine, found[:n], pace_m_s, time)


def calls(
    facts: Facts, now: datetime, restarts: Mapping[Strip, float], seen: Kept
) -> Iterator[Call]:
    """Phases that fall behind, and rollers that stand where the mat is hot."""
    plan = facts.plan_at(now)
    tell = tuple(one.id for one in plan.people.values() if one.role == "contractor")
    for strip, phases in seen.items():
        for one in phases:
            unlikely = one.chance is not None and one.chance.value < EVEN
            if one.behind or unlikely:
                yield _behind(strip, one, now, tell)
    for fact in _standing(facts, now):
        ends = (metres(plan, fact, name) for name in ("station", "to", "from"))
        at_m = next((end for end in ends if end is not None), None)
        mat = None if at_m is None else _under(facts, fact, at_m, restarts)
        if mat is not None and at_m is not None:
            yield from _hot(plan, fact, mat, at_m, now, tell)


def _behind(strip: str, one: Keeping, now: datetime, tell: tuple[str, ...]) -> Call:
    says = {
        "phase": one.work.phase.name,
        "pace": one.pace_m_s,
        "rolled": one.work.rolled.value,
        "rollers": one.work.rollers,
        "needed": one.needed.value,
    }
    if one.chance is not None:
        says["chance"] = 100.0 * one.chance.value
    noted = one.work.noted
    ids = (noted.id,) if noted is not None else ()
    code = "rolling.behind" if one.behind else "rolling.unlikely"
    return Call(code, f"{strip}/{one.work.phase.id}", "watch", now, says, None, tell, ids)


def _standing(facts: Facts, now: datetime) -> list[Fact]:
    """The last that was noted of each roller, where that is that it stands."""
    last = {fact.text("roller"): fact for fact in facts.of("roller") if fact.at <= now}
    return [fact for fact in last.values() if fact.text("event") == "standing"]


def _under(facts: Facts, fact: Fact, at_m: float, restarts: Mapping[Strip, float]) -> Mat | None:
    """The mat that was laid last at a station of a lane."""
    for mat in reversed(mats(facts, restarts)):
        low, high = sorted((mat.piece.from_m, mat.piece.to_m))
        if mat.lane == fact.place("lane") and low <= at_m <= high and mat.from_at <= fact.at:
            return mat
    return None


def _hot(
    plan: Plan, fact: Fact, mat: Mat, at_m: float, now: datetime, tell: tuple[str, ...]
) -> Iterator[Call]:
    limit_c = marks_above(plan, mat.piece.mix)
    until = None if limit_c is None else mat.until(limit_c)
    if limit_c is None or until is None:
        return
    cool_at = mat.at_station(at_m) + timedelta(seconds=until.late)
    if cool_at > now:
        machine = plan.rollers.get(fact.text("roller"))
        says = {
            "roller": machine.name if machine else fact.text("roller"),
            "station": label(plan, mat.lane, at_m),
            "marks_c": limit_c,
            "until": f"{cool_at:%H:%M}",
            "minutes": (now - fact.at).total_seconds() / 60.0,
        }
        subject = f"{fact.text('roller')}/{fact.id}"
        yield Call("roller.standing", subject, "watch", fact.at, says, None, tell, (fact.id,))


def marks_above(plan: Plan, mix: str) -> float | None:
    """Mean temperature above which a standing roller leaves a mark [°C], by the plan.

    Where the mix says when traffic may come, that; else where the last phase of rolling ends.
    """
    held = plan.mixes.get(mix)
    if held is not None and held.opens_below_c is not None:
        return held.opens_below_c
    ends = [one.ends_c for one in plan.phases if one.mix in ("", mix)]
    if not ends and held is not None and held.rolling_ends_c is not None:
        return held.rolling_ends_c
    return min(ends, default=None)
