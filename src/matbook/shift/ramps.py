"""What a ramp and a fresh start take: length, mix, widths of paper, thickness of the strips.

The ratio is the plan's own limit on ramps: without one there is no length.
"""

from collections.abc import Iterator
from typing import Final

from matbook.engine.geometry import paper_widths, ramp_length, ramp_mass, starter_strip
from matbook.engine.spread import width_at
from matbook.plan.judge import limits_for
from matbook.plan.model import Lane, Lift, Plan
from matbook.shift.facts import Fact, Facts
from matbook.shift.figure import Agreed, Figure, Input, figure, read
from matbook.shift.places import metres

WHAT: Final = ("length", "mass", "paper", "strips")


def figures(
    facts: Facts, plan: Plan, ends: dict[tuple[str, str], float]
) -> Iterator[tuple[str, Figure]]:
    """For each lane and lift that ends somewhere, and each ramp written, by name.

    Args:
        facts: The shift's facts.
        plan: The plan in force.
        ends: Where each lane and lift ends [m].
    """
    for (lane, lift), at_m in ends.items():
        if lane in plan.lanes and lift in plan.lifts:
            for what, found in _at_the_end(plan, plan.lanes[lane], plan.lifts[lift], at_m):
                yield f"joint/{lane}/{lift}/{what}", found
    for fact in facts.of("ramp"):
        for what, found in _as_written(facts.plan_at(fact.at), fact):
            yield f"joint/{fact.id}/{what}", found


def _at_the_end(plan: Plan, lane: Lane, lift: Lift, at_m: float) -> Iterator[tuple[str, Figure]]:
    """A ramp over a step as thick as the lift, and the strips to start from again."""
    if lift.thickness_m is None:
        return
    step = Agreed(lift.thickness_m, f"lifts/{lift.id}/thickness")
    width = Agreed(width_at(lane.widths, at_m), f"lanes/{lane.id}/width")
    yield from _ramp(plan, lane.id, lift, step, None, width)
    if lift.roll_down is not None:
        share = Agreed(lift.roll_down, f"lifts/{lift.id}/roll_down")
        yield "strips", figure(starter_strip, "m", compacted_m=step, roll_down=share)


def _as_written(plan: Plan, fact: Fact) -> Iterator[tuple[str, Figure]]:
    lane, lift = plan.lanes.get(fact.place("lane")), plan.lifts.get(fact.place("lift"))
    at_m = metres(plan, fact)
    width: Input | None = None
    if fact.si("width"):
        width = read(fact, "width")
    elif lane is not None and at_m is not None:
        width = Agreed(width_at(lane.widths, at_m), f"lanes/{lane.id}/width")
    if fact.si("step"):
        length = read(fact, "length") if fact.si("length") else None
        yield from _ramp(plan, fact.place("lane"), lift, read(fact, "step"), length, width)


def _ramp(
    plan: Plan,
    lane: str,
    lift: Lift | None,
    step: Input,
    length: Input | None,
    width: Input | None,
) -> Iterator[tuple[str, Figure]]:
    """The length that the plan asks for; mass and paper for it, or for the length as laid."""
    mix = lift.mix if lift else ""
    limits = limits_for(plan, "ramp.ratio", mix=mix, lift=lift.id if lift else "", lane=lane)
    ratios = [one for one in limits if one.side == "min" and one.unit == "1"]
    if ratios:
        asked = max(ratios, key=lambda one: float(one.number))
        ratio = Agreed(float(asked.number), f"limits/{asked.id}/number")
        needed = figure(ramp_length, "m", step_m=step, ratio=ratio)
        length = length or needed
        yield "length", needed
    if length is None:
        return
    density = plan.mixes[mix].density_kg_m3 if mix else None
    if density and width is not None:
        given = {"step_m": step, "length_m": length, "width_m": width}
        found = Agreed(density, f"mixes/{mix}/density")
        yield "mass", figure(ramp_mass, "kg", **given, density_kg_m3=found)
    if plan.paper_m is not None:
        paper = Agreed(plan.paper_m, "joints/paper")
        lap = Agreed(plan.paper_lap_m, "joints/lap")
        yield (
            "paper",
            figure(paper_widths, "1", ramp_length_m=length, paper_width_m=paper, lap_m=lap),
        )
