"""Rollers against the paver: lanes and passes, the pace they can follow, whether they keep up.

What is noted of a roller in this shift comes before what the plan says of its phase.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from matbook.engine.rolling import (
    age_of_oldest,
    chance_of_keeping_up,
    effective_speed,
    in_turn,
    lanes_across,
    passes_needed,
    rollers_needed,
    standoff_after,
    utilisation,
)
from matbook.engine.spread import width_at
from matbook.errors import OutOfRange
from matbook.plan.model import Phase, Plan
from matbook.shift.facts import Fact, Facts
from matbook.shift.figure import Agreed, Figure, Input, figure, plain, read

LATELY: Final = timedelta(hours=1)
"""What was noted of a roller longer ago says nothing of how it rolls now; ours."""
PACE_SHARE: Final = 0.10
"""In eight of ten cases the paver's speed stays within so much of its mean; assumed."""
EFFICIENCY_SHARE: Final = 0.05
"""In eight of ten cases the share of time spent rolling stays within so much of what the plan
says; half the width of what is usual, 75 to 85 %."""

LACKING: Final = ("passes", "rollers", "drum", "overlap", "speed", "efficiency", "strip")
"""What a phase may lack for its rollers to be reckoned with; each is the code of a word."""


@dataclass(frozen=True)
class Work:
    """What one phase asks of its rollers, and how fast they finish mat."""

    phase: Phase
    lanes: Figure
    """Lanes across the mat, each lapping the next."""
    passes: Figure
    """Passes that a strip takes in all its lanes."""
    speed: Input
    """While rolling [m/s]."""
    efficiency: float
    rollers: int
    strip_m: float
    one: Figure
    """How fast one roller finishes mat [m/s]."""
    rolled: Figure
    """How fast all of the phase do [m/s]."""
    noted: Fact | None
    """The latest roller noted in this phase, where its speed or overlap was taken from there."""

    @property
    def speed_m_s(self) -> float:
        return plain(self.speed)


def lacking(plan: Plan, phase: Phase) -> tuple[str, ...]:
    """What the plan doesn't say, without which nobody can reckon with the rollers of a phase."""
    drums = [plan.rollers[one].width_m for one in phase.rollers if one in plan.rollers]
    said: dict[str, object] = {
        "passes": phase.passes,
        "rollers": drums,
        "drum": not drums or all(drums),
        "overlap": phase.overlap_m is not None,
        "speed": phase.speed_m_s,
        "efficiency": phase.efficiency,
        "strip": phase.strip_m,
    }
    return tuple(name for name in LACKING if not said[name])


def work(plan: Plan, phase: Phase, width_m: float, noted: Fact | None = None) -> Work | None:
    """The work of one phase on a mat of a width; None where the plan lacks something for it."""
    if lacking(plan, phase):
        return None
    assert phase.strip_m is not None
    assert phase.efficiency is not None
    path = f"phases/{phase.id}"
    drums = {one: plan.rollers[one].width_m or 0.0 for one in phase.rollers}
    narrowest = min(drums, key=lambda one: drums[one])
    speed = _noted(noted, "speed", Agreed(phase.speed_m_s or 0.0, f"{path}/speed"))
    overlap = _noted(noted, "overlap", Agreed(phase.overlap_m or 0.0, f"{path}/overlap"))
    drum = Agreed(drums[narrowest], f"rollers/{narrowest}/width")
    try:
        lanes = figure(lanes_across, "1", width_m=width_m, drum_m=drum, overlap_m=overlap)
        times = Agreed(phase.passes or 1, f"{path}/passes")
        passes = figure(passes_needed, "1", lanes=lanes, coverages=times)
        given: dict[str, Input] = {
            "speed_m_s": speed,
            "efficiency": Agreed(phase.efficiency, f"{path}/efficiency"),
            "passes": passes,
        }
        one = figure(effective_speed, "m/s", **given)
        rolled = figure(effective_speed, "m/s", **given, rollers=len(drums))
    except OutOfRange:
        return None  # noted or agreed beyond what anybody rolls at; said by its own limits
    used = noted if noted is not None and (noted.si("speed") or noted.si("overlap")) else None
    args = (phase.efficiency, len(drums), phase.strip_m, one, rolled, used)
    return Work(phase, lanes, passes, speed, *args)


def _noted(fact: Fact | None, name: str, agreed: Agreed) -> Input:
    return read(fact, name) if fact is not None and fact.si(name) else agreed


def density_phases(plan: Plan, mix: str) -> tuple[Phase, ...]:
    """The phases that make density in a mix, in the order in which they follow one another."""
    mine = [one for one in plan.phases if one.makes_density and one.mix in ("", mix)]
    return tuple(sorted(mine, key=lambda phase: -phase.ends_c))


def needs(works: Sequence[Work], pace_m_s: float) -> tuple[Figure, ...]:
    """How old the oldest mat of a strip is when each phase is done with it [s], in their order."""
    found = []
    for n, mine in enumerate(works, 1):
        rolled = Figure(
            in_turn([one.rolled.value for one in works[:n]]),
            "m/s",
            in_turn,
            {one.phase.id: one.rolled for one in works[:n]},
        )
        path = f"phases/{mine.phase.id}"
        found.append(
            figure(
                age_of_oldest,
                "s",
                strip_m=Agreed(mine.strip_m, f"{path}/strip"),
                standoff_m=Agreed(works[0].phase.standoff_m, f"{path}/standoff"),
                paver_m_s=pace_m_s,
                rolled_m_s=rolled,
            )
        )
    return tuple(found)


Three = tuple[float, float, float]


@dataclass(frozen=True)
class Keeping:
    """Whether the rollers of a phase keep up with a paver."""

    work: Work
    pace_m_s: float
    asked: Figure
    """Share of what they can do that the paver asks of them [1]; above 1 they fall behind."""
    needed: Figure
    """Rollers needed to follow the paver."""
    chance: Figure | None
    """Probability that they keep up and finish each strip in time; None where no time is known."""

    @property
    def behind(self) -> bool:
        """Whether they fall behind by a share that can be seen: half a percent is nothing."""
        return self.asked.value > 1.005


def keeping(mine: Work, before: Sequence[Work], pace_m_s: float, time_s: Three | None) -> Keeping:
    """One phase against the paver's pace, and against the time that the mat gives it.

    Args:
        mine: The phase.
        before: The phases that roll the strip first.
        pace_m_s: The paver's [m/s].
        time_s: Time from laying until this phase must be done, 10, 50 and 90 % [s].
    """
    asked = figure(utilisation, "1", paver_m_s=pace_m_s, rolled_m_s=mine.rolled)
    needed = figure(rollers_needed, "1", paver_m_s=pace_m_s, one_m_s=mine.one)
    return Keeping(mine, pace_m_s, asked, needed, _chance(mine, before, pace_m_s, time_s))


def _chance(
    mine: Work, before: Sequence[Work], pace_m_s: float, time_s: Three | None
) -> Figure | None:
    if time_s is None or time_s[0] <= 0.0:
        return None
    waits = _standoff(mine, before, pace_m_s)
    low, high = mine.efficiency - EFFICIENCY_SHARE, mine.efficiency + EFFICIENCY_SHARE
    spread = (max(low, 0.01), mine.efficiency, min(high, 1.0))
    paces = tuple(pace_m_s * share for share in (1.0 - PACE_SHARE, 1.0, 1.0 + PACE_SHARE))
    value = chance_of_keeping_up(
        mine.strip_m,
        plain(waits),
        time_s,
        (paces[0], paces[1], paces[2]),
        spread,
        mine.speed_m_s,
        mine.passes.value,
        mine.rollers,
    )
    path = f"phases/{mine.phase.id}"
    inputs: dict[str, Input] = {
        "strip_m": Agreed(mine.strip_m, f"{path}/strip"),
        "standoff_m": waits,
        "available_s": time_s[1],
        "paver_m_s": pace_m_s,
        "efficiency": Agreed(mine.efficiency, f"{path}/efficiency"),
        "speed_m_s": mine.speed,
        "passes": mine.passes,
        "rollers": float(mine.rollers),
    }
    return Figure(value, "1", chance_of_keeping_up, inputs)


def _standoff(mine: Work, before: Sequence[Work], pace_m_s: float) -> Input:
    """How far the paver is beyond a strip when this phase begins it [m]."""
    first = (before or [mine])[0].phase
    agreed = Agreed(first.standoff_m, f"phases/{first.id}/standoff")
    if not before:
        return agreed
    rolled = in_turn([one.rolled.value for one in before])
    return figure(
        standoff_after,
        "m",
        strip_m=Agreed(mine.strip_m, f"phases/{mine.phase.id}/strip"),
        standoff_m=agreed,
        paver_m_s=pace_m_s,
        rolled_m_s=Figure(rolled, "m/s", in_turn, {one.phase.id: one.rolled for one in before}),
    )


def latest_of(facts: Facts, phase: str, lane: str, now: datetime) -> Fact | None:
    """The latest roller noted lately in a phase and lane."""
    for fact in reversed(facts.of("roller")):
        if now - fact.at > LATELY:
            return None
        if fact.at <= now and (fact.text("phase"), fact.place("lane")) == (phase, lane):
            return fact
    return None


def works(
    facts: Facts, plan: Plan, mix: str, lane: str, at_m: float, now: datetime
) -> tuple[Work, ...]:
    """The work of every phase that makes density at a station; empty if one can't be reckoned."""
    held = plan.lanes.get(lane)
    found = [
        work(plan, phase, width_at(held.widths, at_m), latest_of(facts, phase.id, lane, now))
        for phase in density_phases(plan, mix)
        if held is not None
    ]
    known = [one for one in found if one is not None]
    return tuple(known) if len(known) == len(found) else ()


def planned_pace(plan: Plan) -> float | None:
    """The slowest pace that the plan gives a paver [m/s]; None where it gives none."""
    return min((one.pace_m_s for one in plan.pavers.values() if one.pace_m_s), default=None)


def figures(kept: Mapping[str, Sequence[Keeping]]) -> Iterator[tuple[str, Figure]]:
    """Every number of rolling that opens, by lane and lift, and phase."""
    for strip, phases in kept.items():
        for one in phases:
            name = f"{strip}/{one.work.phase.id}"
            yield f"rolling.asked/{name}", one.asked
            yield f"rolling.needed/{name}", one.needed
            if one.chance is not None:
                yield f"rolling.chance/{name}", one.chance
