"""Ranges of percent within limits: the exact ones, their coverage, and the estimate's bias.

The simulations here are held to the figures that docs/trust.md says.
"""

from collections.abc import Callable, Iterator
from math import sqrt
from statistics import NormalDist

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import integrate, optimize, stats

from matbook.engine.quality import pwl
from matbook.engine.quality_range import likelihood, phi, pwl_range, true_percent
from matbook.errors import MatbookError, OutOfRange, Refused

GOOD = [92.4, 93.1, 91.2, 92.8, 91.9]
NORMAL = NormalDist()


def by_noncentral_t(values: list[float], lower: float, tail: float) -> float:
    """The exact end of a range for one limit, by SciPy [%]."""
    n = len(values)
    t = sqrt(n) * (np.mean(values) - lower) / np.std(values, ddof=1)
    d = optimize.brentq(lambda d: stats.nct.sf(t, n - 1, d * sqrt(n)) - tail, -6.0, 8.0)
    return float(100.0 * stats.norm.cdf(d))


@pytest.mark.parametrize("n", [3, 4, 5, 8, 15, 40, 200])
@pytest.mark.parametrize("confidence", [0.8, 0.95, 0.99])
def test_one_limit_is_exact(n: int, confidence: float) -> None:
    rng = np.random.default_rng(n)
    for lower in (91.5, 92.5, 93.5):
        values = rng.normal(93.0, 1.0, n).tolist()
        found = pwl_range(values, lower, confidence=confidence)
        tail = (1.0 - confidence) / 2.0
        low, high = (by_noncentral_t(values, lower, t) for t in (tail, 1.0 - tail))
        assert found.low_pct == pytest.approx(low, abs=1e-3)
        assert found.high_pct == pytest.approx(high, abs=1e-3)
        assert found.estimate_pct == pwl(values, lower)
        assert found.confidence == confidence


def test_an_upper_limit_is_the_same_turned_over() -> None:
    turned = pwl_range([-value for value in GOOD], upper=-92.0)
    assert turned == pwl_range(GOOD, 92.0)


def test_a_limit_far_away_only_lifts_the_upper_end() -> None:
    one, both = pwl_range(GOOD, 92.0), pwl_range(GOOD, 92.0, 1e6)
    assert both.low_pct == pytest.approx(one.low_pct, abs=1e-3)
    assert both.estimate_pct == pytest.approx(one.estimate_pct)
    assert one.high_pct < both.high_pct < one.high_pct + 3.0


@pytest.mark.parametrize("n", [4, 5, 10])
def test_two_limits_are_as_many_random_lots_have_it(n: int) -> None:
    """The same ends by two hundred thousand random pairs of spread and mean."""
    rng = np.random.default_rng(10 + n)
    values = rng.normal(93.4, 1.1, n)
    sd = values.std(ddof=1) / np.sqrt(rng.chisquare(n - 1, 200_000) / (n - 1))
    mean = values.mean() + rng.normal(size=200_000) * sd / sqrt(n)

    def inside(means: NDArray[np.float64]) -> NDArray[np.float64]:
        below, above = stats.norm.cdf((92.0 - means) / sd), stats.norm.sf((95.0 - means) / sd)
        return 100.0 * np.asarray(1.0 - below - above)

    off = values.mean() - 93.5
    inwards = 93.5 + np.sign(off) * np.maximum(0.0, abs(off) - abs(mean - values.mean()))
    found = pwl_range(values.tolist(), 92.0, 95.0)
    low, high = np.quantile(inside(mean), 0.025), np.quantile(inside(inwards), 0.975)
    assert found.low_pct == pytest.approx(low, abs=0.4)
    assert found.high_pct == pytest.approx(high, abs=0.4)


@pytest.mark.parametrize("n", [2, 3, 10, 1_000])
def test_the_likelihood_is_that_of_chi_squared(n: int) -> None:
    made = likelihood(n)
    total, _ = integrate.quad(made.at, made.start, made.end)
    assert total == pytest.approx(1.0, abs=1e-6)
    below, _ = integrate.quad(made.at, made.start, 0.0)
    assert below == pytest.approx(stats.chi2.cdf(n - 1, n - 1), abs=1e-6)


def lots(n: int, true: float, count: int, seed: int) -> Iterator[list[float]]:
    """Lots with a true percentage above 0, spread 1."""
    rng = np.random.default_rng(seed)
    yield from rng.normal(NORMAL.inv_cdf(true / 100.0), 1.0, (count, n)).tolist()


@pytest.mark.parametrize(
    ("count", "within"), [(4_000, 0.45), pytest.param(20_000, 0.2, marks=pytest.mark.long)]
)
@pytest.mark.parametrize("n", [3, 5, 10])
@pytest.mark.parametrize("true", [60.0, 80.0, 90.0, 97.0])
def test_the_estimate_has_no_bias(n: int, true: float, count: int, within: float) -> None:
    """So many lots each: the mean estimate is the truth, within three of its standard errors."""
    found = [pwl(values, 0.0) for values in lots(n, true, count, 7)]
    error = np.std(found) / sqrt(len(found))
    assert abs(np.mean(found) - true) < 3.0 * error
    assert error < within


RARER = ((3, 90.0), (5, 70.0), (5, 98.0), (10, 90.0))
COVERED_ONE = (0.94, 0.96)
COVERED_BOTH = (0.92, 0.97)
"""Shares of 95 % ranges that hold the truth; docs/trust.md says them."""


@pytest.mark.parametrize(
    ("n", "true"),
    [
        (5, 90.0),
        *(pytest.param(n, true, marks=pytest.mark.long) for n, true in RARER),
    ],
)
def test_ranges_for_one_limit_cover_as_they_say(n: int, true: float) -> None:
    """2,000 lots each; chance alone moves the share by 0.005."""
    ranges = [pwl_range(values, 0.0) for values in lots(n, true, 2_000, 11)]
    covered = len([r for r in ranges if r.low_pct <= true <= r.high_pct]) / len(ranges)
    assert COVERED_ONE[0] <= covered <= COVERED_ONE[1]


@pytest.mark.long
@pytest.mark.parametrize("n", [3, 5, 10])
@pytest.mark.parametrize(("mean", "width"), [(0.0, 3.0), (0.0, 5.0), (0.7, 4.0)])
def test_ranges_for_two_limits_cover_nearly_as_they_say(n: int, mean: float, width: float) -> None:
    """1,000 lots each, in the middle and to one side."""
    rng = np.random.default_rng(13)
    lower, upper = -width / 2.0, width / 2.0
    true = true_percent(mean, 1.0, lower, upper)
    found = [
        pwl_range(values, lower, upper) for values in rng.normal(mean, 1.0, (1_000, n)).tolist()
    ]
    covered = len([r for r in found if r.low_pct <= true <= r.high_pct]) / len(found)
    assert COVERED_BOTH[0] <= covered <= COVERED_BOTH[1]


def test_what_a_lot_truly_has() -> None:
    assert true_percent(93.0, 0.8, 92.0, None) == pytest.approx(
        100.0 * stats.norm.sf(92.0, 93.0, 0.8)
    )
    assert true_percent(93.0, 0.8, 92.0, 94.5) == pytest.approx(
        100.0 * (stats.norm.cdf(94.5, 93.0, 0.8) - stats.norm.cdf(92.0, 93.0, 0.8))
    )
    assert true_percent(93.0, 0.8, None, 94.5) == pytest.approx(
        100.0 * stats.norm.cdf(94.5, 93.0, 0.8)
    )
    assert phi(-30.0) == pytest.approx(stats.norm.cdf(-30.0), rel=1e-9)


def test_a_lot_far_from_its_limits_has_an_end_at_the_end() -> None:
    poor = pwl_range([1.0, 2.0, 3.0], 1e6)
    assert poor.low_pct == pytest.approx(0.0)
    assert poor.estimate_pct == 0.0
    rich = pwl_range([1.0, 2.0, 3.0], -1e6)
    assert rich.high_pct == pytest.approx(100.0)
    assert rich.estimate_pct == 100.0
    narrow = pwl_range([1.0, 2.0, 3.0], 1.999, 2.001)
    assert narrow.low_pct == pytest.approx(0.0, abs=0.01)
    assert narrow.high_pct < 1.0


@pytest.mark.parametrize(
    ("call", "error", "says"),
    [
        (lambda: pwl_range([92.0, 93.0], 92.0), OutOfRange, "it takes 3"),
        (lambda: pwl_range([92.0] * 4, 92.0), OutOfRange, "no spread"),
        (lambda: pwl_range(GOOD), Refused, "there must be a lower limit"),
        (lambda: pwl_range(GOOD, 95.0, 92.0), OutOfRange, "must be below the upper"),
        (lambda: pwl_range(GOOD, 92.0, confidence=1.0), OutOfRange, "confidence is 1"),
        (lambda: true_percent(93.0, 0.0, 92.0, None), OutOfRange, "sd is 0"),
        (lambda: likelihood(1), OutOfRange, "n is 1"),
    ],
)
def test_what_is_refused(call: Callable[[], object], error: type[MatbookError], says: str) -> None:
    with pytest.raises(error) as refusal:
        call()
    assert says in str(refusal.value)
