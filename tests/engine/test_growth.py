"""Growth of density: rising, top, falling, cold; and the best passes of several spots."""

from collections.abc import Sequence
from itertools import pairwise
from math import inf, nan, sqrt
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from matbook.engine.growth import CESSATION_C, DensityReading, State, best_passes, growth
from matbook.errors import OutOfRange

APART = sqrt(2.0) * 8.0
HOT, COLD = CESSATION_C + 30.0, CESSATION_C - 5.0
CURVE = (2_200.0, 2_270.0, 2_300.0, 2_312.0, 2_318.0, 2_316.0)


def spot(densities: Sequence[float], temps: Sequence[float] = ()) -> list[DensityReading]:
    """A reading after each pass; a mat that stays hot unless temperatures are given."""
    temps = temps or [HOT] * len(densities)
    return [
        DensityReading(k + 1, d, t) for k, (d, t) in enumerate(zip(densities, temps, strict=True))
    ]


@pytest.mark.parametrize(
    ("densities", "state"),
    [
        ((2_200.0,), "too few"),
        ((2_200.0, 2_205.0), "too few"),
        ((2_200.0, 2_270.0, 2_300.0), "rising"),
        ((2_270.0, 2_300.0, 2_305.0), "rising"),  # one small gain isn't two
        ((2_300.0, 2_300.0 + 0.99 * APART, 2_300.0 + 1.98 * APART), "top"),
        ((2_300.0, 2_300.0 + 0.99 * APART, 2_300.0 + 2.00 * APART), "rising"),
        ((2_300.0, 2_302.0, 2_299.0), "top"),
        ((2_300.0, 2_302.0, 2_302.0 - 1.99 * APART), "top"),
        ((2_300.0, 2_302.0, 2_302.0 - 2.01 * APART), "falling"),
        ((2_302.0, 2_302.0 - 2.01 * APART), "falling"),
        ((2_302.0, 2_290.0, 2_284.0, 2_276.0), "falling"),  # slowly, but from the highest
        ((2_302.0, 2_270.0, 2_295.0, 2_340.0), "rising"),  # it was one bad reading
        (CURVE, "top"),
    ],
)
def test_the_state_of_a_hot_mat(densities: tuple[float, ...], state: State) -> None:
    assert growth(spot(densities)).state == state


@pytest.mark.parametrize(
    ("temps", "state"),
    [
        ((110.0, 105.0, 100.0, 95.0, 90.0, 85.0), "top"),
        ((90.0, 85.0, 80.0, 75.0, 70.0, 65.0), "cold"),
        # the two small gains are complete at the sixth pass: it decides
        ((110.0, 105.0, 100.0, 95.0, 90.0, CESSATION_C), "top"),
        ((110.0, 105.0, 100.0, 95.0, 90.0, CESSATION_C - 0.01), "cold"),
    ],
)
def test_a_top_below_the_cessation_temperature_is_cold(
    temps: tuple[float, ...], state: State
) -> None:
    found = growth(spot(CURVE, temps))
    assert found.state == state
    assert found.temp_c == temps[-1]


def test_a_top_reached_hot_stays_one_while_the_mat_cools() -> None:
    readings = spot((*CURVE, 2_317.0, 2_315.0), [HOT] * 6 + [COLD] * 2)
    assert [growth(readings[:k]).state for k in (5, 6, 7, 8)] == ["rising", "top", "top", "top"]


def test_a_mat_that_rose_again_is_judged_anew() -> None:
    densities = (2_300.0, 2_302.0, 2_301.0, 2_340.0, 2_342.0, 2_341.0)
    readings = spot(densities, [HOT] * 4 + [COLD] * 2)
    states = [growth(readings[:k]).state for k in range(3, 7)]
    assert states == ["top", "rising", "rising", "cold"]


def test_a_limit_from_the_mix_documents_rules() -> None:
    readings = spot(CURVE, [85.0] * 6)
    assert growth(readings, cessation_c=80.0).state == "top"
    assert growth(readings, cessation_c=90.0).state == "cold"


def test_a_noisier_gauge_tells_less_apart() -> None:
    readings = spot((2_270.0, 2_300.0, 2_315.0))
    assert growth(readings, repeatability_kg_m3=8.0).state == "rising"
    assert growth(readings, repeatability_kg_m3=22.0).state == "top"


def test_the_numbers_behind_the_state() -> None:
    found = growth(spot(CURVE))
    assert found.passes == 4  # 2,312 can't be told from 2,318, 2,300 can
    assert (found.highest_kg_m3, found.gain_kg_m3, found.drop_kg_m3) == (2_318.0, -2.0, 2.0)
    assert found.told_apart_kg_m3 == pytest.approx(11.3137, abs=5e-5)
    assert growth(spot(CURVE[:1])).gain_kg_m3 == 0.0


curves = st.lists(st.floats(2_000.0, 2_500.0), min_size=1, max_size=12)


@given(curves, st.floats(1.0, 20.0))
def test_the_rules_hold_for_any_readings(densities: list[float], noise: float) -> None:
    found = growth(spot(densities), repeatability_kg_m3=noise)
    assert (found.state == "falling") is (found.drop_kg_m3 > 2.0 * found.told_apart_kg_m3)
    assert found.state != "cold"
    if found.state == "top":
        gains = [after - before for before, after in pairwise(densities[-3:])]
        assert max(gains) < found.told_apart_kg_m3
    assert found.highest_kg_m3 - densities[found.passes - 1] < found.told_apart_kg_m3
    fewer = densities[: found.passes - 1]
    assert all(found.highest_kg_m3 - d >= found.told_apart_kg_m3 for d in fewer)


@given(curves, st.floats(-300.0, 300.0))
def test_a_gauge_that_is_out_by_a_constant_sees_the_same(
    densities: list[float], out: float
) -> None:
    whole = [float(round(d)) for d in densities]
    moved = [d + round(out) for d in whole]
    assert growth(spot(moved)).state == growth(spot(whole)).state
    assert growth(spot(moved)).passes == growth(spot(whole)).passes


@pytest.mark.parametrize(
    ("field", "value"),
    [
        *(("passes", bad) for bad in (-1, 61)),
        *(("density_kg_m3", bad) for bad in (2.3, 145.0, 4_001.0, nan, inf)),
        *(("temp_c", bad) for bad in (-21.0, 275.0, nan, inf)),
    ],
)
def test_a_reading_out_of_range_is_refused(field: str, value: float) -> None:
    good: dict[str, Any] = {"passes": 2, "density_kg_m3": 2_300.0, "temp_c": 110.0}
    assert growth([DensityReading(**good)]).state == "too few"
    with pytest.raises(OutOfRange, match=f"^{field} is {value};"):
        growth([DensityReading(**{**good, field: value})])


@pytest.mark.parametrize("second", [3, 2])
def test_passes_that_do_not_increase_are_refused(second: int) -> None:
    readings = [DensityReading(3, 2_300.0, 110.0), DensityReading(second, 2_310.0, 105.0)]
    with pytest.raises(OutOfRange, match=f"^passes is {second}; it must be more than 3"):
        growth(readings)


@pytest.mark.parametrize(
    ("name", "bad"),
    [
        ("cessation_c", (39.0, 131.0, 175.0, nan)),
        ("repeatability_kg_m3", (0.0, -1.0, 101.0, nan)),
    ],
)
def test_what_rules_a_growth_is_checked(name: str, bad: tuple[float, ...]) -> None:
    for value in bad:
        changed: dict[str, Any] = {name: value}
        with pytest.raises(OutOfRange, match=f"^{name} is {value};"):
            growth(spot(CURVE), **changed)


def test_no_readings_and_no_spots_are_refused() -> None:
    with pytest.raises(OutOfRange, match=r"^readings is 0; there must be at least one reading"):
        growth([])
    with pytest.raises(OutOfRange, match=r"^places is 0; there must be at least one spot"):
        best_passes([])
    apart = [[DensityReading(2, 2_300.0, 110.0)], [DensityReading(3, 2_300.0, 110.0)]]
    with pytest.raises(OutOfRange, match=r"^places is 2; no pass was read at all of these"):
        best_passes(apart)


def test_one_spot_is_its_own_mean() -> None:
    found = best_passes([spot(CURVE)])
    assert found.mean == growth(spot(CURVE)) == found.places[0]
    assert found.passes == 4


def test_spots_are_averaged_over_the_passes_they_share() -> None:
    """Means 2,210, 2,280, 2,305, 2,309, 2,309; 8 sqrt(2) / sqrt(2) = 8.0 takes in the third."""
    first = spot((2_200.0, 2_270.0, 2_300.0, 2_310.0, 2_310.0, 2_390.0))
    second = spot((2_220.0, 2_290.0, 2_310.0, 2_308.0, 2_308.0))
    found = best_passes([first, second])
    assert found.mean.told_apart_kg_m3 == pytest.approx(8.0)
    assert (found.mean.state, found.mean.highest_kg_m3, found.passes) == ("top", 2_309.0, 3)
    assert [place.state for place in found.places] == ["rising", "top"]


def test_the_coldest_spot_counts_and_gives_no_passes() -> None:
    warm, cool = spot(CURVE), spot(CURVE, [HOT] * 5 + [COLD])
    found = best_passes([warm, cool])
    assert (found.passes, found.mean.state, found.mean.temp_c) == (None, "cold", COLD)
    assert [place.state for place in found.places] == ["top", "cold"]


@pytest.mark.parametrize("count", [1, 2, 4])
def test_no_passes_while_density_rises_or_readings_are_few(count: int) -> None:
    assert best_passes([spot(CURVE[:count])] * 3).passes is None


def test_passes_before_a_fall_are_the_best() -> None:
    """2,312 is within 8.0 of 2,318, the highest."""
    found = best_passes([spot((*CURVE, 2_290.0))] * 2)
    assert (found.mean.state, found.passes) == ("falling", 4)


def test_a_density_first_reached_cold_gives_no_passes() -> None:
    """Whether it then falls, or creeps up within the gauge's noise after a top."""
    fallen = spot((*CURVE, 2_280.0), [HOT] * 3 + [COLD] * 4)
    assert best_passes([fallen]).mean.state == "falling"
    assert best_passes([fallen]).passes is None
    crept = spot((2_300.0, 2_301.0, 2_302.0, 2_312.0, 2_322.0), [HOT] * 3 + [COLD] * 2)
    assert (growth(crept).state, growth(crept).passes) == ("top", 4)
    assert best_passes([crept]).passes is None
