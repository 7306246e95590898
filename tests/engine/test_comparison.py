"""Comparisons against SciPy and statsmodels over drawn samples; what is refused."""

from collections.abc import Callable, Sequence
from math import inf, nan, sqrt

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from scipy import stats
from statsmodels.stats.weightstats import CompareMeans, DescrStatsW

from matbook.engine.comparison import (
    compare_means,
    compare_variances,
    difference_limit,
    outlier,
    paired,
)
from matbook.errors import MatbookError, OutOfRange, Refused

RESULT = st.integers(-9_999, 9_999).map(lambda hundredths: hundredths / 100)
RESULTS = st.lists(RESULT, min_size=2, max_size=30)
ALPHA = st.sampled_from([0.005, 0.01, 0.05, 0.2])


def spread(*sides: Sequence[float]) -> bool:
    return all(len(set(side)) > 1 for side in sides)


@given(RESULTS, RESULTS, ALPHA)
def test_variances(a: list[float], b: list[float], alpha: float) -> None:
    assume(spread(a, b))
    found = compare_variances(a, b, alpha)
    ratio = stats.tvar(a) / stats.tvar(b)
    df = (len(a) - 1, len(b) - 1) if ratio >= 1.0 else (len(b) - 1, len(a) - 1)
    assert found.statistic == pytest.approx(max(ratio, 1.0 / ratio), rel=1e-9)
    assert found.p == pytest.approx(min(1.0, 2.0 * stats.f.sf(found.statistic, *df)), rel=1e-7)
    assert found.critical == pytest.approx(stats.f.isf(alpha / 2.0, *df), rel=1e-8)
    assert found.differ == (found.statistic > found.critical)


@given(RESULTS, RESULTS, ALPHA, st.booleans())
def test_means(a: list[float], b: list[float], alpha: float, equal: bool) -> None:
    assume(spread(a, b))
    found = compare_means(a, b, alpha, equal)
    exact = stats.ttest_ind(a, b, equal_var=equal)
    assert found.statistic == pytest.approx(abs(exact.statistic), rel=1e-8, abs=1e-12)
    assert found.df[0] == pytest.approx(exact.df, rel=1e-9)
    assert found.p == pytest.approx(exact.pvalue, rel=1e-6)
    by = CompareMeans(DescrStatsW(a), DescrStatsW(b))
    statistic, p, df = by.ttest_ind(usevar="pooled" if equal else "unequal")
    assert found.statistic == pytest.approx(abs(statistic), rel=1e-8, abs=1e-12)
    assert found.p == pytest.approx(p, rel=1e-6)
    assert found.df[0] == pytest.approx(df, rel=1e-9)
    low, high = by.tconfint_diff(alpha, usevar="pooled" if equal else "unequal")
    assume(abs(found.statistic - found.critical) > 1e-6)
    assert found.differ == (low > 0.0 or high < 0.0)


@given(st.lists(st.tuples(RESULT, RESULT), min_size=2, max_size=30), ALPHA)
def test_pairs(pairs: list[tuple[float, float]], alpha: float) -> None:
    a, b = [x for x, _ in pairs], [y for _, y in pairs]
    assume(len({round(x - y, 6) for x, y in pairs}) > 1)
    found, exact = paired(a, b, alpha), stats.ttest_rel(a, b)
    assert found.statistic == pytest.approx(abs(exact.statistic), rel=1e-7, abs=1e-9)
    assert found.p == pytest.approx(exact.pvalue, rel=1e-6)
    assert found.differ == (found.p < alpha)


@given(st.lists(RESULT, min_size=3, max_size=30), ALPHA, st.sampled_from([1, 2]))
def test_outliers(values: list[float], alpha: float, sides: int) -> None:
    assume(spread(values))
    found, n = outlier(values, alpha, sides), len(values)
    far = max(abs(value - stats.tmean(values)) for value in values) / stats.tstd(values)
    t = stats.t.isf(alpha / (sides * n), n - 2)
    limit = (n - 1) / sqrt(n) * sqrt(t * t / (n - 2 + t * t))
    assert found.statistic == pytest.approx(far, rel=1e-9)
    assert found.critical == pytest.approx(limit, rel=1e-9)
    assert values[found.place] == found.value
    assume(abs(found.statistic - limit) > 1e-6)
    assert found.differ == (found.statistic > limit)
    assert found.differ == (found.p < alpha)


def test_an_outlier_beside_equal_results() -> None:
    found = outlier([92.0] * 9 + [80.0], 0.01, 2)
    assert found.statistic == pytest.approx(9.0 / sqrt(10.0))
    assert found.p == pytest.approx(0.0, abs=1e-9)
    assert found.value == 80.0


def test_one_side_may_be_all_the_same_for_means() -> None:
    found = compare_means([6.0, 6.0], [5.0, 5.5, 6.0], 0.05, False)
    assert found.df[0] == pytest.approx(2.0)


def test_two_results_on_one_sample() -> None:
    """1.960 sqrt(2) is about 2.8."""
    assert difference_limit(1.0) == pytest.approx(2.772, abs=5e-4)


GOOD, SAME = [6.0, 6.1, 6.3], [6.0, 6.0, 6.0]


@pytest.mark.parametrize(
    ("call", "error", "field"),
    [
        (lambda: compare_variances([6.0], GOOD, 0.05), OutOfRange, "a"),
        (lambda: compare_variances(GOOD, [], 0.05), OutOfRange, "b"),
        (lambda: compare_variances(SAME, GOOD, 0.05), OutOfRange, "a"),
        (lambda: compare_variances(GOOD, SAME, 0.05), OutOfRange, "b"),
        (lambda: compare_variances(GOOD, GOOD, 0.0), OutOfRange, "alpha"),
        (lambda: compare_means(GOOD, [nan, 6.0], 0.05, True), OutOfRange, "b"),
        (lambda: compare_means(SAME, SAME, 0.05, True), OutOfRange, "a"),
        (lambda: compare_means(GOOD, GOOD, 0.05, False, "newer"), Refused, "df"),
        (lambda: paired(GOOD, GOOD[:2], 0.05), OutOfRange, "b"),
        (lambda: paired(GOOD, [x - 0.3 for x in GOOD], 0.05), OutOfRange, "differences"),
        (lambda: paired([1.0], [1.0], 0.05), OutOfRange, "differences"),
        (lambda: outlier([1.0, 2.0], 0.05), OutOfRange, "values"),
        (lambda: outlier(SAME, 0.05), OutOfRange, "values"),
        (lambda: outlier(GOOD, 0.05, 3), OutOfRange, "sides"),
        (lambda: outlier([inf, 1.0, 2.0], 0.05), OutOfRange, "values"),
        (lambda: difference_limit(0.0), OutOfRange, "sd"),
    ],
)
def test_what_is_refused(call: Callable[[], object], error: type[MatbookError], field: str) -> None:
    with pytest.raises(error) as refusal:
        call()
    assert isinstance(refusal.value, Refused)
    assert refusal.value.field == field
