"""Density gauges: standard counts and their drift, readings and where they were taken, who took
them, and what cores say of the gauge.

A nuclear gauge is a radioactive source: nothing here stands in for its licence, its maker's manual
or the training of who handles it.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Final, Literal

from matbook.engine.density import density_of
from matbook.engine.gauge import (
    Correlation,
    StandardCount,
    Turned,
    gauge_offset,
    gauge_ratio,
    standard_count,
    too_near,
    two_directions,
)
from matbook.errors import Refused
from matbook.lots.bulk import bulk_of, bulks, method_holds
from matbook.lots.control_strip import ranged
from matbook.lots.work import Work
from matbook.plan.model import Instrument, Plan
from matbook.plan.rules import GaugeRule
from matbook.shift.facts import Fact, Facts, si
from matbook.shift.figure import Figure, Input, Whole, figure, read

DISTANCES: Final[Mapping[str, str]] = {
    "to_source": "other source",
    "to_object": "large object",
    "to_face": "vertical face",
    "to_edge": "edge",
}
"""Field of a reading -> the thing whose distance it is."""

CORRECTED: Final = ("vertical face", "edge")
"""Nearer than allowed to these, a reading may be corrected for it; to the others, not."""


@dataclass(frozen=True, slots=True)
class Count:
    """One standard count beside those before it."""

    fact: Fact
    shift: str
    found: StandardCount | None
    """None for the first of a gauge, or one without its number."""
    figure: Figure | None
    fails: int
    """How often in a row it didn't hold in this shift, this one among them; 0 where it holds."""


@dataclass(frozen=True, slots=True)
class Reading:
    """One density by gauge: its two directions, and what it stood too near to."""

    fact: Fact
    shift: str
    turned: Turned | None
    figure: Figure | None
    near: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Operator:
    """Who took readings, and until when their certificate holds."""

    person: str
    certificate: str
    due: str
    state: Literal["held", "over", "unknown"]
    last: Fact
    shift: str
    """Of the last reading."""


@dataclass(frozen=True, slots=True)
class Pair:
    """A core, and what the gauge read at its place before it was cut."""

    core: str
    reading: Fact
    core_kg_m3: Figure
    gauge_kg_m3: float
    state: Literal["kept", "dropped", "not-held"]
    """Not held: its bulk gravity is by a method that doesn't hold for it."""


@dataclass(frozen=True, slots=True)
class Correction:
    """What cores of one mix say of a gauge."""

    mix: str
    how: Literal["offset", "ratio"]
    pairs: tuple[Pair, ...]
    found: Correlation | None
    figure: Figure | None
    why: str = ""
    """Why there is none, as a sentence."""


@dataclass(frozen=True, slots=True)
class Gauge:
    """One gauge, as it stands."""

    id: str
    """Empty for readings that name no gauge."""
    instrument: Instrument | None
    counts: tuple[Count, ...]
    readings: tuple[Reading, ...]
    operators: tuple[Operator, ...]
    corrections: tuple[Correction, ...]

    @property
    def name(self) -> str:
        return self.instrument.name if self.instrument else self.id

    def figures(self) -> Mapping[str, Figure]:
        """Its figures by name."""
        start = f"gauge/{self.id or '-'}"
        counts = {f"{start}/drift/{one.fact.id}": one.figure for one in self.counts}
        turned = {f"{start}/turned/{one.fact.id}": one.figure for one in self.readings}
        cores = {f"{start}/{one.mix or '-'}/{one.how}": one.figure for one in self.corrections}
        named = {**counts, **turned, **cores}
        return {name: one for name, one in named.items() if one is not None}


Seen = Sequence[tuple[Facts, Fact]]


KINDS: Final = ("gauge-check", "density", "core", "test-result")


def gauges(work: Work) -> tuple[Gauge, ...]:
    """Every gauge that was checked or read with, in the order of its first entry."""
    return work.kept("gauges", KINDS, lambda: _gauges(work))


def _gauges(work: Work) -> tuple[Gauge, ...]:
    checks: dict[str, list[tuple[Facts, Fact]]] = {}
    readings: dict[str, list[tuple[Facts, Fact]]] = {}
    for kind, by_gauge in (("gauge-check", checks), ("density", readings)):
        for facts, fact in work.of(kind):
            if kind == "gauge-check" or fact.text("method") == "gauge":
                by_gauge.setdefault(fact.entry.instrument, []).append((facts, fact))
    plan = work.plan
    return tuple(
        Gauge(
            name,
            plan.instruments.get(name),
            tuple(_counts(plan.gauge, checks.get(name, ()))),
            tuple(_reading(plan.gauge, *one) for one in readings.get(name, ())),
            tuple(_operators(plan, [*checks.get(name, ()), *readings.get(name, ())])),
            tuple(_corrections(work, readings.get(name, ()))),
        )
        for name in {**checks, **readings}
    )


def _counts(rule: GaugeRule, checks: Seen) -> Iterator[Count]:
    """Each count against the latest before it that held."""
    before: list[Fact] = []
    fails, shift = 0, ""
    for facts, fact in checks:
        if str(facts.shift) != shift:
            fails, shift = 0, str(facts.shift)
        today = fact.body.get("density_count")
        if not today:
            yield Count(fact, shift, None, None, fails)
            continue
        held = before[-rule.before :]
        if not held:
            before.append(fact)
            yield Count(fact, shift, None, None, 0)
            continue
        earlier = [float(one.body["density_count"]) for one in held]
        found = standard_count(float(today), earlier, float(rule.drift))
        inputs: dict[str, Input] = {"today": float(today), "before": _those(found.mean, held)}
        fails = 0 if found.holds else fails + 1
        if found.holds and fact.text("result") != "outside":
            before.append(fact)
        drift = Figure(found.drift_pct, "%", standard_count, inputs)
        yield Count(fact, shift, found, drift, fails)


def _those(mean: float, held: Sequence[Fact]) -> Whole:
    ids = [one.id for one in held]
    return Whole(mean, "standard count", len(ids), lambda: ids)


def _reading(rule: GaugeRule, facts: Facts, fact: Fact) -> Reading:
    key = ("gauge.reading", fact.key, id(rule))
    return facts.once(key, partial(_read_by, rule, str(facts.shift), fact))


def _read_by(rule: GaugeRule, shift: str, fact: Fact) -> Reading:
    away = {
        thing: distance
        for field, thing in DISTANCES.items()
        if (distance := fact.si(field)) is not None
    }
    near = too_near(away, rule.clearances_m)
    both = [si(str(one)) for one in fact.body.get("readings", ())]
    if len(both) < 2:
        return Reading(fact, shift, None, None, near)
    turned = two_directions(both[0], both[1], rule.turned_kg_m3)
    inputs: dict[str, Input] = {"first_kg_m3": both[0], "second_kg_m3": both[1]}
    apart = Figure(turned.difference_kg_m3, "kg/m3", two_directions, inputs)
    return Reading(fact, shift, turned, apart, near)


def _operators(plan: Plan, seen: Seen) -> Iterator[Operator]:
    """Everybody who checked the gauge or read with it, by their last entry."""
    last: dict[str, tuple[Facts, Fact]] = {}
    for facts, fact in sorted(seen, key=lambda one: one[1].order):
        last[fact.entry.by] = facts, fact
    for by, (facts, fact) in last.items():
        person = plan.people.get(by)
        certificate = person.certificate if person else ""
        due = person.certificate_due if person else ""
        state: Literal["held", "over", "unknown"] = "held" if due else "unknown"
        if due and due < facts.shift.date:
            state = "over"
        yield Operator(by, certificate, due, state, fact, str(facts.shift))


# Cores beside the gauge


@dataclass(frozen=True, slots=True)
class _Made:
    """A core beside a reading, before the pairs are looked at together."""

    reading: Fact
    core: Figure
    gauge: float
    holds: bool


def _corrections(work: Work, readings: Seen) -> Iterator[Correction]:
    """By mix, since a gauge reads each mix differently."""
    results = bulks(work)
    cored = {fact.text("core"): fact for _, fact in work.of("core")}
    by_mix: dict[str, list[_Made]] = {}
    refused: dict[str, str] = {}
    for _, fact in readings:
        core, gauge = cored.get(fact.text("core")), fact.si("density")
        if core is None or gauge is None:
            continue
        lift = work.plan.lifts.get(fact.place("lift"))
        mix = lift.mix if lift else ""
        own = by_mix.setdefault(mix, [])
        try:
            bulk = bulk_of(work.plan, core, results)
            holds = method_holds(core) is not False
        except Refused as error:
            refused[mix] = str(error)
            continue
        if bulk is not None:
            made = figure(density_of, "kg/m3", gravity=bulk)
            own.append(_Made(fact, made, gauge, holds))
    for mix, found in by_mix.items():
        yield _correction(work.plan.gauge, mix, found, refused.get(mix, ""))


def _correction(rule: GaugeRule, mix: str, made: Sequence[_Made], why: str) -> Correction:
    used = [one for one in made if one.holds]
    values = [(one.core.value, one.gauge) for one in used]
    how = rule.correction
    try:
        if how == "offset":
            found = gauge_offset(values, rule.spread_kg_m3, rule.pairs)
        else:
            found = gauge_ratio(values, least=rule.pairs)
    except Refused as error:
        return Correction(mix, how, _pairs(made, None), None, None, why or str(error))
    inputs: dict[str, Input] = {}
    for one in used:
        core = one.reading.text("core")
        inputs[f"{core}, core"] = one.core
        inputs[f"{core}, gauge"] = read(one.reading, "density")
    if how == "offset":
        inputs["most_sd"] = rule.spread_kg_m3
    made_by = gauge_offset if how == "offset" else gauge_ratio
    unit = "kg/m3" if how == "offset" else "1"
    apart = [core - gauge if how == "offset" else core / gauge for core, gauge in found.kept]
    shown = ranged(Figure(found.value, unit, made_by, inputs), apart)
    return Correction(mix, how, _pairs(made, found), found, shown, why)


def _pairs(made: Sequence[_Made], found: Correlation | None) -> tuple[Pair, ...]:
    return tuple(
        Pair(one.reading.text("core"), one.reading, one.core, one.gauge, _state(one, found))
        for one in made
    )


def _state(one: _Made, found: Correlation | None) -> Literal["kept", "dropped", "not-held"]:
    if not one.holds:
        return "not-held"
    dropped = found is not None and (one.core.value, one.gauge) in found.dropped
    return "dropped" if dropped else "kept"
