"""Weight: tickets, and what the law lets a truck weigh.

The laws themselves are data, in `limits`. Where a state's own table departs from the federal
bridge formula the table rules: do not work out a state's law from the formula.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import ceil, floor, fsum, inf
from typing import Final, Literal

from matbook.engine.cited import cited
from matbook.engine.limits import HAIR_M
from matbook.engine.limits import AxleGroup as AxleGroup
from matbook.engine.limits import LimitSet as LimitSet
from matbook.engine.limits import limit_set as limit_set
from matbook.engine.limits import limit_sets as limit_sets
from matbook.engine.units import convert
from matbook.errors import OutOfRange, Refused

FORMULA: Final = "23 USC 127(a)(2); 23 CFR 658.17, bridge gross weight formula"
MOST_AXLES: Final = 12
LONGEST_M: Final = 60.0

Tie = Literal["down", "up"]

TIES: Final[Mapping[str, Callable[[Fraction], int]]] = {
    # the published table takes ties down; a law that takes them up may say so
    "down": lambda steps: ceil(steps - Fraction(1, 2)),
    "up": lambda steps: floor(steps + Fraction(1, 2)),
}
"""How a limit just between two multiples of 500 lb is rounded."""

HAIR_FT: Final = 1e-9
"""A spacing that was 8 ft 6 in before it became metres still is."""

SPACINGS: Final[Mapping[str, Callable[[float], float]]] = {
    "nearest foot, 6 in up": lambda feet: floor(feet + 0.5 + HAIR_FT),
    "nearest foot, 6 in down": lambda feet: ceil(feet - 0.5 - HAIR_FT),
    "as measured": lambda feet: feet,
}
"""How a spacing is rounded before the law's formula or table is asked."""


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


@cited("gross - legal gross, if over", "definition")
def over_gross(gross_kg: float, legal_gross_kg: float) -> float:
    """How much a truck weighs more than its legal gross.

    Equation: over = max(0, gross - legal gross)

    Args:
        gross_kg: Mass of the loaded truck [kg], from 0.
        legal_gross_kg: What it may weigh in all [kg], above 0.

    Returns:
        Mass over the limit [kg]; 0 if it is not over.

    Raises:
        OutOfRange: A value outside its range.

    Source: definition.

    Example:
        >>> over_gross(41_300.0, 40_000.0), over_gross(39_980.0, 40_000.0)
        (1300.0, 0.0)
    """
    if not 0.0 <= gross_kg < inf:
        raise OutOfRange("gross_kg", gross_kg, "it must be a number from 0")
    if not 0.0 < legal_gross_kg < inf:
        raise OutOfRange("legal_gross_kg", legal_gross_kg, "it must be a number above 0")
    return max(0.0, gross_kg - legal_gross_kg)


@cited("500 x (L N / (N - 1) + 12 N + 36), to the nearest 500, ties down", FORMULA)
def bridge_formula_lb(axles: int, length_ft: float, tie: Tie = "down") -> int:
    """Mass that a run of axles may carry by the federal bridge formula.

    Equation: W = 500 (L N / (N - 1) + 12 N + 36), to the nearest 500 lb. The published table
    resolves exact ties downward.

    Args:
        axles: Number of axles in the run [1], 2 to 12.
        length_ft: Distance between its outer axles [ft], above 0 to 200.
        tie: Which way exact ties go: down as in the published table, or up.

    Returns:
        Limit [lb], a whole multiple of 500.

    Raises:
        OutOfRange: A value outside its range. The law states no range; a truck has one.

    Source: 23 USC 127(a)(2); 23 CFR 658.17. Ties: RCW 46.44.041 as read.

    Example:
        >>> bridge_formula_lb(5, 51), bridge_formula_lb(3, 9)
        (80000, 42500)
    """
    if axles not in range(2, MOST_AXLES + 1):
        raise OutOfRange("axles", axles, f"it must be a whole number, 2 to {MOST_AXLES}")
    if not 0 < length_ft <= 200:
        raise OutOfRange("length_ft", length_ft, "it must be above 0, to 200")
    if tie not in TIES:
        raise Refused("tie", tie, f"it must be {' or '.join(TIES)}")
    steps = Fraction(length_ft) * axles / (axles - 1) + 12 * axles + 36
    return 500 * TIES[tie](steps)


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


@cited("every axle, every run of consecutive axles and the whole, each against its limit", FORMULA)
def violations(
    axle_loads_kg: Sequence[float], spacings_m: Sequence[float], limits: LimitSet
) -> list[Violation]:
    """Every axle or run of axles that weighs more than the law lets it.

    Args:
        axle_loads_kg: Load on each axle from the front [kg], each from 0, 2 to 12 of them.
        spacings_m: Distance from each axle to the next [m], each above 0 to 30, together to
            60; one fewer.
        limits: The law.

    Returns:
        What is over, from the front; empty if nothing is. Over means over by more than a milligram,
        so that a limit converted from pounds is not broken by its own last digit.

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
        spacings_m: Distance from each axle to the next [m], each above 0 to 30, together to 60.
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
    axles, thaw = last - first + 1, limits.seasonal_factor
    if axles > 1:
        yield from _spread_rules(spacings_m[first:last], limits)
    elif first == 0:
        yield "first axle", limits.first_kg * thaw
    else:
        yield "single axle", limits.single_kg * thaw
    if axles == len(spacings_m) + 1:
        gross = min(limits.gross_kg, limits.gross_by_axles.get(axles, inf))
        if gross < inf:
            yield "gross", gross


def _spread_rules(spacings_m: Sequence[float], limits: LimitSet) -> Iterator[tuple[str, float]]:
    """The limits on a run of two or more axles by its spread."""
    axles, spread_m, thaw = len(spacings_m) + 1, fsum(spacings_m), limits.seasonal_factor
    for group in limits.groups:
        if group.holds_for(axles, spread_m):
            yield "axle group", group.limit_kg * thaw
    if spread_m <= limits.single_to_m + HAIR_M:
        yield "axle group", limits.single_kg * thaw
    elif spread_m <= limits.tandem_to_m + HAIR_M:
        yield "axle group", limits.tandem_kg * thaw
    elif limits.formula:
        yield "bridge", _bridge_kg(spacings_m, limits)


def _bridge_kg(spacings_m: Sequence[float], limits: LimitSet) -> float:
    """What a run beyond a tandem may carry, by the law's own table or else by the formula."""
    axles, length_ft = len(spacings_m) + 1, convert(fsum(spacings_m), "m", "ft")
    length_ft = SPACINGS[limits.spacing](length_ft)
    pounds = limits.table_lb.get((length_ft, axles))
    if pounds is None:
        pounds = bridge_formula_lb(axles, length_ft, limits.tie)
    allowed = convert(float(pounds), "lb", "kg")
    if _two_tandems(spacings_m, limits):
        return max(allowed, limits.two_tandems_kg)
    return allowed


def _two_tandems(spacings_m: Sequence[float], limits: LimitSet) -> bool:
    """Two consecutive tandems far enough apart may carry the tandem limit each."""
    if len(spacings_m) != 3:
        return False
    pairs = (spacings_m[0], spacings_m[2])
    tandems = all(limits.single_to_m + HAIR_M < s <= limits.tandem_to_m + HAIR_M for s in pairs)
    return tandems and fsum(spacings_m) >= limits.two_tandems_from_m - HAIR_M


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
    if fsum(spacings) > LONGEST_M:
        raise OutOfRange("spacings_m", fsum(spacings), f"together at most {LONGEST_M:g} m")
