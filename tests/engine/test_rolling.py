"""Rolling: what is refused, what grows with what, and the edges."""

from collections.abc import Callable
from math import inf, nan
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from matbook.engine.rolling import (
    FIGURES,
    SPEEDS,
    age_of_oldest,
    chance_of_keeping_up,
    effective_speed,
    flush_overlap,
    impacts_per_m,
    lanes_across,
    passes_needed,
    rollers_needed,
    speed_for_impacts,
    strip_for,
    time_left,
    usual_speed,
    utilisation,
    workable_length,
)
from matbook.engine.strips import Ranged
from matbook.errors import OutOfRange, Refused

widths = st.floats(0.5, 15.0)
drums = st.floats(0.6, 2.5)
paces = st.floats(0.01, 0.5)
strips = st.floats(1.0, 200.0)
times = st.floats(60.0, 7_200.0)
more = st.floats(1.01, 2.0)

LANES = {"width_m": 3.7, "drum_m": 1.68, "overlap_m": 0.15}
FLUSH = {"width_m": 3.7, "drum_m": 1.68, "lanes": 3}
IMPACTS = {"frequency_hz": 40.0, "speed_m_s": 1.2}
SPEED = {"frequency_hz": 40.0, "least_per_m": 33.0}
PASSES = {"lanes": 3, "coverages": 4, "extra_passes": 1}
EFFECTIVE = {"speed_m_s": 1.2, "efficiency": 0.8, "passes": 12, "rollers": 1}
USED = {"paver_m_s": 0.08, "rolled_m_s": 0.09}
NEEDED = {"paver_m_s": 0.08, "one_m_s": 0.09}
LENGTH = {"paver_m_s": 0.08, "available_s": 1140.0}
LEFT = {"behind_m": 20.0, **LENGTH}
AGE = {"strip_m": 40.0, "standoff_m": 5.0, **USED}
STRIP = {"available_s": 1140.0, "standoff_m": 5.0, **USED}
CHANCE: dict[str, Any] = {
    "strip_m": 40.0,
    "standoff_m": 5.0,
    "available_range_s": (1140.0, 1446.0, 1800.0),
    "paver_range_m_s": (0.070, 0.078, 0.086),
    "efficiency_range": (0.75, 0.80, 0.85),
    "speed_m_s": 1.333,
    "passes": 12,
    "rollers": 1,
}

REFUSED: list[tuple[Callable[..., float], dict[str, Any], str, list[float]]] = [
    (lanes_across, LANES, "width_m", [0.0]),
    (lanes_across, LANES, "drum_m", [0.0]),
    (lanes_across, LANES, "overlap_m", [-0.01, 1.68]),
    (flush_overlap, FLUSH, "width_m", [0.0, 5.05]),
    (flush_overlap, FLUSH, "drum_m", [0.0]),
    (flush_overlap, FLUSH, "lanes", [1, 41]),
    (impacts_per_m, IMPACTS, "frequency_hz", [0.0, 2_400.0]),
    (impacts_per_m, IMPACTS, "speed_m_s", [0.0, 6.1]),
    (speed_for_impacts, SPEED, "frequency_hz", [0.0, 2_400.0]),
    (speed_for_impacts, SPEED, "least_per_m", [0.0]),
    (passes_needed, PASSES, "lanes", [0, 41]),
    (passes_needed, PASSES, "coverages", [0, 61]),
    (passes_needed, PASSES, "extra_passes", [-1, 61]),
    (effective_speed, EFFECTIVE, "speed_m_s", [0.0, 6.1]),
    (effective_speed, EFFECTIVE, "efficiency", [0.0, 1.01, 80.0]),
    (effective_speed, EFFECTIVE, "passes", [0, 2_461]),
    (effective_speed, EFFECTIVE, "rollers", [0, 21]),
    (utilisation, USED, "paver_m_s", [-0.1]),
    (utilisation, USED, "rolled_m_s", [0.0]),
    (rollers_needed, NEEDED, "paver_m_s", [0.0]),
    (rollers_needed, NEEDED, "one_m_s", [0.0]),
    (workable_length, LENGTH, "paver_m_s", [-0.1]),
    (workable_length, LENGTH, "available_s", [-1.0]),
    (time_left, LEFT, "behind_m", [-1.0]),
    (time_left, LEFT, "paver_m_s", [0.0]),
    (time_left, LEFT, "available_s", [-1.0]),
    *((age_of_oldest, AGE, name, [-1.0]) for name in ("strip_m", "standoff_m")),
    *((age_of_oldest, AGE, name, [0.0]) for name in ("paver_m_s", "rolled_m_s")),
    *((strip_for, STRIP, name, [-1.0]) for name in ("available_s", "standoff_m")),
    *((strip_for, STRIP, name, [0.0]) for name in ("paver_m_s", "rolled_m_s")),
    *((chance_of_keeping_up, CHANCE, name, [-1.0]) for name in ("strip_m", "standoff_m")),
    (chance_of_keeping_up, CHANCE, "speed_m_s", [0.0, 6.1]),
    (chance_of_keeping_up, CHANCE, "passes", [0, 2_461]),
    (chance_of_keeping_up, CHANCE, "rollers", [0, 21]),
]


@pytest.mark.parametrize(
    ("function", "good", "name", "bad"),
    REFUSED,
    ids=lambda value: getattr(value, "__name__", None),
)
def test_refused(
    function: Callable[..., float], good: dict[str, Any], name: str, bad: list[float]
) -> None:
    """Each argument on its own: what is good is taken, bad values, nan and inf are refused."""
    assert function(**good) >= 0.0
    for value in (*bad, nan, inf):
        with pytest.raises(OutOfRange, match=f"^{name} is {value}") as refusal:
            function(**{**good, name: value})
        assert refusal.value.field == name


@pytest.mark.parametrize("name", ["available_range_s", "paver_range_m_s", "efficiency_range"])
@pytest.mark.parametrize(
    "ranged", [(0.0, 0.5, 0.6), (0.5, 0.4, 0.6), (0.5, 0.7, 0.6), (0.5, 0.6, inf), (nan, 0.5, 0.6)]
)
def test_a_range_that_does_not_rise_is_refused(name: str, ranged: Ranged) -> None:
    with pytest.raises(OutOfRange, match=f"^{name} is "):
        chance_of_keeping_up(**{**CHANCE, name: ranged})


def test_nobody_rolls_more_than_all_the_time() -> None:
    with pytest.raises(OutOfRange, match=r"^efficiency_range is 1.1; it must be above 0, to 1"):
        chance_of_keeping_up(**{**CHANCE, "efficiency_range": (0.7, 0.8, 1.1)})


def test_a_roller_nobody_wrote_of_is_refused() -> None:
    with pytest.raises(Refused, match=r"^roller is “vibratory, finish”; there are speeds for"):
        usual_speed("vibratory", "finish")


def test_every_figure_says_where_from_and_comes_in_si() -> None:
    for usual in (*SPEEDS.values(), *FIGURES.values()):
        low, high = usual.si()
        assert 0.0 <= low <= high
        assert usual.source
        assert usual.standing in ("read", "from memory", "assumed")
    assert FIGURES["overlap"].si() == (0.15, 0.3)
    assert FIGURES["efficiency"].si() == (0.75, 0.85)


@given(widths, drums, st.floats(0.0, 0.9))
def test_lanes_reach_across_and_one_fewer_does_not(width: float, drum: float, lap: float) -> None:
    overlap = lap * drum
    lanes = lanes_across(width, drum, overlap)
    assert lanes * (drum - overlap) + overlap >= width - 1e-6
    assert lanes == 1 or (lanes - 1) * (drum - overlap) + overlap < width + 1e-6


@given(widths, drums, st.floats(0.0, 0.5), more)
def test_lanes_against_width_drum_and_overlap(
    width: float, drum: float, lap: float, factor: float
) -> None:
    lanes = lanes_across(width, drum, lap * drum)
    assert lanes_across(width * factor, drum, lap * drum) >= lanes
    assert lanes_across(width, drum * factor, lap * drum) <= lanes
    assert lanes_across(width, drum, min(0.9, lap * factor) * drum) >= lanes


@given(st.integers(2, 9), drums, st.floats(0.0, 0.9))
def test_lanes_laid_flush_lap_by_what_they_were_laid_for(
    lanes: int, drum: float, lap: float
) -> None:
    width = lanes * (drum - lap * drum) + lap * drum
    assert flush_overlap(width, drum, lanes) == pytest.approx(lap * drum, abs=1e-9)
    assert lanes_across(width, drum, lap * drum) == lanes


@given(st.floats(10.0, 120.0), st.floats(20.0, 200.0), more)
def test_impacts_at_the_largest_speed_are_the_least(
    frequency: float, least: float, factor: float
) -> None:
    speed = speed_for_impacts(frequency, least)
    assert impacts_per_m(frequency, speed) == pytest.approx(least)
    assert impacts_per_m(frequency, speed / factor) > least
    assert speed_for_impacts(frequency, least * factor) < speed


@given(st.floats(0.5, 3.0), st.floats(0.3, 1.0), st.integers(1, 60), st.integers(1, 5))
def test_effective_speed_by_passes_and_rollers(
    speed: float, efficiency: float, passes: int, rollers: int
) -> None:
    found = effective_speed(speed, efficiency, passes, rollers)
    assert found <= speed * rollers
    assert effective_speed(speed, efficiency, passes + 1, rollers) < found
    assert effective_speed(speed, efficiency, passes, rollers + 1) > found


@given(paces, paces)
def test_so_many_rollers_keep_pace_and_one_fewer_do_not(paver: float, one: float) -> None:
    rollers = rollers_needed(paver, one)
    assert utilisation(paver, rollers * one) <= 1.0 + 1e-8
    assert rollers == 1 or utilisation(paver, (rollers - 1) * one) > 1.0


def test_exactly_kept_pace_is_kept() -> None:
    assert rollers_needed(0.3, 0.1) == 3  # 0.3 / 0.1 is a hair below three, 3 x 0.1 a hair above
    assert rollers_needed(0.1 + 0.2, 0.3) == 1
    assert utilisation(0.0, 0.1) == 0.0


@given(paces, times)
def test_no_time_is_left_at_the_end_of_the_workable_length(pace: float, time: float) -> None:
    length = workable_length(pace, time)
    assert time_left(length, pace, time) == pytest.approx(0.0, abs=1e-9 * time)
    assert time_left(0.0, pace, time) == time
    assert time_left(0.9 * length, pace, time) > 0.0 > time_left(1.1 * length, pace, time)


@given(paces, paces, times, st.floats(0.0, 20.0))
def test_the_longest_strip_is_done_just_in_time(
    paver: float, rolled: float, time: float, standoff: float
) -> None:
    strip = strip_for(time, standoff, paver, rolled)
    age = age_of_oldest(strip, standoff, paver, rolled)
    if standoff / paver < time:
        assert age == pytest.approx(time)
    else:
        assert strip == 0.0
        assert age >= time


@given(strips, paces, paces, more)
def test_age_grows_with_the_strip_and_falls_with_speed(
    strip: float, paver: float, rolled: float, factor: float
) -> None:
    age = age_of_oldest(strip, 5.0, paver, rolled)
    assert age_of_oldest(strip * factor, 5.0, paver, rolled) > age
    assert age_of_oldest(strip, 5.0 * factor, paver, rolled) > age
    assert age_of_oldest(strip, 5.0, paver * factor, rolled) < age
    assert age_of_oldest(strip, 5.0, paver, rolled * factor) < age


def drawn(rng: np.random.Generator, ranged: Ranged, count: int) -> Any:
    """Values of a range by its own law, drawn with a seeded generator."""
    low, middle, high = ranged
    z = rng.standard_normal(count) / 1.2815515655446004
    return middle * np.exp(z * np.log(np.where(z > 0, high / middle, middle / low)))


@pytest.mark.parametrize(
    "changed",
    [
        {},
        {"strip_m": 60.0},
        {"paver_range_m_s": (0.08, 0.09, 0.10)},
        {"paver_range_m_s": (0.03, 0.09, 0.10), "efficiency_range": (0.5, 0.9, 0.95)},
        {"available_range_s": (900.0, 1000.0, 1800.0), "rollers": 2},
        {"available_range_s": (1000.0, 1000.0, 1000.0), "efficiency_range": (0.8, 0.8, 0.8)},
    ],
    ids=str,
)
def test_the_chance_against_a_hundred_thousand_drawn_shifts(changed: dict[str, Any]) -> None:
    """Within 0.01 as documented, and four standard errors of the draws, 0.0064."""
    case = {**CHANCE, **changed}
    rng, count = np.random.default_rng(20), 100_000
    time, pace, efficiency = (
        drawn(rng, case[f"{name}_range{unit}"], count)
        for name, unit in (("available", "_s"), ("paver", "_m_s"), ("efficiency", ""))
    )
    rolled = case["speed_m_s"] * efficiency * case["rollers"] / case["passes"]
    age = (case["standoff_m"] + case["strip_m"]) / pace + case["strip_m"] / rolled
    kept = int(np.count_nonzero((efficiency <= 1.0) & (rolled >= pace) & (age <= time)))
    assert chance_of_keeping_up(**case) == pytest.approx(kept / count, abs=0.0164)


@pytest.mark.parametrize(
    ("name", "value"),
    [
        ("strip_m", 50.0),
        ("standoff_m", 15.0),
        ("available_range_s", (1000.0, 1300.0, 1600.0)),
        ("efficiency_range", (0.65, 0.70, 0.75)),
        ("speed_m_s", 1.2),
        ("passes", 13),
    ],
)
def test_what_makes_it_harder_makes_it_less_likely(name: str, value: object) -> None:
    assert chance_of_keeping_up(**{**CHANCE, name: value}) < chance_of_keeping_up(**CHANCE) - 0.02


@given(st.floats(0.5, 1.5), st.floats(0.5, 1.5))
def test_without_spread_it_is_yes_or_no(pace: float, time: float) -> None:
    paver, available = 0.08 * pace, 1000.0 * time
    found = chance_of_keeping_up(
        40.0, 5.0, (available,) * 3, (paver,) * 3, (0.8, 0.8, 0.8), 1.333, 12
    )
    rolled = effective_speed(1.333, 0.8, 12)
    both = rolled >= paver and age_of_oldest(40.0, 5.0, paver, rolled) <= available
    assert found == (1.0 if both else 0.0)


def test_a_paver_faster_than_rollers_that_never_turn_gets_away() -> None:
    """Without a pause it does 0.111 m/s; the bare law has a tenth of efficiencies above 1."""
    fast = {**CHANCE, "paver_range_m_s": (0.116, 0.117, 0.118), "efficiency_range": (0.7, 0.8, 1.0)}
    assert chance_of_keeping_up(**{**fast, "available_range_s": (7000.0, 7100.0, 7200.0)}) == 0.0


def test_a_mat_too_cold_before_it_is_begun() -> None:
    assert chance_of_keeping_up(**{**CHANCE, "available_range_s": (60.0, 90.0, 120.0)}) == 0.0
    even = {**CHANCE, "strip_m": 0.0, "paver_range_m_s": (0.05, 0.06, 0.07)}
    assert chance_of_keeping_up(**even) == pytest.approx(1.0, abs=1e-3)
