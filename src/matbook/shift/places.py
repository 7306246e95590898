"""Where entries say they were: station labels to metres along the road, and back."""

from collections.abc import Iterator

from matbook.errors import Refused
from matbook.plan.model import Plan, Road
from matbook.shift.facts import Fact, Facts


def road_of(plan: Plan, fact: Fact) -> Road | None:
    """The road an entry is on: named, or its lane's, or the job's only one."""
    named = plan.roads.get(fact.place("road"))
    if named is not None:
        return named
    lane = plan.lanes.get(fact.place("lane"))
    if lane is not None:
        return plan.roads[lane.road]
    return next(iter(plan.roads.values())) if len(plan.roads) == 1 else None


def metres(plan: Plan, fact: Fact, name: str = "station") -> float | None:
    """A station of an entry in metres along its road; None if missing or unreadable."""
    label, road = fact.place(name), road_of(plan, fact)
    if not label or road is None:
        return None
    try:
        return road.stationing.parse(label)
    except Refused:
        return None


def label(plan: Plan, lane: str, at_m: float) -> str:
    """A station as people write it on the road of a lane."""
    return plan.road_of(lane).stationing.format(at_m)


def unreadable(facts: Facts) -> Iterator[tuple[Fact, str, str]]:
    """Every station that can't be read: the entry, which field, and why in one sentence."""
    for fact in facts.standing():
        plan = facts.plan_at(fact.at)
        road = road_of(plan, fact)
        for name in ("station", "from", "to"):
            written = fact.place(name)
            if not written:
                continue
            if road is None:
                yield fact, written, "the plan has more than one road, and the entry names no lane"
                continue
            try:
                road.stationing.parse(written)
            except Refused as error:
                yield fact, written, error.allowed
