"""Pay within a lot: every kind of schedule, factors put together, and what is refused."""

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from matbook.engine.acceptance import (
    PaySchedule,
    composite,
    composite_of,
    curve_points,
    event_deduction,
    few_tests_factor,
    joint_weighted,
    pay_composite,
    pay_factor,
    pay_schedule,
    price_adjustment,
    project_factors,
    pwl,
    read_schedule,
)
from matbook.errors import MatbookError, OutOfRange, Refused

GOOD = [92.4, 93.1, 91.2, 92.8, 91.9]
ABOUT = 'title = "T"\nsource = "S"\nedition = ""\nstanding = "read"\n'


def made(text: str) -> PaySchedule:
    found = read_schedule(ABOUT + text, "mine")
    assert isinstance(found, PaySchedule)
    return found


STEPS = made(
    'measure = "mean"\nplaces = 1\nreject_below = 0.5\nleft_in_place = 0.3\n'
    "groups = [{ from = 1, bands = [{ to = 90.9, factor = 0.4 }, "
    "{ from = 91.0, to = 91.9, factor = 0.9 }, { from = 92.0, factor = 1.0 }] }]"
)


def test_every_step_is_kept() -> None:
    found = pay_factor(pay_schedule("florida-percent"), GOOD, lower=91.5, upper=96.0)
    assert found.measured == pytest.approx(pwl(GOOD, 91.5, 96.0), rel=1e-11)
    assert found.factor == pytest.approx(0.55 + found.measured / 200.0)
    assert (found.n, found.lower, found.upper, found.target) == (5, 91.5, 96.0, None)
    assert (round(found.mean, 2), round(found.sd, 6)) == (92.28, 0.752994)
    assert (found.attempt, found.rejected) == (0, False)


def test_steps_on_the_mean_are_rounded_first() -> None:
    assert pay_factor(STEPS, [91.94, 91.94]).factor == 0.9
    assert pay_factor(STEPS, [91.96]).factor == 1.0
    # half to even: 91.95 exactly goes to 92.0, though no float is 91.95
    assert pay_factor(STEPS, [91.9, 92.0]).factor == 1.0


def test_a_factor_below_the_floor_is_rejected() -> None:
    found = pay_factor(STEPS, [90.0])
    assert (found.rejected, found.factor) == (True, 0.3)


@given(st.lists(st.floats(85.0, 99.0), min_size=3, max_size=15), st.floats(-1.0, 1.0))
def test_a_second_try_never_pays_less(values: list[float], shift: float) -> None:
    values = [value + shift for value in values]
    if max(values) - min(values) < 1e-3:
        return
    both = pay_schedule("washington-compaction")
    first = pay_factor(pay_schedule("washington-quality-level"), values, lower=92.0)
    second = pay_factor(pay_schedule("washington-quality-level"), values, lower=91.5)
    found = pay_factor(both, values)
    if first.factor >= 1.0:
        assert (found.factor, found.attempt) == (min(first.factor, 1.05), 0)
    else:
        assert (found.factor, found.attempt) == (min(second.factor, 1.00), 1)
    assert found.rejected == (first.rejected and second.rejected)


@pytest.mark.parametrize("n", [3, 4, 5, 6, 9, 10, 14, 15, 30, 69, 70, 200, 201, 500])
def test_a_blended_schedule_never_falls_as_quality_rises(n: int) -> None:
    schedule = pay_schedule("colorado-quality-level")
    factors = [schedule.curve_at(percent / 2, n).factor for percent in range(100, 181)]
    assert factors == sorted(factors)
    cap = schedule.groups[schedule.group_for(n)].cap
    assert cap is not None
    assert max(factors) <= cap


def test_deviations_with_a_target_of_ones_own() -> None:
    schedule = made(
        'measure = "mean deviation"\ngroups = [{ from = 1, bands = [{ to = 0.5, factor = 1.0 }, '
        "{ from = 0.5, factor = 0.9 }] }]"
    )
    assert pay_factor(schedule, [3.6, 4.4], target=4.0).factor == 1.0
    assert pay_factor(schedule, [3.0, 4.4], target=4.0).measured == pytest.approx(0.7)
    assert pay_factor(schedule, [3.0, 4.4], target=4.0).factor == 0.9


def test_what_just_reaches_a_step_reaches_it() -> None:
    """n = 4 at Q = 0.72: exactly 74 %, which no float sum need be."""
    schedule = pay_schedule("washington-quality-level")
    for lift in range(50):
        mean = 92.0 + lift / 7
        values = [mean - 1.0, mean + 1.0, mean - 1.0, mean + 1.0]
        sd = (4.0 / 3.0) ** 0.5
        assert pay_factor(schedule, values, lower=mean - 0.72 * sd).factor == 1.0


def test_a_curve_can_be_drawn() -> None:
    for name in ("colorado-quality-level", "faa-p-401", "washington-compaction"):
        schedule = pay_schedule(name)
        points = curve_points(schedule, 5)
        assert (points[0][0], points[-1][0]) == (0.0, 100.0)
        assert points == [(x, schedule.curve_at(x, 5).factor) for x, _ in points]
    assert len(curve_points(pay_schedule("faa-p-401"), 5)) == 101
    assert curve_points(STEPS, 2, 90.0, 92.0, 2) == [(90.0, 0.3), (91.0, 0.9), (92.0, 1.0)]


def test_money() -> None:
    schedule = pay_schedule("florida-percent")
    assert price_adjustment(schedule, 1.02, 1000.0, 90.0) == pytest.approx(1800.0)
    assert price_adjustment(schedule, 0.98, 1000.0, 90.0) == pytest.approx(-1800.0)
    assert event_deduction(0, 500.0) == 0.0


def test_factors_put_together() -> None:
    factors = {"density": 0.9, "voids": 1.0, "asphalt": 1.05}
    weights = {"density": 4.0, "voids": 3.0, "asphalt": 3.0}
    assert composite(factors, weights) == pytest.approx(0.975)
    assert composite(factors, weights, "lowest") == 0.9
    capped = read_schedule(ABOUT + 'composite = "lowest"\ncap = 1.0\nweights = { a = 1 }', "mine")
    assert not isinstance(capped, PaySchedule)
    assert composite_of(capped, {"a": 1.05}) == 1.0
    assert composite_of(capped, {"a": 0.95}) == 0.95


def test_a_joint_counts_for_no_more_than_itself() -> None:
    assert joint_weighted(0.9, 5000.0, 10.0, 30_000.0) == pytest.approx(0.9)
    assert joint_weighted(0.9, 0.0, 10.0, 30_000.0) == 1.0


FLORIDA, WASHINGTON = pay_schedule("florida-percent"), pay_schedule("washington-compaction")


@pytest.mark.parametrize(
    ("call", "error", "says"),
    [
        (lambda: pay_factor(FLORIDA, [92.0, 93.0], lower=91.0), OutOfRange, "is for 3 to 10000"),
        (lambda: pay_factor(FLORIDA, [92.0] * 5, lower=91.0), OutOfRange, "have no spread"),
        (lambda: pay_factor(FLORIDA, GOOD), Refused, "there must be a lower limit"),
        (lambda: pay_factor(FLORIDA, GOOD, lower=96.0, upper=92.0), OutOfRange, "below the upper"),
        (lambda: pay_factor(WASHINGTON, GOOD, lower=92.0), Refused, "brings its own limits"),
        (lambda: pay_factor(WASHINGTON, GOOD, upper=97.0), Refused, "brings its own limits"),
        (lambda: pay_factor(WASHINGTON, []), OutOfRange, "values is “0 results”"),
        (
            lambda: pay_factor(pay_schedule("corps-voids"), [4.0] * 4, target=4.0),
            Refused,
            "brings its own target",
        ),
        (
            lambda: pay_factor(pay_schedule("florida-density-fine"), [92.0] * 3),
            OutOfRange,
            "is for 1 to 1 and 2 to 2",
        ),
        (
            lambda: pay_factor(made('measure = "mean deviation"\ngroups = [{ from = 1, bands = '
                                    "[{ factor = 1 }] }]"), [4.0]),
            Refused,
            "takes deviations from a target",
        ),
        (lambda: pay_factor(STEPS, GOOD, target=float("nan")), OutOfRange, "target is nan"),
        (
            lambda: pay_factor(pay_schedule("faa-p-401"), [96.0, 97.0] * 6, lower=96.3),
            OutOfRange,
            "is for 3 to 10",
        ),
        (lambda: curve_points(FLORIDA, 2), OutOfRange, "is for 3 to 10000"),
        (lambda: curve_points(FLORIDA, 5, 50.0, 40.0), OutOfRange, "end is 40"),
        (lambda: curve_points(FLORIDA, 5, steps=0), OutOfRange, "steps is 0"),
        (lambda: price_adjustment(FLORIDA, 105.0, 1.0, 1.0), OutOfRange, "factor is 105"),
        (lambda: price_adjustment(FLORIDA, 1.0, -1.0, 1.0), OutOfRange, "quantity is -1"),
        (lambda: price_adjustment(FLORIDA, 1.0, 1.0, 0.0), OutOfRange, "unit_price is 0"),
        (lambda: few_tests_factor(92.0, 96.0, 92.0, 1.0), OutOfRange, "below the upper"),
        (lambda: few_tests_factor(92.0, 92.0, 96.0, 0.0), OutOfRange, "v is 0"),
        (lambda: few_tests_factor(float("inf"), 92.0, 96.0, 1.0), OutOfRange, "value is inf"),
        (lambda: composite({"a": 1.0}, {}), Refused, "factors is “a”; it has no weight"),
        (lambda: composite({}, {"a": 1.0}), Refused, "factors is “a”; it has no factor"),
        (lambda: composite({}, {}), Refused, "there must be at least one"),
        (lambda: composite({"a": 98.0}, {"a": 1.0}), OutOfRange, "a is 98"),
        (lambda: composite({"a": 0.98}, {"a": 0.0}), OutOfRange, "a is 0"),
        (lambda: composite({"a": 1.0}, {"a": 1.0}, "product"), Refused, "weighted or lowest"),
        (
            lambda: composite_of(pay_composite("corps-lot"), {"density": 1.0}),
            Refused,
            "it has no factor",
        ),
        (lambda: joint_weighted(98.0, 1.0, 1.0, 1.0), OutOfRange, "factor is 98"),
        (lambda: joint_weighted(1.0, -1.0, 1.0, 1.0), OutOfRange, "joint_m is -1"),
        (lambda: joint_weighted(1.0, 1.0, -1.0, 1.0), OutOfRange, "band_m is -1"),
        (lambda: joint_weighted(1.0, 1.0, 1.0, 0.0), OutOfRange, "lot_m2 is 0"),
        (lambda: event_deduction(-1, 500.0), OutOfRange, "events is -1"),
        (lambda: event_deduction(1, -500.0), OutOfRange, "each is -500"),
        (lambda: project_factors([]), OutOfRange, "factors is 0"),
        (lambda: project_factors([98.0]), OutOfRange, "factors is 98"),
    ],
)  # fmt: skip
def test_what_is_refused(call: Callable[[], object], error: type[MatbookError], says: str) -> None:
    with pytest.raises(error) as refusal:
        call()
    assert says in str(refusal.value)


def test_weights_are_for_schedules_by_the_mean() -> None:
    """ASTM D3665: results of unequal sublots count by their size; UFGS 02749, from memory: 93.4."""
    values, weights = [93.0, 93.4, 94.4], [400.0, 400.0, 200.0]
    found = pay_factor(pay_schedule("corps-mat-density"), values, weights=weights)
    assert (round(found.mean, 6), found.factor) == (93.44, 0.991)
    with pytest.raises(Refused, match="only a schedule by the mean"):
        pay_factor(pay_schedule("florida-percent"), values, 92.0, weights=weights)
