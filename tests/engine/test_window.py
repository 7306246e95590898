"""The least that works and the latest start: against trying everything."""

from math import inf, isinf

import pytest
from hypothesis import given
from hypothesis import strategies as st

from matbook.engine.window import latest_start, least_that_works
from matbook.errors import OutOfRange


@given(st.integers(-5, 40), st.integers(1, 30))
def test_the_least_that_works_is_the_first_that_does(needed: int, steps: int) -> None:
    tried = [0.5 * n for n in range(steps + 1)]
    first = next((one for one in tried if one >= needed), inf)
    assert least_that_works(lambda one: one >= needed, 0.0, 0.5 * steps, 0.5) == first


def test_it_asks_a_dozen_times_and_not_for_everything() -> None:
    asked: list[float] = []

    def works(one: float) -> bool:
        asked.append(one)
        return one > 700.0

    assert least_that_works(works, 0.0, 1000.0, 1.0) == 701.0
    assert len(asked) <= 12


@pytest.mark.parametrize(
    ("low", "high", "step"), [(1.0, 1.0, 0.1), (2.0, 1.0, 0.1), (0.0, 1.0, 0.0), (0.0, 1e9, 0.1)]
)
def test_steps_that_lead_nowhere_are_refused(low: float, high: float, step: float) -> None:
    with pytest.raises(OutOfRange):
        least_that_works(lambda _: True, low, high, step)


# between starts the time changes evenly, so s + takes(s) is a straight line from start to start


def test_the_latest_start_lies_where_the_end_is_just_in_time() -> None:
    starts, takes = [0.0, 3600.0, 7200.0], [1800.0, 3600.0, 9000.0]
    found = latest_start(starts, takes, 9000.0)
    assert 3600.0 < found < 7200.0
    share = (found - 3600.0) / 3600.0
    assert found + 3600.0 + share * 5400.0 == pytest.approx(9000.0)


@pytest.mark.parametrize(
    ("takes", "by", "found"),
    [
        ([1800.0, 3600.0], 1799.0, -inf),
        ([1800.0, 3600.0], 1800.0, 0.0),
        ([1800.0, 3600.0], 7200.0, 3600.0),
        ([1800.0, inf], 9000.0, 0.0),
        ([inf, 1800.0], 5400.0, 3600.0),
        ([inf, inf], 1e9, -inf),
    ],
)
def test_the_latest_start_at_the_edges(takes: list[float], by: float, found: float) -> None:
    assert latest_start([0.0, 3600.0], takes, by) == found
    assert not isinf(found) or found < 0


@pytest.mark.parametrize(
    ("starts", "takes"), [([0.0], [1.0]), ([0.0, 1.0], [1.0]), ([1.0, 1.0], [1.0, 1.0])]
)
def test_starts_that_do_not_rise_are_refused(starts: list[float], takes: list[float]) -> None:
    with pytest.raises(OutOfRange, match="starts_s"):
        latest_start(starts, takes, 5.0)
