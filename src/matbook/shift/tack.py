"""Tack coat: the rate of each spread from the tank's readings, and what became of the day's tank.

The applied rate is what was sprayed, at the base temperature; the residual rate, which limits speak
of, is what stays of it. What the tank's readings can't be is said, and nothing is made of it.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from math import fsum, sqrt
from typing import Final

from matbook.engine import spread
from matbook.engine.tack import (
    SIXTY_F_C,
    applied_for,
    applied_range,
    applied_rate,
    mean_rate,
    residual_rate,
    volume_correction,
)
from matbook.errors import Refused
from matbook.plan.model import Plan, Tack
from matbook.shift.calls import Call
from matbook.shift.facts import Fact, Facts
from matbook.shift.figure import Agreed, Figure, Input, Whole, figure, plain, read
from matbook.shift.places import metres

KINDS: Final = ("tack",)
BASES: Final = {"60 degF": SIXTY_F_C, "15 degC": 15.0}
TANK_M3: Final = 0.025
"""Half-width of the 95 % range of a tank reading where the plan has no tack: assumed."""


@dataclass(frozen=True, slots=True)
class Sprayed:
    """What one entry makes: its area and rates, or the code of why there is none."""

    area: Figure | None = None
    applied: Figure | None = None
    residual: Figure | None = None
    why: str = ""


@dataclass(frozen=True, slots=True)
class Tally:
    """All spreads of a shift together, and what the tank holds."""

    count: int
    area_m2: float
    used_m3: float
    """At the base temperature."""
    residual: Figure | None
    """Mean over the area, where every spread has one."""
    left_m3: float
    """As the tank was read last."""
    reaches_m2: float | None
    """Area that this is enough for at the target; None without one."""


def sprayed(plan: Plan, fact: Fact) -> Sprayed:
    """The rates of one spread."""
    before, after = fact.si("before"), fact.si("after")
    ground = _area(plan, fact)
    if before is None or after is None:
        return Sprayed(ground, why="tack.why.readings")
    if after > before:
        return Sprayed(ground, why="tack.why.filled")
    if ground is None:
        return Sprayed(why="tack.why.area")
    factor, why = _correction(plan, fact)
    inputs: dict[str, Input] = {
        "before_m3": read(fact, "before"),
        "after_m3": read(fact, "after"),
        "area_m2": ground,
        "correction": factor,
    }
    made = figure(applied_rate, "m3/m2", **inputs)
    low, high = applied_range(
        before, after, ground.value, plain(factor), _tank_error(plan.tack), _error_m2(ground)
    )
    flags = (why,) if why else ()
    applied = Figure(
        made.value, made.unit, made.made_by, inputs, low, high, "range.tack", flags,
    )  # fmt: skip
    return Sprayed(ground, applied, *_residual(plan.tack, fact, applied))


def _area(plan: Plan, fact: Fact) -> Figure | None:
    """As it was written; else from station to station by the lane's planned width."""
    written = fact.si("area")
    if written:
        return Figure(written, "m2", None, {"area": read(fact, "area")})
    lane = plan.lanes.get(fact.place("lane"))
    ends = metres(plan, fact, "from"), metres(plan, fact, "to")
    if lane is None or ends[0] is None or ends[1] is None or ends[0] == ends[1]:
        return None
    low, high = sorted((ends[0], ends[1]))
    found = spread.area(lane.widths, low, high)
    off = sqrt(2.0) * plan.station_error_m * found / (high - low)
    inputs: dict[str, Input] = {
        "length_m": high - low,
        "width_m": Agreed(found / (high - low), f"lanes/{lane.id}/width"),
    }
    return Figure(found, "m2", spread.area, inputs, found - off, found + off, "range.stations")


def _error_m2(ground: Figure) -> float:
    """Half-width of the range of an area; one that was measured is taken as it is."""
    return 0.0 if ground.high is None else ground.high - ground.value


def _tank_error(tack: Tack | None) -> float:
    return TANK_M3 if tack is None else tack.tank_error_m3


def _correction(plan: Plan, fact: Fact) -> tuple[Input, str]:
    """The volume correction, or 1 and the code of why it isn't corrected."""
    if plan.tack is None:
        return 1.0, "tack.flag.no-plan"
    if fact.si("temp") is None:
        return 1.0, "tack.flag.no-temp"
    base = BASES[plan.tack.base]
    try:
        value = volume_correction(fact.si("temp") or 0.0, plan.tack.material, base)
    except Refused:
        return 1.0, "tack.flag.temp"
    inputs: dict[str, Input] = {
        "temp_c": read(fact, "temp"),
        "base_c": Agreed(base, "tack/base"),
    }
    return Figure(value, "1", volume_correction, inputs), ""


def _residual(tack: Tack | None, fact: Fact, applied: Figure) -> tuple[Figure | None, str]:
    """What stays: by the product's residue, and the water that was added to it."""
    if tack is None:
        return None, "tack.why.residue"
    added = fact.si("diluted") or 0.0
    if added >= 1.0:
        return None, "tack.why.water"
    stays = Agreed(tack.residue, "tack/residue")
    inputs: dict[str, Input] = {"residue": stays, "undiluted": 1.0 - added}
    made = figure(residual_rate, "m3/m2", applied_m3_m2=applied, **inputs)
    share = tack.residue * (1.0 - added)
    assert applied.low is not None
    assert applied.high is not None
    ends = applied.low * share, applied.high * share
    return (
        Figure(
            made.value, made.unit, made.made_by, made.inputs, *ends, "range.tack", applied.flags
        ),
        "",
    )


def spreads(facts: Facts) -> tuple[tuple[Fact, Sprayed], ...]:
    """Every spread of the shift in reading order, by the plan in force when it was written."""
    return facts.remembered(
        "tack",
        KINDS,
        lambda: tuple((fact, sprayed(facts.plan_at(fact.at), fact)) for fact in facts.of("tack")),
    )


def tally(facts: Facts, plan: Plan) -> Tally | None:
    """All spreads that have a rate together; None where there is none."""
    known = [(fact, one) for fact, one in spreads(facts) if one.applied and one.area]
    if not known:
        return None
    areas = [one.area.value for _, one in known if one.area]
    used = [one.applied.value * one.area.value for _, one in known if one.applied and one.area]
    area_m2, used_m3 = fsum(areas), fsum(used)
    left = [after for fact in facts.of("tack") if (after := fact.si("after")) is not None][-1]
    return Tally(
        len(known), area_m2, used_m3, _mean(known, area_m2), left, _reaches(plan.tack, left)
    )


def _mean(known: Sequence[tuple[Fact, Sprayed]], area_m2: float) -> Figure | None:
    """Mean residual rate over the area; where one spread has none, there is no mean."""
    parts = [
        (one.residual.value, (one.residual.high or 0.0) - one.residual.value, one.area.value)
        for _, one in known
        if one.residual and one.area
    ]
    if len(parts) < len(known):
        return None
    ids = [fact.id for fact, _ in known]
    inputs: dict[str, Input] = {"area_m2": Whole(area_m2, "spreads", len(ids), lambda: ids)}
    value, low, high = mean_rate(parts)
    return Figure(value, "m3/m2", mean_rate, inputs, low, high, "range.tack")


def _reaches(tack: Tack | None, left_m3: float) -> float | None:
    if tack is None or tack.target_m is None:
        return None
    return left_m3 / applied_for(tack.target_m, tack.residue)


def calls(facts: Facts) -> Iterator[Call]:
    """What the tank's readings can't be, and what went out of it that no entry tells of."""
    for fact, one in spreads(facts):
        if one.why in ("tack.why.filled", "tack.why.water"):
            code = "tack.filled" if one.why == "tack.why.filled" else "tack.water"
            says = {"before": fact.text("before"), "after": fact.text("after")}
            yield Call(code, fact.id, "watch", fact.at, says, entries=(fact.id,))
    for earlier, later in pairwise(facts.of("tack")):
        yield from _unwritten(facts.plan_at(later.at), earlier, later)


def _unwritten(plan: Plan, one: Fact, after: Fact) -> Iterator[Call]:
    left, found = one.si("after"), after.si("before")
    if left is None or found is None:
        return
    gone = left - found
    if gone > sqrt(2.0) * _tank_error(plan.tack):
        says = {"litres_m3": gone}
        yield Call("tack.unwritten", after.id, "note", after.at, says, entries=(one.id, after.id))


def figures(facts: Facts, now: datetime) -> Iterator[tuple[str, Figure]]:
    """The applied rate of each spread and the mean of all; each residual one is a reading's."""
    for fact, one in spreads(facts):
        if one.applied is not None:
            yield f"tack/{fact.id}/applied", one.applied
    whole = tally(facts, facts.plan_at(now))
    if whole is not None and whole.residual is not None:
        yield "tack/all/residual", whole.residual
