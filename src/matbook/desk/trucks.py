"""Before the shift: how many trucks, which pace, and what too few of them would cost."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import fsum
from typing import Any, Final

from matbook.desk.asking import Asked
from matbook.desk.wanted import amount
from matbook.engine.before import BUNCHED, OnPaper, on_paper
from matbook.engine.spread import area, length_for, mass_for
from matbook.engine.trucks import stop_and_go, trucks_for_shift, trucks_needed
from matbook.errors import Refused
from matbook.plan.model import Lift, Plan
from matbook.shift.display import Display, fixed
from matbook.shift.rolling import planned_pace
from matbook.words import say

Row = dict[str, Any]

RANGES: Final[Mapping[str, tuple[str, str, str]]] = {
    # argument: what it measures, least, most
    "mass": ("mass", "1 t", "100000 t"),
    "hours": ("time", "15 min", "24 h"),
    "load": ("mass", "1 t", "60 t"),
    "cycle": ("time", "5 min", "600 min"),
}
ROADS: Final[Mapping[str, float]] = {"free": 0.0, "two-lane": BUNCHED}
"""The road between plant and paver -> share of trucks that can't pass on it."""
BESIDE: Final = 2
"""So many trucks fewer and more than are needed are shown beside."""
MOST_TRUCKS: Final = 200
HARDLY: Final = 0.04
"""The paver stands for so little of the time that it is called moving steadily: ours."""


@dataclass(frozen=True)
class Wanted:
    """What was asked for, in SI."""

    lift: Lift | None
    mass_kg: float
    shift_s: float
    load_kg: float
    cycle_s: float
    trucks: int | None
    road: str
    pace_m_s: float | None
    """The plan's pace, where it has one."""
    metre_kg: float | None
    """Mix on a metre of the mat, where the plan says so."""
    width_m: float | None
    holds_kg: float

    @property
    def rate_kg_s(self) -> float:
        """What must come in a second, over the time."""
        return self.mass_kg / self.shift_s


def trucks(asked: Asked) -> Row:
    """Trucks and pace by the plan in force; see `trucks_ahead` for what is asked."""
    return trucks_ahead(asked.plan, asked.arguments, asked.words)


def trucks_ahead(plan: Plan, given: Mapping[str, Any], language: str = "en") -> Row:
    """How many trucks a planned mass takes, at which pace, and what fewer would cost.

    Args:
        plan: The plan in force, or NO_PLAN.
        given: mass; hours, how long mix is laid; load, cycle and trucks where the plan doesn't
            say; lift; road, free or two-lane.
        language: Of the words.

    Raises:
        Refused: A value that is missing or can't be taken.
    """
    return Page(wanted(plan, given), Display(plan.job.units), language).made()


def wanted(plan: Plan, given: Mapping[str, Any]) -> Wanted:
    """What was asked for, each value named where it can't be taken. Raises Refused."""
    name = str(given.get("lift") or "")
    if name and name not in plan.lifts:
        raise Refused("lift", name, f"one of the plan's lifts: {', '.join(plan.lifts) or 'none'}")
    lifts = sorted(plan.lifts.values(), key=lambda one: one.spread_kg_m2 is None)
    lift = plan.lifts.get(name) or next(iter(lifts), None)
    road = str(given.get("road") or "free")
    if road not in ROADS:
        raise Refused("road", road, f"one of {', '.join(ROADS)}")
    width_m = _width(plan, lift)
    spread = lift.spread_kg_m2 if lift else None
    machine = next(iter(plan.pavers.values()), None)
    found = Wanted(
        lift=lift,
        mass_kg=_need("mass", amount("mass", given.get("mass"), RANGES) or _planned_kg(plan, lift)),
        shift_s=_need("hours", amount("hours", given.get("hours"), RANGES)),
        load_kg=_need("load", amount("load", given.get("load"), RANGES) or plan.haul.load_kg),
        cycle_s=_need("cycle", amount("cycle", given.get("cycle"), RANGES) or plan.haul.cycle_s),
        trucks=_trucks(given.get("trucks")) or plan.haul.trucks,
        road=road,
        pace_m_s=planned_pace(plan),
        metre_kg=mass_for(width_m, spread) if width_m and spread else None,
        width_m=width_m,
        holds_kg=machine.holds_kg if machine is not None else 0.0,
    )
    if found.cycle_s > found.shift_s:
        raise Refused("hours", str(given.get("hours")), "at least one round of a truck")
    if found.load_kg / found.rate_kg_s >= found.cycle_s:
        raise Refused(
            "cycle", str(given.get("cycle") or ""), "a round takes longer than laying a load"
        )
    return found


def _need(name: str, value: float | None) -> float:
    if value is None:
        measure, low, high = RANGES[name]
        raise Refused(name, "", f"it is needed: a {measure} from {low} to {high}, with its unit")
    return value


def _trucks(given: object) -> int | None:
    if given in (None, ""):
        return None
    text = str(given)
    if not text.isdecimal() or not 1 <= int(text[:4]) <= MOST_TRUCKS:
        raise Refused("trucks", text, f"a whole number from 1 to {MOST_TRUCKS}")
    return int(text)


def _width(plan: Plan, lift: Lift | None) -> float | None:
    """Mean planned width of the lift's first lane."""
    lane = plan.lanes.get(next(iter(lift.lanes), "")) if lift is not None else None
    if lane is None:
        return None
    low, high = sorted((lane.from_m, lane.to_m))
    return area(lane.widths, low, high) / (high - low)


def _planned_kg(plan: Plan, lift: Lift | None) -> float | None:
    """The lift's budget, or its planned spread over its lanes; None where the plan has neither."""
    if lift is None or lift.budget_kg is not None:
        return lift.budget_kg if lift is not None else None
    lanes = [plan.lanes[name] for name in lift.lanes]
    if lift.spread_kg_m2 is None:
        return None
    return mass_for(
        fsum(area(one.widths, one.from_m, one.to_m) for one in lanes), lift.spread_kg_m2
    )


class Page:
    """The answer in words, in the units of the job."""

    def __init__(self, found: Wanted, display: Display, language: str) -> None:
        self.found = found
        self.display = display
        self.language = language
        self.needed = max(
            trucks_needed(found.rate_kg_s, found.cycle_s, found.load_kg),
            trucks_for_shift(found.mass_kg, found.shift_s, found.cycle_s, found.load_kg),
        )
        self.laying_s = found.load_kg / found.rate_kg_s

    def say(self, code: str, /, **arguments: object) -> str:
        return say(code, self.language, **arguments)

    def made(self) -> Row:
        found = self.found
        counts = {max(1, self.needed + step) for step in range(-BESIDE, BESIDE + 1)}
        if found.trucks is not None:
            counts.add(found.trucks)
        free = [self._on(count, 0.0) for count in sorted(counts)]
        held = {one.trucks: self._on(one.trucks, BUNCHED) for one in free}
        own = free if found.road == "free" else [held[one.trucks] for one in free]
        return {
            "title": self.say("trucks.title"),
            "line": self._line(),
            "trucks": self.needed,
            "needs": list(self._needs(own)),
            "heads": [
                self.say(f"trucks.head.{name}") for name in ("trucks", "free", "held", "wait")
            ],
            "rows": [self._row(one, held[one.trucks]) for one in free],
            "cost": list(self._cost(own)),
            "notes": [self.say(f"trucks.note.{name}") for name in ("road", "assumed", "advice")],
        }

    def _on(self, count: int, held_up: float) -> OnPaper:
        spare_s = self.found.holds_kg / self.found.rate_kg_s
        return on_paper(count, self.found.cycle_s, self.laying_s, held_up, spare_s=spare_s)

    def _line(self) -> str:
        found = self.found
        return self.say(
            "trucks.line",
            mass=self.display.show("mass", found.mass_kg, 0),
            hours=f"{found.shift_s / 3600.0:.1f}",
            rate=self.display.show("mass", 3600.0 * found.rate_kg_s, 0),
            loads=f"{found.mass_kg / found.load_kg:.0f}",
            load=self.display.show("mass", found.load_kg),
            cycle=f"{found.cycle_s / 60.0:.0f}",
        )

    def _needs(self, own: list[OnPaper]) -> Iterator[str]:
        """Trucks by the round alone, trucks that keep it moving, and the pace that uses them up."""
        found = self.found
        yield self.say("trucks.needed", n=self.needed, every=f"{self.laying_s / 60.0:.1f}")
        steady = next((one for one in own if one.late <= HARDLY), None)
        if steady is not None and steady.trucks > self.needed:
            yield self.say("trucks.steady", n=steady.trucks)
        pace = self._pace(found.rate_kg_s)
        if pace is None:
            yield self.say("trucks.no-pace")
            return
        yield self.say("trucks.pace", pace=self.display.show("pace", pace))
        if found.pace_m_s is not None and found.metre_kg is not None:
            asks = found.pace_m_s * found.metre_kg
            yield self.say(
                "trucks.planned-pace",
                pace=self.display.show("pace", found.pace_m_s),
                rate=self.display.show("mass", 3600.0 * asks, 0),
                n=trucks_needed(asks, found.cycle_s, found.load_kg),
            )

    def _pace(self, rate_kg_s: float) -> float | None:
        found = self.found
        if found.width_m is None or found.lift is None or not found.lift.spread_kg_m2:
            return None
        return length_for(rate_kg_s, found.width_m, found.lift.spread_kg_m2)  # in a second

    def _row(self, free: OnPaper, held: OnPaper) -> Row:
        state = "fine" if free.late <= HARDLY else "watch"
        return {
            "trucks": free.trucks,
            "free": self._stands(free),
            "held": self._stands(held),
            "waiting": fixed(free.waiting, 1),
            "state": state,
            "needed": free.trucks == self.needed,
        }

    def _stands(self, one: OnPaper) -> str:
        low, high = (f"{60.0 * share:.0f}" for share in (one.early, one.late))
        return self.say("trucks.stands", low=low, high=high)

    def _cost(self, own: list[OnPaper]) -> Iterator[str]:
        """Stop-and-go against a slower steady pace, with the trucks there are or two too few."""
        found = self.found
        count = found.trucks if found.trucks is not None else max(1, self.needed - BESIDE)
        one = next(each for each in own if each.trucks == count)
        pace = self._pace(found.rate_kg_s)
        if pace is None or one.middle <= HARDLY:
            return
        stood_s = 3600.0 * one.middle
        instead = stop_and_go(pace, 3600.0 - stood_s, stood_s)
        yield self.say(
            "trucks.cost",
            n=count,
            pace=self.display.show("pace", pace),
            stood=f"{stood_s / 60.0:.0f}",
            steady=self.display.show("pace", instead.steady_m_s),
        )
