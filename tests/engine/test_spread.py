"""Spread: what is refused, and the ways back."""

from collections.abc import Callable
from math import inf, isfinite, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from matbook.engine import running, spread, widths
from matbook.engine.spread import (
    deviation_pct,
    equivalent_thickness,
    length_for,
    mass_for,
    production_rate,
    rate_to_finish,
    spread_rate,
    target_from_density,
)
from matbook.errors import OutOfRange

above = st.floats(1e-3, 1e6)

Case = tuple[Callable[..., float], dict[str, float], dict[str, list[float]]]

CASES: list[Case] = [
    # a function, arguments it takes, and for each argument what it doesn't
    (spread_rate, {"mass_kg": 1, "area_m2": 1}, {"mass_kg": [-1], "area_m2": [0]}),
    (equivalent_thickness, {"spread_kg_m2": 1, "density_kg_m3": 1},
     {"spread_kg_m2": [-1], "density_kg_m3": [0]}),
    (mass_for, {"area_m2": 1, "spread_kg_m2": 1}, {"area_m2": [-1], "spread_kg_m2": [-1]}),
    (length_for, {"mass_kg": 1, "width_m": 1, "spread_kg_m2": 1},
     {"mass_kg": [-1], "width_m": [0], "spread_kg_m2": [0]}),
    (deviation_pct, {"rate": 1, "target": 1}, {"rate": [-1], "target": [0]}),
    (target_from_density, {"maximum_gravity": 2.5, "share_of_maximum": 0.93, "thickness_m": 0.05},
     {"maximum_gravity": [1.4, 4.1], "share_of_maximum": [0.4, 1.01], "thickness_m": [0],
      "water_kg_m3": [900, 1001]}),
    (production_rate, {"speed_m_s": 1, "width_m": 1, "thickness_m": 1, "density_kg_m3": 1},
     {"speed_m_s": [-1], "width_m": [0], "thickness_m": [0], "density_kg_m3": [0]}),
    (rate_to_finish, {"budget_kg": 2, "placed_kg": 1, "remaining_area_m2": 1},
     {"budget_kg": [0.5], "placed_kg": [-1], "remaining_area_m2": [0]}),
]  # fmt: skip
REFUSED = [
    (function, good, name, bad) for function, good, wrong in CASES for name, bad in wrong.items()
]


@pytest.mark.parametrize(
    ("function", "good", "name", "bad"),
    REFUSED,
    ids=lambda value: getattr(value, "__name__", None),
)
def test_refused(
    function: Callable[..., float], good: dict[str, float], name: str, bad: list[float]
) -> None:
    """Each argument on its own: what is good is taken, bad values, nan and inf are refused."""
    assert isfinite(function(**good))
    for value in (*bad, nan, inf):
        with pytest.raises(OutOfRange) as refusal:
            function(**{**good, name: value})
        assert refusal.value.field == name


def test_a_spent_budget_says_so() -> None:
    with pytest.raises(OutOfRange, match=r"budget_kg is 10.0; 20 kg of it is placed already\."):
        rate_to_finish(10.0, 20.0, 5.0)
    assert rate_to_finish(20.0, 20.0, 5.0) == 0.0


@given(above, above)
def test_mass_and_rate_go_back_and_forth(area_m2: float, rate: float) -> None:
    assert spread_rate(mass_for(area_m2, rate), area_m2) == pytest.approx(rate, rel=1e-12)


@given(above, above, above)
def test_the_length_it_paves_takes_the_mass(mass: float, width: float, rate: float) -> None:
    length = length_for(mass, width, rate)
    assert mass_for(length * width, rate) == pytest.approx(mass, rel=1e-12)


@given(st.floats(0.001, 0.5), st.floats(1.5, 4.0), st.floats(0.5, 1.0), st.floats(950, 1000))
def test_a_target_is_its_thickness_at_its_density(
    thickness: float, gravity: float, share: float, water: float
) -> None:
    target = target_from_density(gravity, share, thickness, water)
    assert equivalent_thickness(target, gravity * share * water) == pytest.approx(thickness)


def test_water_is_an_input() -> None:
    usual, warm = (target_from_density(2.5, 0.94, 0.05, *w) for w in ((), (997.05,)))
    assert warm / usual == pytest.approx(997.05 / spread.WATER_KG_M3, rel=1e-12)
    assert pytest.approx(999.55, abs=0.005) == spread.WATER_KG_M3


@given(above, above, above, st.floats(0.0, 1e6))
def test_finishing_at_the_rate_ends_on_the_budget(
    budget: float, area_m2: float, target: float, placed: float
) -> None:
    rate = rate_to_finish(placed + budget, placed, area_m2)
    assert placed + mass_for(area_m2, rate) == pytest.approx(placed + budget, rel=1e-9)
    assert deviation_pct(target, target) == 0.0


def test_all_of_yield_is_had_from_spread() -> None:
    for name in ("area", "width_at", "levelling_mass", "Width"):
        assert getattr(spread, name) is getattr(widths, name)
    for name in ("running", "spread_range", "Laid", "Running"):
        assert getattr(spread, name) is getattr(running, name)
