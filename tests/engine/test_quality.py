"""Percent within limits against SciPy over wide ranges, its tables and what is refused."""

from collections.abc import Callable
from math import inf, nan, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import special, stats

from matbook.engine.many_lots import percents_within_limits, pwl_of_lots
from matbook.engine.quality import (
    check_limits,
    convention,
    conventions,
    percent_within_limits,
    pwl,
    quality_for,
    quality_index,
    within_both,
)
from matbook.engine.samples import mean_range, sample, spread_out
from matbook.errors import MatbookError, NotFound, OutOfRange, Refused

GOOD = [92.4, 93.1, 91.2, 92.8, 91.9]
RESULTS = st.lists(st.floats(80.0, 100.0), min_size=3, max_size=40).filter(
    lambda values: max(values) - min(values) > 1e-3
)


LAST_BITS = 1e-15


def by_scipy(q: float, n: int) -> float:
    x = min(1.0, max(0.0, 0.5 - q * sqrt(n) / (2.0 * (n - 1))))
    return float(100.0 * (1.0 - special.betainc(n / 2 - 1, n / 2 - 1, x)))


@given(st.floats(-60.0, 60.0), st.integers(3, 10_000))
def test_the_closed_form_is_the_beta_distribution(q: float, n: int) -> None:
    assert percent_within_limits(q, n) == pytest.approx(by_scipy(q, n), abs=2e-11)


@given(st.floats(-3.0, 3.0), st.integers(3, 60))
def test_a_small_lot_to_the_last_digits(q: float, n: int) -> None:
    assert percent_within_limits(q, n) == pytest.approx(by_scipy(q, n), abs=5e-13)
    assert percent_within_limits(-q, n) == pytest.approx(100.0 - percent_within_limits(q, n))


@given(st.lists(st.floats(-4.0, 4.0), max_size=20), st.integers(3, 300))
def test_many_lots_at_once(indices: list[float], n: int) -> None:
    found = percents_within_limits(indices, n)
    assert found == pytest.approx([percent_within_limits(q, n) for q in indices], abs=1e-12)


@given(st.lists(RESULTS, max_size=8), st.sampled_from([(90.0, None), (None, 95.0), (88.0, 95.0)]))
def test_many_lots_of_any_size(
    lots: list[list[float]], limits: tuple[float | None, float | None]
) -> None:
    found = pwl_of_lots(lots, *limits)
    assert found == pytest.approx([pwl(values, *limits) for values in lots], abs=1e-11)


@given(st.floats(0.0, 100.0), st.integers(3, 300))
def test_the_form_turned_round(percent: float, n: int) -> None:
    assert percent_within_limits(quality_for(percent, n), n) == pytest.approx(percent, abs=1e-9)


@given(RESULTS, st.floats(80.0, 100.0), st.floats(0.01, 10.0))
def test_two_limits_add_up(values: list[float], lower: float, width: float) -> None:
    upper = lower + width
    one, other = pwl(values, lower), pwl(values, upper=upper)
    assert pwl(values, lower, upper) == pytest.approx(max(0.0, one + other - 100.0), abs=1e-9)
    n = len(values)
    for found, limit, side in ((one, lower, "lower"), (other, upper, "upper")):
        q = quality_index(values, limit, side)
        # three results with one of them at the limit: the law is so steep there that the last
        # bit of Q moves the eighth digit of the percentage
        least, most = (by_scipy(q + by * abs(q), n) for by in (-LAST_BITS, LAST_BITS))
        assert least - 1e-9 <= found <= most + 1e-9
    assert within_both(sample(values), lower, upper) == pwl(values, lower, upper)


@given(st.lists(st.floats(80.0, 100.0), min_size=2, max_size=12, unique=True))
def test_the_range_of_a_mean_against_scipy(values: list[float]) -> None:
    error = stats.sem(values)
    wanted = stats.t.interval(0.95, len(values) - 1, sample(values).mean, error)
    assert mean_range(values) == pytest.approx(wanted, rel=1e-9)


@pytest.mark.parametrize("name", conventions())
@pytest.mark.parametrize("n", [3, 4, 5, 9, 10])
def test_a_table_gives_whole_percents_not_below_the_exact(name: str, n: int) -> None:
    below = convention(name).below
    for q in [k / 50 for k in range(-150, 151)]:
        found, exact = percent_within_limits(q, n, name), percent_within_limits(q, n)
        assert found == round(found)
        assert 0.0 <= found <= 100.0
        # one row, by how much it is entered lower, and what its printed digits hide
        assert abs(found - exact) <= 1.0 + below + 1.2


def test_a_table_groups_its_n() -> None:
    assert percent_within_limits(0.6, 11, "fhwa-t5080") == percent_within_limits(
        0.6, 10, "fhwa-t5080"
    )
    assert percent_within_limits(1e3, 500, "half-percent") == 100.0
    assert percent_within_limits(-1e3, 500, "half-percent") == 0.0
    assert percent_within_limits(0.0, 5, "fhwa-t5080") == 50.0


def test_results_of_one() -> None:
    assert sample([92.0]) == ([92.0], 1, 92.0, 0.0)
    assert not sample([92.0, 92.0]).spreads


@pytest.mark.parametrize(
    ("call", "error", "says"),
    [
        (lambda: pwl([92.0, 93.0], 92.0), OutOfRange, "values is “2 results”; it takes 3"),
        (lambda: pwl([92.0], 92.0), OutOfRange, "values is “1 results”"),
        (lambda: pwl([92.0] * 5, 92.0), OutOfRange, "all the same have no spread"),
        (lambda: pwl([92.1 + 0.2 - 0.2, 92.1, 92.1], 92.0), OutOfRange, "no spread"),
        (lambda: pwl([92.0, nan, 93.0], 92.0), OutOfRange, "every result must be a number"),
        (lambda: pwl([92.0, inf, 93.0], 92.0), OutOfRange, "every result must be a number"),
        (lambda: pwl(GOOD), Refused, "there must be a lower limit, an upper limit or both"),
        (lambda: pwl(GOOD, 97.0, 92.0), OutOfRange, "the lower limit must be below the upper, 92"),
        (lambda: pwl(GOOD, 92.0, 92.0), OutOfRange, "must be below the upper"),
        (lambda: pwl(GOOD, nan), OutOfRange, "lower is nan; it must be a number"),
        (lambda: pwl(GOOD, upper=nan), OutOfRange, "upper is nan; it must be a number"),
        (lambda: pwl(GOOD, 92.0, convention="own"), NotFound, "There is no table “own”"),
        (lambda: convention("own"), NotFound, "fhwa-t5080"),
        (lambda: quality_index(GOOD, 92.0, "left"), Refused, "lower or upper"),
        (lambda: quality_index(GOOD, nan, "lower"), OutOfRange, "limit is nan"),
        (lambda: percent_within_limits(1.0, 2), OutOfRange, "it takes 3 to 10,000"),
        (lambda: percent_within_limits(1.0, 10_001), OutOfRange, "it takes 3 to 10,000"),
        (lambda: percent_within_limits(nan, 5), OutOfRange, "q is nan; it must be a number"),
        (lambda: percent_within_limits(nan, 5, "fhwa-t5080"), OutOfRange, "q is nan"),
        (lambda: percent_within_limits(1.0, 11, "faa-item-110"), OutOfRange, "3 to 10 results"),
        (lambda: pwl_of_lots([GOOD, [92.0, 93.0]], 92.0), OutOfRange, "lots is “2 results”"),
        (lambda: pwl_of_lots([GOOD, [92.0] * 3], 92.0), OutOfRange, "no spread"),
        (lambda: pwl_of_lots([GOOD]), Refused, "there must be a lower limit"),
        (lambda: percents_within_limits([1.0, nan], 5), OutOfRange, "each must be a number"),
        (lambda: percents_within_limits([1.0], 2), OutOfRange, "it takes 3"),
        (lambda: quality_for(101.0, 5), OutOfRange, "within_pct is 101"),
        (lambda: quality_for(50.0, 2), OutOfRange, "it takes 3"),
        (lambda: check_limits(None, None), Refused, "lower limit"),
        (lambda: sample([]), OutOfRange, "it takes 1 to 10,000"),
        (lambda: spread_out([5.0], 2, "cores"), OutOfRange, "cores is “1 results”"),
    ],
)
def test_what_is_refused(call: Callable[[], object], error: type[MatbookError], says: str) -> None:
    with pytest.raises(error) as refusal:
        call()
    assert says in str(refusal.value)
