"""Can we pave? Workable minutes by hour and thickness, against what the rollers need.

Nothing of it is stored: it is asked before a shift, for a weather somebody entered.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import cached_property
from math import inf, isfinite
from typing import Final, Literal

from matbook.engine.forecasting import Forecast, Range, forecast
from matbook.engine.layers import Surroundings
from matbook.engine.window import latest_start, least_that_works
from matbook.plan.judge import Judgement, judge, limits_for
from matbook.plan.model import Mix, Plan, Site
from matbook.shift.figure import Figure
from matbook.shift.ground import beneath, lift_layer
from matbook.shift.rolling import Work, needs
from matbook.shift.skies import Sky, sky_at

State = Literal["fine", "watch", "act", "unknown"]

HOUR: Final = timedelta(hours=1)
LONG: Final = timedelta(hours=10)
"""A forecast goes on for no longer; the weather is looked at so far ahead."""
THINNEST_M: Final = 0.010
THICKEST_M: Final = 0.150
DEPTH_STEP_M: Final = 0.005
HOTTEST_C: Final = 190.0
TEMP_STEP_K: Final = 5.0


@dataclass(frozen=True, slots=True)
class Cell:
    """One thickness laid at one hour."""

    at: datetime
    thickness_m: float
    left: Range | None
    """Time from laying until rolling makes no more density [s]; None if it does for hours."""
    phases: tuple[Range | None, ...]
    """Time until each phase must be done [s], in their order."""
    state: State
    """fine: the rollers are done by the early end; watch: by the middle; act: not even by that."""


@dataclass(frozen=True, slots=True)
class Closure:
    """What the hour of opening asks of the last mix."""

    opens: datetime
    last_laid: datetime | None
    """The latest laying that is cool enough by the late end; None if even the first hour isn't."""
    is_last_hour: bool = False
    """Whether that is the last of the hours asked for: a later one may do as well."""


@dataclass(frozen=True)
class Ahead:
    """What was asked, and the answers, each worked out when somebody looks."""

    plan: Plan
    site: Site
    mix: Mix | None
    skies: tuple[Sky, ...]
    """The weather as entered, in order."""
    hours: tuple[datetime, ...]
    thicknesses_m: tuple[float, ...]
    planned_m: float
    """The thickness that hours are told of: one of the thicknesses."""
    laid_c: float
    """The mat right behind the screed."""
    ends_c: float
    works: tuple[Work, ...] = ()
    """The phases that make density; empty where the plan doesn't say enough of its rollers."""
    pace_m_s: float | None = None
    opens_below_c: float | None = None
    made: dict[tuple[datetime, float, float, float], Forecast] = field(default_factory=dict)

    # What the rollers need

    @cached_property
    def needs(self) -> tuple[Figure, ...]:
        """How old the oldest mat of a strip is when each phase is done with it [s]."""
        if self.pace_m_s is None:
            return ()
        return needs(self.works, self.pace_m_s)

    # The table

    def cell(self, at: datetime, thickness_m: float, laid_c: float | None = None) -> Cell:
        """Minutes for one thickness laid at one hour."""
        laid = self.laid_c if laid_c is None else laid_c
        made = self._forecast(at, thickness_m, laid, self.ends_c) if laid > self.ends_c else None
        left = Range(0.0, 0.0, 0.0) if made is None else made.time_to(self.ends_c)
        phases = tuple(
            Range(0.0, 0.0, 0.0)
            if made is None or laid <= one.phase.ends_c
            else made.time_to(one.phase.ends_c)
            for one in self.works
        )
        return Cell(at, thickness_m, left, phases, self._state(phases))

    def _state(self, phases: Sequence[Range | None]) -> State:
        if not self.needs:
            return "unknown"
        if all(_within(need, one, "early") for need, one in zip(self.needs, phases, strict=True)):
            return "fine"
        if all(_within(need, one, "middle") for need, one in zip(self.needs, phases, strict=True)):
            return "watch"
        return "act"

    def _forecast(self, at: datetime, thickness_m: float, laid_c: float, temp_c: float) -> Forecast:
        key = at, thickness_m, laid_c, temp_c
        if key not in self.made:
            sky = sky_at(self.skies, at)
            assert sky is not None
            base = sky.base_c if sky.base_c is not None else sky.air_c
            lift = lift_layer(thickness_m, self.mix, laid_c)
            layers = [lift, *beneath(self.plan.ground, base or 0.0)]
            self.made[key] = forecast(layers, self._weather(at), temp_c)
        return self.made[key]

    def _weather(self, at: datetime) -> list[tuple[float, Surroundings]]:
        """What the surface meets from an hour on: the sun moves on, and the weather as entered."""
        found: list[tuple[float, Surroundings]] = []
        moments = {at + n * HOUR for n in range(LONG // HOUR)}
        moments |= {sky.since for sky in self.skies if at < sky.since < at + LONG}
        for moment in sorted(moments):
            sky = sky_at(self.skies, moment)
            over = None if sky is None else sky.over(self.site, moment)
            assert over is not None  # air and wind are asked for, and looked at, at the edge
            found.append(((moment - at).total_seconds(), over))
        return found

    # What works

    def thinnest(self, at: datetime) -> float | None:
        """The thinnest lift that the rollers finish by the early end [m]; None if none does."""
        return self._least(
            lambda depth: self.cell(at, round(depth, 4)).state == "fine",
            THINNEST_M,
            THICKEST_M,
            DEPTH_STEP_M,
        )

    def coldest(self, at: datetime) -> float | None:
        """The lowest temperature behind the screed that works for the planned lift [°C]."""
        low = TEMP_STEP_K * (self.ends_c // TEMP_STEP_K + 1)
        return self._least(
            lambda laid: self.cell(at, self.planned_m, laid).state == "fine",
            low,
            low + TEMP_STEP_K * round((HOTTEST_C - low) / TEMP_STEP_K),
            TEMP_STEP_K,
        )

    def _least(
        self, works: Callable[[float], bool], low: float, high: float, step: float
    ) -> float | None:
        if not self.needs or not low < high:
            return None
        found = least_that_works(works, low, high, step)
        return found if isfinite(found) else None

    @cached_property
    def earliest(self) -> datetime | None:
        """The first hour at which the planned lift works."""
        hours = (at for at in self.hours if self.cell(at, self.planned_m).state == "fine")
        return next(hours, None)

    # Opening

    def cool(self, at: datetime) -> Range | None:
        """From laying until traffic or the next lift may come, by the plan's temperature [s]."""
        if self.opens_below_c is None:
            return None
        if self.laid_c <= self.opens_below_c:
            return Range(0.0, 0.0, 0.0)
        made = self._forecast(at, self.planned_m, self.laid_c, self.opens_below_c)
        return made.time_to(self.opens_below_c)

    def closure(self, opens: datetime) -> Closure | None:
        """The latest laying for a road that must open; None where the plan names no temperature."""
        if self.opens_below_c is None or len(self.hours) < 2:
            return None
        first = self.hours[0]
        starts = [(at - first).total_seconds() for at in self.hours]
        takes = [inf if (one := self.cool(at)) is None else one.late for at in self.hours]
        found = latest_start(starts, takes, (opens - first).total_seconds())
        last = first + timedelta(seconds=found) if isfinite(found) else None
        return Closure(opens, last, last == self.hours[-1])

    # The owner's own limits on the weather

    def judged(self, sky: Sky) -> tuple[Judgement, ...]:
        """What the plan's limits say of air and surface at an hour."""
        mix = self.mix.id if self.mix is not None else ""
        lifts = [one.id for one in self.plan.lifts.values() if one.mix == mix]
        found: list[Judgement] = []
        for quantity, value in (
            ("air.temperature", sky.air_c),
            ("surface.temperature", sky.base_c),
        ):
            if value is None:
                continue
            for limit in limits_for(self.plan, quantity, mix=mix, lift=next(iter(lifts), "")):
                found.append(judge(limit, value, "degC", self.plan.job.rounding))
        return tuple(found)


def _within(need: Figure, left: Range | None, end: Literal["early", "middle"]) -> bool:
    """Whether a phase is done in time; a mat that stays warm for hours leaves time enough."""
    return left is None or need.value <= (left.early if end == "early" else left.middle)
