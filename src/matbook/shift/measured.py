"""Readings set against the plan: temperatures, depths, slopes, widths, joints, weather."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Final

from matbook.engine.depth import loose_depth
from matbook.engine.geometry import (
    edge_angle_deg,
    ramp_ratio,
    slope_from_board,
    slope_from_levels,
    starter_strip,
)
from matbook.engine.rolling import impacts_per_m
from matbook.engine.spread import width_at
from matbook.errors import Refused
from matbook.plan.judge import Judgement, judge, limits_for
from matbook.plan.model import Plan
from matbook.shift.facts import Fact, Facts
from matbook.shift.figure import Agreed, Figure, Input, Read, figure, read
from matbook.shift.places import metres
from matbook.shift.tack import sprayed

STAFF: Final = ("staff_near", "staff_far", "apart")
"""What a level's reading of the cross slope takes."""


@dataclass(frozen=True, slots=True)
class Reading:
    """A reading, what it should be where the plan says so, and what its limits say."""

    fact: Fact
    quantity: str
    """Name in the plan's list of quantities; what limits speak of."""
    value: Figure
    target: Figure | None = None
    judgements: tuple[Judgement, ...] = ()
    note: str = ""
    """Why it was not set against a limit, as the code of a sentence."""

    @property
    def beyond(self) -> tuple[Judgement, ...]:
        return tuple(judgement for judgement in self.judgements if not judgement.ok)

    @property
    def deviation(self) -> float | None:
        return None if self.target is None else self.value.value - self.target.value


Measure = Callable[[Plan, Fact], list[Reading]]


def readings(facts: Facts, kind: str) -> tuple[Reading, ...]:
    """Every reading of one kind, judged by the plan in force when it was taken."""
    return facts.remembered(
        ("readings", kind),
        (kind,),
        lambda: tuple(one for found in _of_each(facts, kind) for one in found or ()),
    )


def beyond(facts: Facts, kind: str) -> tuple[Reading, ...]:
    """The readings of one kind that are beyond a limit."""
    return facts.remembered(
        ("beyond", kind),
        (kind,),
        lambda: tuple(one for one in readings(facts, kind) if one.beyond),
    )


def impossible(facts: Facts, kind: str) -> tuple[Fact, ...]:
    """What was written of one kind as no mat can be."""
    return facts.remembered(
        ("impossible", kind),
        (kind,),
        lambda: tuple(
            fact
            for fact, found in zip(facts.of(kind), _of_each(facts, kind), strict=True)
            if found is None
        ),
    )


def _of_each(facts: Facts, kind: str) -> list[list[Reading] | None]:
    return facts.each(("measured", kind), facts.of(kind), lambda fact: measured(facts, fact))


def measured(facts: Facts, fact: Fact) -> list[Reading] | None:
    """What was read, by one entry; None where no mat can be as it was written."""
    try:
        return MEASURES[fact.entry.kind](facts.plan_at(fact.at), fact)
    except Refused:
        return None


def judged(
    plan: Plan, fact: Fact, quantity: str, value: float, unit: str, mix: str = ""
) -> tuple[Judgement, ...]:
    """What the plan's limits on a quantity say of a value, here."""
    lift = fact.place("lift")
    mix = mix or (plan.lifts[lift].mix if lift in plan.lifts else "")
    limits = limits_for(plan, quantity, mix=mix, lift=lift, lane=fact.place("lane"))
    return tuple(judge(limit, value, unit, plan.job.rounding) for limit in limits)


def _straight(name: str, quantity: str, unit: str) -> Measure:
    """A field judged as it is."""

    def measure(plan: Plan, fact: Fact) -> list[Reading]:
        if fact.si(name) is None:
            return []
        value = _figure(fact, name, unit)
        return [
            Reading(fact, quantity, value, None, judged(plan, fact, quantity, value.value, unit))
        ]

    return measure


def _all(*measures: Measure) -> Measure:
    return lambda plan, fact: [reading for measure in measures for reading in measure(plan, fact)]


def _figure(fact: Fact, name: str, unit: str) -> Figure:
    source: Read = read(fact, name)
    span = fact.spread(name)
    low, high = span or (None, None)
    return Figure(source.value, unit, None, {name: source}, low, high, "contest" if span else "")


def _temperature(plan: Plan, fact: Fact) -> list[Reading]:
    """An infrared reading sees the skin; it is shown, and not set against a limit on the mix.

    Where no lift is written, the job's only mix is meant; with several, the record says that
    nobody could judge.
    """
    quantity = f"temperature.{fact.text('stage')}"
    value = _figure(fact, "temp", "degC")
    if fact.text("how") == "infrared":
        return [Reading(fact, quantity, value, note="reading.skin-only")]
    mixes = {lift.mix for lift in plan.lifts.values()}
    named = fact.place("lift") in plan.lifts
    mix = mixes.pop() if len(mixes) == 1 and not named else ""
    found = judged(plan, fact, quantity, value.value, "degC", mix)
    limited = any(limit.quantity == quantity for limit in plan.limits)
    note = "reading.no-lift" if limited and not (found or named) else ""
    return [Reading(fact, quantity, value, None, found, note)]


def _against(
    plan: Plan, fact: Fact, quantity: str, value: Figure, target: Figure | None
) -> list[Reading]:
    """A reading whose limits speak of its deviation from a target."""
    if target is None:
        return [Reading(fact, quantity, value)]
    off = value.value - target.value
    return [Reading(fact, quantity, value, target, judged(plan, fact, quantity, off, value.unit))]


def _loose_depth(plan: Plan, fact: Fact) -> list[Reading]:
    lift = plan.lifts.get(fact.place("lift"))
    target = None
    if lift is not None and lift.thickness_m is not None and lift.roll_down is not None:
        path = f"lifts/{lift.id}"
        target = figure(
            loose_depth,
            "m",
            compacted_m=Agreed(lift.thickness_m, f"{path}/thickness"),
            roll_down=Agreed(lift.roll_down, f"{path}/roll_down"),
        )
    return _against(plan, fact, "loose-depth", _figure(fact, "depth", "m"), target)


def _width(plan: Plan, fact: Fact) -> list[Reading]:
    lane, at_m = plan.lanes.get(fact.place("lane")), metres(plan, fact)
    target = None
    if lane is not None and at_m is not None:
        planned = width_at(lane.widths, at_m)
        target = Figure(planned, "m", None, {"plan": Agreed(planned, f"lanes/{lane.id}/width")})
    return _against(plan, fact, "width", _figure(fact, "width", "m"), target)


def _slope(plan: Plan, fact: Fact) -> list[Reading]:
    if fact.si("slope") is not None:
        value = _figure(fact, "slope", "1")
    elif fact.si("reading") is not None and fact.si("board") is not None:
        inputs: dict[str, Input] = {
            "reading_m": read(fact, "reading"),
            "board_m": read(fact, "board"),
        }
        value = figure(slope_from_board, "1", **inputs)
    elif all(fact.si(name) is not None for name in STAFF):
        staff = {f"{name.removeprefix('staff_')}_m": read(fact, name) for name in STAFF}
        value = figure(slope_from_levels, "1", **staff)
    else:
        return []
    planned = fact.si("planned")
    target = None if planned is None else _figure(fact, "planned", "1")
    return _against(plan, fact, "cross-slope", value, target)


def _ramp(plan: Plan, fact: Fact) -> list[Reading]:
    """Length over step: how many to one the ramp is."""
    step, length = fact.si("step"), fact.si("length")
    if not step or length is None:
        return []
    inputs: dict[str, Input] = {"step_m": read(fact, "step"), "length_m": read(fact, "length")}
    value = figure(ramp_ratio, "1", **inputs)
    return [
        Reading(fact, "ramp.ratio", value, None, judged(plan, fact, "ramp.ratio", value.value, "1"))
    ]


def _edge(plan: Plan, fact: Fact) -> list[Reading]:
    """A sloped edge by its ratio and its angle; one that stands upright by its height."""
    height, run = fact.si("height"), fact.si("run")
    if height and run:
        inputs: dict[str, Input] = {"step_m": read(fact, "height"), "length_m": read(fact, "run")}
        ratio = figure(ramp_ratio, "1", **inputs)
        angle = figure(
            edge_angle_deg, "deg", height_m=read(fact, "height"), run_m=read(fact, "run")
        )
        return [
            Reading(fact, name, one, None, judged(plan, fact, name, one.value, one.unit))
            for name, one in (("edge.ratio", ratio), ("edge.angle", angle))
        ]
    return _straight("height", "drop-off", "m")(plan, fact) if height else []


def _open_edge(plan: Plan, fact: Fact) -> list[Reading]:
    """The height of a joint is what traffic may meet while its edge stands open."""
    if fact.text("edge") != "open":
        return []
    return _straight("height", "drop-off", "m")(plan, fact)


def _joint_height(plan: Plan, fact: Fact) -> list[Reading]:
    """Loose mat above the cold one: as much as rolls down to it."""
    lift = plan.lifts.get(fact.place("lift"))
    if fact.si("height") is None:
        return []
    target = None
    if lift is not None and lift.thickness_m is not None and lift.roll_down is not None:
        target = figure(
            starter_strip,
            "m",
            compacted_m=Agreed(lift.thickness_m, f"lifts/{lift.id}/thickness"),
            roll_down=Agreed(lift.roll_down, f"lifts/{lift.id}/roll_down"),
        )
    return _against(plan, fact, "joint.height", _figure(fact, "height", "m"), target)


def _tack(plan: Plan, fact: Fact) -> list[Reading]:
    """The residual rate; why there is none is said where that is for the reader to mend."""
    value = sprayed(plan, fact).residual
    if value is None:
        return []
    aim = plan.tack.target_m if plan.tack else None
    target = (
        None if aim is None else Figure(aim, "m3/m2", None, {"plan": Agreed(aim, "tack/target")})
    )
    found = judged(plan, fact, "tack.rate", value.value, "m3/m2")
    note = value.flags[0] if value.flags else ""
    return [Reading(fact, "tack.rate", value, target, found, note)]


def _impacts(plan: Plan, fact: Fact) -> list[Reading]:
    """Impacts of a vibrating drum on a length: its frequency, noted or by the plan, over speed."""
    speed, machine = fact.si("speed"), plan.rollers.get(fact.text("roller"))
    by_plan = machine.frequency_hz if machine is not None else None
    if fact.text("mode") not in ("vibratory", "oscillating") or not speed:
        return []
    frequency: Input | None = None
    if fact.si("frequency"):
        frequency = read(fact, "frequency")
    elif by_plan and machine is not None:
        frequency = Agreed(by_plan, f"rollers/{machine.id}/frequency")
    if frequency is None:
        return []
    value = figure(impacts_per_m, "1/m", frequency_hz=frequency, speed_m_s=read(fact, "speed"))
    found = judged(plan, fact, "impact.spacing", value.value, "1/m")
    return [Reading(fact, "impact.spacing", value, None, found)]


MEASURES: Final[Mapping[str, Measure]] = {
    "temperature": _temperature,
    "loose-depth": _loose_depth,
    "width": _width,
    "slope": _slope,
    "ramp": _ramp,
    "overlap": _all(_straight("overlap", "overlap", "m"), _joint_height),
    "edge": _edge,
    "joint-longitudinal": _all(_straight("offset", "joint.offset", "m"), _open_edge),
    "straightedge": _straight("gap", "straightedge", "m"),
    "tack": _tack,
    "roller": _all(
        _straight("speed", "roller-speed", "m/s"),
        _straight("overlap", "pass-overlap", "m"),
        _impacts,
    ),
    "weather": _all(
        _straight("air", "air.temperature", "degC"),
        _straight("surface", "surface.temperature", "degC"),
    ),
    "surface": _straight("temp", "surface.temperature", "degC"),
}
