"""What a lot will be paid: forecasts against simulated lots, and what the next result would do."""

import math
from collections.abc import Callable

import numpy as np
import pytest
from scipy import stats

from matbook.engine.acceptance import (
    forecast_pay,
    mean_within,
    next_results,
    pay_curve,
    pay_factor,
    pay_schedule,
)
from matbook.engine.quality import pwl
from matbook.errors import MatbookError, OutOfRange, Refused

FLORIDA, WASHINGTON = pay_schedule("florida-percent"), pay_schedule("washington-compaction")
SO_FAR = [93.1, 92.4, 93.6]


def test_a_complete_lot_has_one_factor() -> None:
    values = [92.4, 93.1, 91.2, 92.8, 91.9]
    found = forecast_pay(FLORIDA, values, 5, lower=91.5)
    factor = pay_factor(FLORIDA, values, lower=91.5).factor
    assert (found.low_factor, found.middle_factor, found.high_factor) == (factor,) * 3
    assert (found.expected, found.full, found.rejected) == (factor, 0.0, 0.0)


def test_a_forecast_is_the_same_every_time_and_in_order() -> None:
    found = forecast_pay(FLORIDA, SO_FAR, 5, lower=92.0)
    assert found == forecast_pay(FLORIDA, SO_FAR, 5, lower=92.0)
    assert found.low_factor < found.middle_factor <= found.high_factor
    assert found.low_factor < found.expected < found.high_factor


@pytest.mark.parametrize("known", [None, 0.8])
def test_a_forecast_is_what_random_lots_are_paid(known: float | None) -> None:
    """20,000 lots that go on as the results so far allow, drawn by another program."""
    rng = np.random.default_rng(3)
    n, rest, count = len(SO_FAR), 3, 20_000
    sd = np.std(SO_FAR, ddof=1) / np.sqrt(rng.chisquare(n - 1, count) / (n - 1))
    if known is not None:
        sd = np.full(count, known)
    mean = np.mean(SO_FAR) + rng.normal(size=count) * sd / np.sqrt(n)
    lots = mean[:, None] + sd[:, None] * rng.normal(size=(count, rest))
    factors = [0.55 + pwl([*SO_FAR, *lot], 92.0) / 200.0 for lot in lots.tolist()]
    found = forecast_pay(FLORIDA, SO_FAR, n + rest, lower=92.0, known_sd=known)
    low, middle, high = np.quantile(factors, [0.1, 0.5, 0.9])
    assert found.low_factor == pytest.approx(low, abs=0.02)
    assert found.middle_factor == pytest.approx(middle, abs=0.01)
    assert found.high_factor == pytest.approx(high, abs=0.005)
    assert found.expected == pytest.approx(np.mean(factors), abs=0.005)
    assert found.full == pytest.approx(np.mean(np.array(factors) >= 1.0), abs=0.04)


@pytest.mark.parametrize(
    ("so_far", "planned"), [(3, 5), pytest.param(5, 10, marks=pytest.mark.long)]
)
def test_eight_lots_in_ten_end_in_the_range(so_far: int, planned: int) -> None:
    """300 lots of true work: what is paid at the end lies in the range forecast before. A factor
    that many ways share, such as the cap, counts as inside."""
    rng = np.random.default_rng(5)
    inside = 0
    for lot in rng.normal(93.0, 1.0, (300, planned)).tolist():
        seen = forecast_pay(FLORIDA, lot[:so_far], planned, lower=92.0)
        paid = pay_factor(FLORIDA, lot, lower=92.0).factor
        inside += seen.low_factor <= paid <= seen.high_factor
    assert 0.77 <= inside / 300 <= 0.90


def test_one_result_where_the_spread_is_known() -> None:
    found = forecast_pay(WASHINGTON, [93.5], 5, known_sd=0.8)
    poor = forecast_pay(WASHINGTON, [91.0], 5, known_sd=0.8)
    assert found.expected > poor.expected
    assert found.rejected < poor.rejected
    assert forecast_pay(FLORIDA, [93.0, 93.0], 5, lower=92.0, known_sd=0.5).expected > 1.0


def test_the_next_results_that_bring_a_factor() -> None:
    ((low, high),) = next_results(FLORIDA, SO_FAR, 1.0, 85.0, 105.0, lower=92.0)
    for result, enough in ((low - 0.01, False), (low + 0.01, True), (high - 0.01, True),
                           (high + 0.01, False)):  # fmt: skip
        factor = pay_factor(FLORIDA, [*SO_FAR, result], lower=92.0).factor
        assert (factor >= 1.0) is enough


def test_no_next_result_brings_it_or_every_one_does() -> None:
    assert next_results(FLORIDA, [80.0, 81.0, 80.5], 1.0, 85.0, 100.0, lower=92.0) == ()
    assert next_results(FLORIDA, SO_FAR, 0.6, 92.0, 94.0, lower=92.0) == ((92.0, 94.0),)


def test_the_same_result_once_more_brings_nothing() -> None:
    found = next_results(FLORIDA, [93.0, 93.0], 1.0, 92.0, 94.0, lower=91.0)
    assert [(round(a, 2), round(b, 2)) for a, b in found] == [(92.0, 93.0), (93.0, 94.0)]


def test_a_curve_is_what_lots_are_paid() -> None:
    """By SciPy: an unbiased estimate on a straight line is paid what the true percentage asks."""
    curve = pay_curve(FLORIDA, 5, [92.0, 93.0, 94.0], 1.0, lower=92.0)
    assert curve.finished
    for point in curve.points:
        true = 100.0 * stats.norm.sf(92.0, point.mean, 1.0)
        assert point.within_pct == pytest.approx(true)
        assert point.expected == pytest.approx(0.55 + true / 200.0, abs=0.006)
        assert point.low_factor <= point.expected <= point.high_factor


def test_a_curve_rises_with_the_work() -> None:
    means = [90.0 + k / 10 for k in range(50)]
    points = pay_curve(WASHINGTON, 5, means, 1.0, lots=500).points
    expected = [point.expected for point in points]
    assert expected == sorted(expected)
    assert [p.rejected for p in points] == sorted([p.rejected for p in points], reverse=True)
    assert [p.full for p in points] == sorted([p.full for p in points])
    assert points[0].rejected > 0.9
    assert points[-1].full > 0.9


def test_a_curve_of_deviations_has_no_percentage() -> None:
    schedule = pay_schedule("corps-voids")
    good, poor = pay_curve(schedule, 4, [4.0, 6.0], 0.3, lots=200).points
    assert good.within_pct is None
    assert good.expected == pytest.approx(1.0, abs=0.01)
    assert poor.rejected == 1.0
    assert pay_curve(schedule, 4, [4.0], 0.3, lots=200).points[0] == good


def test_long_work_tells_how_far_it_is_and_can_be_stopped() -> None:
    told: list[tuple[int, int]] = []

    def progress(done: int, of: int) -> bool:
        told.append((done, of))
        return done < 3

    curve = pay_curve(FLORIDA, 5, [92.0] * 6, 1.0, lower=92.0, lots=100, progress=progress)
    assert told == [(1, 6), (2, 6), (3, 6)]
    assert len(curve.points) == 3
    assert not curve.finished
    whole = pay_curve(FLORIDA, 5, [92.0], 1.0, lower=92.0, lots=100, progress=lambda _, __: True)
    assert whole.finished


@pytest.mark.parametrize(("lower", "upper"), [(92.0, None), (None, 97.0), (92.0, 97.0)])
def test_the_mean_of_work_that_is_within_by_so_much(
    lower: float | None, upper: float | None
) -> None:
    """By SciPy: the normal distribution has as much between the limits as was asked for."""
    mean = mean_within(80.0, 1.2, lower, upper)
    above = stats.norm.cdf(math.inf if upper is None else upper, mean, 1.2)
    below = stats.norm.cdf(-math.inf if lower is None else lower, mean, 1.2)
    assert 100.0 * (above - below) == pytest.approx(80.0, abs=1e-9)
    assert mean <= 94.5 or upper is None or lower is None


def test_another_seed_gives_other_lots() -> None:
    one, other = (
        pay_curve(FLORIDA, 5, [92.0], 1.0, lower=92.0, lots=100, seed=seed * 64).points[0]
        for seed in ("1", "2")
    )
    assert one != other


@pytest.mark.parametrize(
    ("call", "error", "says"),
    [
        (lambda: forecast_pay(FLORIDA, [93.0], 5, lower=92.0), OutOfRange, "it takes 2"),
        (lambda: forecast_pay(FLORIDA, [], 5, lower=92.0), OutOfRange, "it takes 2"),
        (lambda: forecast_pay(FLORIDA, [93.0] * 3, 5, lower=92.0), OutOfRange, "no spread"),
        (lambda: forecast_pay(FLORIDA, [93.0] * 3, 3, lower=92.0), OutOfRange, "no spread"),
        (lambda: forecast_pay(FLORIDA, SO_FAR, 2, lower=92.0), OutOfRange, "planned is 2"),
        (lambda: forecast_pay(FLORIDA, SO_FAR, 101, lower=92.0), OutOfRange, "planned is 101"),
        (lambda: forecast_pay(FLORIDA, SO_FAR, 5), Refused, "there must be a lower limit"),
        (lambda: forecast_pay(FLORIDA, SO_FAR, 5, 92.0, known_sd=0.0), OutOfRange, "known_sd is 0"),
        (lambda: next_results(FLORIDA, SO_FAR, 3.0, 88.0, 98.0, 92.0), OutOfRange, "factor is 3"),
        (lambda: next_results(FLORIDA, SO_FAR, 1.0, 98.0, 88.0, 92.0), OutOfRange, "least is 98"),
        (lambda: next_results(FLORIDA, [], 1.0, 88.0, 98.0, 92.0), OutOfRange, "0 results"),
        (lambda: next_results(FLORIDA, [93.0], 1.0, 88.0, 98.0, 92.0), OutOfRange, "is for 3"),
        (lambda: pay_curve(FLORIDA, 0, [92.0], 1.0, 92.0), OutOfRange, "n is 0"),
        (lambda: pay_curve(FLORIDA, 2, [92.0], 1.0, 92.0), OutOfRange, "is for 3"),
        (lambda: pay_curve(FLORIDA, 5, [], 1.0, 92.0), OutOfRange, "means is 0"),
        (lambda: pay_curve(FLORIDA, 5, [float("nan")], 1.0, 92.0), OutOfRange, "means is nan"),
        (lambda: pay_curve(FLORIDA, 5, [92.0], 0.0, 92.0), OutOfRange, "sd is 0"),
        (lambda: pay_curve(FLORIDA, 5, [92.0], 1.0, 92.0, lots=5), OutOfRange, "lots is 5"),
        (lambda: pay_curve(FLORIDA, 5, [92.0], 1.0, 92.0, seed="x"), Refused, "seed is “x”"),
    ],
)  # fmt: skip
def test_what_is_refused(call: Callable[[], object], error: type[MatbookError], says: str) -> None:
    with pytest.raises(error) as refusal:
        call()
    assert says in str(refusal.value)
