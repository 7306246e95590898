"""Control strips: how density grew with passes, the target, later sections, when a new one is due.

Readings that name a strip and their passes are its growth, place by place; those that name it
without passes, at random places, make its target. Later readings in percent of the strip are held
against it, section by section.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from math import fsum
from typing import Final

from matbook.engine.gauge import against_strip
from matbook.engine.growth import (
    CESSATION_C,
    BestPasses,
    DensityReading,
    Growth,
    best_passes,
    growth,
)
from matbook.engine.rounding import exact, meets
from matbook.engine.samples import mean_range, sample
from matbook.errors import Refused
from matbook.lots.work import Work
from matbook.plan.model import Mix, Plan
from matbook.plan.rules import StripRule
from matbook.shift.facts import Fact, Facts
from matbook.shift.figure import Agreed, Figure, Input, Whole, plain
from matbook.shift.loads import loads
from matbook.shift.places import metres

BEFORE: Final = timedelta(minutes=30)
"""A roller noted so long before a strip's first reading rolled for it; ours."""

Where = tuple[str, str, str, str]
"""Lane, lift, station and offset as written: one place of a strip."""


@dataclass(frozen=True, slots=True)
class Spot:
    """One place of a strip, read after so many passes, and again."""

    number: int
    where: Where
    readings: tuple[DensityReading, ...]
    """The mean of what was read after as many passes."""
    facts: tuple[Fact, ...]
    growth: Growth | None
    why: str = ""
    """Why it can't be judged, as a sentence."""
    untold: int = 0
    """Readings left out since the mat's temperature or the density isn't there."""


@dataclass(frozen=True, slots=True)
class Section:
    """Later readings beside the target; `meets` is None while the plan asks for nothing, or until
    it has all its readings."""

    number: int
    facts: tuple[Fact, ...]
    mean: Figure
    least: Figure
    meets: bool | None


@dataclass(frozen=True, slots=True)
class ControlStrip:
    """One control strip, as it stands."""

    name: str
    mix: Mix | None
    rule: StripRule | None
    spots: tuple[Spot, ...]
    best: BestPasses | None
    why: str
    """Why no number of passes can be given, as a sentence."""
    cessation: Input
    repeats: Input
    length_m: float | None
    """From the first of its stations to the last."""
    rolled: tuple[Fact, ...]
    """What each roller did on it, as was written last."""
    target: Figure | None
    aimed: tuple[Fact, ...]
    """The readings that make the target."""
    sections: tuple[Section, ...]
    laid: Figure | None
    """Mix laid since its last reading."""
    shift: str
    """The shift of its last reading."""

    @property
    def facts(self) -> tuple[Fact, ...]:
        own = [fact for spot in self.spots for fact in spot.facts]
        return tuple(sorted((*own, *self.aimed), key=lambda fact: fact.order))

    @property
    def complete(self) -> bool:
        """Whether its target has as many readings as it takes."""
        return len(self.aimed) >= (self.rule or StripRule()).readings

    @property
    def due(self) -> bool:
        """Whether so much mix was laid since that a new strip is due."""
        every = self.rule.every_kg if self.rule else None
        return every is not None and self.laid is not None and self.laid.value >= every

    def figures(self) -> Mapping[str, Figure]:
        """Its figures by name."""
        return dict(_figures(self))


Read = tuple[Mapping[str, Sequence[tuple[Facts, Fact]]], Mapping[str, Sequence[Fact]]]
"""By the strip's name: its own readings, and later ones against its target."""


def control_strips(work: Work) -> tuple[ControlStrip, ...]:
    """The control strips of the job, in the order of their first readings."""
    names, against = work.kept("strips", ("density",), lambda: _read(work))
    return tuple(_strip(work, own, against.get(name, ())) for name, own in names.items())


def _read(work: Work) -> Read:
    names: dict[str, list[tuple[Facts, Fact]]] = {}
    against: dict[str, list[Fact]] = {}
    for facts, fact in work.of("density"):
        if fact.text("strip"):
            names.setdefault(_same(fact.text("strip")), []).append((facts, fact))
        elif fact.text("basis") == "strip" and fact.si("density") is not None:
            against.setdefault(_same(fact.text("reference")), []).append(fact)
    return names, against


def _same(name: str) -> str:
    """A strip's name, however it was written; it is shown as it was written first."""
    return " ".join(name.split()).casefold()


def _strip(work: Work, own: Sequence[tuple[Facts, Fact]], later: Sequence[Fact]) -> ControlStrip:
    plan, rule = work.plan, work.plan.control_strip
    facts = [fact for _, fact in own]
    mix = _mix_of(plan, facts)
    cessation = _cessation(mix)
    repeats = _repeats(plan)
    spots = tuple(_spots(facts, plain(cessation), plain(repeats)))
    best, why = _best(spots, plain(cessation), plain(repeats))
    aimed = tuple(
        fact for fact in facts if "passes" not in fact.body and fact.si("density") is not None
    )
    target = _target(aimed)
    at = [place for fact in facts if (place := metres(plan, fact)) is not None]
    return ControlStrip(
        name=facts[0].text("strip"),
        mix=mix,
        rule=rule,
        spots=spots,
        best=best,
        why=why,
        cessation=cessation,
        repeats=repeats,
        length_m=max(at) - min(at) if len(at) > 1 else None,
        rolled=_rolled(work, facts, at),
        target=target,
        aimed=aimed,
        sections=tuple(_sections(plan, rule or StripRule(), target, later)),
        laid=_laid(work, mix, facts[-1].at),
        shift=str(own[-1][0].shift),
    )


def _mix_of(plan: Plan, facts: Sequence[Fact]) -> Mix | None:
    lifts = (plan.lifts.get(fact.place("lift")) for fact in facts)
    return next((plan.mixes.get(lift.mix) for lift in lifts if lift), None)


def _cessation(mix: Mix | None) -> Input:
    if mix is None or mix.rolling_ends_c is None:
        return CESSATION_C
    return Agreed(mix.rolling_ends_c, f"mixes/{mix.id}/rolling_ends")


def _repeats(plan: Plan) -> Input:
    own = plan.gauge.repeats_kg_m3
    return Agreed(own, "gauge/repeats") if "repeats" in plan.document.get("gauge", {}) else own


def _rolled(work: Work, facts: Sequence[Fact], at: Sequence[float]) -> tuple[Fact, ...]:
    """The last of each roller that made density on the strip while it was read, or just before."""
    if not at:
        return ()
    quiet = {phase.id for phase in work.plan.phases if not phase.makes_density}
    lanes = {fact.place("lane") for fact in facts}
    begun, ended = facts[0].at - BEFORE, facts[-1].at
    latest = {
        fact.text("roller"): fact
        for _, fact in work.of("roller")
        if "passes" in fact.body
        and fact.text("phase") not in quiet
        and fact.place("lane") in lanes
        and begun <= fact.at <= ended
        and _over(work.plan, fact, min(at), max(at))
    }
    return tuple(sorted(latest.values(), key=lambda fact: fact.order))


def _over(plan: Plan, fact: Fact, low_m: float, high_m: float) -> bool:
    """Whether what a roller did lies over a stretch at all."""
    ends = [metres(plan, fact, name) for name in ("station", "from", "to")]
    known = [one for one in ends if one is not None]
    return bool(known) and min(known) <= high_m and max(known) >= low_m


# Growth


def _spots(facts: Sequence[Fact], cessation_c: float, repeats: float) -> Iterator[Spot]:
    """The places of a strip that were read after passes, in the order of their first reading."""
    by_place: dict[Where, list[Fact]] = {}
    for fact in facts:
        if "passes" in fact.body:
            lane, lift, station, offset = (
                fact.place(name) for name in ("lane", "lift", "station", "offset")
            )
            by_place.setdefault((lane, lift, station, offset), []).append(fact)
    for number, (where, own) in enumerate(by_place.items(), 1):
        usable = [fact for fact in own if fact.si("density") and "temp" in fact.body]
        readings = tuple(_by_passes(usable))
        untold = len(own) - len(usable)
        try:
            found = growth(readings, cessation_c, repeats)
        except Refused as error:
            yield Spot(number, where, readings, tuple(own), None, str(error), untold)
        else:
            yield Spot(number, where, readings, tuple(own), found, "", untold)


def _by_passes(facts: Sequence[Fact]) -> Iterator[DensityReading]:
    """One reading for each number of passes: the mean of all that were taken after as many."""
    by_passes: dict[int, list[Fact]] = {}
    for fact in facts:
        by_passes.setdefault(int(fact.body["passes"]), []).append(fact)
    for passes, own in sorted(by_passes.items()):
        densities = [fact.si("density") or 0.0 for fact in own]
        coldest = min(fact.si("temp") or 0.0 for fact in own)
        yield DensityReading(passes, fsum(densities) / len(own), coldest)


def _best(
    spots: Sequence[Spot], cessation_c: float, repeats: float
) -> tuple[BestPasses | None, str]:
    judged = [spot.readings for spot in spots if spot.growth is not None]
    try:
        return best_passes(judged, cessation_c, repeats), ""
    except Refused as error:
        return None, str(error)


# Target, sections, and what was laid since


def _whole(value: float, facts: Sequence[Fact]) -> Whole:
    ids = [fact.id for fact in facts]
    return Whole(value, "density", len(ids), lambda: ids)


def _target(aimed: Sequence[Fact]) -> Figure | None:
    if not aimed:
        return None
    values = [fact.si("density") or 0.0 for fact in aimed]
    mean = sample(values).mean
    whole = Figure(mean, "kg/m3", sample, {"results": _whole(mean, aimed)})
    return ranged(whole, values)


def ranged(figure: Figure, values: Sequence[float]) -> Figure:
    """A mean with its 95 % range; from one result alone there is none."""
    if len(values) < 2:
        return figure
    low, high = mean_range(values)
    return replace(figure, low=low, high=high, range_words="range.mean")


def _sections(
    plan: Plan, rule: StripRule, target: Figure | None, later: Sequence[Fact]
) -> Iterator[Section]:
    """Later readings, so many at a time in the order in which they were taken."""
    if target is None:
        return
    for start in range(0, len(later), rule.section):
        own = tuple(later[start : start + rule.section])
        values = [fact.si("density") or 0.0 for fact in own]
        found = against_strip(values, target.value)
        inputs: dict[str, Input] = {
            "target_kg_m3": target,
            "readings": _whole(fsum(values) / len(own), own),
        }
        mean = Figure(found.mean_pct, "%", against_strip, inputs)
        mean = ranged(mean, [100.0 * value / target.value for value in values])
        least = Figure(found.least_pct, "%", against_strip, inputs)
        whole = len(own) == rule.section
        held = [_at_least(plan, mean, rule.mean)] if rule.mean and whole else []
        held += [_at_least(plan, least, rule.single)] if rule.single else []
        meets_all = all(held) if held and (whole or not all(held)) else None
        yield Section(start // rule.section + 1, own, mean, least, meets_all)


def _at_least(plan: Plan, figure: Figure, limit: str) -> bool:
    """Whether a percentage reaches a limit, rounded as the limit is printed, by the job's rule."""
    return meets(exact(figure.value), limit, "min", "rounded", plan.job.rounding)


def _laid(work: Work, mix: Mix | None, since: datetime) -> Figure | None:
    """Mix of the strip's own that was taken since, by its loads."""
    if mix is None:
        return None
    own = [
        load
        for facts in work.shifts
        for load in loads(facts)
        if load.counts and load.mix in ("", mix.id) and since < load.at <= work.now
    ]
    mass = fsum(load.net_kg or 0.0 for load in own)
    ids = [load.id for load in own]
    whole = Whole(mass, "mass on the tickets", len(ids), lambda: ids)
    return Figure(mass, "kg", None, {"mass_kg": whole})


def _figures(strip: ControlStrip) -> Iterator[tuple[str, Figure]]:
    start = f"strip/{strip.name}"
    limits: dict[str, Input] = {
        "cessation_c": strip.cessation,
        "repeatability_kg_m3": strip.repeats,
    }
    for spot in strip.spots:
        found = spot.growth
        if found is not None:
            inputs = {"readings": _whole(found.highest_kg_m3, spot.facts), **limits}
            yield (
                f"{start}/spot-{spot.number}/highest",
                Figure(found.highest_kg_m3, "kg/m3", growth, inputs),
            )
    best = strip.best
    if best is not None:
        own = [fact for spot in strip.spots for fact in spot.facts]
        inputs = {"readings": _whole(best.mean.highest_kg_m3, own), **limits}
        yield f"{start}/highest", Figure(best.mean.highest_kg_m3, "kg/m3", best_passes, inputs)
        if best.passes is not None:
            yield f"{start}/passes", Figure(float(best.passes), "1", best_passes, inputs)
    if strip.target is not None:
        yield f"{start}/target", strip.target
    if strip.laid is not None:
        yield f"{start}/laid", strip.laid
    for section in strip.sections:
        yield f"{start}/section-{section.number}/mean", section.mean
        yield f"{start}/section-{section.number}/least", section.least
