"""Tack: what is refused, tanks by hand, and the ways back."""

from collections.abc import Callable
from math import inf, nan, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from matbook.engine.tack import (
    MATERIALS,
    applied_for,
    applied_range,
    applied_rate,
    filled_share,
    mean_rate,
    residual_rate,
    tank_volume,
    usual_residual,
    volume_correction,
    volume_for,
)
from matbook.errors import OutOfRange, Refused

Given = dict[str, float]
TANK = {"depth_m": 0.6, "diameter_m": 1.2, "length_m": 3.0}
SPRAYED = {"before_m3": 7.0, "after_m3": 5.0, "area_m2": 3_000.0, "correction": 0.98}

REFUSED: list[tuple[Callable[..., object], Given, dict[str, list[float]]]] = [
    (applied_rate, SPRAYED,
     {"before_m3": [-1.0], "after_m3": [-1.0, 7.1], "area_m2": [0.0], "correction": [0.79, 1.11]}),
    (residual_rate, {"applied_m3_m2": 6e-4, "residue": 0.6, "undiluted": 0.5},
     {"applied_m3_m2": [-1e-4], "residue": [0.0, 1.1], "undiluted": [0.0, 1.1]}),
    (applied_for, {"residual_m3_m2": 2e-4, "residue": 0.6, "undiluted": 0.5},
     {"residual_m3_m2": [-1e-4], "residue": [0.0, 1.1], "undiluted": [0.0, 1.1]}),
    (volume_for, {"area_m2": 3_000.0, "applied_m3_m2": 6e-4, "loss": 0.05},
     {"area_m2": [-1.0], "applied_m3_m2": [-1e-4], "loss": [-0.01, 0.51]}),
    (filled_share, {"depth": 0.25}, {"depth": [-0.01, 1.01]}),
    (tank_volume, TANK, {"depth_m": [-0.01, 1.21], "diameter_m": [0.0], "length_m": [0.0]}),
    (lambda **given: volume_correction(material="asphalt", **given),
     {"temp_c": 60.0, "base_c": 15.0}, {"temp_c": [-18.1, 260.1], "base_c": [14.9, 20.0, 60.0]}),
    (lambda **given: volume_correction(material="emulsion", **given),
     {"temp_c": 60.0, "base_c": 140 / 9}, {"temp_c": [-0.1, 95.1], "base_c": [15.3]}),
]  # fmt: skip


@pytest.mark.parametrize(("function", "good", "bad"), REFUSED)
def test_refused(function: Callable[..., object], good: Given, bad: dict[str, list[float]]) -> None:
    """Each argument on its own: what is good is taken, bad values, nan and inf are refused."""
    assert function(**good) is not None
    assert bad.keys() == good.keys()
    for name, values in bad.items():
        for value in (*values, nan, inf):
            with pytest.raises(OutOfRange) as refusal:
                function(**{**good, name: value})
            assert refusal.value.field == name


def test_a_tank_that_fills_while_it_sprays() -> None:
    with pytest.raises(OutOfRange) as refusal:
        applied_rate(5.0, 5.2, 3_000.0)
    assert str(refusal.value) == (
        "after_m3 is 5.2; there were 5 m3 before: a tank doesn't fill while it sprays."
    )


def test_a_material_and_a_surface_that_are_not_known() -> None:
    with pytest.raises(Refused, match=r"material is “tar”; it must be asphalt or emulsion"):
        volume_correction(60.0, "tar")
    with pytest.raises(Refused, match=r"surface is “gravel”; it must be new asphalt or existing"):
        usual_residual("gravel")


@given(st.floats(0.0, 0.003), st.floats(0.05, 1.0), st.floats(0.05, 1.0))
def test_residual_and_applied_are_inverse(rate: float, residue: float, undiluted: float) -> None:
    assert residual_rate(applied_for(rate, residue, undiluted), residue, undiluted) == (
        pytest.approx(rate, rel=1e-12)
    )


@given(st.floats(10.0, 10_000.0), st.floats(0.0, 0.003))
def test_what_an_area_takes_is_what_was_sprayed(area: float, rate: float) -> None:
    volume = volume_for(area, rate)
    assert applied_rate(volume, 0.0, area) == pytest.approx(rate, rel=1e-12)


@pytest.mark.parametrize("material", MATERIALS)
def test_warm_product_shrinks(material: str) -> None:
    """The warmer, the less it is at the base; at the base it is what it is."""
    low, high, _ = MATERIALS[material]
    temps = [low + (high - low) * n / 20 for n in range(21)]
    for base in (15.0, 140 / 9):
        factors = [volume_correction(temp, material, base) for temp in temps]
        assert factors == sorted(factors, reverse=True)
        assert volume_correction(base, material, base) == pytest.approx(1.0, abs=5e-5)


def test_the_two_bases_differ() -> None:
    """A litre at 15 degC is more at 60 degF: by the 0.56 K between them."""
    ratio = volume_correction(60.0, "asphalt", 15.0) / volume_correction(60.0, "asphalt")
    assert ratio == pytest.approx(1.0 - 3.5e-4, abs=5e-5)


def test_a_base_as_people_round_it() -> None:
    exact = volume_correction(60.0, "asphalt")
    assert volume_correction(60.0, "asphalt", 15.56) == exact
    assert volume_correction(60.0, "asphalt", 15.555) == exact


@given(st.floats(0.0, 1.0))
def test_a_tank_and_its_mirror_are_full(depth: float) -> None:
    assert filled_share(depth) + filled_share(1.0 - depth) == pytest.approx(1.0, abs=1e-9)


@given(st.floats(0.0, 1.0), st.floats(0.0, 1.0))
def test_more_depth_is_more_volume(one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert filled_share(low) <= filled_share(high) + 1e-12


def test_tanks_one_knows() -> None:
    assert tank_volume(0.0, 1.2, 3.0) == 0.0
    assert tank_volume(0.6, 1.2, 3.0) == pytest.approx(pi * 0.36 * 3.0 / 2)
    assert tank_volume(1.2, 1.2, 3.0) == pytest.approx(pi * 0.36 * 3.0)


def test_the_range_of_a_rate_by_the_readings_it_comes_from() -> None:
    """By hand: 2 readings of 25 L on 2,530 L are 35.36 L; 1 % of area beside them: 1.72 %."""
    rate = applied_rate(6.42, 3.89, 9125.0, 0.98)
    low, high = applied_range(6.42, 3.89, 9125.0, 0.98, 0.025, 91.25)
    share = ((0.03535534 / 2.53) ** 2 + 0.01**2) ** 0.5
    assert (low, high) == pytest.approx((rate * (1 - share), rate * (1 + share)))
    assert applied_range(0.02, 0.01, 100.0, 1.0, 0.025)[0] == 0.0
    for wrong in ((-0.1, 0.0), (0.0, -1.0)):
        with pytest.raises(OutOfRange):
            applied_range(6.42, 3.89, 9125.0, 0.98, *wrong)


def test_a_mean_by_area_with_its_range() -> None:
    """0.2 on 900 and 0.3 on 100: 0.21; errors of 2.7 and 0.4 in quadrature over 1,000."""
    mean, low, high = mean_rate([(0.2, 0.003, 900.0), (0.3, 0.004, 100.0)])
    assert mean == pytest.approx(0.21)
    assert high - mean == pytest.approx((2.7**2 + 0.4**2) ** 0.5 / 1000)
    assert mean - low == pytest.approx(high - mean)
    assert mean_rate([(0.001, 0.01, 10.0)])[1] == 0.0
    for wrong in ([], [(-0.1, 0.0, 1.0)], [(0.1, -0.1, 1.0)], [(0.1, 0.0, 0.0)]):
        with pytest.raises(OutOfRange):
            mean_rate(wrong)
