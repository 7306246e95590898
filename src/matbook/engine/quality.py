"""Percent within limits: how much of a lot lies within its limits, judged by a few results.

The exact form is the symmetric beta distribution with a = n/2 - 1. Written by u = Q sqrt(n)/(n - 1)
and w = 1 - u^2, going from n to n + 2 adds one positive term, so for every n it is a closed form of
n/2 terms, exact to the last digits. An agency that looks it up in a table gets another number:
such tables are conventions, which stand as data in `tables/quality.toml`.
"""

import tomllib
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from math import asin, ceil, isnan, pi, sqrt
from typing import Final

from matbook.engine.cited import cited
from matbook.engine.ranges import picked, within
from matbook.engine.samples import MOST_RESULTS, WSDOT, Sample, spread_out
from matbook.errors import NotFound, OutOfRange, Refused

BETA: Final = "symmetric beta distribution: Willenbrock and Kopac 1976, from memory; Colorado CP 71"
LEAST_RESULTS: Final = 3
HALF: Final = 50
"""The percentage that every table begins with, at an index of 0."""
SIDES: Final[Mapping[str, float]] = {"lower": 1.0, "upper": -1.0}


@dataclass(frozen=True, slots=True)
class Convention:
    """An agency's table of percentages by quality index, as the rule that makes its cells."""

    name: str
    title: str
    source: str
    standing: str
    groups: tuple[int, ...]
    """The least n of each group; the cells are worked out for it."""
    most: int
    """The largest n it goes to."""
    below: float
    """A row prints the index of so much less than its percentage [%]."""
    places: int
    """Decimals that it prints of the index."""
    rounding: str
    """nearest or up: a row of `ROUNDINGS`."""


@cited("(mean - lower limit) / s, or (upper limit - mean) / s", WSDOT)
def quality_index(values: Sequence[float], limit: float, side: str) -> float:
    """How many standard deviations the mean of the results lies inside a limit.

    Equation: QL = (mean - lower) / s; QU = (upper - mean) / s

    Args:
        values: Results, 3 to 10,000, that aren't all the same.
        limit: The limit, in the results' unit.
        side: lower or upper: which limit it is.

    Returns:
        The index; below 0 where the mean is outside.

    Raises:
        OutOfRange: Too few results, results all the same, or a value that is no number.
        Refused: No such side.

    Source: WSDOT 1-06.2(2)D; FDOT 334-8.2.2.

    Example:
        >>> round(quality_index([92.4, 93.1, 91.2, 92.8, 91.9], 92.0, "lower"), 6)
        0.371849
    """
    sign = picked("side", side, SIDES)
    _number("limit", limit)
    of = spread_out(values, LEAST_RESULTS)
    return sign * (of.mean - limit) / of.sd


@cited("share of a lot within a limit by its quality index, exact or by a table", BETA)
def percent_within_limits(q: float, n: int, convention: str = "exact") -> float:
    """Percent of a lot within a limit, by the quality index of n results.

    Equation: P = 100 (1 - I_x(a, a)), a = n/2 - 1, x = 1/2 - Q sqrt(n) / (2 (n - 1)); in a table
    the row with the next higher Q, and P(Q) = 100 - P(-Q) below 0.

    Args:
        q: Quality index; from (n - 1) / sqrt(n) on everything is within.
        n: How many results it rests on, 3 to 10,000.
        convention: exact, or a table as `conventions` lists them.

    Returns:
        Percentage [%], 0 to 100.

    Raises:
        OutOfRange: Fewer than 3 results, more than a table goes to, or an index that is no number.
        NotFound: There is no such convention.

    Source: symmetric beta distribution: Willenbrock and Kopac 1976, from memory; Colorado CP 71.
    Each table names its own.

    Example:
        >>> round(percent_within_limits(0.371849, 5), 4)
        63.1375
        >>> percent_within_limits(1.4348, 4, "faa-item-110")
        98.0
    """
    if convention == "exact":
        return _percent(q, n)
    table = _table(convention)
    if not LEAST_RESULTS <= n <= table.most:
        raise OutOfRange("n", n, f"the table “{table.title}” has 3 to {table.most} results")
    _number("q", q)
    group = max(least for least in table.groups if least <= n)
    # twelve digits: binary noise must not push an index that the table prints into the next row
    column = _column(convention, group)
    row = min(len(column) - 1, bisect_left(column, float(f"{abs(q):.12g}")))
    found = float(HALF + bisect_right(column, column[row]) - 1)  # of rows alike, the highest
    return found if q >= 0.0 else 100.0 - found


@cited("percent within the lower limit + percent within the upper - 100", WSDOT)
def pwl(
    values: Sequence[float],
    lower: float | None = None,
    upper: float | None = None,
    convention: str = "exact",
) -> float:
    """Percent of a lot within its limits, estimated from results at random places.

    Equation: PWL = PL + PU - 100, at least 0; a side without a limit counts 100.

    Args:
        values: Results, 3 to 10,000, that aren't all the same, all in one unit.
        lower: Lower limit, in that unit; None for none.
        upper: Upper limit, in that unit; None for none.
        convention: exact, or a table as `conventions` lists them.

    Returns:
        Percentage [%], 0 to 100: an estimate, to be shown with its `pwl_range`.

    Raises:
        OutOfRange: Too few results, results all the same, one that is no number, or limits the
            wrong way round.
        Refused: No limit at all.
        NotFound: There is no such convention.

    Source: WSDOT 1-06.2(2)D; FDOT 334-8.2.2; FHWA-HRT-12-027, figure 104.

    Example:
        >>> round(pwl([5.00, 3.74, 2.30, 3.25], 2.0, 5.0), 2)
        88.98
        >>> pwl([5.00, 3.74, 2.30, 3.25], 2.0, 5.0, "faa-item-110")
        90.0
    """
    check_limits(lower, upper)
    return within_both(spread_out(values, LEAST_RESULTS), lower, upper, convention)


@cited("percent within the lower limit + percent within the upper - 100", WSDOT)
def within_both(
    of: Sample, lower: float | None, upper: float | None, convention: str = "exact"
) -> float:
    """Percent of a lot within its limits, by results that are summed up already.

    Args:
        of: Results, 3 or more, that aren't all the same.
        lower: Lower limit, in their unit; None for none.
        upper: Upper limit, in their unit; None for none.
        convention: exact, or a table as `conventions` lists them.

    Returns:
        Percentage [%], 0 to 100.

    Raises:
        OutOfRange: Too few results.
        NotFound: There is no such convention.

    Source: WSDOT 1-06.2(2)D; FDOT 334-8.2.2.

    Example:
        >>> from matbook.engine.samples import sample
        >>> round(within_both(sample([92.4, 93.1, 91.2, 92.8, 91.9]), 91.5, None), 4)
        84.6857
    """
    indices = []
    if lower is not None:
        indices.append((of.mean - lower) / of.sd)
    if upper is not None:
        indices.append((upper - of.mean) / of.sd)
    if convention == "exact":
        shares = [_percent(q, of.n) for q in indices]
    else:
        shares = [percent_within_limits(q, of.n, convention) for q in indices]
    return shares[0] if len(shares) == 1 else max(0.0, shares[0] + shares[1] - 100.0)


@cited("the quality index that a percentage asks for", BETA)
def quality_for(within_pct: float, n: int) -> float:
    """Quality index at which n results give a percentage; the exact form turned round.

    Args:
        within_pct: Percentage [%], 0 to 100.
        n: How many results, 3 to 10,000.

    Returns:
        The index; the least one for 100 %, the largest for 0 %.

    Raises:
        OutOfRange: A value outside its range.

    Source: symmetric beta distribution: Willenbrock and Kopac 1976, from memory; Colorado CP 71.

    Example:
        >>> round(quality_for(90.0, 5), 4)
        1.229
    """
    within("within_pct", within_pct, 0.0, 100.0)
    closed_form(n)
    top = (n - 1) / sqrt(n)
    if within_pct in (0.0, 100.0):
        return top if within_pct else -top
    low, high = -top, top
    for _ in range(64):
        middle = 0.5 * (low + high)
        if _percent(middle, n) < within_pct:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


@cited("the beta distribution integrated by parts, from n to n + 2", "definition")
@lru_cache(maxsize=256, typed=True)
def closed_form(n: int) -> tuple[float, bool, tuple[float, ...]]:
    """What n alone decides: u over Q, whether n is odd, and the factors of the powers of w.

    Args:
        n: How many results, 3 to 10,000.

    Raises:
        OutOfRange: Fewer results, more, or a number that isn't whole.

    Source: symmetric beta distribution, integrated by parts: definition.

    Example:
        >>> closed_form(4)[2], closed_form(6)[2]
        ((0.5,), (0.25, 0.5))
    """
    if not (isinstance(n, int) and LEAST_RESULTS <= n <= MOST_RESULTS):
        raise OutOfRange("n", n, f"it takes {LEAST_RESULTS} to {MOST_RESULTS:,} results")
    odd = n % 2 == 1
    k, factor = (0.5, 1.0 / pi) if odd else (1.0, 0.5)
    factors = [] if odd else [0.5]
    while k < n / 2 - 1.25:
        factors.append(factor / (2.0 * k))
        factor *= (k + 0.5) / k
        k += 1.0
    return sqrt(n) / (n - 1), odd, tuple(reversed(factors))


def conventions() -> tuple[str, ...]:
    """The names of all tables of percentages.

    Source: definition.

    Example:
        >>> conventions()
        ('fhwa-t5080', 'faa-item-110', 'half-percent')
    """
    return tuple(_tables())


def convention(name: str) -> Convention:
    """One table of percentages by name.

    Args:
        name: As `conventions` lists it.

    Returns:
        The table, as the rule that makes its cells.

    Raises:
        NotFound: There is no such table.

    Source: each table names its own.

    Example:
        >>> convention("fhwa-t5080").places
        2
    """
    return _table(name)


def check_limits(lower: float | None, upper: float | None) -> None:
    """Refuse limits that can't be: none at all, no number, or the wrong way round.

    Args:
        lower: Lower limit; None for none.
        upper: Upper limit; None for none.

    Raises:
        Refused: No limit at all.
        OutOfRange: One is no number, or the lower isn't below the upper.

    Source: definition.

    Example:
        >>> check_limits(92.0, None)
    """
    if lower is None and upper is None:
        raise Refused("lower", lower, "there must be a lower limit, an upper limit or both")
    if lower is not None:
        _number("lower", lower)
    if upper is not None:
        _number("upper", upper)
    if lower is not None and upper is not None and not lower < upper:
        raise OutOfRange("lower", lower, f"the lower limit must be below the upper, {upper:g}")


def _percent(q: float, n: int) -> float:
    """The exact form."""
    by_q, odd, factors = closed_form(n)
    u = q * by_q
    if not -1.0 < u < 1.0:
        _number("q", q)
        return 100.0 if u > 0.0 else 0.0
    w = (1.0 - u) * (1.0 + u)
    series = 0.0
    for factor in factors:
        series = series * w + factor
    if odd:
        return 50.0 + 100.0 * (asin(u) / pi + u * sqrt(w) * series)
    return 50.0 + 100.0 * u * series


ROUNDINGS: Final[Mapping[str, Callable[[float, int], float]]] = {
    "nearest": round,
    # a hair less, so that an index which is a printed one stays
    "up": lambda q, places: ceil(q * 10**places - 1e-9) / 10**places,
}
"""How a table rounds the indices it prints."""


@lru_cache(maxsize=64)
def _column(name: str, group: int) -> tuple[float, ...]:
    """The indices that a table prints for a group, from 50 % on."""
    table = _tables()[name]
    rounded = ROUNDINGS[table.rounding]
    rows = range(HALF + 1, 101)
    return (0.0, *(rounded(quality_for(row - table.below, group), table.places) for row in rows))


def _table(name: str) -> Convention:
    if name not in _tables():
        raise NotFound(f"There is no table “{name}”; there is: exact, {', '.join(_tables())}.")
    return _tables()[name]


@lru_cache(maxsize=1)
def _tables() -> Mapping[str, Convention]:
    file = resources.files("matbook.engine") / "tables" / "quality.toml"
    rows = tomllib.loads(file.read_text(encoding="utf-8"))
    return {
        name: Convention(name=name, **{**row, "groups": tuple(row["groups"])})
        for name, row in rows.items()
    }


def _number(name: str, value: float) -> None:
    if isnan(value):
        raise OutOfRange(name, value, "it must be a number")
