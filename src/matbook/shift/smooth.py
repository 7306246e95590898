"""Smoothness: the roughness of profiles by section, and straightedge surveys along the mat.

A profile is kept as it was measured, its heights as they were written. Where it has gaps its pieces
are entries of their own, and the drive begins anew in each.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from math import fsum
from typing import Final

from matbook.engine.roughness import Section, iri, iri_sections, roughest
from matbook.engine.units import convert
from matbook.errors import Refused
from matbook.plan.judge import Judgement
from matbook.plan.model import Plan
from matbook.shift.calls import Call, beyond
from matbook.shift.facts import Fact, Facts
from matbook.shift.figure import Figure, Input, Read, read
from matbook.shift.measured import judged
from matbook.shift.places import label, metres

KINDS: Final = ("profile",)
SECTION_M: Final = {"metric": 100.0, "us": 0.1 * 1609.344}
STRETCH_M: Final = 20.0
"""The roughest stretches are so long: a bump and what it does to a car."""
WORST: Final = 3
SHORTEST: Final = 0.5
"""A last section shorter than this share of the others is shown, and judged by nobody."""


@dataclass(frozen=True)
class Part:
    """A section or a stretch of a profile, where it lies on the road, and what limits say of it."""

    from_m: float
    to_m: float
    value: Figure
    judgements: tuple[Judgement, ...] = ()


@dataclass(frozen=True)
class Profile:
    """One profile: its index, section by section, and the stretches that matter."""

    fact: Fact
    length_m: float
    whole: Figure | None = None
    sections: tuple[Part, ...] = ()
    worst: tuple[Part, ...] = ()
    why: str = ""
    """Why there is no index, as a sentence; empty where there is one."""


def profiles(facts: Facts) -> tuple[Profile, ...]:
    """Every profile of the shift, by the plan in force when it was measured."""
    return facts.remembered(
        "profiles",
        KINDS,
        lambda: tuple(_profile(facts.plan_at(fact.at), fact) for fact in facts.of("profile")),
    )


def _profile(plan: Plan, fact: Fact) -> Profile:
    try:
        heights = [
            convert(float(one), fact.text("unit"), "m") for one in fact.text("heights").split()
        ]
    except ValueError as wrong:
        return Profile(fact, 0.0, why=str(wrong))
    spacing_m = fact.si("spacing") or 0.0
    length_m = max(0.0, (len(heights) - 1) * spacing_m)
    try:
        whole, sections = iri(heights, spacing_m), _sections(plan, heights, spacing_m)
    except Refused as refusal:
        return Profile(fact, length_m, why=refusal.allowed)
    worst = roughest(heights, spacing_m, STRETCH_M, WORST)
    return Profile(
        fact,
        length_m,
        _figure(fact, whole),
        tuple(_part(plan, fact, one, one.to_m - one.from_m) for one in sections),
        tuple(_part(plan, fact, one, 0.0) for one in worst),
    )


def _sections(plan: Plan, heights: list[float], spacing_m: float) -> list[Section]:
    return iri_sections(heights, spacing_m, SECTION_M[plan.job.units])


def _figure(fact: Fact, m_km: float) -> Figure:
    """An index as a figure; it opens to the profile's spacing and where it lies."""
    spacing: Read = read(fact, "spacing")
    inputs: dict[str, Input] = {"spacing_m": spacing}
    return Figure(convert(m_km, "m/km", "m/m"), "m/m", iri, inputs)


def _part(plan: Plan, fact: Fact, one: Section, length_m: float) -> Part:
    """A part where it lies on the road; judged where it is about as long as a section is."""
    lane, start_m = plan.lanes.get(fact.place("lane")), metres(plan, fact, "from") or 0.0
    way = -1.0 if lane is not None and lane.to_m < lane.from_m else 1.0
    value = _figure(fact, one.iri_m_km)
    full = length_m >= SHORTEST * SECTION_M[plan.job.units]
    found = judged(plan, fact, "iri", value.value, value.unit) if full else ()
    return Part(start_m + way * one.from_m, start_m + way * one.to_m, value, found)


def calls(facts: Facts) -> Iterator[Call]:
    """Sections rougher than a limit, each at its stations."""
    for one in profiles(facts):
        plan = facts.plan_at(one.fact.at)
        for n, part in enumerate(one.sections):
            for judgement in part.judgements:
                if not judgement.ok:
                    yield beyond(
                        judgement,
                        plan,
                        "smooth.rough",
                        None,
                        f"{one.fact.id}/{n}/{judgement.limit.id}",
                        one.fact.at,
                        (one.fact.id,),
                        quantity="iri",
                        value=part.value.value,
                        unit="m/m",
                        station=stations(plan, one.fact, part),
                        by=judgement.by,
                    )


def stations(plan: Plan, fact: Fact, part: Part) -> str:
    """From where to where a part lies, in stations, or in metres from where the profile began."""
    lane = fact.place("lane")
    if lane not in plan.lanes:
        return f"{part.from_m:.0f} – {part.to_m:.0f} m"
    return " – ".join(label(plan, lane, at_m) for at_m in (part.from_m, part.to_m))


def figures(facts: Facts) -> Iterator[tuple[str, Figure]]:
    """The index of every profile and of its sections."""
    for one in profiles(facts):
        if one.whole is not None:
            yield f"smooth/{one.fact.id}/whole", one.whole
        for n, part in enumerate(one.sections):
            yield f"smooth/{one.fact.id}/{n}", part.value


# Straightedge surveys


@dataclass(frozen=True, slots=True)
class Survey:
    """The straightedge along or across one lane in a shift."""

    lane: str
    along: str
    """along or across: which way the edge was laid."""
    count: int
    mean_m: float
    deepest: Fact
    over: tuple[Fact, ...]
    """Those beyond a limit."""


def surveys(facts: Facts) -> tuple[Survey, ...]:
    """The straightedge readings of each lane and way together; those over a joint stand by it."""
    found: dict[tuple[str, str], list[Fact]] = {}
    for fact in facts.of("straightedge"):
        way = fact.text("along") or "along"
        if way != "joint":
            found.setdefault((fact.place("lane"), way), []).append(fact)
    return tuple(_survey(facts, *key, said) for key, said in found.items())


def _survey(facts: Facts, lane: str, way: str, said: list[Fact]) -> Survey:
    gaps = [(fact.si("gap") or 0.0, fact) for fact in said]
    over = tuple(fact for gap, fact in gaps if _over(facts.plan_at(fact.at), fact, gap))
    deepest = max(gaps, key=lambda one: one[0])[1]
    return Survey(lane, way, len(gaps), fsum(gap for gap, _ in gaps) / len(gaps), deepest, over)


def _over(plan: Plan, fact: Fact, gap_m: float) -> bool:
    return any(not one.ok for one in judged(plan, fact, "straightedge", gap_m, "m"))
