"""Density: identities between methods, pairs that are dropped, and what no core can weigh."""

from collections.abc import Callable, Sequence
from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from matbook.engine.density import (
    absorption_pct,
    against_strip,
    air_voids_pct,
    bulk_gravity,
    coated_gravity,
    core_thickness,
    density_of,
    gauge_offset,
    gauge_ratio,
    maximum_gravity,
    percent_of_maximum,
    sealed_gravity,
    ssd_method_holds,
    standard_count,
    too_near,
    two_directions,
)
from matbook.errors import OutOfRange

GRAVITY = st.floats(1.5, 3.0)
MASS = st.floats(100.0, 20_000.0)


@given(MASS, GRAVITY, st.floats(0.0, 0.08))
def test_a_core_of_a_known_gravity(dry: float, gravity: float, soaked: float) -> None:
    """A volume v of core weighs dry - v less in water, plus what it took up."""
    volume = dry / gravity
    ssd = dry + soaked * volume
    water = ssd - volume
    assert bulk_gravity(dry, ssd, water) == pytest.approx(gravity, rel=1e-9)
    assert absorption_pct(dry, ssd, water) == pytest.approx(100.0 * soaked, abs=1e-6)


@given(MASS, GRAVITY, st.floats(1.0, 80.0), st.floats(0.6, 1.5))
def test_a_wrapped_core_of_a_known_gravity(
    dry: float, gravity: float, wrap: float, wrap_gravity: float
) -> None:
    """Coating or bag takes its own volume of water away."""
    volume = dry / gravity + wrap / wrap_gravity
    water = dry + wrap - volume
    if not 0.0 < water < dry:
        return
    assert coated_gravity(dry, dry + wrap, water, wrap_gravity) == pytest.approx(gravity, rel=1e-6)
    found = sealed_gravity(dry, dry + wrap, dry, water, wrap_gravity)
    assert found == pytest.approx(gravity, rel=1e-6)


@given(MASS, GRAVITY, MASS)
def test_a_mix_of_a_known_gravity(dry: float, gravity: float, vessel: float) -> None:
    with_mix = vessel + dry - dry / gravity
    assert maximum_gravity(dry, vessel, with_mix) == pytest.approx(gravity, rel=1e-6)


def test_percentages_have_one_basis() -> None:
    assert percent_of_maximum(2300.0, 2500.0) == 92.0
    assert percent_of_maximum(density_of(2.3), density_of(2.5)) == pytest.approx(92.0)
    assert air_voids_pct(2.5, 2.5) == 0.0
    assert air_voids_pct(2.52, 2.5) < 0.0
    assert not ssd_method_holds(0.1, open_voids=True)


def test_thickness() -> None:
    assert core_thickness([0.05, 0.05, 0.06, 0.06]) == pytest.approx(0.055)


def shifted(offsets: Sequence[float]) -> list[tuple[float, float]]:
    return [(2_300.0 + offset, 2_300.0) for offset in offsets]


def test_the_farthest_pair_is_dropped_first() -> None:
    pairs = shifted([40.0, 42.0, 38.0, 41.0, 160.0, -20.0])
    found = gauge_offset(pairs)
    assert found.dropped == (pairs[4],)
    assert found.holds
    assert found.value == pytest.approx((40.0 + 42.0 + 38.0 + 41.0 - 20.0) / 5)
    tight = gauge_offset(pairs, most_sd=5.0)
    assert tight.dropped == (pairs[4], pairs[5])
    assert tight.value == pytest.approx(40.25)
    assert tight.kept == tuple(pairs[:4])


def test_pairs_that_never_agree_stop_at_the_least_number() -> None:
    found = gauge_offset(shifted([0.0, 300.0, 600.0, 900.0]))
    assert not found.holds
    assert len(found.kept) == 3
    assert len(gauge_offset(shifted([0.0, 300.0, 600.0, 900.0]), least=4).kept) == 4


def test_a_ratio_drops_pairs_too() -> None:
    pairs = [(2_346.0, 2_300.0), (2_323.0, 2_300.0), (2_300.0, 2_300.0), (2_530.0, 2_300.0)]
    found = gauge_ratio(pairs)
    assert found.dropped == (pairs[3],)
    assert found.value == pytest.approx(1.01)
    assert found.holds


def test_a_standard_count_that_drifts() -> None:
    found = standard_count(2_900.0, [2_850.0, 2_850.0, 2_850.0, 2_850.0])
    assert found.drift_pct == pytest.approx(100.0 * 50.0 / 2_850.0)
    assert not found.holds
    assert standard_count(2_850.0 * 0.991, [2_850.0]).holds
    assert found.chance_pct == pytest.approx(100.0 * 1.96 * (2_850.0 / 16.0) ** 0.5 / 2_850.0)


def test_readings_that_differ_by_just_what_is_allowed() -> None:
    assert not two_directions(2_300.0, 2_340.0).repeat
    assert two_directions(2_340.1, 2_300.0).repeat


def test_what_is_near() -> None:
    assert too_near({}) == ()
    assert too_near({"edge": 0.1, "other source": 3.0}) == ("other source", "edge")


def test_a_section_fails_by_one_reading() -> None:
    good = [2_290.0, 2_300.0, 2_310.0, 2_305.0]
    assert against_strip(good, 2_300.0).meets
    assert not against_strip([*good, 2_180.0], 2_300.0).meets


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: bulk_gravity(1500.0, 1512.0, 1600.0), "a core is lighter in water than dry"),
        (lambda: bulk_gravity(1500.0, 1490.0, 870.0), "it can't be lighter than dry, 1500"),
        (lambda: bulk_gravity(0.0, 1512.0, 870.0), "dry_g is 0"),
        (lambda: bulk_gravity(1500.0, 1512.0, -1.0), "water_g is -1"),
        (lambda: bulk_gravity(1500.0, 1512.0, 0.0), "water_g is 0"),
        (lambda: bulk_gravity(1500.0, 1512.0, 1499.0), "asphalt has 1 to 4"),
        (lambda: bulk_gravity(1500.0, 2512.0, 100.0), "asphalt has 1 to 4"),
        (lambda: bulk_gravity(1500.0, nan, 870.0), "ssd_g is nan"),
        (lambda: absorption_pct(1500.0, 1512.0, 1499.0), "asphalt has 1 to 4"),
        (lambda: ssd_method_holds(-1.0), "absorption_pct is -1"),
        (lambda: ssd_method_holds(1.0, 101.0), "most_pct is 101"),
        (lambda: coated_gravity(1500.0, 1490.0, 815.0, 0.9), "coated_g is 1490"),
        (lambda: coated_gravity(1500.0, 1540.0, 815.0, 0.1), "coating_gravity is 0.1"),
        (lambda: coated_gravity(1500.0, 2500.0, 1400.0, 0.9), "gravity is “none”"),
        (lambda: sealed_gravity(1500.0, 1550.0, 1500.0, 1600.0, 0.9), "sealed_water_g is 1600"),
        (lambda: sealed_gravity(1500.0, 1550.0, inf, 850.0, 0.9), "after_g is inf"),
        (lambda: sealed_gravity(1500.0, 1550.0, 1500.0, 850.0, 9.0), "bag_gravity is 9"),
        (lambda: maximum_gravity(1432.7, 286.3, 286.3), "more than the vessel, 286.3"),
        (lambda: maximum_gravity(1432.7, 286.3, 1730.0), "asphalt has 1 to 4"),
        (lambda: maximum_gravity(nan, 286.3, 1134.9), "dry_g is nan"),
        (lambda: maximum_gravity(1432.7, -1.0, 1134.9), "vessel_g is -1"),
        (lambda: percent_of_maximum(0.0, 2.5), "bulk is 0"),
        (lambda: percent_of_maximum(2.3, 2500.0), "beside a maximum of 2500"),
        (lambda: percent_of_maximum(2.7, 2.5), "40 to 105 %"),
        (lambda: air_voids_pct(2.3, 0.0), "maximum is 0"),
        (lambda: density_of(0.5), "gravity is 0.5"),
        (lambda: density_of(2.5, 62.4), "water_kg_m3 is 62.4"),
        (lambda: core_thickness([0.05] * 3), "readings_m is “3 readings”; it takes four"),
        (lambda: core_thickness([0.05, 0.05, 0.05, 50.0]), "readings_m is 50"),
        (lambda: gauge_offset(shifted([1.0, 2.0])), "pairs is “2 pairs”; it takes 3"),
        (lambda: gauge_offset([(144.9, 142.1)] * 3), "core is 144.9; it must be 500 to 4000"),
        (lambda: gauge_offset([(2300.0, 9000.0)] * 3), "gauge is 9000"),
        (lambda: gauge_offset(shifted([1.0] * 3), most_sd=0.0), "most_sd is 0"),
        (lambda: gauge_offset(shifted([1.0] * 3), least=2), "least is 2"),
        (lambda: gauge_ratio(shifted([1.0] * 3), most_sd=1.0), "most_sd is 1"),
        (lambda: standard_count(0.0, [2850.0]), "today is 0"),
        (lambda: standard_count(2850.0, []), "before is “0 results”"),
        (lambda: standard_count(2850.0, [-1.0]), "before is -1"),
        (lambda: standard_count(2850.0, [2850.0], 50.0), "most_pct is 50"),
        (lambda: standard_count(2850.0, [2850.0], 1.0, 0.0), "prescale is 0"),
        (lambda: two_directions(140.0, 2300.0), "first_kg_m3 is 140"),
        (lambda: two_directions(2300.0, nan), "second_kg_m3 is nan"),
        (lambda: two_directions(2300.0, 2300.0, 0.0), "most_kg_m3 is 0"),
        (lambda: too_near({"dog": 1.0}), "distances_m is “dog”"),
        (lambda: too_near({"edge": -1.0}), "edge is -1"),
        (lambda: against_strip([], 2300.0), "readings_kg_m3 is “0 results”"),
        (lambda: against_strip([140.0], 2300.0), "readings_kg_m3 is 140"),
        (lambda: against_strip([2300.0], 143.6), "target_kg_m3 is 143.6"),
        (lambda: against_strip([2300.0], 2300.0, 9.8), "mean_least_pct is 9.8"),
        (lambda: against_strip([2300.0], 2300.0, 98.0, 0.95), "single_least_pct is 0.95"),
    ],
)  # fmt: skip
def test_what_is_refused(call: Callable[[], object], says: str) -> None:
    with pytest.raises(OutOfRange) as refusal:
        call()
    assert says in str(refusal.value)
