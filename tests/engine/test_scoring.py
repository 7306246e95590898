"""Shares and ranges that keep score of forecasts, against SciPy."""

from collections.abc import Callable
from math import nan

import pytest
from scipy.stats import binomtest, norm

from matbook.engine.scoring import share_range, ten_to_ninety
from matbook.errors import OutOfRange


@pytest.mark.parametrize("count", [1, 2, 7, 10, 40, 300])
def test_the_range_of_a_share_is_scipys(count: int) -> None:
    for inside in {0, 1, count // 2, (4 * count) // 5, count}:
        low, high = share_range(inside, count)
        theirs = binomtest(inside, count).proportion_ci(0.95, method="wilson")
        assert (low, high) == pytest.approx((theirs.low, theirs.high), abs=1e-9)


def test_eight_in_ten_lie_between() -> None:
    low, high = ten_to_ninety(112.0, 4.5)
    assert norm.cdf(high, 112.0, 4.5) - norm.cdf(low, 112.0, 4.5) == pytest.approx(0.8)
    assert ten_to_ninety(112.0, 0.0) == (112.0, 112.0)


REFUSED: list[tuple[Callable[[], object], str]] = [
    (lambda: share_range(0, 0), "count"),
    (lambda: share_range(3, 2), "inside"),
    (lambda: share_range(-1, 2), "inside"),
    (lambda: ten_to_ninety(nan, 1.0), "middle_c"),
    (lambda: ten_to_ninety(100.0, -1.0), "spread_k"),
]


@pytest.mark.parametrize(("act", "name"), REFUSED)
def test_refused_with_a_sentence(act: Callable[[], object], name: str) -> None:
    with pytest.raises(OutOfRange) as caught:
        act()
    assert caught.value.field == name
