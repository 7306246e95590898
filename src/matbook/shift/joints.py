"""Joints: transverse ones step by step, ends that traffic meets, edges that stand open."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from typing import Final

from matbook.plan.judge import judge, limits_for, people_to_tell
from matbook.plan.model import Plan
from matbook.shift.calls import Call, of_roles
from matbook.shift.facts import Fact, Facts
from matbook.shift.laid import Piece, Strip, ends, pieces
from matbook.shift.pavers import lines
from matbook.shift.places import label, metres

KINDS: Final = ("joint-transverse", "straightedge")
STEPS: Final = (
    *("stopped", "cut back", "ramp removed", "face", "tacked", "starter strips"),
    *("restarted", "excess removed", "rolled", "straightedge"),
)
"""A transverse joint, from the evening's stop to the straightedge on the hot mat."""
EVENING: Final = ("stopped", "cut back", "face")
"""Seen when the paver has stopped; the face once more in the morning, when the ramp is out."""
MORNING: Final = STEPS[STEPS.index("ramp removed") :]
HOLDS: Final = ("face", "tacked", "starter strips")
"""What should have been seen before the paver goes on; common practice, no published source."""
SAME_JOINT_M: Final = 3.0
"""Stations are read to a metre or so; further apart they are two joints."""
NEAR_M: Final = 15.0
"""A straightedge at a joint, or a ramp at an end, lies so near to it; assumed."""


@dataclass(frozen=True, slots=True)
class Joint:
    """A transverse joint: the latest word on each step, and the straightedge laid over it."""

    lane: str
    lift: str
    at_m: float | None
    station: str
    steps: dict[str, Fact] = field(default_factory=dict)
    edges: list[Fact] = field(default_factory=list)
    words: list[Fact] = field(default_factory=list)
    """Every word on it, earlier ones too."""

    def state(self, step: str) -> str:
        """done, not done, or not looked at: what nobody wrote, nobody looked at."""
        if step == "straightedge" and self.edges:
            return "done"
        fact = self.steps.get(step)
        return fact.text("held") if fact else "not looked at"

    def is_at(self, lane: str, lift: str, at_m: float | None, station: str) -> bool:
        if (lane, lift) != (self.lane, self.lift):
            return False
        if at_m is None or self.at_m is None:
            return station == self.station
        return abs(at_m - self.at_m) <= SAME_JOINT_M


@dataclass(frozen=True, slots=True)
class Edge:
    """A longitudinal edge that was left open, by the entry that said so."""

    id: str
    at: datetime
    height: str = ""
    reach: str = ""
    """From where to where, as written."""


@dataclass(frozen=True, slots=True)
class End:
    """Where a paver left its strip, and the ramp that was written there."""

    strip: Strip
    at_m: float
    at: datetime
    ramp: Fact | None

    @property
    def id(self) -> str:
        return "/".join(self.strip)


def joints(facts: Facts) -> tuple[Joint, ...]:
    """Every transverse joint of the shift, in the order in which they were first written."""
    return facts.remembered("joints", KINDS, lambda: tuple(_joints(facts)))


def _joints(facts: Facts) -> list[Joint]:
    found: list[Joint] = []
    for fact in facts.of("joint-transverse"):
        at_m = metres(facts.plan_at(fact.at), fact)
        place = fact.place("lane"), fact.place("lift"), at_m, fact.place("station")
        one = next((joint for joint in found if joint.is_at(*place)), None)
        if one is None:
            one = Joint(*place)
            found.append(one)
        one.steps[fact.text("step")] = fact
        one.words.append(fact)
    for fact in facts.of("straightedge"):
        at_m = metres(facts.plan_at(fact.at), fact)
        near = [
            joint
            for joint in found
            if fact.text("along") == "joint"
            and joint.lane == fact.place("lane")
            and at_m is not None
            and joint.at_m is not None
            and abs(joint.at_m - at_m) <= NEAR_M
        ]
        for joint in near[:1]:
            joint.edges.append(fact)
    return found


def open_edges(facts: Facts, before: Mapping[tuple[str, str], Edge]) -> dict[tuple[str, str], Edge]:
    """Lane and lift -> the edge that stands open there, from this shift or one before."""
    found = dict(before)
    for fact in facts.of("joint-longitudinal"):
        course = fact.place("lane"), fact.place("lift")
        if fact.text("edge") == "open":
            reach = "–".join(end for end in (fact.place("from"), fact.place("to")) if end)
            found[course] = Edge(fact.id, fact.at, fact.text("height"), reach)
        elif fact.text("edge") == "closed":
            found.pop(course, None)
    return found


def left(facts: Facts, restarts: Mapping[Strip, float]) -> tuple[End, ...]:
    """Where the mat of this shift ends and its paver has gone, or the shift is closed."""
    closed = bool(facts.of("shift-close"))
    gone = {line.paver for line in lines(facts) if line.points and not line.working}
    every = pieces(facts, restarts)
    laid = {piece.strip: piece for piece in every}
    return tuple(
        End(strip, at_m, laid[strip].at, _ramp(facts, strip, at_m))
        for strip, at_m in ends(facts, restarts).items()
        if strip in laid
        and (closed or strip[2] in gone)
        and not any(_covers(piece, laid[strip], at_m) for piece in every)
    )


def _covers(piece: Piece, last: Piece, at_m: float) -> bool:
    """Whether a piece was laid over the end of another strip, or on from there."""
    low, high = sorted((piece.from_m, piece.to_m))
    over = low - SAME_JOINT_M <= at_m <= high + SAME_JOINT_M
    return piece.lane == last.lane and piece.strip != last.strip and piece.at > last.at and over


def _ramp(facts: Facts, strip: Strip, at_m: float) -> Fact | None:
    near = (
        fact
        for fact in reversed(facts.of("ramp"))
        if fact.place("lane") == strip[0]
        and (found := metres(facts.plan_at(fact.at), fact)) is not None
        and abs(found - at_m) <= NEAR_M
    )
    return next(near, None)


def calls(
    facts: Facts,
    now: datetime,
    restarts: Mapping[Strip, float],
    before: Mapping[tuple[str, str], Edge],
) -> Iterator[Call]:
    """Steps not done or passed over, ends without a ramp, edges open for too long."""
    for joint in joints(facts):
        yield from _steps(facts, joint)
    plan = facts.plan_at(now)
    for end in left(facts, restarts):
        lane, lift = end.strip[:2]
        if end.ramp is None:
            thickness = plan.lifts[lift].thickness_m if lift in plan.lifts else None
            says = {"station": label(plan, lane, end.at_m), "step_m": thickness}
            tell = of_roles(plan, "contractor", "supervisor")
            yield Call("joint.no-ramp", end.id, "watch", end.at, says, None, tell)
    for course, edge in open_edges(facts, before).items():
        yield from _open(plan, course, edge, now)


def _steps(facts: Facts, joint: Joint) -> Iterator[Call]:
    for step, fact in joint.steps.items():
        if fact.text("held") != "done":
            says = {"step": step, "state": fact.text("held"), "station": joint.station}
            tell = of_roles(facts.plan_at(fact.at), "contractor")
            yield Call("joint.held", fact.id, "watch", fact.at, says, None, tell, (fact.id,))
    went_on = joint.steps.get("restarted")
    for step in HOLDS if went_on else ():
        if step not in joint.steps and went_on is not None:
            says = {"step": step, "station": joint.station}
            subject = f"{went_on.id}/{step}"
            yield Call("joint.unseen", subject, "note", went_on.at, says, entries=(went_on.id,))


def _open(plan: Plan, course: tuple[str, str], edge: Edge, now: datetime) -> Iterator[Call]:
    lane, lift = course
    minutes = max(0.0, (now - edge.at).total_seconds() / 60)
    for limit in limits_for(plan, "edge.open", lift=lift, lane=lane):
        if not judge(limit, minutes, "min", plan.job.rounding).ok:
            name = plan.lanes[lane].name if lane in plan.lanes else lane
            says = {"minutes": minutes, "lane": name}
            tell = tuple(person.id for person in people_to_tell(plan, limit))
            entries = (edge.id,)
            yield Call("joint.edge-open", edge.id, limit.grade, edge.at, says, limit, tell, entries)
