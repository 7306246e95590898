"""Trucks and pace on paper, the long run, the last loads: what is refused, and the ways back."""

from collections.abc import Callable
from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import binomtest

from matbook.engine.chance import chance
from matbook.engine.haul import (
    Rhythm,
    cut_off,
    finite_source,
    keeps_up_to,
    last_departure,
    paver_speed,
    rate_with_stock,
    stop_and_go,
    trucks_for_shift,
    trucks_needed,
)
from matbook.engine.spread import production_rate
from matbook.errors import OutOfRange, Refused

Given = dict[str, float]
SHIFT = {"mass_kg": 1e6, "shift_s": 36_000.0, "cycle_s": 5_000.0, "load_kg": 2e4}
LANE = {"rate_kg_s": 50.0, "width_m": 3.7, "thickness_m": 0.05, "density_kg_m3": 2_350.0}
ARMY = {"trucks": 8, "truck_m_s": 10.0, "load_kg": 1e4, "rate_kg_s": 40.0}
LAST = {"remaining_m": 600.0, "mix_kg_m": 440.0, "coming_kg": 1.2e5, "load_kg": 2e4,
        "pace_m_s": 0.1, "remaining_s": 7_200.0, "doubt": 0.05}  # fmt: skip

REFUSED: list[tuple[Callable[..., object], Given, dict[str, list[float]]]] = [
    (trucks_needed, {"rate_kg_s": 60.0, "cycle_s": 5_000.0, "load_kg": 2e4},
     {"rate_kg_s": [0.0], "cycle_s": [0.0], "load_kg": [0.0]}),
    (trucks_for_shift, SHIFT,
     {"mass_kg": [0.0], "shift_s": [0.0, 4_999.0], "cycle_s": [0.0], "load_kg": [0.0]}),
    (rate_with_stock, {"rate_kg_s": 60.0, "stock_kg": 1e5, "shift_s": 36_000.0},
     {"rate_kg_s": [-1.0], "stock_kg": [-1.0], "shift_s": [0.0]}),
    (paver_speed, LANE,
     {"rate_kg_s": [-1.0], "width_m": [0.0], "thickness_m": [0.0], "density_kg_m3": [0.0]}),
    (keeps_up_to, ARMY,
     {"trucks": [0, 2_001], "truck_m_s": [0.0], "load_kg": [0.0], "rate_kg_s": [0.0]}),
    (stop_and_go, {"pace_m_s": 0.1, "moving_s": 400.0, "standing_s": 100.0},
     {"pace_m_s": [0.0], "moving_s": [0.0], "standing_s": [-1.0]}),
    (finite_source, {"trucks": 12, "away_s": 4_500.0, "service_s": 360.0, "servers": 1},
     {"trucks": [0, 2_001], "away_s": [-1.0], "service_s": [0.0], "servers": [0, 21]}),
    (cut_off, LAST,
     {"remaining_m": [-1.0], "mix_kg_m": [0.0], "coming_kg": [-1.0], "load_kg": [0.0],
      "pace_m_s": [0.0], "remaining_s": [-1.0], "doubt": [-0.01, 0.51]}),
    (chance, {"cases": 1, "tried": 10}, {"cases": [-1, 11], "tried": [0]}),
]  # fmt: skip


@pytest.mark.parametrize(
    ("function", "good", "bad"), REFUSED, ids=lambda value: getattr(value, "__name__", None)
)
def test_refused(function: Callable[..., object], good: Given, bad: dict[str, list[float]]) -> None:
    """Each argument on its own: what is good is taken, bad values, nan and inf are refused."""
    assert function(**good) is not None
    assert bad.keys() == good.keys()
    for name, values in bad.items():
        for value in (*values, nan, inf):
            with pytest.raises(OutOfRange) as refusal:
                function(**{**good, name: value})
            assert refusal.value.field == name


def test_a_shift_shorter_than_a_round_says_so() -> None:
    with pytest.raises(OutOfRange, match=r"shift_s is 3000\.0; one round alone takes 5000 s"):
        trucks_for_shift(1e6, 3_000.0, 5_000.0, 2e4)


def test_times_that_are_not_known() -> None:
    with pytest.raises(Refused, match=r"times is “late”; it must be random or fixed"):
        finite_source(12, 4_500.0, 360.0, times="late")


rates = st.floats(1.0, 200.0)
cycles = st.floats(600.0, 20_000.0)
loads = st.floats(5_000.0, 40_000.0)


@given(rates, cycles, loads)
def test_trucks_are_enough_and_not_one_too_many(rate: float, cycle: float, load: float) -> None:
    trucks = trucks_needed(rate, cycle, load)
    assert trucks * load >= rate * cycle * (1 - 1e-8)
    assert trucks == 1 or (trucks - 1) * load < rate * cycle


@given(st.floats(1e4, 5e6), st.floats(20_000.0, 60_000.0), cycles, loads)
def test_a_shifts_trucks_bring_it(mass: float, shift: float, cycle: float, load: float) -> None:
    """Whole rounds only: never fewer trucks than the rate alone asks for."""
    trucks = trucks_for_shift(mass, shift, cycle, load)
    assert trucks >= trucks_needed(mass / shift, cycle, load)
    assert trucks * (shift // cycle + 1) * load >= mass * (1 - 1e-8)


@given(rates, st.floats(2.5, 9.0), st.floats(0.02, 0.2), st.floats(2_000.0, 2_600.0))
def test_pace_and_production_are_inverse(
    rate: float, width: float, thickness: float, density: float
) -> None:
    speed = paver_speed(rate, width, thickness, density)
    assert production_rate(speed, width, thickness, density) == pytest.approx(rate, rel=1e-12)


@given(st.floats(0.01, 0.5), st.floats(60.0, 3_600.0), st.floats(0.0, 3_600.0))
def test_the_steady_pace_gets_as_far(pace: float, moving: float, standing: float) -> None:
    found = stop_and_go(pace, moving, standing)
    assert found.steady_m_s * (moving + standing) == pytest.approx(pace * moving, rel=1e-12)
    assert found.steady_m_s == pytest.approx(pace * (1 - found.standing_share), rel=1e-12)


def test_stop_and_go_by_hand() -> None:
    """6 m/min for 8 min, then 4 min standing: the same as 4 m/min without a stop."""
    found = stop_and_go(0.1, 480.0, 240.0)
    assert found.steady_m_s == pytest.approx(4 / 60)
    assert found.standing_share == pytest.approx(1 / 3)
    assert found.stop_every_m == pytest.approx(48.0)


@given(st.integers(1, 40), st.floats(0.0, 10_000.0), st.floats(30.0, 2_000.0), st.integers(1, 4))
def test_the_long_run_keeps_its_laws(
    trucks: int, away: float, service: float, servers: int
) -> None:
    """Little's law over the whole round; never more than the fixed times could do."""
    found = finite_source(trucks, away, service, servers)
    bound = finite_source(trucks, away, service, servers, "fixed")
    round_s = away + service + found.wait_s
    assert found.throughput_per_s * round_s == pytest.approx(trucks, rel=1e-9)
    assert found.waiting == pytest.approx(found.throughput_per_s * found.wait_s, abs=1e-9)
    assert found.throughput_per_s <= bound.throughput_per_s * (1 + 1e-9)
    assert 0.0 <= found.idle <= 1.0
    assert 0.0 <= found.waits <= 1.0 + 1e-12


def test_one_truck_never_waits_and_many_do() -> None:
    alone = finite_source(1, 4_500.0, 360.0)
    assert (alone.waiting, alone.wait_s, alone.waits) == (0.0, 0.0, 0.0)
    assert alone.idle == pytest.approx(4_500 / 4_860)
    crowd = finite_source(2_000, 4_500.0, 360.0)  # weights that would overflow
    assert crowd.idle < 1e-12
    assert crowd.waiting == pytest.approx(2_000 - 1 - 12.5, rel=1e-9)


@pytest.mark.parametrize(
    ("trucks", "idle", "wait", "waits"), [(3, 1 - 3 / 13.5, 0.0, 0.0), (20, 0.0, 2_340.0, 1.0)]
)
def test_fixed_times(trucks: int, idle: float, wait: float, waits: float) -> None:
    found = finite_source(trucks, 4_500.0, 360.0, times="fixed")
    assert found.idle == pytest.approx(idle)
    assert found.wait_s == pytest.approx(wait, abs=1e-6)
    assert found.waiting == pytest.approx(found.throughput_per_s * wait, abs=1e-9)
    assert found.waits == waits


def test_trucks_that_are_never_away() -> None:
    found = finite_source(5, 0.0, 360.0)
    assert found.idle == 0.0
    assert found.waiting == pytest.approx(4.0)


@pytest.mark.parametrize(
    ("change", "loads", "over_kg", "by"),
    [
        ({}, 8, 16_000.0, "length"),  # 264 t needed, 120 t coming, 144 t more: 7.2 loads
        ({"coming_kg": 2.64e5}, 0, 0.0, "length"),
        ({"coming_kg": 3e5}, 0, 36_000.0, "length"),  # more is coming than has a place
        ({"remaining_s": 3_600.0}, 2, 1_600.0, "hour"),  # 360 m until the hour
        ({"remaining_s": 0.0, "coming_kg": 0.0}, 0, 0.0, "hour"),
        ({"remaining_m": 0.0, "coming_kg": 0.0}, 0, 0.0, "length"),
    ],
)
def test_the_last_loads(change: Given, loads: int, over_kg: float, by: str) -> None:
    found = cut_off(**{**LAST, **change})
    assert (found.loads, found.ends) == (loads, by)
    assert found.over_kg == pytest.approx(over_kg, abs=1e-6)
    assert found.least <= found.loads <= found.most


@given(st.floats(0.0, 5_000.0), st.floats(0.0, 5e5), st.floats(0.0, 0.5))
def test_the_last_loads_reach(left: float, coming: float, doubt: float) -> None:
    """The loads are enough for the length, and one fewer would not be."""
    found = cut_off(left, 440.0, coming, 2e4, 0.1, 1e6, doubt)
    assert found.over_kg >= -1e-3
    assert found.loads == 0 or found.over_kg < 2e4
    assert found.least <= found.loads <= found.most


def test_the_last_departure() -> None:
    """One in ten takes longer than what is reckoned with: a normal's 1.28 for little scatter."""
    laying, out = Rhythm(600.0, 6.0), Rhythm(1_500.0, 15.0)
    found = last_departure(64_800.0, 3_600.0, laying, out, 300.0)
    late = 2_100.0 + 1.2816 * 21.0
    assert found == pytest.approx(64_800.0 - 3_600.0 - 300.0 - late, abs=0.5)
    for name, bad in (("closing_s", inf), ("finishing_s", -1.0), ("waiting_s", -1.0)):
        arguments = {"closing_s": 0.0, "finishing_s": 0.0, "waiting_s": 0.0, name: bad}
        with pytest.raises(OutOfRange, match=name):
            last_departure(laying=laying, out=out, **arguments)


@pytest.mark.parametrize(("cases", "of"), [(0, 10), (1, 10), (20, 200), (10, 10), (999, 1_000)])
def test_a_counted_chance(cases: int, of: int) -> None:
    """Wilson's interval, against SciPy's."""
    found = chance(cases, of)
    oracle = binomtest(cases, of).proportion_ci(method="wilson")
    assert found.value == cases / of
    assert (found.least, found.most) == pytest.approx((oracle.low, oracle.high), abs=1e-12)
