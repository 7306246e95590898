"""Loose depth along the lane: the line against SciPy's, how often scatter is called a drift."""

from itertools import islice
from math import inf, nan
from statistics import NormalDist

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import linregress

from matbook.engine.depth_readings import (
    NOISE_M,
    drift,
    runs_out_after,
    scatter,
    strip_roll_down,
)
from matbook.engine.likely import VALUES, stream
from matbook.errors import OutOfRange

depths = st.floats(0.03, 0.2)
NORMALS = [NormalDist().inv_cdf((n + 0.5) / VALUES) for n in range(VALUES)]


@given(st.lists(depths, min_size=3, max_size=30), st.floats(5.0, 50.0))
def test_the_line_against_scipy(read: list[float], apart: float) -> None:
    places = [apart * n for n in range(len(read))]
    found = drift(list(zip(places, read, strict=True)))
    oracle = linregress(places, read)
    assert found.slope == pytest.approx(oracle.slope, abs=1e-12)
    assert found.last_m == pytest.approx(oracle.intercept + oracle.slope * places[-1], abs=1e-12)
    assert found.least < found.slope < found.most
    assert found.drifting == (not found.least <= 0.0 <= found.most)


def test_scatter_alone_is_seldom_called_a_drift() -> None:
    """Normal scatter about one depth: some 5 lanes in 100; of 300 lanes 3 to 30."""
    called = 0
    for lane in range(300):
        scatter = [NOISE_M * NORMALS[which] for which in islice(stream(f"lane {lane}"), 12)]
        read = [(20.0 * n, 0.075 + off_m) for n, off_m in enumerate(scatter)]
        called += drift(read).drifting
    assert 3 <= called <= 30


def test_a_drift_is_called() -> None:
    """1 mm in 10 m over 100 m is 10 mm: beyond 4 mm of scatter in eleven readings."""
    found = drift([(10.0 * n, 0.075 + 0.001 * n) for n in range(11)])
    assert found.drifting
    assert found.slope == pytest.approx(1e-4)
    assert found.last_m == pytest.approx(0.085)
    assert found.mean_m == pytest.approx(0.080)
    back = drift([(-10.0 * n, 0.075 + 0.001 * n) for n in range(11)])  # stations that count down
    assert back.slope == pytest.approx(-1e-4)
    assert back.last_m == pytest.approx(0.085)


GOOD = [(0.0, 0.075), (10.0, 0.076), (20.0, 0.074)]


@pytest.mark.parametrize(
    ("readings", "field"),
    [
        (GOOD[:2], "readings"),
        ([(5.0, 0.075)] * 4, "readings"),
        ([*GOOD, (30.0, 0.0)], "depth_m"),
        ([*GOOD, (30.0, nan)], "depth_m"),
        ([*GOOD, (inf, 0.075)], "at_m"),
    ],
)
def test_no_trend_of(readings: list[tuple[float, float]], field: str) -> None:
    with pytest.raises(OutOfRange) as refusal:
        drift(readings)
    assert refusal.value.field == field


def test_a_noise_refused() -> None:
    for noise in (0.0, 0.051, nan):
        with pytest.raises(OutOfRange, match="noise_m"):
            drift(GOOD, noise)


def test_the_strips_own_roll_down() -> None:
    """225 mm loose to 180 mm in all; single places from 18.9 to 21.1 %. By hand."""
    found = strip_roll_down([(0.075, 0.060), (0.074, 0.060), (0.076, 0.060)])
    assert found.roll_down == pytest.approx(0.2)
    assert (found.least, found.most) == pytest.approx((14 / 74, 16 / 76))
    assert found.count == 3


def test_no_roll_down_of() -> None:
    with pytest.raises(OutOfRange, match="pairs is 0; there must be at least one pair"):
        strip_roll_down([])
    with pytest.raises(OutOfRange, match="compacted_m"):
        strip_roll_down([(0.060, 0.075)])


def test_the_scatter_of_steps_hardly_sees_a_drift() -> None:
    """Normal readings of 3 mm, with a drift of 5 mm on 100 m under them and without."""
    draw, values = stream("scatter"), NormalDist(0.0, 0.003)
    noise = [values.inv_cdf((n + 0.5) / VALUES) for n in islice(draw, 200)]
    flat = [0.075 + one for one in noise]
    drifting = [depth + 0.0005 * n for n, depth in enumerate(flat)]
    assert scatter(flat) == pytest.approx(0.003, rel=0.15)
    assert scatter(drifting) == pytest.approx(scatter(flat), rel=0.1)
    assert scatter([0.075, 0.075]) == 0.001


@pytest.mark.parametrize("depths", [[], [0.075], [0.075, 0.0]])
def test_no_scatter_of(depths: list[float]) -> None:
    with pytest.raises(OutOfRange):
        scatter(depths)


def test_how_far_a_drift_still_goes() -> None:
    """By hand: 4 of 6 mm left at 8 mm on 100 m is 50 m; from below it is 2 + 6 mm, 100 m."""
    assert runs_out_after(0.002, 0.00008, 0.006) == pytest.approx(50.0)
    assert runs_out_after(-0.002, 0.00008, 0.006) == pytest.approx(100.0)
    assert runs_out_after(-0.002, -0.00008, 0.006) == pytest.approx(50.0)
    assert runs_out_after(0.007, -0.00008, 0.006) == 0.0
    assert runs_out_after(0.002, 0.0, 0.006) == inf


@pytest.mark.parametrize("given_", [(nan, 0.0, 0.006), (0.0, inf, 0.006), (0.0, 0.0, 0.0)])
def test_no_distance_of(given_: tuple[float, float, float]) -> None:
    with pytest.raises(OutOfRange):
        runs_out_after(*given_)
