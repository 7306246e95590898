"""What a lot is worth by its results so far: mean, spread, percent within limits, pay, money.

Every step is a figure that opens. Where a step can't be taken the reason stands in its place.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

from matbook.engine.acceptance import (
    Pay,
    PayForecast,
    PaySchedule,
    PercentRange,
    forecast_pay,
    next_results,
    pay_factor,
    percent_within_limits,
    price_adjustment,
    pwl_range,
    quality_index,
)
from matbook.engine.paying import BY_MEAN, Terms
from matbook.engine.rounding import exact, round_to
from matbook.engine.samples import sample, weighted_mean
from matbook.engine.schedules import PERCENT
from matbook.engine.units import convert
from matbook.errors import Refused
from matbook.lots.extent import Extent
from matbook.lots.results import Result
from matbook.plan.model import Plan
from matbook.plan.rules import LotRule
from matbook.shift.figure import Agreed, Figure, Input, Whole, plain

FEWEST: Final = 3
"""Results from which on a percent within limits can be estimated."""
FACTOR_PLACES: Final = 4
"""Decimals of a pay factor as it is printed and turned into money: own rule."""
QUANTITY_PLACES: Final = 2
"""Decimals of a quantity laid as it is printed and turned into money: those of tickets."""
REACH: Final = 6.0
"""Standard deviations around the mean within which the next result is looked for."""


Runs = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Worth:
    """A lot's figures as far as its results allow."""

    schedule: PaySchedule
    values: tuple[float, ...]
    terms: Terms
    figures: Mapping[str, Figure]
    """mean, mean.weighted, sd, quality.lower, quality.upper, within, pay, money, money.laid: those
    that there are."""
    weights: tuple[float, ...] = ()
    """Of each result, where the lot is over and its sublots are unequal."""
    within: PercentRange | None = None
    pay: Pay | None = None
    forecast: PayForecast | None = None
    """Of the whole lot, from two results on; None where all are in."""
    full: Runs | None = None
    """Next results with which the lot would have full pay; None where all are in or too few are."""
    why: str = ""
    """Code of the reason why there is no percentage or pay yet; empty if there is."""
    said: str = ""
    """A refusal of the schedule as a sentence, where there is one."""


def worth(
    plan: Plan, rule: LotRule, counted: Sequence[Result], extent: Extent | None = None
) -> Worth:
    """What a lot is worth by the results that count.

    Args:
        plan: For units and money.
        rule: What the lot is judged and paid by.
        counted: Its results that count, in order.
        extent: How much of it is laid; None where that isn't known.
    """
    schedule = plan.schedule(rule.schedule)
    terms = Terms(
        *(float(text) if text else None for text in (rule.lower, rule.upper, rule.target))
    )
    values = tuple(one.value.value for one in counted if one.value is not None)
    if not values:
        return Worth(schedule, (), terms, {}, why="lot.none")
    weights = _weights(counted, extent)
    figures = _first(rule, counted, values, weights)
    forecast, full = _ahead(schedule, values, planned(rule, extent), terms)
    start = Worth(schedule, values, terms, figures, weights, forecast=forecast, full=full)
    return _judged(plan, rule, start, extent)


def planned(rule: LotRule, extent: Extent | None) -> int:
    """How many results a lot will have: fewer where it ended with sublots missing."""
    if extent is None or not extent.over or not extent.sublots:
        return rule.planned
    return min(rule.planned, len(extent.sublots) * rule.tests)


def _weights(counted: Sequence[Result], extent: Extent | None) -> tuple[float, ...]:
    """Weight of each result by its sublot's share, where a lot that is over has unequal ones."""
    if extent is None or not extent.unequal:
        return ()
    share = {one.number: one.weight for one in extent.sublots}
    last = extent.sublots[-1].number  # a short sublot may have joined the one before
    in_each = Counter(min(one.sublot or 0, last) for one in counted)
    return tuple(
        share[sublot] / in_each[sublot]
        for sublot in (min(one.sublot or 0, last) for one in counted)
    )


def _first(
    rule: LotRule, counted: Sequence[Result], values: Sequence[float], weights: Sequence[float]
) -> dict[str, Figure]:
    """Mean and standard deviation; the weighted mean where sublots are unequal."""
    of = sample(values)
    ids = [one.fact.id for one in counted]
    whole: Input = Whole(of.mean, "lot results", of.n, lambda: ids)
    found = {"mean": Figure(of.mean, rule.unit, sample, {"results": whole})}
    if of.n > 1:
        found["sd"] = Figure(of.sd, rule.unit, sample, {"results": whole})
    if weights:
        mean = weighted_mean(values, weights)
        found["mean.weighted"] = Figure(mean, rule.unit, weighted_mean, {"results": whole})
    return found


def _judged(plan: Plan, rule: LotRule, so_far: Worth, extent: Extent | None) -> Worth:
    """Percentage, factor and money; or why there are none."""
    schedule, values = so_far.schedule, so_far.values
    by_percent = schedule.measure == PERCENT
    if by_percent and len(values) < FEWEST:
        return replace(so_far, why="lot.few")
    if by_percent and len(set(values)) == 1:
        return replace(so_far, why="lot.alike")
    try:
        weights = so_far.weights if schedule.measure in BY_MEAN else ()
        pay = pay_factor(schedule, values, *so_far.terms, weights=weights or None)
    except Refused as error:
        return replace(so_far, why="lot.refused", said=str(error))
    figures = dict(so_far.figures)
    found = None
    if by_percent:
        found = _range(values, pay.lower, pay.upper)
        figures |= _percent_figures(rule, so_far, pay, found)
    figures["pay"] = _pay_figure(figures, pay)
    figures |= _money(plan, rule, schedule, figures["pay"], extent)
    return replace(so_far, figures=figures, within=found, pay=pay)


def _percent_figures(
    rule: LotRule, so_far: Worth, pay: Pay, found: PercentRange
) -> dict[str, Figure]:
    """The quality index of each side, and the percentage with its range."""
    made: dict[str, Figure] = {}
    mean, sd = so_far.figures["mean"], so_far.figures["sd"]
    for side, limit in (("lower", pay.lower), ("upper", pay.upper)):
        if limit is None:
            continue
        inputs: dict[str, Input] = {"mean": mean, "sd": sd, "limit": _limit(rule, side, limit)}
        index = quality_index(so_far.values, limit, side)
        made[f"quality.{side}"] = Figure(index, "1", quality_index, inputs)
    percent = Figure(
        pay.measured,
        "%",
        percent_within_limits,
        {**made, "n": float(len(so_far.values))},
        found.low_pct,
        found.high_pct,
        "range.sampling",
    )
    return {**made, "within": percent}


def _limit(rule: LotRule, side: str, limit: float) -> Input:
    """A limit as the plan has it; as the schedule brings it where the plan has none."""
    in_plan = rule.lower if side == "lower" else rule.upper
    return Agreed(limit, f"lots/{rule.id}/{side}") if in_plan else limit


def _pay_figure(figures: Mapping[str, Figure], pay: Pay) -> Figure:
    mean = figures.get("mean.weighted", figures["mean"])
    looked_up: Input = figures.get("within", mean)
    inputs: dict[str, Input] = {"measured": looked_up, "n": float(pay.n)}
    return Figure(pay.factor, "1", pay_factor, inputs)


def _money(
    plan: Plan, rule: LotRule, schedule: PaySchedule, pay: Figure, extent: Extent | None
) -> dict[str, Figure]:
    """What the factor moves over the planned lot and over what is laid of it; where it has a price.

    By the factor as it is printed, so that anybody gets the same money from the report.
    """
    if rule.size is None or not rule.price:
        return {}
    price = float(rule.price)
    factor = as_printed(plan, pay.value)
    printed = Figure(factor, "1", round_to, {"factor": pay})

    def moved(quantity: Input) -> Figure:
        inputs: dict[str, Input] = {
            "factor": printed,
            "quantity": quantity,
            "unit_price": Agreed(price, f"lots/{rule.id}/price"),
        }
        found = price_adjustment(schedule, factor, plain(quantity), price)
        return Figure(found, "money", price_adjustment, inputs)

    figures = {"money": moved(Agreed(lot_size(plan, rule)[0], f"lots/{rule.id}/size"))}
    if extent is not None and extent.laid != extent.planned:
        figures["money.laid"] = moved(laid_quantity(plan, extent))
    return figures


def as_printed(plan: Plan, factor: float) -> float:
    """A pay factor at the digits that it is printed with, by the owner's rule."""
    return float(round_to(exact(factor), FACTOR_PLACES, plan.job.rounding))


def lot_size(plan: Plan, rule: LotRule) -> tuple[float, str]:
    """How much a whole lot is, in the unit that its price is for."""
    assert rule.size is not None
    return priced(plan, *rule.size)


def priced(plan: Plan, amount: float, per: str) -> tuple[float, str]:
    """An amount in the unit that prices are for.

    Args:
        plan: For the job's units.
        amount: kg by mass, m by distance.
        per: mass or distance.
    """
    us = plan.job.units == "us"
    if per == "mass":
        unit = "ton" if us else "t"
        return float(f"{convert(amount, 'kg', unit):.12g}"), unit
    unit = "ft" if us else "m"
    return float(f"{convert(amount, 'm', unit):.12g}"), unit


def laid_quantity(plan: Plan, extent: Extent) -> Whole:
    """How much of a lot is laid, in the unit that its price is for, with the loads it is of.

    At the digits that it is printed with, so that anybody gets the same money from the report.
    """
    amount = float(extent.laid) if extent.per == "mass" else extent.laid / 1000.0
    exactly, _ = priced(plan, amount, extent.per)
    quantity = float(round_to(exact(exactly), QUANTITY_PLACES, plan.job.rounding))
    return Whole(quantity, "loads", len(extent.loads), lambda: extent.loads)


@lru_cache(maxsize=256)
def _range(values: tuple[float, ...], lower: float | None, upper: float | None) -> PercentRange:
    return pwl_range(values, lower, upper)


@lru_cache(maxsize=256)
def _ahead(
    schedule: PaySchedule, values: tuple[float, ...], planned: int, terms: Terms
) -> tuple[PayForecast | None, Runs | None]:
    """What the whole lot will be paid, and which next results would bring full pay.

    Kept, since it is asked for whenever the shift is looked at and takes longest.
    """
    if not 1 < len(values) < planned or len(set(values)) == 1:
        return None, None
    of = sample(values)
    reach = REACH * of.sd
    try:
        forecast = forecast_pay(schedule, values, planned, *terms)
        full = next_results(schedule, values, 1.0, of.mean - reach, of.mean + reach, *terms)
    except Refused:  # a schedule that isn't for so many results
        return None, None
    return forecast, full
