"""The last load of the day: what is loaded already against the length left and the closing hour.

The length left is the lane's, from where the mat ends; the mix on a metre is what this shift laid
there, or as planned before anything is. Trucks that are loaded and not here yet are known from the
plant's tickets; where it sends none, from how long each truck is gone, and then as a range.
"""

from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from math import fsum
from typing import Final

from matbook.engine.haul import CutOff, Haul, cut_off, last_departure
from matbook.engine.spread import area, mass_for
from matbook.plan.model import Plan
from matbook.shift.calls import Call
from matbook.shift.facts import Facts
from matbook.shift.figure import Agreed, Figure, Input, Whole
from matbook.shift.haul import Hauled, hauls
from matbook.shift.laid import Strip, ends
from matbook.shift.loads import Load, loads
from matbook.shift.pavers import Line, lines
from matbook.shift.places import label
from matbook.shift.yields import Yield, by_course

ALL_DAY_S: Final = 12 * 3600.0
"""Time left where no closing hour is known: the length ends it then."""
SURELY: Final = 0.9
"""Nine in ten of the ways back are this long or shorter: such a truck is surely loaded again."""
SOON: Final = timedelta(minutes=20)
"""The last departure is said so long before it: ours."""
LOST: Final = timedelta(hours=3)
"""A load that left the plant so long ago and was not seen is not on its way any more: ours."""
NEAR: Final = 12
"""So many loads more, or fewer, are shown before anybody asks: ours."""
FEW: Final = 3
"""So few loads more are said: ours."""


@dataclass(frozen=True)
class Last:
    """How many loads more one paver takes, and when the last one must leave the plant."""

    paver: str
    strip: Strip
    remaining_m: float
    found: CutOff
    least: int
    """Loads, if all that may be loaded is, and the mix goes as far as it may."""
    most: int
    coming: tuple[float, float, float]
    """Loads that are loaded and not here yet: least, likely, most."""
    guessed: bool
    """Nothing says how many those are: none are reckoned with."""
    ends_at: datetime | None
    """When the last mix must be laid, by the closing hour."""
    leaves_by: datetime | None
    """The last truck leaves the plant by then; None without a closing hour or rhythm."""
    figure: Figure

    @property
    def near(self) -> bool:
        """Whether the end is so near that it is said before somebody asks."""
        return self.found.ends == "hour" or self.found.loads <= NEAR


def last_loads(
    facts: Facts,
    now: datetime,
    restarts: Mapping[Strip, float],
    closes: datetime | None = None,
    coming: int | None = None,
) -> tuple[Last, ...]:
    """The last load of every paver at work whose place, pace and rhythm are known.

    Args:
        facts: The shift's facts.
        now: The moment that is asked about.
        restarts: Where each paver went on from.
        closes: When the last mix must be finished; by itself the plan's closing hour, if any.
        coming: Loads that are loaded and on their way; by itself as the tickets or trucks have it.
    """
    plan = facts.plan_at(now)
    closes = closes or closing(facts, now)
    hauled = {one.paver: one for one in hauls(facts, now)}
    found = []
    for line in lines(facts):
        if line.working and line.points and line.paver in hauled:
            one = _last(facts, plan, now, restarts, (line, hauled[line.paver]), closes, coming)
            found += [one] if one else []
    return tuple(found)


def closing(facts: Facts, now: datetime) -> datetime | None:
    """The plan's closing hour: when its clock strikes it first after a paver was first seen."""
    closes, seen = facts.plan_at(now).haul.closes, facts.of("paver")
    if not closes or not seen:
        return None
    begins = facts.local(seen[0].at)
    hour, minute = map(int, closes.split(":"))
    at = begins.replace(hour=hour, minute=minute, second=0, microsecond=0)
    return at if at > begins else at + timedelta(days=1)


def _last(
    facts: Facts,
    plan: Plan,
    now: datetime,
    restarts: Mapping[Strip, float],
    whose: tuple[Line, Hauled],
    closes: datetime | None,
    coming: int | None,
) -> Last | None:
    line, hauled = whose
    point = line.points[-1]
    strip = point.lane, point.lift, line.paver
    lane, lift = plan.lanes.get(point.lane), plan.lifts.get(point.lift)
    pace, load = line.pace_m_s, _load_kg(facts, plan, line.paver)
    if lane is None or lift is None or not pace or load is None:
        return None
    at_m = ends(facts, restarts).get(strip, point.station_m)
    remaining_m = max(0.0, (lane.to_m - at_m) * (1.0 if lane.to_m >= lane.from_m else -1.0))
    mix = _mix(by_course(facts, restarts).get(strip[:2]), plan, strip, (at_m, lane.to_m))
    if mix is None or remaining_m <= 0.0:
        return None
    kg_m, doubt, source = mix
    known = _coming(facts, now, hauled, coming)
    here = known or (0.0, 0.0, 0.0)
    laid_by = closes - timedelta(seconds=plan.haul.finishing_s) if closes else None
    left_s = max(0.0, (laid_by - now).total_seconds()) if laid_by else ALL_DAY_S
    few, likely, many = (
        cut_off(remaining_m, kg_m, count * load, load, pace, left_s, doubt) for count in here
    )
    inputs: dict[str, Input] = {
        "remaining_m": remaining_m,
        "mix_kg_m": source,
        "coming": here[1],
        "load_kg": Whole(load, "loads", len(hauled.entries), lambda: hauled.entries),
        "pace_m_s": pace,
        "remaining_s": left_s,
    }
    loads_more = Figure(
        likely.loads, "1", cut_off, inputs, many.least, few.most, "range.last-load",
    )  # fmt: skip
    leaves = _leaves_by(plan, hauled.haul, now, closes)
    return Last(
        paver=line.paver,
        strip=strip,
        remaining_m=remaining_m,
        found=likely,
        least=many.least,
        most=few.most,
        coming=here,
        guessed=known is None,
        ends_at=laid_by,
        leaves_by=leaves,
        figure=loads_more,
    )


def _load_kg(facts: Facts, plan: Plan, paver: str) -> float | None:
    """The mean of what this paver took; the plan's usual load before it took any."""
    seen = [load.net_kg for load in _taken(facts) if load.fact.place("paver") == paver]
    masses = [mass for mass in seen if mass]
    return fsum(masses) / len(masses) if masses else plan.haul.load_kg


def _taken(facts: Facts) -> Iterator[Load]:
    return (load for load in loads(facts) if load.counts and load.seen_on_road)


def _mix(
    laid: Yield | None, plan: Plan, strip: Strip, reach: tuple[float, float]
) -> tuple[float, float, Input] | None:
    """Mix on a metre of what is left [kg/m], how far it may be off as a share, and where from."""
    lane, lift = plan.lanes[strip[0]], plan.lifts[strip[1]]
    low, high = sorted(reach)
    if high - low <= 0.0:
        return None
    width_m = area(lane.widths, low, high) / (high - low)
    if laid is not None:
        rate = laid.rate
        assert rate.high is not None
        doubt = min(0.5, (rate.high - rate.value) / rate.value)
        return mass_for(width_m, rate.value), doubt, rate
    if lift.spread_kg_m2 is None:
        return None
    agreed = Agreed(lift.spread_kg_m2, f"lifts/{lift.id}/spread")
    return mass_for(width_m, lift.spread_kg_m2), 0.0, agreed


def _coming(
    facts: Facts, now: datetime, hauled: Hauled, said: int | None
) -> tuple[float, float, float] | None:
    """Loads that are loaded and not here: least, likely, most; None where nothing tells."""
    if said is not None:
        return float(said), float(said), float(said)
    on_the_way = [
        load
        for load in loads(facts)
        if load.counts
        and not load.seen_on_road
        and (loaded := load.moment("loaded")) is not None
        and timedelta() <= now - loaded <= LOST
    ]
    if on_the_way:
        count = float(len(on_the_way))
        return count, count, count
    if hauled.haul is None:
        return None
    back = hauled.haul.back.likely
    shares = [
        bisect_right(back, truck.for_s) / len(back)
        for truck in hauled.trucks
        if truck.place == "back"
    ]
    least = sum(share >= SURELY for share in shares)  # whole numbers
    most = sum(share > 1.0 - SURELY for share in shares)  # whole numbers
    return float(least), float(round(fsum(shares))), float(most)


def _leaves_by(
    plan: Plan, haul: Haul | None, now: datetime, closes: datetime | None
) -> datetime | None:
    if haul is None or closes is None:
        return None
    left_s = (closes - now).total_seconds()
    gone_s = last_departure(left_s, plan.haul.finishing_s, haul.laying, haul.out)
    return now + timedelta(seconds=gone_s)


def calls(plan: Plan, now: datetime, seen: Sequence[Last]) -> Iterator[Call]:
    """The last loads, by those who send them: while the plant can still be told."""
    tell = tuple(p.id for p in plan.people.values() if p.role in ("contractor", "plant"))
    for one in seen:
        near = one.leaves_by is not None and now <= one.leaves_by <= now + SOON
        if one.found.loads <= FEW or near:
            says = {
                "paver": one.paver,
                "loads_more": one.found.loads,
                "loads_least": one.least,
                "loads_most": one.most,
                "coming": one.coming[1],
                "length_m": one.found.reach_m,
                "station": label(plan, one.strip[0], plan.lanes[one.strip[0]].to_m),
            }
            code = "haul.enough" if one.found.loads == 0 else "haul.last"
            yield Call(code, "/".join(one.strip), "watch", now, says, None, tell)


def figures(seen: Sequence[Last]) -> Iterator[tuple[str, Figure]]:
    """How many loads more each paver takes."""
    for one in seen:
        yield f"haul.last/{'/'.join(one.strip)}", one.figure
