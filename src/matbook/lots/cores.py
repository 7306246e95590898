"""Cores: gravity, absorption, percent of maximum, voids and thickness; and whose hands they went
through.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from matbook.engine.density import (
    air_voids_pct,
    core_thickness,
    percent_of_maximum,
)
from matbook.errors import Refused
from matbook.lots.bulk import Bulks, absorption, bulk_of, bulks, method_holds
from matbook.lots.custody import Custody, custodies
from matbook.lots.gravity import Maximum, maxima, maximum_of, of_design, own_of
from matbook.lots.work import Work, rule_of
from matbook.plan.model import Plan
from matbook.shift.facts import Fact, si
from matbook.shift.figure import Figure, Whole, figure, read


@dataclass(frozen=True, slots=True)
class Core:
    """One core, as far as it is known."""

    fact: Fact
    shift: str
    lot: str
    figures: Mapping[str, Figure]
    """bulk, absorption, percent, voids, thickness; those that there are."""
    maximum: Maximum | None
    custody: Custody
    holds: bool | None = None
    """Whether it may be weighed saturated and surface-dry; None where nobody knows yet."""
    why: str = ""
    """Why something of it can't be worked out: the sentence."""

    @property
    def name(self) -> str:
        return self.fact.text("core")


def cores(work: Work) -> tuple[Core, ...]:
    """Every core of the job, in reading order."""
    results, chains, own = bulks(work), custodies(work), maxima(work)
    found = []
    for facts, fact in work.of("core"):
        place = work.places.get(fact.text("draw"))
        rule = rule_of(work.plan, place.lot) if place else None
        if place is not None and rule is not None:
            maximum = maximum_of(work.plan, rule, own_of(work.plan, place.lot, own))
        else:
            maximum = of_design(work.plan, fact.place("lift"))
        figures, refusals = _figures(work.plan, fact, results, maximum)
        chain = chains[fact.text("core")]
        lot, why = place.lot if place else "", " ".join(dict.fromkeys(refusals))
        found.append(Core(fact, str(facts.shift), lot, figures, maximum, chain, _holds(fact), why))
    return tuple(found)


def _holds(core: Fact) -> bool | None:
    """Whether its bulk gravity may be had as it was; None where nobody knows."""
    try:
        return method_holds(core)
    except Refused:
        return None  # its masses can't be: said where they are used


def _figures(
    plan: Plan, core: Fact, results: Bulks, maximum: Maximum | None
) -> tuple[dict[str, Figure], list[str]]:
    """What can be worked out of a core, and a sentence for each thing that can't."""
    found: dict[str, Figure] = {}
    refused: list[str] = []
    for name, made in _ways(plan, core, results, maximum, found):
        try:
            one = made()
        except Refused as error:
            refused.append(str(error))
            continue
        if one is not None:
            found[name] = one
    return found, refused


def _ways(
    plan: Plan,
    core: Fact,
    results: Bulks,
    maximum: Maximum | None,
    found: Mapping[str, Figure],
) -> Iterator[tuple[str, Callable[[], Figure | None]]]:
    """What is worked out of a core, one after the other, and how; later ones need earlier ones."""
    yield "bulk", lambda: bulk_of(plan, core, results)
    yield "absorption", lambda: absorption(core)
    if "bulk" in found and maximum is not None:
        both = {"bulk": found["bulk"], "maximum": maximum.figure}
        yield "percent", lambda: figure(percent_of_maximum, "%", **both)
        yield "voids", lambda: figure(air_voids_pct, "%", **both)
    yield "thickness", lambda: _thickness(core)


def _thickness(core: Fact) -> Figure | None:
    """From four readings around it or more; else as it was written."""
    around = core.body.get("around")
    if around:
        mean = core_thickness([si(str(one)) for one in around])
        whole = Whole(mean, "thickness", len(around), lambda: [core.id])
        return Figure(mean, "m", core_thickness, {"readings": whole})
    if core.si("thickness") is None:
        return None
    written = read(core, "thickness")
    return Figure(written.value, "m", None, {"thickness": written})
