"""The bulk gravity of cores: by their own masses, or as the laboratory gives it."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Final

from matbook.engine.density import absorption_pct, bulk_gravity, ssd_method_holds
from matbook.lots.gravity import BULK, is_ratio, same_test
from matbook.lots.work import Work, theirs
from matbook.plan.model import Plan
from matbook.shift.facts import Fact, Facts
from matbook.shift.figure import Figure, Input, Read, figure, read

MASSES: Final = ("dry", "ssd", "water")


Bulks = Mapping[str, Sequence[tuple[Facts, Fact]]]
"""The laboratories' results of bulk gravity with their shifts, by the core that they name."""


def bulks(work: Work) -> Bulks:
    """Every result of bulk gravity, whoever found it."""
    found: dict[str, list[tuple[Facts, Fact]]] = {}
    for facts, fact in work.of("test-result"):
        if same_test(fact, BULK) and is_ratio(fact):
            found.setdefault(fact.text("sample"), []).append((facts, fact))
    return found


def bulk_of(plan: Plan, core: Fact, results: Bulks) -> Figure | None:
    """By the core's own masses, or as the laboratory gives it; raises Refused."""
    if weighed(core):
        return figure(bulk_gravity, "1", **masses(core))
    result = bulk_result(plan, core, results)
    return None if result is None else as_written(result)


def bulk_result(plan: Plan, core: Fact, results: Bulks) -> Fact | None:
    """The laboratory's bulk gravity of a core that has no masses of its own: the latest of the
    owner's, and of those the latest for the core's own purpose if there is one.
    """
    if weighed(core):
        return None
    found = [fact for _, fact in results.get(core.text("core"), ()) if not theirs(plan, fact)]
    purpose = core.text("purpose") or "acceptance"
    same = [fact for fact in found if fact.text("purpose") == purpose]
    return next(reversed(same or found), None)


def as_written(result: Fact) -> Figure:
    """A gravity as the laboratory wrote it."""
    value = read(result, "value")
    return Figure(value.value, "1", None, {"result": value})


def weighed(core: Fact) -> bool:
    """Whether a core has all its masses."""
    return all(name in core.body for name in MASSES)


def masses(core: Fact) -> dict[str, Input]:
    """The masses of a core in grams, by the names that the engine has for them."""
    return {f"{name}_g": _grams(core, name) for name in MASSES}


def absorption(core: Fact) -> Figure | None:
    """Water that a core took up; None without its masses; raises Refused."""
    return figure(absorption_pct, "%", **masses(core)) if weighed(core) else None


def method_holds(core: Fact) -> bool | None:
    """Whether a core may be weighed saturated and surface-dry; None where nobody knows.

    Raises:
        Refused: Masses that no core can have.
    """
    if core.text("voids") == "open":
        return False
    found = absorption(core)
    return None if found is None else ssd_method_holds(found.value)


def _grams(core: Fact, name: str) -> Read:
    whole = read(core, name)
    return replace(whole, value=float(f"{whole.value * 1000.0:.12g}"))
