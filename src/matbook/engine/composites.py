"""Factors put together: several characteristics, mat and joint, several lots, events."""

from collections.abc import Callable, Mapping, Sequence
from math import fsum
from typing import Final

from matbook.engine.cited import cited
from matbook.engine.ranges import above_zero, from_zero, picked, within
from matbook.engine.schedules import Composite
from matbook.errors import Refused

WEIGHTED: Final = "WSDOT 1-06.2, from memory; FDOT 334-8"
CORPS: Final = "UFGS 02749, pay factors"
WSDOT_EVENTS: Final = "WSDOT 5-04, cyclic density"


def _weighted(factors: Sequence[float], weights: Sequence[float]) -> float:
    products = [factor * weight for factor, weight in zip(factors, weights, strict=True)]
    return fsum(products) / fsum(weights)


COMPOSITES: Final[Mapping[str, Callable[[Sequence[float], Sequence[float]], float]]] = {
    "weighted": _weighted,
    "lowest": lambda factors, weights: min(factors),
}
"""How the factors of several characteristics make one; the lowest is never multiplied further."""


@cited("sum of weight x factor / sum of weights, or the lowest of them", WEIGHTED)
def composite(
    factors: Mapping[str, float], weights: Mapping[str, float], how: str = "weighted"
) -> float:
    """One factor for a lot from those of its characteristics.

    Equation: CPF = sum(f PF) / sum(f); or the lowest PF

    Args:
        factors: Characteristic -> its pay factor [1], 0 to 2.
        weights: Characteristic -> its weight, above 0; the same characteristics.
        how: weighted or lowest.

    Returns:
        Factor [1].

    Raises:
        Refused: A characteristic without a factor or without a weight, or no such way.
        OutOfRange: A value outside its range.

    Source: weighted: WSDOT 1-06.2, from memory; FDOT 334-8. Lowest: UFGS 02749.

    Example:
        >>> composite({"density": 0.95, "voids": 1.05}, {"density": 1.0, "voids": 1.0})
        1.0
        >>> composite({"mat": 0.983, "joint": 0.982}, {"mat": 1.0, "joint": 1.0}, "lowest")
        0.982
    """
    way = picked("how", how, COMPOSITES)
    for name in sorted(factors.keys() ^ weights.keys()):
        lacking = "weight" if name in factors else "factor"
        raise Refused("factors", name, f"it has no {lacking}")
    if not factors:
        raise Refused("factors", "none", "there must be at least one")
    for name, factor in factors.items():
        within(name, factor, 0.0, 2.0)
        within(name, weights[name], 1e-9, 1e9)
    return way(list(factors.values()), [weights[name] for name in factors])


@cited("as the composite's own file says", WEIGHTED)
def composite_of(recipe: Composite, factors: Mapping[str, float]) -> float:
    """One factor for a lot, by a composite that a file holds.

    Args:
        recipe: How it is made.
        factors: Characteristic -> its pay factor [1], 0 to 2.

    Returns:
        Factor [1], no more than the composite's cap.

    Raises:
        Refused: A characteristic without a factor, or one that the composite doesn't know.
        OutOfRange: A factor outside its range.

    Source: weighted: WSDOT 1-06.2, from memory; each composite names its own.

    Example:
        >>> from matbook.engine.schedule_reader import pay_composite
        >>> composite_of(pay_composite("corps-mat-and-joint"), {"mat": 0.983, "joint": 0.982})
        0.982
    """
    found = composite(factors, recipe.weights, recipe.how)
    return found if recipe.cap is None else min(found, recipe.cap)


@cited("1 - (1 - factor) x area of the joint / area of the lot", CORPS)
def joint_weighted(factor: float, joint_m: float, band_m: float, lot_m2: float) -> float:
    """A joint's pay factor as it counts for a lot, by the share of the lot that lies along joints.

    Equation: PF = 1 - (1 - factor) min(1, L b / A)

    Args:
        factor: The joint's own factor [1], 0 to 2.
        joint_m: Length of joint in the lot [m], from 0.
        band_m: Width counted along it [m], from 0; UFGS counts 10 ft.
        lot_m2: Area of the lot [m2], from 0.001.

    Returns:
        Factor [1].

    Raises:
        OutOfRange: A value outside its range.

    Source: UFGS 02749, pay factors; its example from memory.

    Example:
        >>> round(joint_weighted(0.973, 2000.0, 10.0, 30_000.0), 3)
        0.982
    """
    within("factor", factor, 0.0, 2.0)
    from_zero("joint_m", joint_m)
    from_zero("band_m", band_m)
    within("lot_m2", lot_m2, 0.001, 1e9)
    return 1.0 - (1.0 - factor) * min(1.0, joint_m * band_m / lot_m2)


@cited("quantity x price x (factor - 1)", WEIGHTED)
def composite_adjustment(factor: float, quantity: float, unit_price: float) -> float:
    """What a composite factor moves, in money.

    Equation: A = (factor - 1) x quantity x price

    Args:
        factor: The composite factor [1], 0 to 2.
        quantity: Quantity of the lot, from 0, in the unit of the price.
        unit_price: Price of one unit, above 0.

    Returns:
        Money in the unit of the price; below 0 for a deduction.

    Raises:
        OutOfRange: A value outside its range.

    Source: WSDOT 1-06.2, from memory; FDOT 334-8. Shares for gains and losses, where an owner has
    them, belong to schedules.

    Example:
        >>> round(composite_adjustment(0.982, 1000.0, 90.0), 2)
        -1620.0
    """
    within("factor", factor, 0.0, 2.0)
    from_zero("quantity", quantity)
    above_zero("unit_price", unit_price)
    return (factor - 1.0) * quantity * unit_price


@cited("number of events x what each takes away", WSDOT_EVENTS)
def event_deduction(events: int, each: float) -> float:
    """What events take away, each by itself, such as sections with streaks of low density.

    Args:
        events: How many, from 0.
        each: Money for one, from 0.

    Returns:
        Money taken away, from 0.

    Raises:
        OutOfRange: A value outside its range.

    Source: WSDOT 5-04, cyclic density: 500 dollars for each section of 500 ft with two readings or
    more below 90 %.

    Example:
        >>> event_deduction(3, 500.0)
        1500.0
    """
    from_zero("events", events)
    from_zero("each", each)
    return events * each


@cited("1 where the mean is above one bound and no lot below another", CORPS)
def project_factors(
    factors: Sequence[float], mean_above: float = 0.95, none_below: float = 0.751
) -> list[float]:
    """Factors of a project's lots, all waived to 1 where the project as a whole is good enough.

    Args:
        factors: Pay factor of each lot [1], 0 to 2.
        mean_above: What their mean must be above [1].
        none_below: What none may be below [1].

    Returns:
        The factors as they count.

    Raises:
        OutOfRange: No lots, or a factor outside its range.

    Source: UFGS 02749, pay factors: mean above 95.0, no lot below 75.1.

    Example:
        >>> project_factors([0.98, 0.96, 0.94]), project_factors([1.0, 1.0, 0.75])
        ([1.0, 1.0, 1.0], [1.0, 1.0, 0.75])
    """
    within("factors", len(factors), 1, 100_000)
    for factor in factors:
        within("factors", factor, 0.0, 2.0)
    waived = fsum(factors) / len(factors) > mean_above and min(factors) >= none_below
    return [1.0] * len(factors) if waived else list(factors)
