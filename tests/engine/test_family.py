"""A family of forecasts, against forecasts made one by one."""

from dataclasses import replace
from itertools import product

import pytest

from matbook.engine.cooling import Layer, OpenSky, Range, Reading, forecast
from matbook.engine.family import APART_K, HOTTEST_C, NEAR_K, Family
from matbook.engine.spreads import MEMBERS
from matbook.errors import OutOfRange
from tests.engine.ensemble import ranged
from tests.engine.test_forecast import BASE, LIFT, SKY, WIDE, Case

COLD = Family(LIFT, (BASE,), SKY, 80.0)


def family(case: Case) -> Family:
    lift, *below = case.layers
    return Family(lift, tuple(below), case.sky, case.target_c)


def off(case: Case, laid_c: float) -> float:
    """The worst of three times against a forecast made for that temperature alone [s]."""
    lift, *below = case.layers
    alone = forecast([replace(lift, start_c=laid_c), *below], case.sky, case.target_c,
                     lasting_s=10_800.0)  # fmt: skip
    one, other = family(case).time_left(laid_c), ranged(alone, case.target_c)
    assert one is not None
    return max(
        abs(one.early - other.early), abs(one.middle - other.middle), abs(one.late - other.late)
    )


@pytest.mark.parametrize("case", [WIDE[6], WIDE[14]])
def test_between_its_forecasts_times_are_within_ten_seconds(case: Case) -> None:
    """A mat as most are, and the thickest and slowest of the set."""
    assert off(case, case.target_c + NEAR_K + 6.0) < 10.0
    assert off(case, case.lay_c + 5.0) < 10.0


@pytest.mark.long
@pytest.mark.parametrize(
    ("case", "above"), list(product(WIDE, (2.0, 12.0, 29.0, 30.0, 37.0, 44.0)))
)
def test_within_ten_seconds_over_a_wide_set(case: Case, above: float) -> None:
    """From just above the end of rolling to where most mats are laid."""
    assert off(case, case.target_c + above) < 10.0


@pytest.mark.long
@pytest.mark.parametrize(("case", "laid_c"), list(product(WIDE, (145.0, 153.5, 168.0))))
def test_within_ten_seconds_where_mats_are_laid(case: Case, laid_c: float) -> None:
    assert off(case, laid_c) < 10.0


def test_at_its_own_forecasts_it_is_them() -> None:
    alone = forecast([LIFT, BASE], SKY, 80.0, lasting_s=10_800.0)
    assert COLD.time_left(150.0) == ranged(alone, 80.0)
    reading = Reading(600.0, 100.0, "probe")
    assert COLD.expected(150.0, reading) == pytest.approx(alone.expected(reading))
    assert COLD.reaches(150.0, 100.0) == pytest.approx(alone.curve.time_to(100.0))


def test_temperatures_between_them() -> None:
    alone = forecast([replace(LIFT, start_c=145.0), BASE], SKY, 80.0)
    reading = Reading(600.0, 100.0, "infrared")
    assert COLD.expected(145.0, reading) == pytest.approx(alone.expected(reading), abs=0.1)
    assert COLD.reaches(145.0, 100.0) == pytest.approx(alone.curve.time_to(100.0), abs=10.0)


def test_the_hotter_the_longer_and_weights_move_it() -> None:
    times = [COLD.time_left(temp) for temp in (85.0, 109.0, 111.0, 133.0, 172.0, 204.0)]
    middles = [time.middle for time in times if time is not None]
    assert len(middles) == len(times)
    assert middles == sorted(middles)
    first = tuple(1.0 if n < MEMBERS // 50 else 1e-9 for n in range(MEMBERS))
    assert COLD.time_left(150.0, first) != COLD.time_left(150.0)


def test_cold_mix_has_no_time_and_a_mat_that_stays_warm_no_end() -> None:
    assert COLD.time_left(80.0) == Range(0.0, 0.0, 0.0)
    assert COLD.reaches(80.0, 90.0) == 0.0
    hot = Family(LIFT, (replace(BASE, start_c=60.0),), OpenSky(4.0, 40.0, 40.0, 900.0), 45.0)
    assert hot.time_left(150.0) is None
    assert hot.reaches(150.0, 45.0) == pytest.approx(hot.lasting_s)


def test_few_forecasts_are_made() -> None:
    few = Family(LIFT, (BASE,), SKY, 80.0)
    for laid_c in (141.0, 144.0, 146.5, 151.0, 153.0):
        few.time_left(laid_c)
    assert len(few._made) == 4
    assert APART_K < NEAR_K


def test_nothing_hotter_than_a_mix_and_nothing_colder_than_its_base() -> None:
    warm = Family(LIFT, (replace(BASE, start_c=90.0),), SKY, 80.0)
    assert not warm.takes(90.0)
    assert warm.takes(91.0)
    assert warm.takes(HOTTEST_C)
    assert not warm.takes(HOTTEST_C + 0.5)
    assert warm.time_left(HOTTEST_C) is not None
    time = warm.time_left(95.0)
    assert time is not None
    assert time.middle > 0.0
    for laid_c in (90.0, 250.0, float("nan")):
        with pytest.raises(OutOfRange) as caught:
            warm.time_left(laid_c)
        assert "base, which is at 90 °C" in str(caught.value)


@pytest.mark.parametrize(
    ("lift", "below", "ends_c", "name"),
    [
        (Layer(0.005, 1.6, 2243.0, 921.0, 150.0), BASE, 80.0, "thickness_m"),
        (LIFT, Layer(0.5, 1.6, 2243.0, 921.0, 15.0), 80.0, "layers"),
        (LIFT, Layer(1.0, 1.6, 2243.0, 921.0, 230.0), 80.0, "start_c"),
        (LIFT, BASE, 400.0, "ends_c"),
    ],
)
def test_what_no_forecast_takes_is_refused_at_once(
    lift: Layer, below: Layer, ends_c: float, name: str
) -> None:
    with pytest.raises(OutOfRange) as caught:
        Family(lift, (below,), SKY, ends_c)
    assert caught.value.field == name


def test_a_reading_beyond_what_it_lasts_for_is_refused() -> None:
    with pytest.raises(OutOfRange) as caught:
        COLD.expected(150.0, Reading(11_000.0, 50.0, "probe"))
    assert caught.value.field == "at_s"
