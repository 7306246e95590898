"""Weight: tickets, and what the law lets a truck weigh.

Legal limits are data with a source each. Where a state's own table departs from the federal
bridge formula the table rules: do not work out a state's law from the formula.
"""

import csv
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from importlib import resources
from math import ceil, floor, fsum, inf
from typing import Any, Final

from matbook.engine.cited import cited
from matbook.engine.units import convert
from matbook.errors import NotFound, OutOfRange

FORMULA: Final = "23 USC 127(a)(2); 23 CFR 658.17, bridge gross weight formula"
MOST_AXLES: Final = 12


@cited("gross - tare", "definition")
def net_mass(gross_kg: float, tare_kg: float) -> float:
    """Net mass of a load.

    Equation: net = gross - tare

    Args:
        gross_kg: Mass of the loaded truck [kg], from tare on.
        tare_kg: Mass of the empty truck [kg], from 0.

    Returns:
        Net mass [kg].

    Raises:
        OutOfRange: Gross is less than tare, or tare is below zero.

    Source: definition.

    Example:
        >>> net_mass(33_740.0, 11_340.0)
        22400.0
    """
    if not 0.0 <= tare_kg < inf:
        raise OutOfRange("tare_kg", tare_kg, "it must be a number from 0")
    if not tare_kg <= gross_kg < inf:
        raise OutOfRange("gross_kg", gross_kg, f"it can't be less than the tare, {tare_kg:g}")
    return gross_kg - tare_kg


@cited("500 x (L N / (N - 1) + 12 N + 36), to the nearest 500, ties down", FORMULA)
def bridge_formula_lb(axles: int, length_ft: float) -> int:
    """Mass that a run of axles may carry by the federal bridge formula.

    Equation: W = 500 (L N / (N - 1) + 12 N + 36), to the nearest 500 lb. The published table
    resolves exact ties downward.

    Args:
        axles: Number of axles in the run, 2 to 12.
        length_ft: Distance between its outer axles [ft], above 0 to 200.

    Returns:
        Limit [lb], a whole multiple of 500.

    Raises:
        OutOfRange: A value outside its range.

    Source: 23 USC 127(a)(2); 23 CFR 658.17. Ties: RCW 46.44.041 as read.

    Example:
        >>> bridge_formula_lb(5, 51), bridge_formula_lb(3, 9)
        (80000, 42500)
    """
    if not 2 <= axles <= MOST_AXLES:
        raise OutOfRange("axles", axles, f"it must be 2 to {MOST_AXLES}")
    if not 0 < length_ft <= 200:
        raise OutOfRange("length_ft", length_ft, "it must be above 0, to 200")
    exact = Fraction(length_ft) * axles / (axles - 1) + 12 * axles + 36
    return 500 * ceil(exact - Fraction(1, 2))


@dataclass(frozen=True, slots=True)
class AxleGroup:
    """A limit on a run of axles whose spread lies in a band [m]."""

    axles: int
    from_m: float
    to_m: float
    open_end: bool
    """The band ends below `to_m`, not at it."""
    limit_kg: float


@dataclass(frozen=True)
class LimitSet:
    """One jurisdiction's limits, in kg and m, with their source and standing."""

    name: str
    title: str
    source: str
    standing: str
    single_kg: float
    first_kg: float
    """On the first axle; the single limit where the law has no other."""
    gross_kg: float
    gross_by_axles: Mapping[int, float]
    groups: tuple[AxleGroup, ...]
    formula: bool
    table_lb: Mapping[tuple[int, int], int]
    """(length in ft, axles) -> limit, where the law prints its own table."""
    two_tandems_kg: float
    two_tandems_from_m: float
    single_to_m: float
    tandem_to_m: float
    tandem_kg: float


@dataclass(frozen=True, slots=True)
class Violation:
    """A run of axles over its limit."""

    rule: str
    """first axle, single axle, axle group, bridge or gross."""
    first: int
    last: int
    """Axles, counted from 1 at the front."""
    actual_kg: float
    limit_kg: float


def limit_sets() -> tuple[str, ...]:
    """The names of all limit sets.

    Source: definition.

    Example:
        >>> "us-federal" in limit_sets()
        True
    """
    return tuple(_data())


@lru_cache(maxsize=32)
def limit_set(name: str) -> LimitSet:
    """One limit set by name.

    Args:
        name: As `limit_sets` lists it.

    Returns:
        The set.

    Raises:
        NotFound: There is no such set.

    Source: each set names its own.

    Example:
        >>> limit_set("us-federal").standing
        'read'
    """
    if name not in _data():
        raise NotFound(f"There is no limit set “{name}”; there is: {', '.join(_data())}.")
    raw = _data()[name]

    def mass(key: str, otherwise: float = inf) -> float:
        return convert(float(raw[key]), raw["unit"], "kg") if key in raw else otherwise

    def length(value: float) -> float:
        return convert(float(value), raw["length"], "m")

    tandems = raw.get("two_tandems", {})
    return LimitSet(
        name=name,
        title=raw["title"],
        source=raw["source"],
        standing=raw["standing"],
        single_kg=mass("single"),
        first_kg=mass("first", mass("single")),
        gross_kg=mass("gross"),
        gross_by_axles={int(n): float(kg) for n, kg in raw.get("gross_by_axles", {}).items()},
        groups=tuple(
            AxleGroup(
                row["axles"],
                length(row["from"]),
                length(row.get("to", row.get("below"))),
                "below" in row,
                convert(float(row["limit"]), raw["unit"], "kg"),
            )
            for row in raw.get("groups", [])
        ),
        formula=raw.get("formula", False),
        table_lb=_table(raw["table"]) if "table" in raw else {},
        two_tandems_kg=convert(float(tandems.get("limit", 0)), raw["unit"], "kg"),
        two_tandems_from_m=length(tandems.get("from", 0)),
        single_to_m=length(raw.get("single_to", 0)),
        tandem_to_m=length(raw.get("tandem_to", 0)),
        tandem_kg=mass("tandem"),
    )


@cited("every axle, every run of consecutive axles and the whole, each against its limit", FORMULA)
def violations(
    axle_loads_kg: Sequence[float], spacings_m: Sequence[float], limits: LimitSet
) -> list[Violation]:
    """Every axle or run of axles that weighs more than the law lets it.

    Args:
        axle_loads_kg: Load on each axle from the front [kg], each from 0, 2 to 12 of them.
        spacings_m: Distance from each axle to the next [m], each above 0; one fewer.
        limits: The law.

    Returns:
        What is over, from the front; empty if nothing is.

    Raises:
        OutOfRange: Loads and spacings don't go together, or a value outside its range.

    Source: 23 USC 127; 23 CFR 658.17; each limit set names its own.

    Example:
        >>> [v.rule for v in violations([5000.0, 13000.0], [4.0], limit_set("eu-96-53"))]
        ['single axle']
    """
    _checked(axle_loads_kg, spacings_m)
    found = []
    for first in range(len(axle_loads_kg)):
        for last in range(first, len(axle_loads_kg)):
            actual = fsum(axle_loads_kg[first : last + 1])
            for rule, limit_kg in _rules(first, last, spacings_m, limits):
                if actual > limit_kg + 1e-6:
                    found.append(Violation(rule, first + 1, last + 1, actual, limit_kg))
    return found


@cited("the least of the gross limits that hold for these axles", FORMULA)
def legal_gross(spacings_m: Sequence[float], limits: LimitSet) -> float:
    """What a truck with these axles may weigh in all.

    Args:
        spacings_m: Distance from each axle to the next [m], each above 0.
        limits: The law.

    Returns:
        Gross limit [kg]; infinite where the set has none.

    Raises:
        OutOfRange: No axles, too many, or a value outside its range.

    Source: 23 USC 127; 23 CFR 658.17; each limit set names its own.

    Example:
        >>> legal_gross([4.0, 1.3, 6.0, 1.3], limit_set("eu-96-53"))
        40000.0
    """
    axles = len(spacings_m) + 1
    _checked([0.0] * axles, spacings_m)
    return min((kg for _, kg in _rules(0, axles - 1, spacings_m, limits)), default=inf)


def _rules(
    first: int, last: int, spacings_m: Sequence[float], limits: LimitSet
) -> Iterator[tuple[str, float]]:
    """The limits that hold for a run of axles, each with its name."""
    axles, spread = last - first + 1, fsum(spacings_m[first:last])
    if axles == 1:
        yield ("first axle", limits.first_kg) if first == 0 else ("single axle", limits.single_kg)
        return
    for group in limits.groups:
        within = spread < group.to_m if group.open_end else spread <= group.to_m + 1e-9
        if group.axles == axles and group.from_m - 1e-9 <= spread and within:
            yield "axle group", group.limit_kg
    if limits.formula:
        yield _bridge(first, last, spacings_m, limits)
    if axles == len(spacings_m) + 1:
        gross = min(limits.gross_kg, limits.gross_by_axles.get(axles, inf))
        if gross < inf:
            yield "gross", gross


def _bridge(
    first: int, last: int, spacings_m: Sequence[float], limits: LimitSet
) -> tuple[str, float]:
    axles, spread = last - first + 1, fsum(spacings_m[first:last])
    if spread <= limits.single_to_m + 1e-9:
        return "axle group", limits.single_kg
    if spread <= limits.tandem_to_m + 1e-9:
        return "axle group", limits.tandem_kg
    length_ft = floor(convert(spread, "m", "ft") + 0.5)
    pounds = limits.table_lb.get((length_ft, axles)) or bridge_formula_lb(axles, length_ft)
    allowed = convert(float(pounds), "lb", "kg")
    if axles == 4 and _two_tandems(spacings_m[first:last], limits):
        allowed = max(allowed, limits.two_tandems_kg)
    return "bridge", allowed


def _two_tandems(spacings_m: Sequence[float], limits: LimitSet) -> bool:
    """Two consecutive tandems far enough apart may carry the tandem limit each."""
    front, gap, rear = spacings_m
    tandems = all(limits.single_to_m < s <= limits.tandem_to_m + 1e-9 for s in (front, rear))
    return tandems and front + gap + rear >= limits.two_tandems_from_m - 1e-9


def _checked(loads: Sequence[float], spacings: Sequence[float]) -> None:
    if not 2 <= len(loads) <= MOST_AXLES:
        raise OutOfRange("axle_loads_kg", len(loads), f"there must be 2 to {MOST_AXLES} axles")
    if len(spacings) != len(loads) - 1:
        raise OutOfRange("spacings_m", len(spacings), f"{len(loads)} axles have {len(loads) - 1}")
    for load in loads:
        if not 0.0 <= load < inf:
            raise OutOfRange("axle_loads_kg", load, "each must be a number from 0")
    for spacing in spacings:
        if not 0.0 < spacing <= 30.0:
            raise OutOfRange("spacings_m", spacing, "each must be above 0, to 30 m")


@lru_cache(maxsize=1)
def _data() -> Mapping[str, Mapping[str, Any]]:
    file = resources.files("matbook.engine") / "tables" / "limit_sets.toml"
    found: Mapping[str, Mapping[str, Any]] = tomllib.loads(file.read_text(encoding="utf-8"))
    return found


def _table(name: str) -> dict[tuple[int, int], int]:
    text = (resources.files("matbook.engine") / "tables" / name).read_text(encoding="utf-8")
    return {
        (int(row["length_ft"]), int(row["axles"])): int(row["limit_lb"])
        for row in csv.DictReader(text.splitlines())
    }
