"""After a change of the screed: from which station on a check of the depth means something."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from matbook.engine.depth import recheck_distance
from matbook.engine.units import convert
from matbook.plan.judge import limits_for
from matbook.plan.model import Plan
from matbook.shift.facts import Fact
from matbook.shift.figure import Agreed, Figure, Input, figure
from matbook.shift.laid import Strip

COMPLETE: Final = (0.95, 0.99)
"""Share of a change of the screed from which a check means something, and from which it is done."""


@dataclass(frozen=True, slots=True)
class Point:
    """A loose depth as it was read, and how far along the paving [m]."""

    fact: Fact
    along_m: float
    depth_m: float


@dataclass(frozen=True, slots=True)
class Settling:
    """A change of the screed: up or down, and from where on a check means something."""

    fact: Fact
    way: str
    ahead_m: float
    """That place, along the paving [m]."""
    from_m: float
    """The same as a place on the road [m]."""
    done_m: float
    """Here the change is all but complete; equal to `from_m` where only a length is agreed."""
    early: tuple[Fact, ...]
    """Depths read between the change and there: too early to judge it."""
    checked: bool
    """A depth has been read beyond."""
    distance: Figure
    passed: bool = False
    """The mat reaches there already."""


def along(at_m: float, forward: bool) -> float:
    """A place on the road as a distance in the direction of paving, and back again."""
    return at_m if forward else -at_m


def settling(plan: Plan, strip: Strip, points: Sequence[Point], forward: bool) -> Settling | None:
    """The last change of the screed; None if there was none, or nothing says how far it takes.

    Args:
        plan: The plan in force.
        strip: Lane, lift and paver.
        points: The loose depths of the strip, in the order in which they were read.
        forward: Stations rise in the direction of paving.
    """
    changed = [p for p in points if p.fact.text("adjusted") in ("up", "down")]
    reach = _reach(plan, strip)
    if not changed or reach is None:
        return None
    last, (near, done_m) = changed[-1], reach
    ahead_m = last.along_m + near.value
    later = [p for p in points if p.fact.order > last.fact.order]
    return Settling(
        fact=last.fact,
        way=last.fact.text("adjusted"),
        ahead_m=ahead_m,
        from_m=along(ahead_m, forward),
        done_m=along(last.along_m + done_m, forward),
        early=tuple(p.fact for p in later if last.along_m < p.along_m < ahead_m),
        checked=any(p.along_m >= ahead_m for p in later),
        distance=near,
    )


def _reach(plan: Plan, strip: Strip) -> tuple[Figure, float] | None:
    """How far until a check means something and until all is done: by the tow arm, or as agreed."""
    machine = plan.pavers.get(strip[2])
    if machine is not None and machine.tow_arm_m:
        arm: Input = Agreed(machine.tow_arm_m, f"pavers/{machine.id}/tow_arm")
        near = figure(recheck_distance, "m", tow_arm_m=arm, complete=COMPLETE[0])
        return near, recheck_distance(machine.tow_arm_m, COMPLETE[1])
    mix = plan.lifts[strip[1]].mix if strip[1] in plan.lifts else ""
    for limit in limits_for(plan, "recheck.advance", mix=mix, lift=strip[1], lane=strip[0]):
        length_m = convert(float(limit.number), limit.unit, "m")
        agreed: Input = Agreed(length_m, f"limits/{limit.id}/number")
        return Figure(length_m, "m", None, {"length_m": agreed}, limit=limit), length_m
    return None
