"""Smoothness against published matrices, the response to waves, and straightedge clauses."""

from math import pi, sin, tau

import pytest

from matbook.engine.quarter_car import (
    BODY_SPRING,
    DAMPING,
    SPEED_M_S,
    TYRE_SPRING,
    WHEEL,
    quarter_car,
)
from matbook.engine.smoothness import iri, over_limit, straightedge_gaps
from matbook.engine.units import convert as si

PRINTED = [
    # World Bank Technical Paper 46 (Sayers, Gillespie, Paterson 1986), spacing 250 mm, from memory
    (0.9966071, 0.01091514, -0.002083274, 0.0003190145, 0.005476107),
    (-0.5563044, 0.9438768, -0.8324718, 0.05064701, 1.388776),
    (0.02153176, 0.002126763, 0.7508714, 0.008221888, 0.2275968),
    (3.335013, 0.3376467, -39.12762, 0.4347564, 35.79262),
]


@pytest.mark.parametrize("row", range(4))
def test_the_matrix_for_250_mm(row: int) -> None:
    """As printed, from memory. It was worked out in single precision: seven digits at best, and
    0.005476 is a small difference, good to 2 in 100,000."""
    transition, entering = quarter_car(0.25)
    *moving, driven = PRINTED[row]
    assert transition[row] == pytest.approx(moving, rel=1.5e-6)
    assert entering[row] == pytest.approx(driven, rel=2e-5)


def gain(wave_per_m: float) -> float:
    """Response of the reference car's slope to a wave's, in closed form: complex amplitudes."""
    s = 1j * tau * wave_per_m * SPEED_M_S
    coupling = BODY_SPRING + DAMPING * s
    body = coupling / (s * s + coupling)  # of the wheel's
    wheel = TYRE_SPRING / (WHEEL * s * s + TYRE_SPRING + coupling * (1.0 - body))
    return abs(wheel - body * wheel)


@pytest.mark.parametrize(
    ("wave_per_m", "printed"), [(0.033, 0.5), (0.8, 0.5)], ids=["30 m", "1.25 m"]
)
def test_where_the_response_is_halved(wave_per_m: float, printed: float) -> None:
    """Sayers and Karamihas, The Little Book of Profiling (1998), from memory: down to 0.5 at 0.033
    and 0.8 cycles per metre; both read off a graph, so within a tenth."""
    assert gain(wave_per_m) == pytest.approx(printed, abs=0.1)


def test_where_the_response_is_highest() -> None:
    """The same book, from memory: most sensitive near 0.065 and 0.42 cycles per metre, waves of
    some 15 and 2.4 m."""
    waves = [0.02 + 0.001 * n for n in range(900)]
    gains = [gain(wave) for wave in waves]
    peaks = [waves[n] for n in range(1, len(waves) - 1) if gains[n - 1] < gains[n] >= gains[n + 1]]
    assert len(peaks) == 2
    assert peaks == pytest.approx([0.065, 0.42], rel=0.05)


@pytest.mark.parametrize("length_m", [1.25, 2.4, 5.0, 15.4, 30.0])
def test_the_index_of_waves(length_m: float) -> None:
    """Closed form: a wave of 1 mm has the slope 1 mm x 2 pi / length, less what averaging over
    250 mm takes from it; the mean of its stroke is 2 / pi of the response. Within 1 %: the drive
    begins beside the wave, and each step takes the slope as straight."""
    spacing, amplitude = 0.025, 0.001
    points = round(60 * length_m / spacing)
    profile = [amplitude * sin(tau * n * spacing / length_m) for n in range(points + 10)]
    smoothed = sin(pi * 0.25 / length_m) / (pi * 0.25 / length_m)
    expected = 1000 * (2 / pi) * amplitude * tau / length_m * smoothed * gain(1 / length_m)
    assert iri(profile, spacing) == pytest.approx(expected, rel=0.01)


def survey(depth_in: float) -> list[tuple[float, float]]:
    """A dip in the middle of 30 ft, read every 6 in."""
    foot, inch = si(1.0, "ft", "m"), si(1.0, "in", "m")
    return [(n * foot / 2, -depth_in * inch if n == 30 else 0.0) for n in range(61)]


@pytest.mark.parametrize(("depth_in", "over"), [("0.125", 0), ("0.13", 1)])
def test_an_eighth_in_ten_feet(depth_in: str, over: int) -> None:
    """WSDOT-type clause [read]: not more than 1/8 in below a 10 ft straightedge laid along."""
    gaps = straightedge_gaps(survey(float(depth_in)), si(10.0, "ft", "m"))
    worst = max(gap.gap_m for gap in gaps)
    assert worst == pytest.approx(si(float(depth_in), "in", "m"), rel=1e-9)
    found = over_limit(gaps, si(0.125, "in", "m"))
    assert [round(gap.at_m, 3) for gap in found] == [4.572] * over


def test_three_metres_over_a_sag() -> None:
    """Straightedge of 3 m (EN 13036-7, read) over a sag of radius R: closed form L^2 / 8 R."""
    sag = [(0.1 * n, (0.1 * n - 5.0) ** 2 / (2 * 400.0)) for n in range(101)]
    gaps = [gap.gap_m for gap in straightedge_gaps(sag, 3.0)]
    assert len(gaps) == 71
    assert gaps == pytest.approx([9.0 / (8 * 400.0)] * 71, abs=1e-9)
