"""A forecast's range against ensembles of mats solved one by one, and what readings do to it."""

import random
from collections.abc import Callable
from dataclasses import dataclass
from itertools import product
from math import inf, nan

import pytest

from matbook.engine.calibration import ODD_AT
from matbook.engine.cooling import (
    FixedFilm,
    Forecast,
    Layer,
    OpenSky,
    Reading,
    at_odds,
    calibrate,
    forecast,
)
from matbook.engine.reading import READ_BY
from matbook.engine.spreads import MEMBERS, SPREADS, members
from matbook.errors import OutOfRange
from tests.engine.ensemble import GROUND, drawn, off, ranged, three

MIX = (1.6, 2243.0, 921.0)
LIFT = Layer(0.05, *MIX, 150.0)
BASE = Layer(1.0, *MIX, 15.0)
SKY = OpenSky(14.3, 15.0, -3.1, 243.0)
MADE = forecast([LIFT, BASE], SKY)


@dataclass(frozen=True)
class Case:
    """A mat to forecast: its target is 20 K or more below the laying, and above the base."""

    thick_m: float
    lay_c: float
    ground: str
    base_c: float
    film: float
    air_c: float
    sun: float
    target_c: float

    @property
    def layers(self) -> list[Layer]:
        lift = Layer(self.thick_m, *MIX, self.lay_c)
        return [lift, Layer(1.0, *GROUND[self.ground], self.base_c)]

    @property
    def sky(self) -> OpenSky:
        return OpenSky(self.film, self.air_c, self.air_c - 18.0, self.sun)


WIDE = [
    Case(0.020, 180.0, "asphalt", 2.0, 35.0, 2.0, 0.0, 80.0),
    Case(0.020, 120.0, "concrete", 55.0, 4.0, 30.0, 700.0, 90.0),
    Case(0.025, 140.0, "dry stone", 35.0, 35.0, 30.0, 250.0, 70.0),
    Case(0.030, 160.0, "asphalt", 35.0, 4.0, 30.0, 250.0, 80.0),
    Case(0.030, 120.0, "wet stone", 2.0, 4.0, 2.0, 700.0, 70.0),
    Case(0.040, 140.0, "concrete", 2.0, 4.0, 15.0, 0.0, 100.0),
    Case(0.050, 150.0, "asphalt", 15.0, 14.3, 15.0, 243.0, 80.0),
    Case(0.050, 120.0, "wet stone", 35.0, 4.0, 30.0, 700.0, 100.0),
    Case(0.050, 100.0, "dry stone", 15.0, 20.0, 15.0, 250.0, 80.0),
    Case(0.060, 170.0, "wet stone", 2.0, 35.0, 2.0, 0.0, 70.0),
    Case(0.075, 140.0, "concrete", 15.0, 4.0, 30.0, 700.0, 100.0),
    Case(0.075, 160.0, "dry stone", 35.0, 10.0, 15.0, 0.0, 90.0),
    Case(0.100, 160.0, "asphalt", 55.0, 10.0, 30.0, 700.0, 100.0),
    Case(0.100, 180.0, "concrete", 15.0, 20.0, 15.0, 250.0, 70.0),
    Case(0.120, 140.0, "concrete", 15.0, 4.0, 15.0, 700.0, 80.0),
    Case(0.120, 100.0, "dry stone", 2.0, 35.0, 2.0, 250.0, 80.0),
]


def error(case: Case, count: int) -> float:
    """The worst of a forecast's three quantiles against so many mats drawn at random."""
    made = ranged(forecast(case.layers, case.sky, case.target_c), case.target_c)
    curves = drawn(case.layers, case.sky, max(600.0, min(72_000.0, 4.0 * made.late)), count, 2026)
    return off(made, three(curves, case.target_c))


@pytest.mark.parametrize("case", [WIDE[1], WIDE[15]])
def test_quantiles_against_an_ensemble(case: Case) -> None:
    """A thousand members know their own tenths to some 2 %; the long test has ten thousand."""
    assert error(case, 1000) < 0.05


@pytest.mark.long
@pytest.mark.parametrize("case", WIDE)
def test_quantiles_against_ten_thousand(case: Case) -> None:
    assert error(case, 10_000) < 0.03


def test_no_more_than_25_solves() -> None:
    curves = [MADE.curve, *MADE.along, *(one for pair in MADE.around for one in pair)]
    assert len({id(curve) for curve in curves}) == 19
    assert len(MADE.around) == len(SPREADS)


def test_members_are_spread_as_they_should_be() -> None:
    for steps in members():
        assert sum(steps) / MEMBERS == pytest.approx(0.0, abs=0.01)
        assert sum(z * z for z in steps) / MEMBERS == pytest.approx(1.0, abs=0.02)
    for a, b in product(members(), members()):
        if a is not b:
            assert sum(map(float.__mul__, a, b)) / MEMBERS == pytest.approx(0.0, abs=0.04)


def test_a_forecast_without_spreads_is_its_curve() -> None:
    made = forecast([LIFT, BASE], SKY, spreads=dict.fromkeys(SPREADS, 0.0))
    found = ranged(made, 80.0)
    assert found.early == pytest.approx(found.late, rel=1e-12)
    assert found.middle == pytest.approx(made.curve.time_to(80.0), rel=1e-12)


def test_one_input_alone_is_all_the_way() -> None:
    """Where only the film isn't known, late is the curve with a film at its own late end."""
    made = forecast([LIFT, BASE], SKY, spreads=dict.fromkeys(SPREADS, 0.0) | {"film": 0.3})
    assert made.way[0] == pytest.approx(-1.0)
    calm = OpenSky(14.3 * 2.718281828 ** (-0.3 * 1.2815516), 15.0, -3.1, 243.0)
    slow = forecast([LIFT, BASE], calm, spreads=dict.fromkeys(SPREADS, 0.0))
    assert ranged(made, 80.0).late == pytest.approx(slow.curve.time_to(80.0), rel=2e-3)


def test_better_known_inputs_narrow_it() -> None:
    known = forecast([LIFT, BASE], SKY, spreads={"film": 0.05, "conductivity": 0.05})
    assert width(known) < 0.9 * width(MADE)


def width(made: Forecast) -> float:
    found = ranged(made, 80.0)
    return found.late - found.early


def test_weather_that_changes_is_forecast() -> None:
    still = forecast([LIFT, BASE], [(0.0, SKY), (300.0, SKY)])
    assert ranged(still, 80.0).late == pytest.approx(ranged(MADE, 80.0).late, rel=1e-3)
    gust = forecast([LIFT, BASE], [(0.0, SKY), (300.0, OpenSky(35.0, 12.0, 12.0))])
    assert ranged(gust, 80.0).late < ranged(MADE, 80.0).middle


def test_a_wet_surface_stays_wet() -> None:
    """What evaporates isn't sun: its spread leaves it alone."""
    wet = forecast([LIFT, BASE], FixedFilm(20.0, 15.0, -500.0))
    low, high = wet.around[list(SPREADS).index("sun")]
    assert low.mean_c(600.0) == high.mean_c(600.0) == wet.curve.mean_c(600.0)


def test_temperatures_come_as_ranges_too() -> None:
    for found in (MADE.mean_c(600.0), MADE.surface_c(600.0)):
        assert found.early < found.middle < found.late
    assert MADE.mean_c(600.0).middle == pytest.approx(MADE.curve.mean_c(600.0), abs=1.0)


def test_a_mat_that_never_cools_so_far_has_no_time() -> None:
    warm = forecast([LIFT, Layer(1.0, *MIX, 60.0)], OpenSky(4.0, 40.0, 40.0, 900.0), 45.0)
    assert warm.time_to(45.0) is None
    assert warm.curve.duration_s == pytest.approx(36_000.0)


def test_the_curves_last_as_asked() -> None:
    assert forecast([LIFT, BASE], SKY, lasting_s=20_000.0).mean_c(20_000.0).late < 80.0
    cold = forecast([LIFT, BASE], SKY, 40.0)
    found = ranged(cold, 40.0)
    assert found.early < found.middle < found.late < cold.curve.duration_s


# Readings


def read_on(
    truth: object, how: str, times: tuple[float, ...], draw: random.Random
) -> list[Reading]:
    """Readings of a mat whose truth is known, with their errors."""
    exact = [Reading(t, 0.0, how) for t in times]  # type: ignore[arg-type]
    return [
        Reading(one.at_s, one.on(truth) + draw.gauss(0.0, READ_BY[how][0]), one.how)  # type: ignore[arg-type]
        for one in exact
    ]


def score(how: str, times: tuple[float, ...], count: int) -> tuple[float, float]:
    """How often the truth was in the 80 % range after readings, and its width over that before."""
    draw, inside, wide = random.Random(5), 0, 0.0
    for truth in drawn([LIFT, BASE], SKY, 7200.0, count, 11):
        known = truth.time_to(80.0)
        assert known is not None
        readings = read_on(truth, how, times, draw)
        bad = {one.at_s for pair in at_odds(MADE, readings) for one in pair}
        found = ranged(calibrate(MADE, [r for r in readings if r.at_s not in bad]), 80.0)
        inside += found.early <= known <= found.late
        wide += (found.late - found.early) / width(MADE)
    return inside / count, wide / count


READ = [
    ("probe", (120.0, 300.0), 0.75),
    ("probe", (120.0, 300.0, 600.0, 900.0), 0.45),
    ("infrared", (120.0, 300.0), 0.9),
    ("infrared", (120.0, 300.0, 600.0, 900.0), 0.65),
]


@pytest.mark.parametrize(("how", "times", "widest"), READ[1:2])
def test_readings_narrow_and_keep_it_honest(
    how: str, times: tuple[float, ...], widest: float
) -> None:
    """A range of 80 % holds the truth 80 times in 100: of 100 mats, give or take 4 (one s.d.)."""
    inside, wide = score(how, times, 100)
    assert 0.70 <= inside <= 0.90
    assert wide < widest


@pytest.mark.long
@pytest.mark.parametrize(("how", "times", "widest"), READ)
def test_coverage_over_two_thousand(how: str, times: tuple[float, ...], widest: float) -> None:
    inside, wide = score(how, times, 2000)
    print(f"{len(times)} by {how}: {inside:.3f} inside, width {wide:.2f}")
    assert 0.75 <= inside <= 0.85
    assert wide < widest


def test_an_infrared_reading_is_of_the_surface() -> None:
    """The surface is below the middle all along, and below the mean by the time that counts."""
    curve = MADE.curve
    assert curve.at(0.025, 600.0) - curve.surface_c(600.0) > 5.0
    cold = curve.time_to(80.0)
    assert cold is not None
    assert Reading(cold, 0.0, "infrared").on(curve) < 78.0
    seen = Reading(600.0, curve.surface_c(600.0), "infrared")
    assert seen.on(curve) == curve.surface_c(600.0)
    agreed = calibrate(MADE, [seen])
    assert agreed.used == (seen,)
    assert ranged(agreed, 80.0).middle == pytest.approx(ranged(MADE, 80.0).middle, rel=0.02)
    deep = Reading(600.0, curve.at(0.04, 600.0), "probe", 0.04)
    assert deep.on(curve) == pytest.approx(deep.temp_c)


def test_a_cold_reading_brings_the_time_forward() -> None:
    cold = calibrate(MADE, [Reading(600.0, MADE.curve.at(0.025, 600.0) - 6.0, "probe")])
    warm = calibrate(MADE, [Reading(600.0, MADE.curve.at(0.025, 600.0) + 6.0, "probe")])
    assert ranged(cold, 80.0).middle < ranged(MADE, 80.0).middle < ranged(warm, 80.0).middle
    assert cold.worth < MADE.worth == pytest.approx(1.0)


def test_a_reading_at_odds_is_kept_and_narrows_nothing() -> None:
    odd = Reading(600.0, 40.0, "infrared")
    after = calibrate(MADE, [odd])
    assert after.odd == (odd,)
    assert after.used == ()
    assert after.weights == MADE.weights


def test_readings_count_in_any_order_and_one_after_another() -> None:
    readings = [Reading(t, MADE.curve.at(0.025, t) - 3.0, "probe") for t in (120.0, 600.0, 900.0)]
    at_once, backwards = calibrate(MADE, readings), calibrate(MADE, readings[::-1])
    in_turn = calibrate(calibrate(MADE, readings[:1]), readings[1:])
    assert at_once.weights == backwards.weights
    assert in_turn.weights == pytest.approx(at_once.weights)
    assert in_turn.used == at_once.used


def test_readings_at_odds_with_each_other_are_refused() -> None:
    middle = MADE.curve.at(0.025, 600.0)
    agree = [Reading(600.0, middle, "probe"), Reading(640.0, middle - 3.0, "probe")]
    apart = [Reading(600.0, middle + 8.0, "probe"), Reading(640.0, middle - 10.0, "probe")]
    assert at_odds(MADE, agree) == ()
    assert at_odds(MADE, apart) == (tuple(apart),)
    assert at_odds(MADE, apart[::-1]) == (tuple(apart),)
    with pytest.raises(OutOfRange) as caught:
        calibrate(MADE, apart)
    assert caught.value.field == "observations"
    assert f"{apart[0].temp_c:g} °C at 600 s" in str(caught.value)
    assert ODD_AT > 2.0


def test_a_surface_and_a_depth_may_differ() -> None:
    readings = [Reading(600.0, MADE.curve.at(0.025, 600.0), "probe"),
                Reading(610.0, MADE.curve.surface_c(610.0), "infrared")]  # fmt: skip
    assert at_odds(MADE, readings) == ()


REFUSED: list[tuple[Callable[[], object], str, str]] = [
    (lambda: Reading(-60.0, 110.0, "probe"), "at_s", "-60"),
    (lambda: Reading(nan, 110.0, "probe"), "at_s", "nan"),
    (lambda: Reading(inf, 110.0, "probe"), "at_s", "inf"),
    (lambda: Reading(60.0, nan, "probe"), "temp_c", "nan"),
    (lambda: Reading(60.0, 600.0, "probe"), "temp_c", "600"),
    (lambda: Reading(60.0, 110.0, "hand"), "how", "hand"),  # type: ignore[arg-type]
    (lambda: Reading(60.0, 110.0, "probe", -0.01), "depth_m", "-0.01"),
    (lambda: Reading(60.0, 110.0, "infrared", 0.02), "depth_m", "0.02"),
    (lambda: calibrate(MADE, [Reading(9e4, 50.0, "probe")]), "at_s", "90000"),
    (lambda: calibrate(MADE, [Reading(60.0, 50.0, "probe", 0.06)]), "depth_m", "0.06"),
    (lambda: forecast([LIFT, BASE], SKY, nan), "temp_c", "nan"),
    (lambda: forecast([LIFT, BASE], SKY, spreads={"rain": 1.0}), "spreads", "rain"),
    (lambda: forecast([LIFT, BASE], SKY, spreads={"film": nan}), "spreads film", "nan"),
    (lambda: forecast([LIFT, BASE], SKY, spreads={"laying": 60.0}), "spreads laying", "60"),
    (lambda: forecast([LIFT, BASE], SKY, lasting_s=1e6), "lasting_s", "1000000"),
    (lambda: forecast([LIFT, BASE], OpenSky(178.0, 15.0, 0.0)), "film_w_m2k", "178"),
    (lambda: forecast([LIFT, Layer(1.0, *MIX, 151.0)], SKY), "start_c", "151 °C"),
    (lambda: forecast([LIFT], SKY), "layers", "1 of them"),
    (lambda: forecast([Layer(0.005, *MIX, 150.0), BASE], SKY), "thickness_m", "0.005"),
    (lambda: forecast([Layer(0.05, *MIX, 240.0), BASE], SKY), "start_c", "240"),
    (lambda: forecast([LIFT, Layer(1.0, 9.0, 2243.0, 921.0, 15.0)], SKY), "conductivity_w_mk", "9"),
    (lambda: forecast([LIFT, BASE], [(1.0, SKY)]), "surroundings", "1"),
]


@pytest.mark.parametrize(("act", "name", "value"), REFUSED)
def test_refused_with_a_sentence(act: Callable[[], object], name: str, value: str) -> None:
    """A film of 178 W/m2K is a wind of 80 m/s by the older charts' law."""
    with pytest.raises(OutOfRange) as caught:
        act()
    assert caught.value.field == name
    assert value in str(caught.value)


@pytest.mark.parametrize("ends", list(product((0, 1), repeat=3)))
def test_what_may_be_forecast_is_forecast(ends: tuple[int, int, int]) -> None:
    """At the edges of what is allowed, with the largest spreads: no move leaves its range."""
    largest = {name: {"log": 0.6, "share": 0.2, "K": 20.0, "W/m2": 250.0}[row[1]]
               for name, row in SPREADS.items()}  # fmt: skip
    thick, film, heat = ((0.01, 0.5)[ends[0]], (0.0, 80.0)[ends[1]], (0.05, 4.0)[ends[2]])
    lift = Layer(thick, heat, 2243.0, (300.0, 3500.0)[ends[2]], (60.0, 220.0)[ends[0]])
    base = Layer(1.0, heat, 1900.0, 840.0, (-70.0, 60.0)[ends[1]])
    made = forecast([lift, base], OpenSky(film, 15.0, 0.0, 1000.0), spreads=largest)
    assert len(made.around) == len(SPREADS)
