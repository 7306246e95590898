"""How evenly warm the mat's surface is behind the screed, across it and along it.

Only infrared readings without water or steam speak of the surface. Across: those listed in one
entry. Along: a reading and the one before it that differs the most, within a length of the plan.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

from matbook.engine.evenness import difference_k, farthest_from
from matbook.plan.judge import Judgement
from matbook.plan.model import Plan
from matbook.shift.calls import Call, beyond
from matbook.shift.facts import Fact, Facts
from matbook.shift.facts import si as si_of
from matbook.shift.figure import Figure, Input, Read, read
from matbook.shift.measured import judged
from matbook.shift.places import metres

KINDS: Final = ("temperature",)
QUANTITY: Final = "surface-differential"


@dataclass(frozen=True, slots=True)
class Uneven:
    """The difference of temperatures in one stretch, as it was known with its latest reading."""

    fact: Fact
    way: str
    """across or along."""
    station: str
    value: Figure
    judgements: tuple[Judgement, ...]
    entries: tuple[str, ...]

    @property
    def name(self) -> str:
        return f"uneven/{self.fact.id}/{self.way}"


def unevenness(facts: Facts) -> tuple[Uneven, ...]:
    """Every difference across and along, in the order of the readings."""
    return facts.remembered("unevenness", KINDS, lambda: tuple(_unevenness(facts)))


def calls(facts: Facts) -> Iterator[Call]:
    """Differences beyond a limit of the plan, at a named place."""
    for one in unevenness(facts):
        for judgement in one.judgements:
            if not judgement.ok:
                yield beyond(
                    judgement,
                    facts.plan_at(one.fact.at),
                    "mat.uneven",
                    None,
                    f"{one.fact.id}/{one.way}/{judgement.limit.id}",
                    one.fact.at,
                    one.entries,
                    way=one.way,
                    station=one.station,
                    difference_k=one.value.value,
                )


def figures(facts: Facts) -> Iterator[tuple[str, Figure]]:
    """Every difference by name; it opens to the readings."""
    for one in unevenness(facts):
        yield one.name, one.value


def _unevenness(facts: Facts) -> Iterator[Uneven]:
    before: dict[tuple[str, str], list[tuple[Fact, float]]] = {}
    for fact in facts.of("temperature"):
        plan = facts.plan_at(fact.at)
        if fact.text("stage") != "laydown" or not _of_the_surface(fact):
            continue
        across = _across(plan, fact)
        if across is not None:
            yield across
        at_m = metres(plan, fact)
        if at_m is not None:
            mine = before.setdefault((fact.place("lane"), fact.place("lift")), [])
            along = _along(plan, fact, at_m, mine)
            if along is not None:
                yield along
            mine.append((fact, at_m))


def _of_the_surface(fact: Fact) -> bool:
    return fact.text("how") == "infrared" and fact.text("water") == "none"


def _across(plan: Plan, fact: Fact) -> Uneven | None:
    listed = [str(one) for one in fact.body.get("across", ())]
    if not listed:
        return None
    inputs: dict[str, Input] = {"temp": read(fact, "temp")}
    inputs |= {
        f"across {n}": Read(si_of(text), fact.id, "across", text)
        for n, text in enumerate(listed, 1)
    }
    return _uneven(plan, fact, "across", fact.place("station"), inputs, (fact.id,))


def _along(plan: Plan, fact: Fact, at_m: float, before: list[tuple[Fact, float]]) -> Uneven | None:
    others = [(where, other.si("temp") or 0.0) for other, where in before]
    found = farthest_from((at_m, fact.si("temp") or 0.0), others, plan.even_within_m)
    if found is None:
        return None
    other = before[found][0]
    inputs: dict[str, Input] = {"temp": read(fact, "temp"), "before": read(other, "temp")}
    stations = f"{other.place('station')} – {fact.place('station')}"
    return _uneven(plan, fact, "along", stations, inputs, (other.id, fact.id))


def _uneven(
    plan: Plan,
    fact: Fact,
    way: str,
    station: str,
    inputs: dict[str, Input],
    entries: tuple[str, ...],
) -> Uneven:
    temps = [one.value for one in inputs.values() if isinstance(one, Read)]
    value = Figure(difference_k(temps), "delta_degC", difference_k, inputs)
    found = judged(plan, fact, QUANTITY, value.value, value.unit)
    return Uneven(fact, way, station, value, found, entries)
