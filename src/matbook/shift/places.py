"""Where entries say they were: station labels to metres along the road, and back."""

from collections.abc import Iterator, Mapping
from typing import Any

from matbook.book.entry import Entry
from matbook.errors import Refused
from matbook.plan.model import Plan, Road
from matbook.shift.facts import Fact


def road_of(plan: Plan, place: Mapping[str, Any]) -> Road | None:
    """The road a place is on: named, or its lane's, or the job's only one."""
    named = plan.roads.get(place.get("road", ""))
    if named is not None:
        return named
    lane = plan.lanes.get(place.get("lane", ""))
    if lane is not None:
        return plan.roads[lane.road]
    return next(iter(plan.roads.values())) if len(plan.roads) == 1 else None


def metres(plan: Plan, fact: Fact, name: str = "station") -> float | None:
    """A station of a fact in metres along its road; None if missing or unreadable."""
    return metres_at(plan, fact.entry.place, name)


def metres_at(plan: Plan, place: Mapping[str, Any], name: str = "station") -> float | None:
    """A station of a place in metres along its road; None if missing or unreadable."""
    label, road = str(place.get(name, "")), road_of(plan, place)
    if not label or road is None:
        return None
    try:
        return road.stationing.parse(label)
    except Refused:
        return None


def label(plan: Plan, lane: str, at_m: float) -> str:
    """A station as people write it on the road of a lane."""
    return plan.road_of(lane).stationing.format(at_m)


def unreadable(plan: Plan, entry: Entry) -> Iterator[tuple[str, str]]:
    """Every station of an entry that can't be read: as written, and why in one sentence."""
    road = road_of(plan, entry.place)
    for name in ("station", "from", "to"):
        written = str(entry.place.get(name, ""))
        if not written:
            continue
        if road is None:
            yield written, "the plan has more than one road, and the entry names no lane"
            continue
        try:
            road.stationing.parse(written)
        except Refused as error:
            yield written, error.allowed
