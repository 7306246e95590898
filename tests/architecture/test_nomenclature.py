"""One page of names that code and docs both obey."""

import ast
import re
from functools import cache

from tests.architecture import house
from tools.docstrings import Public, engine, parameters

ROW = re.compile(r"^\| `([^`]+)` \| ([^|]+) \| ([^|]+) \|$", re.MULTILINE)


@cache
def section(title: str) -> dict[str, tuple[str, str]]:
    """The table under a heading of the page: name -> (meaning, unit)."""
    page = house.texts()["docs/nomenclature.md"]
    part = page.partition(f"## {title}\n")[2].partition("\n## ")[0]
    return {name: (meaning.strip(), unit.strip()) for name, meaning, unit in ROW.findall(part)}


@cache
def names() -> dict[str, list[str]]:
    """Every name in the engine's public signatures, with where it stands."""
    found: dict[str, list[str]] = {}
    for module, (_, publics) in engine(house.SOURCE).items():
        for public in publics:
            for name in [*public.parameters, *(n for m in public.methods for n in taken(m))]:
                found.setdefault(name, []).append(f"{module}.{public.name}")
    return found


def taken(method: Public) -> list[str]:
    return parameters(method.node) if isinstance(method.node, ast.FunctionDef) else []


def suffix(name: str) -> str:
    """The longest ending of a name that carries a unit; empty if none does."""
    endings = [ending for ending in section("Endings") if name.endswith(ending)]
    return max(endings, key=len, default="")


def test_every_name_is_on_the_page() -> None:
    assert len(names()) > 20
    assert {n: where for n, where in names().items() if n not in section("Names")} == {}


def test_every_name_on_the_page_is_in_the_engine() -> None:
    assert sorted(section("Names").keys() - names().keys()) == []


def test_a_names_unit_is_the_one_its_ending_carries() -> None:
    endings = section("Endings")
    wrong = {
        name: unit
        for name, (_, unit) in section("Names").items()
        if (ending := suffix(name)) and unit != endings[ending][1]
    }
    assert wrong == {}


RATES = {"own", "cumulative", "low", "high"}
"""Results of a running rate; the docstring of `Running` says their unit once for all."""


def test_a_unit_is_carried_by_the_name() -> None:
    """A name without an ending has no unit, is a ratio, or leaves the unit to the caller."""
    bare = {n: unit for n, (_, unit) in section("Names").items() if not suffix(n)}
    without = {n: unit for n, unit in bare.items() if unit not in ("none", "any", "1")}
    assert without.keys() == RATES


def test_every_ending_is_used_in_the_core() -> None:
    used = {
        node.id if isinstance(node, ast.Name) else node.arg
        for tree in house.core().values()
        for node in ast.walk(tree)
        if isinstance(node, ast.Name | ast.arg)
    }
    assert section("Endings").keys() - {suffix(name) for name in used} == set()
