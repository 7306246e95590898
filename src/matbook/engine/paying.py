"""What a lot is worth: its results put into a pay schedule, with every step kept."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import fsum
from typing import Final, NamedTuple

from matbook.engine.cited import cited
from matbook.engine.quality import check_limits, within_both
from matbook.engine.ranges import above_zero, from_zero, within
from matbook.engine.rounding import exact, round_to
from matbook.engine.samples import Sample, sample, weighted_mean
from matbook.engine.schedules import PERCENT, PaySchedule, Try
from matbook.errors import OutOfRange, Refused

EACH: Final = "each schedule names its own"
BY_MEAN: Final = ("mean", "deviation of the mean")
"""Measures that results can be weighted for."""
CDOT_FEW: Final = "Colorado DOT 105.05, fewer than three tests"


class Terms(NamedTuple):
    """What a lot is judged by where its schedule doesn't say: limits and target."""

    lower: float | None = None
    upper: float | None = None
    target: float | None = None


class Rated(NamedTuple):
    """A lot's factor, and what it was looked up by."""

    factor: float
    rejected: bool
    measured: float
    attempt: int
    """Which of the schedule's tries counts, from 0."""


@dataclass(frozen=True, slots=True)
class Pay:
    """A lot's pay factor with the steps that led to it."""

    factor: float
    """1 is full pay."""
    rejected: bool
    """The schedule has it taken out, or paid as something else if it stays."""
    measured: float
    """What was looked up, in the unit of the schedule's measure."""
    n: int
    mean: float
    sd: float
    lower: float | None
    upper: float | None
    target: float | None
    attempt: int
    """Which of the schedule's tries counts, from 0."""


@cited("what the schedule gives for the lot's results", EACH)
def pay_factor(
    schedule: PaySchedule,
    values: Sequence[float],
    lower: float | None = None,
    upper: float | None = None,
    target: float | None = None,
    weights: Sequence[float] | None = None,
) -> Pay:
    """The pay factor of a lot for one characteristic.

    Args:
        schedule: How it is paid.
        values: Acceptance results from drawn places, all in one unit.
        lower: Lower limit, where the schedule brings none; None for none.
        upper: Upper limit, where the schedule brings none; None for none.
        target: What deviations are taken from, where the schedule brings none.
        weights: Weight of each result where sublots aren't all of one size; only a schedule that
            goes by the mean has a form with weights.

    Returns:
        The factor and the steps that led to it.

    Raises:
        OutOfRange: Too few results or too many for the schedule, results all the same where their
            spread counts, limits the wrong way round, or a measure beyond the schedule's table.
        Refused: Limits or target both here and in the schedule, or in neither though they count;
            weights where the schedule doesn't go by the mean.

    Source: each schedule names its own.

    Example:
        >>> from matbook.engine.schedule_reader import pay_schedule
        >>> mine = pay_schedule("colorado-quality-level")
        >>> found = pay_factor(mine, [92.4, 93.1, 91.2, 92.8, 91.9], lower=91.5)
        >>> round(found.measured, 2), round(found.factor, 4)
        (84.69, 1.025)
    """
    terms = checked(schedule, Terms(lower, upper, target))
    of = sample(values)
    if weights is not None:
        if schedule.measure not in BY_MEAN:
            raise Refused("weights", schedule.measure, "only a schedule by the mean has weights")
        of = of._replace(mean=weighted_mean(values, weights))
    found = rated(schedule, of, terms)
    used = _limits(schedule.tries[found.attempt], terms)
    return Pay(
        found.factor, found.rejected, found.measured, of.n, of.mean, of.sd,
        used.lower, used.upper, terms.target, found.attempt,
    )  # fmt: skip


def checked(schedule: PaySchedule, terms: Terms) -> Terms:
    """Terms that fit a schedule: nothing missing, nothing said twice.

    Args:
        schedule: How a characteristic is paid.
        terms: Limits and target for it.

    Raises:
        Refused: Limits or target both here and in the schedule, or in neither though they count.
        OutOfRange: Limits the wrong way round.

    Source: definition.

    Example:
        >>> from matbook.engine.schedule_reader import pay_schedule
        >>> checked(pay_schedule("florida-percent"), Terms(lower=92.0)).lower
        92.0
    """
    own = schedule.tries[0]
    given = terms.lower is not None or terms.upper is not None
    if given and (own.lower is not None or own.upper is not None):
        raise Refused("lower", terms.lower, f"“{schedule.title}” brings its own limits")
    if schedule.measure == PERCENT:
        for one in schedule.tries:
            used = _limits(one, terms)
            check_limits(used.lower, used.upper)
    if terms.target is not None and schedule.target is not None:
        raise Refused("target", terms.target, f"“{schedule.title}” brings its own target")
    if terms.target is not None:
        within("target", terms.target, -1e9, 1e9)
    target = schedule.target if terms.target is None else terms.target
    if target is None and "deviation" in schedule.measure:
        raise Refused("target", None, f"“{schedule.title}” takes deviations from a target")
    return Terms(terms.lower, terms.upper, target)


def rated(schedule: PaySchedule, of: Sample, terms: Terms) -> Rated:
    """A lot's factor by results that are summed up already, and terms that are `checked`.

    Args:
        schedule: How it is paid.
        of: The results.
        terms: Limits and target.

    Raises:
        OutOfRange: As for `pay_factor`.

    Source: each schedule names its own.

    Example:
        >>> from matbook.engine.schedule_reader import pay_schedule
        >>> mine = pay_schedule("florida-percent")
        >>> rated(mine, sample([92.4, 93.1, 91.2]), Terms(lower=90.0)).factor
        1.05
    """
    measure = MEASURED[schedule.measure]
    group = schedule.group_for(of.n)
    for attempt, one in enumerate(schedule.tries):
        # twelve digits: binary noise must not push what just reaches a step below it
        x = float(f"{measure(schedule, of, _limits(one, terms)):.12g}")
        if schedule.places is not None:
            x = float(round_to(exact(x), schedule.places, schedule.rounding))
        factor, rejected = schedule.factor_at(x, of.n, group)
        if one.cap is not None:
            factor = min(factor, one.cap)
        found = Rated(factor, rejected, x, attempt)
        if factor >= 1.0:
            break
    return found


@cited("the schedule's factor over its measure", EACH)
def curve_points(
    schedule: PaySchedule, n: int, start: float = 0.0, end: float = 100.0, steps: int = 200
) -> list[tuple[float, float]]:
    """A schedule's curve, to be drawn: the factor over what it looks up.

    Args:
        schedule: How a lot is paid.
        n: How many results the lot has.
        start: Where the curve begins, in the unit of the measure.
        end: Where it ends, above the start.
        steps: Into how many steps it is cut, 1 to 10,000.

    Returns:
        Pairs of the measure and the factor; rejected work counts what it is paid if it stays.

    Raises:
        OutOfRange: An n that the schedule isn't for, a value outside its range, or a curve that
            leaves the schedule's table.

    Source: each schedule names its own.

    Example:
        >>> from matbook.engine.schedule_reader import pay_schedule
        >>> curve_points(pay_schedule("corps-voids"), 4, 0.5, 1.3, 2)
        [(0.5, 1.0), (0.9, 0.95), (1.3, 0.0)]
    """
    within("start", start, -1e9, 1e9)
    within("end", end, start, 1e9)
    within("steps", steps, 1, 10_000)
    places = 9 if schedule.places is None else schedule.places
    if schedule.convention != "exact":
        places = 0  # a table gives whole percents
    marks = [round(start + (end - start) * k / steps, places) for k in range(steps + 1)]
    return [(x, schedule.curve_at(x, n).factor) for x in dict.fromkeys(marks)]


@cited("quantity x price x (factor - 1), by the schedule's share for gains or losses", EACH)
def price_adjustment(
    schedule: PaySchedule, factor: float, quantity: float, unit_price: float
) -> float:
    """What a pay factor moves, in money.

    Equation: A = share x (factor - 1) x quantity x price, with the share for gains or for losses

    Args:
        schedule: How the characteristic, or the lot, is paid.
        factor: The pay factor [1], 0 to 2.
        quantity: Quantity of the lot, from 0, in the unit of the price.
        unit_price: Price of one unit, above 0.

    Returns:
        Money in the unit of the price; below 0 for a deduction.

    Raises:
        OutOfRange: A value outside its range.

    Source: each schedule names its own; the shares 1.00 and 0.60: WSDOT.

    Example:
        >>> from matbook.engine.schedule_reader import pay_schedule
        >>> mine = pay_schedule("washington-compaction")
        >>> (
        ...     round(price_adjustment(mine, 1.03, 1500, 80)),
        ...     round(price_adjustment(mine, 0.95, 1500, 80)),
        ... )
        (3600, -3600)
    """
    within("factor", factor, 0.0, 2.0)
    from_zero("quantity", quantity)
    above_zero("unit_price", unit_price)
    share = schedule.share_above if factor > 1.0 else schedule.share_below
    return share * (factor - 1.0) * quantity * unit_price


@cited("1 - 0.25 x distance beyond the limit / V", CDOT_FEW)
def few_tests_factor(value: float, lower: float, upper: float, v: float) -> float:
    """Pay factor of a single test where there are fewer than three.

    Equation: factor = 1 - 0.25 d / V, with d how far it is beyond the nearer limit

    Args:
        value: The result.
        lower: Lower limit, in the result's unit.
        upper: Upper limit, in the result's unit.
        v: V of that characteristic, from the specification, above 0.

    Returns:
        Factor [1]; 1 within the limits, never below 0.

    Raises:
        OutOfRange: Limits the wrong way round, or a V that isn't above 0.

    Source: Colorado DOT 105.05, fewer than three tests.

    Example:
        >>> few_tests_factor(5.0, 4.7, 5.3, 0.2), round(few_tests_factor(5.5, 4.7, 5.3, 0.2), 6)
        (1.0, 0.75)
    """
    check_limits(lower, upper)
    above_zero("v", v)
    within("value", value, -1e9, 1e9)
    beyond = max(0.0, lower - value, value - upper)
    return max(0.0, 1.0 - 0.25 * beyond / v)


def _limits(one: Try, terms: Terms) -> Terms:
    """The limits of a try, or those given."""
    if one.lower is None and one.upper is None:
        return terms
    return Terms(one.lower, one.upper, terms.target)


def _percent(schedule: PaySchedule, of: Sample, terms: Terms) -> float:
    if not of.spreads:
        raise OutOfRange("values", of.mean, "results that are all the same have no spread")
    return within_both(of, terms.lower, terms.upper, schedule.convention)


def _mean(schedule: PaySchedule, of: Sample, terms: Terms) -> float:
    return of.mean


def _deviation_of_mean(schedule: PaySchedule, of: Sample, terms: Terms) -> float:
    return abs(of.mean - (terms.target or 0.0))


def _mean_deviation(schedule: PaySchedule, of: Sample, terms: Terms) -> float:
    target = terms.target or 0.0
    return fsum([abs(value - target) for value in of.values]) / of.n


Measure = Callable[[PaySchedule, Sample, Terms], float]

MEASURED: Final[Mapping[str, Measure]] = {
    PERCENT: _percent,
    "mean": _mean,
    "deviation of the mean": _deviation_of_mean,
    "mean deviation": _mean_deviation,
}
"""How each of `schedules.MEASURES` is found."""
