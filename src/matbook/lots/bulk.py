"""The bulk gravity of cores: by their own masses, or as the laboratory gives it."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Final

from matbook.engine.density import absorption_pct, bulk_gravity, ssd_method_holds
from matbook.lots.gravity import BULK, is_ratio, same_test
from matbook.lots.work import Work
from matbook.shift.facts import Fact
from matbook.shift.figure import Figure, Input, Read, figure, read

MASSES: Final = ("dry", "ssd", "water")


def bulks(work: Work) -> Mapping[str, Fact]:
    """The laboratory's results of bulk gravity, by the core or sample that they name."""
    return {
        fact.text("sample"): fact
        for _, fact in work.of("test-result")
        if same_test(fact, BULK) and is_ratio(fact)
    }


def bulk_of(core: Fact, results: Mapping[str, Fact]) -> Figure | None:
    """By the core's own masses, or as the laboratory gives it; raises Refused."""
    if weighed(core):
        return figure(bulk_gravity, "1", **masses(core))
    result = bulk_result(core, results)
    if result is None:
        return None
    value = read(result, "value")
    return Figure(value.value, "1", None, {"result": value})


def bulk_result(core: Fact, results: Mapping[str, Fact]) -> Fact | None:
    """The laboratory's bulk gravity of a core that has no masses of its own."""
    return None if weighed(core) else results.get(core.text("core"))


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
