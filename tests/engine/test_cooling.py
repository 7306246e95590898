"""A mat cools: how fast the errors fall, that no heat is lost, and what is refused."""

from collections.abc import Callable
from itertools import pairwise
from math import fsum, inf, log2, nan, sqrt
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.polynomial.legendre import leggauss
from scipy.integrate import quad, solve_ivp
from scipy.interpolate import CubicSpline

from matbook.engine.conduction import March, Mesh
from matbook.engine.cooling import Curve, FixedFilm, Layer, OpenSky, Weather, cool
from matbook.errors import OutOfRange
from tests.engine.semidiscrete import Equations

MIX = (1.6, 2243.0, 921.0)
LIFT = Layer(0.05, *MIX, 150.0)
BASE = Layer(1.0, *MIX, 15.0)
SKY = OpenSky(14.3, 15.0, -3.1, 243.0)


# Convergence


def ended(fine: int, steps: int) -> float:
    """The surface after ten minutes, cut so fine and stepped so often [°C]."""
    mesh = Mesh([LIFT, BASE], fine)
    return March(mesh, SKY).run(mesh.stored(), 600.0, steps).temps[-1][0]


def order(values: list[float]) -> float:
    """By which power the change falls when what makes it is halved."""
    a, b, c = values
    return log2(abs((a - b) / (b - c)))


def test_fourth_order_in_space() -> None:
    assert order([ended(fine, 600) for fine in (2, 4, 8)]) > 3.5


def test_fourth_order_in_time() -> None:
    """The start is of lower order, in steps that are the smaller the sooner: over 3.3 is left."""
    assert order([ended(2, steps) for steps in (16, 32, 64)]) > 3.3


# Energy


def heat(layers: list[Layer], curve: Curve, t_s: float) -> float:
    """Heat in the layers above 0 °C [J/m2], by Gauss's rule on stretches that widen."""
    points, weights = leggauss(5)
    found, top = 0.0, 0.0
    for layer in layers:
        ends = top + layer.thickness_m * np.linspace(0.0, 1.0, 41) ** 2
        for a, b in pairwise(ends):
            at = [curve.at(float(0.5 * (a + b) + 0.5 * (b - a) * x), t_s) for x in points]
            found += layer.heat_j_m3k * 0.5 * float(b - a) * float(weights @ np.array(at))
        top += layer.thickness_m
    return found


LAYERED = pytest.mark.parametrize(
    "layers",
    [[LIFT, BASE], [Layer(0.05, *MIX, 150.0, 0.01), Layer(0.2, 0.57, 1900.0, 840.0, 30.0, 0.002),
                    Layer(1.0, 1.0, 1500.0, 1900.0, 12.0)]],
    ids=["one base", "three layers with contacts"],
)  # fmt: skip


@LAYERED
def test_the_cells_lose_what_the_surface_gives_off(layers: list[Layer]) -> None:
    """To the error of the steps in time: the sum of all cells' balances is the surface's."""
    march = March(mesh := Mesh(layers, 1), SKY)
    span = march.run(mesh.stored(), 3600.0, 60)
    roots = np.array(span.roots)
    losses = np.array([march.loss(temps[0]) for temps in span.temps])
    left = CubicSpline(roots, 2.0 * roots * losses).integrate(roots[10], roots[-1])
    held = [fsum(march.heat_of(span.temps[n])) for n in (10, -1)]
    assert held[0] - held[1] == pytest.approx(left, rel=2e-5)
    assert fsum(span.stored) == pytest.approx(held[1], rel=1e-12)


@LAYERED
def test_heat_lost_is_heat_that_left(layers: list[Layer]) -> None:
    """The same, by what can be read off the curve at any depth: 0.1 %, for the reading itself."""
    curve = cool(layers, SKY, 3600.0, 4)
    left, _ = quad(lambda r: 2 * r * SKY.loss_w_m2(curve.surface_c(r * r)), sqrt(60.0), 60.0,
                   limit=400)  # fmt: skip
    lost = heat(layers, curve, 60.0) - heat(layers, curve, 3600.0)
    assert lost == pytest.approx(left, rel=1e-3)


# Layers, weather, a warm base


def test_a_contact_keeps_heat_in() -> None:
    """1 m of air gap's worth: the lift then cools from above alone, and its underside is warm."""
    tight, loose = (
        cool([LIFT, BASE], SKY, 3600.0),
        cool([Layer(0.05, *MIX, 150.0, 1.0), BASE], SKY, 3600.0),
    )
    assert loose.mean_c(1800.0) > tight.mean_c(1800.0) + 20.0
    assert loose.at(0.0499, 900.0) - loose.at(0.0501, 900.0) > 100.0
    assert tight.at(0.0499, 900.0) - tight.at(0.0501, 900.0) < 1.0


def test_one_layer_cut_in_three_is_one_layer() -> None:
    whole = cool([LIFT, BASE], SKY, 3600.0)
    parts = [LIFT, *(Layer(thick, *MIX, 15.0) for thick in (0.04, 0.06, 0.9))]
    assert cool(parts, SKY, 3600.0).time_to(80.0) == pytest.approx(whole.time_to(80.0), abs=0.3)


def test_weather_that_stays_is_no_change() -> None:
    still = cool([LIFT, BASE], SKY, 3600.0)
    pairs = cool([LIFT, BASE], [(0.0, SKY), (500.0, SKY), (900.0, SKY), (9999.0, SKY)], 3600.0)
    for t in (100.0, 500.0, 501.0, 900.0, 2000.0, 3600.0):
        assert pairs.mean_c(t) == pytest.approx(still.mean_c(t), abs=0.02), t


def test_weather_that_changes_against_scipy() -> None:
    """Wind and shade from ten minutes on: the same matrices marched by SciPy, one after another."""
    gust = OpenSky(35.0, 12.0, 12.0, 0.0)
    curve = cool([LIFT, BASE], [(0.0, SKY), (600.0, gust)], 1800.0)
    first, second = Equations([LIFT, BASE], SKY), Equations([LIFT, BASE], gust)
    options = {"method": "Radau", "rtol": 1e-8, "atol": 1e-8}
    temps = solve_ivp(first.rates, (0.0, 600.0), first.start, **options).y[:, -1]
    assert curve.mean_c(600.0) == pytest.approx(first.mean(temps), abs=0.02)
    begun = second.march.temperatures(first.march.heat_of(list(temps)), float(temps[0]))
    temps = solve_ivp(second.rates, (0.0, 1200.0), begun, **options).y[:, -1]
    assert curve.mean_c(1800.0) == pytest.approx(second.mean(temps), abs=0.02)


def test_weather_that_changes_keeps_the_order() -> None:
    """No heat is made or lost where the weather changes: four times finer tells it."""
    weather = [(0.0, SKY), (600.0, OpenSky(35.0, 12.0, 12.0)), (1500.0, SKY)]
    curve, fine = (cool([LIFT, BASE], weather, 3600.0, fine) for fine in (1, 4))
    for t in (599.0, 600.0, 610.0, 1000.0, 1499.0, 1501.0, 3600.0):
        assert curve.mean_c(t) == pytest.approx(fine.mean_c(t), abs=0.01), t
    assert curve.time_to(80.0) == pytest.approx(fine.time_to(80.0), abs=0.2)


def test_a_curve_goes_on_from_its_own_profile() -> None:
    """What is laid down as a start at ten minutes cools on as if nothing had happened."""
    curve = cool([LIFT, BASE], SKY, 3600.0)
    depths = [0.002 * n * n for n in range(22)]
    lift = Layer(0.05, *MIX, curve.profile(600.0))
    base = Layer(1.0, *MIX, tuple((x, curve.at(0.05 + x, 600.0)) for x in depths))
    again = cool([lift, base], SKY, 3000.0)
    for t in (300.0, 1200.0, 3000.0):
        assert again.mean_c(t) == pytest.approx(curve.mean_c(600.0 + t), abs=0.35)


def test_a_lift_laid_this_shift_is_a_warm_base() -> None:
    first = cool([LIFT, BASE], SKY, 7200.0)
    warm = Layer(0.05, *MIX, first.profile(3600.0))
    cold = Layer(0.05, *MIX, 15.0)
    on_warm, on_cold = cool([LIFT, warm, BASE], SKY, 7200.0), cool([LIFT, cold, BASE], SKY, 7200.0)
    slow, quick = on_warm.time_to(80.0), on_cold.time_to(80.0)
    assert slow is not None
    assert quick is not None
    assert slow > 1.3 * quick


def test_times_and_temperatures_answer_each_other() -> None:
    curve = cool([LIFT, BASE], SKY, 3600.0)
    for temp in (140.0, 100.0, 80.0, 65.0):
        mean, surface = curve.time_to(temp), curve.time_to(temp, "surface")
        assert mean is not None
        assert surface is not None
        assert curve.mean_c(mean) == pytest.approx(temp, abs=1e-6)
        assert curve.surface_c(surface) == pytest.approx(temp, abs=1e-6)
        assert surface < mean
    assert curve.time_to(151.0) == 0.0
    assert curve.time_to(20.0) is None
    assert curve.at(0.0, 600.0) == pytest.approx(curve.surface_c(600.0), abs=1e-9)
    assert curve.at(0.9, 600.0) == pytest.approx(15.0, abs=0.05)


# Whatever the mat

MATS = st.fixed_dictionaries({
    "thick": st.floats(0.02, 0.15), "lay": st.floats(100.0, 190.0), "base": st.floats(-5.0, 60.0),
    "film": st.floats(2.0, 50.0), "air": st.floats(-5.0, 35.0), "sun": st.floats(0.0, 800.0),
    "k": st.floats(0.8, 2.5), "k_base": st.floats(0.5, 2.5),
})  # fmt: skip


def time_to_85(thick: float, lay: float, base: float, film: float, air: float, sun: float,
               k: float, k_base: float) -> float:  # fmt: skip
    layers = [Layer(thick, k, 2300.0, 920.0, lay), Layer(1.0, k_base, 2000.0, 950.0, base)]
    curve = cool(layers, OpenSky(film, air, air - 10.0, sun), 30_000.0)
    found = curve.time_to(85.0)
    return inf if found is None else found


@settings(max_examples=40, deadline=None)
@given(MATS, st.sampled_from(["thick", "lay", "base", "sun", "air"]), st.floats(0.01, 0.3))
def test_warmer_or_thicker_is_never_earlier(mat: dict[str, float], name: str, by: float) -> None:
    """A hair is left for the cells, which move with the lift: 0.1 s or 0.05 %."""
    scale = {"thick": mat["thick"], "sun": 500.0}.get(name, 50.0)
    more = mat | {name: mat[name] + by * scale}
    before = time_to_85(**mat)
    assert time_to_85(**more) >= before - max(0.1, 5e-4 * before)


@settings(max_examples=30, deadline=None)
@given(MATS, st.floats(0.5, 20.0))
def test_wind_is_never_later(mat: dict[str, float], by: float) -> None:
    before = time_to_85(**mat)
    assert time_to_85(**(mat | {"film": mat["film"] + by})) <= before + 0.1


@settings(max_examples=30, deadline=None)
@given(MATS)
def test_a_mat_stays_between_the_coldest_and_itself(mat: dict[str, float]) -> None:
    layers = [Layer(mat["thick"], mat["k"], 2300.0, 920.0, mat["lay"]),
              Layer(1.0, mat["k_base"], 2000.0, 950.0, mat["base"])]  # fmt: skip
    sky = OpenSky(mat["film"], mat["air"], mat["air"] - 10.0)
    curve = cool(layers, sky, 7200.0)
    low = min(mat["base"], mat["air"] - 10.0)
    for t in (30.0, 300.0, 3000.0, 7200.0):
        for found in (curve.mean_c(t), curve.surface_c(t), curve.at(mat["thick"], t)):
            assert low - 0.5 <= found <= mat["lay"] + 0.5


# What is refused


def mat(**changed: Any) -> Layer:
    usual = {"thickness_m": 0.05, "conductivity_w_mk": 1.6, "density_kg_m3": 2243.0,
             "heat_j_kgk": 921.0, "start_c": 150.0}  # fmt: skip
    return Layer(**(usual | changed))


REFUSED: list[tuple[Callable[[], object], str, str]] = [
    (lambda: mat(thickness_m=0.0), "thickness_m", "0"),
    (lambda: mat(thickness_m=nan), "thickness_m", "nan"),
    (lambda: mat(conductivity_w_mk=0.0), "conductivity_w_mk", "0"),
    (lambda: mat(density_kg_m3=2.3), "density_kg_m3", "2.3"),
    (lambda: mat(heat_j_kgk=inf), "heat_j_kgk", "inf"),
    (lambda: mat(start_c=320.0), "start_c", "320"),
    (lambda: mat(start_c=nan), "start_c", "nan"),
    (lambda: mat(start_c=()), "start_c", "()"),
    (lambda: mat(start_c=((0.0, 90.0), (0.0, 80.0))), "start_c", "90"),
    (lambda: mat(start_c=((0.0, 90.0), (nan, 80.0))), "start_c", "nan"),
    (lambda: mat(start_c=((0.0, 90.0), (0.06, 80.0))), "start_c", "0.06"),
    (lambda: mat(contact_m2k_w=-0.1), "contact_m2k_w", "-0.1"),
    (lambda: OpenSky(250.0, 15.0, 0.0), "film_w_m2k", "250"),
    (lambda: OpenSky(nan, 15.0, 0.0), "film_w_m2k", "nan"),
    (lambda: OpenSky(15.0, 90.0, 0.0), "air_c", "90"),
    (lambda: OpenSky(15.0, 15.0, -140.0), "sky_c", "-140"),
    (lambda: OpenSky(15.0, 15.0, 0.0, 3000.0), "absorbed_w_m2", "3000"),
    (lambda: OpenSky(15.0, 15.0, 0.0, 0.0, 1.2), "emissivity", "1.2"),
    (lambda: FixedFilm(-1.0, 15.0), "film_w_m2k", "-1"),
    (lambda: FixedFilm(20.0, inf), "air_c", "inf"),
    (lambda: FixedFilm(20.0, 15.0, nan), "absorbed_w_m2", "nan"),
    (lambda: cool([LIFT], SKY, 600.0), "layers", "1 of them"),
    (lambda: cool([LIFT, mat(thickness_m=0.3)], SKY, 600.0), "layers", "0.35 m"),
    (lambda: cool([LIFT, Layer(1.0, *MIX, 160.0)], SKY, 600.0), "start_c", "160 °C"),
    (lambda: cool([LIFT, mat(start_c=((0.0, 90.0), (0.05, 151.0))), BASE], SKY, 600.0),
     "start_c", "151 °C"),
    (lambda: cool([LIFT, BASE], SKY, 0.0), "duration_s", "0"),
    (lambda: cool([LIFT, BASE], SKY, nan), "duration_s", "nan"),
    (lambda: cool([LIFT, BASE], SKY, 600.0, 0), "fine", "0"),
    (lambda: cool([LIFT, BASE], [], 600.0), "surroundings", "[]"),
    (lambda: cool([LIFT, BASE], [(5.0, SKY)], 600.0), "surroundings", "5"),
    (lambda: cool([LIFT, BASE], [(0.0, SKY), (nan, SKY)], 600.0), "surroundings", "nan"),
    (lambda: cool([LIFT, BASE], [(0.0, SKY), (90.0, SKY), (60.0, SKY)], 600.0),
     "surroundings", "60"),
    (lambda: cool([LIFT, BASE], SKY, 600.0).mean_c(-1.0), "t_s", "-1"),
    (lambda: cool([LIFT, BASE], SKY, 600.0).surface_c(601.0), "t_s", "601"),
    (lambda: cool([LIFT, BASE], SKY, 600.0).mean_c(nan), "t_s", "nan"),
    (lambda: cool([LIFT, BASE], SKY, 600.0).at(5.0, 60.0), "depth_m", "5"),
    (lambda: cool([LIFT, BASE], SKY, 600.0).at(nan, 60.0), "depth_m", "nan"),
    (lambda: cool([LIFT, BASE], SKY, 600.0).time_to(nan), "temp_c", "nan"),
    (lambda: cool([LIFT, BASE], SKY, 600.0).time_to(80.0, "middle"), "where", "middle"),
]  # fmt: skip


@pytest.mark.parametrize(("act", "name", "value"), REFUSED)
def test_refused_with_a_sentence(act: Callable[[], object], name: str, value: str) -> None:
    with pytest.raises(OutOfRange) as caught:
        act()
    assert caught.value.field == name
    assert value in str(caught.value)
    assert str(caught.value).endswith(".")


def test_a_mat_is_laid_even_in_a_gale() -> None:
    """What is allowed at the edges still gives a curve that falls."""
    edges: list[tuple[list[Layer], Weather]] = [
        ([mat(thickness_m=0.001), BASE], OpenSky(200.0, -40.0, -100.0)),
        ([mat(start_c=250.0), BASE], FixedFilm(1000.0, 60.0, 1400.0)),
        ([LIFT, Layer(1.0, *MIX, 150.0)], OpenSky(0.0, 15.0, 15.0, -20_000.0)),
    ]
    for layers, weather in edges:
        curve = cool(layers, weather, 60.0)
        assert curve.mean_c(60.0) < curve.mean_c(10.0) < layers[0].hottest_c
