"""Smoothness: SciPy on the same car, straightedges by linear programming, and what is refused."""

from collections.abc import Callable
from itertools import pairwise
from math import inf, nan, sin

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.linalg import expm
from scipy.optimize import linprog
from scipy.signal import cont2discrete

from bench.haul import by_scipy, road
from matbook.engine.quarter_car import MOTION, SPEED_M_S, quarter_car
from matbook.engine.smoothness import (
    Gap,
    iri,
    iri_sections,
    over_limit,
    pieces,
    roughest,
    straightedge_gaps,
)
from matbook.errors import OutOfRange

SPACINGS = [0.005, 0.0254, 0.05, 0.1, 0.1524, 0.25, 0.3]
ROAD = road(100)
WALKS = st.lists(st.floats(-0.01, 0.01), min_size=13, max_size=60)


@pytest.mark.parametrize("spacing", SPACINGS)
def test_matrices_against_scipy(spacing: float) -> None:
    """SciPy's matrix exponential, and its zero-order hold."""
    transition, entering = quarter_car(spacing)
    motion = np.array(MOTION)
    whole = expm(motion * spacing / SPEED_M_S)
    assert np.array(transition) == pytest.approx(whole[:4, :4], rel=1e-11)
    assert np.array(entering) == pytest.approx(whole[:4, 4], rel=1e-11)
    system = (motion[:4, :4], motion[:4, 4:], np.eye(4), np.zeros((4, 1)))
    held = cont2discrete(system, spacing / SPEED_M_S, "zoh")
    assert np.array(transition) == pytest.approx(held[0], rel=1e-9)
    assert np.array(entering) == pytest.approx(held[1][:, 0], rel=1e-9)


@pytest.mark.parametrize("spacing", SPACINGS)
def test_on_a_straight_slope_the_car_follows(spacing: float) -> None:
    """A state that is the profile's slope everywhere stays so."""
    transition, entering = quarter_car(spacing)
    kept = [row[0] + row[2] + p for row, p in zip(transition, entering, strict=True)]
    assert kept == pytest.approx([1.0, 0.0, 1.0, 0.0], abs=1e-9)
    slope = [0.02 * n * spacing for n in range(round(30 / spacing))]
    assert iri(slope, spacing) == pytest.approx(0.0, abs=1e-7)


def test_the_index_against_scipy() -> None:
    """SciPy's discrete simulation of the same car over an invented road of 100 m."""
    assert iri(ROAD, 0.025) == pytest.approx(by_scipy(ROAD), rel=1e-10)


def test_the_index_hardly_depends_on_the_spacing() -> None:
    """The same smooth road, every 25 mm to every 250 mm: within 2 %."""
    found = []
    for spacing in (0.025, 0.05, 0.125, 0.25):
        points = [spacing * n for n in range(round(500 / spacing))]
        found.append(iri([0.003 * sin(x / 2.1) + 0.001 * sin(x / 0.9) for x in points], spacing))
    assert found == pytest.approx([found[0]] * 4, rel=0.02)


@given(st.floats(0.1, 10.0), st.floats(-5.0, 5.0))
def test_the_index_is_a_scale(factor: float, lift: float) -> None:
    """Twice the heights, twice the index; a road that lies higher is no rougher."""
    waves = [0.002 * sin(n / 5.0) for n in range(200)]
    moved = [factor * height + lift for height in waves]
    assert iri(moved, 0.1) == pytest.approx(factor * iri(waves, 0.1), rel=1e-6)


def test_sections_make_up_the_whole() -> None:
    sections = iri_sections(ROAD, 0.025, 30.0)
    assert [section.from_m for section in sections] == pytest.approx([0.0, 30.0, 60.0, 90.0])
    assert sections[-1].to_m == pytest.approx(100.0)
    assert all(after.from_m == before.to_m for before, after in pairwise(sections))
    steps = [1_200, 1_200, 1_200, 391]  # the last 250 mm have no slope of their own
    whole = sum(n * section.iri_m_km for n, section in zip(steps, sections, strict=True))
    assert whole / sum(steps) == pytest.approx(iri(ROAD, 0.025), rel=1e-12)


def test_the_roughest_stretches() -> None:
    """Two bumps on a flat road: they lead, the higher first, and no two stretches overlap."""
    heights = [0.0] * 2_000
    heights[400:404] = [0.01] * 4
    heights[1_400:1_404] = [0.02] * 4
    found = roughest(heights, 0.1, 20.0, 3)
    assert found[0].from_m <= 140.0 < found[0].to_m
    assert found[1].from_m <= 40.0 < found[1].to_m
    assert found[0].iri_m_km > found[1].iri_m_km > found[2].iri_m_km
    by_place = sorted(found)
    assert all(after.from_m >= before.to_m - 1e-9 for before, after in pairwise(by_place))
    fixed = max(section.iri_m_km for section in iri_sections(heights, 0.1, 20.0))
    assert found[0].iri_m_km >= fixed - 1e-12


def test_a_road_shorter_than_a_stretch() -> None:
    (only,) = roughest(ROAD, 0.025, 500.0)
    assert only.from_m == 0.0
    assert only.iri_m_km == pytest.approx(iri(ROAD, 0.025), rel=1e-9)


def test_a_profile_with_a_gap() -> None:
    """Refused with the place; the pieces between gaps can be driven one by one."""
    broken: list[float | None] = [*ROAD]
    broken[1_600], broken[1_601] = None, nan
    with_gap = [nan if height is None else height for height in broken]
    with pytest.raises(OutOfRange, match=r"there is a gap at 40 m: take the pieces apart"):
        iri(with_gap, 0.025)
    found = pieces(broken, 0.025)
    assert [(one.from_m, len(one.profile_m)) for one in found] == [
        (0.0, 1_600), (pytest.approx(40.05), 4_001 - 1_602)
    ]  # fmt: skip
    assert [list(one.profile_m) for one in found] == [ROAD[:1_600], ROAD[1_602:]]
    assert iri(found[1].profile_m, 0.025) > 0.0
    assert pieces([None, nan, inf], 0.1) == []


SHORT = r"profile_m is “110 points”; at 0\.1 m there must be more than 110 points, 11 m"


def test_a_profile_too_short() -> None:
    with pytest.raises(OutOfRange, match=SHORT):
        iri([0.0] * 110, 0.1)
    assert iri([0.0] * 111, 0.1) == 0.0


@pytest.mark.parametrize("ask", [iri, iri_sections, roughest])
def test_spacings_refused(ask: Callable[..., object]) -> None:
    for spacing in (0.0, 0.0049, 0.31, nan, inf):
        with pytest.raises(OutOfRange, match="spacing_m"):
            ask(ROAD, spacing)
    with pytest.raises(OutOfRange, match="spacing_m"):
        pieces(ROAD, 0.0)


@pytest.mark.parametrize("ask", [iri_sections, roughest])
def test_lengths_refused(ask: Callable[..., object]) -> None:
    for length in (0.9, nan):
        with pytest.raises(OutOfRange, match="length_m"):
            ask(ROAD, 0.025, length)
    for most in (0, 101):
        with pytest.raises(OutOfRange, match="most"):
            roughest(ROAD, 0.025, 20.0, most)


@settings(max_examples=16, deadline=None)
@given(WALKS)
def test_an_edge_rests_as_low_as_it_can(heights: list[float]) -> None:
    """Linear programming: of all lines above the surface, that which is lowest at the middle."""
    profile = [(0.25 * n, height) for n, height in enumerate(heights)]
    for gap, (first, _) in zip(straightedge_gaps(profile, 3.0), profile, strict=False):
        below = [(x, h) for x, h in profile if first - 1e-9 <= x <= first + 3.0 + 1e-9]
        middle = first + 1.5
        done = linprog(
            [1.0, 0.0],
            A_ub=[[-1.0, -(x - middle)] for x, _ in below],
            b_ub=[-h for _, h in below],
            bounds=[(None, None), (None, None)],
        )
        at_middle = next(h for x, h in below if abs(x - middle) < 1e-9)
        ends = [next(h for x, h in below if x == end) for end in (gap.from_m, gap.to_m)]
        share = (middle - gap.from_m) / (gap.to_m - gap.from_m) if gap.to_m > gap.from_m else 0.0
        resting = ends[0] + share * (ends[1] - ends[0])
        assert resting == pytest.approx(done.fun, abs=3e-6)
        assert resting >= at_middle - 3e-6
        assert gap.gap_m >= 0.0


def test_one_gap_for_each_place_of_the_edge() -> None:
    flat = [(0.5 * n, 0.0) for n in range(21)]
    gaps = straightedge_gaps(flat, 3.0)
    assert gaps == [Gap(0.5 * n, 0.0, 0.5 * n, 0.5 * n + 3.0) for n in range(15)]
    assert over_limit(gaps, 0.0) == []


def test_an_edge_on_a_crest_rests_on_one_side() -> None:
    crest = [(0.5 * n, -0.01 * abs(n - 6)) for n in range(13)]
    gaps = straightedge_gaps(crest, 6.0)
    assert [gap.gap_m for gap in gaps] == pytest.approx([0.0], abs=1e-12)


def test_the_deepest_place_is_named_once() -> None:
    """A dip under ten layings of the edge: one place, with the deepest gap that showed."""
    dip = [(0.25 * n, {20: -0.006, 21: -0.004}.get(n, 0.0)) for n in range(41)]
    (found,) = over_limit(straightedge_gaps(dip, 3.0), 0.003)
    assert found.at_m == 5.0
    assert found.gap_m == pytest.approx(0.006)


@pytest.mark.parametrize(
    ("profile", "length", "sentence"),
    [
        ([(0.0, 0.0), (0.5, 0.0), (0.5, 0.0), (3.0, 0.0)], 3.0,
         r"profile is 0\.5; it must lie beyond the point before, 0\.5\."),
        ([(0.0, 0.0), (0.5, 0.0), (1.5, 0.0), (3.0, 0.0)], 3.0,
         r"profile is 1\.5; there is a gap of 1 m before it: take the pieces apart\."),
        ([(0.0, 0.0), (0.5, nan)], 3.0, r"profile is “0\.5, nan”; both must be numbers\."),
        ([(0.0, 0.0), (inf, 0.0)], 3.0, r"profile is “inf, 0”; both must be numbers\."),
        ([(0.0, 0.0), (0.5, 0.0)], 3.0, r"profile is “2 points”; it must reach over 3 m\."),
        ([], 3.0, r"profile is “0 points”; it must reach over 3 m\."),
        ([(0.0, 0.0), (0.5, 0.0)], 0.0, "length_m"),
    ],
)  # fmt: skip
def test_a_survey_refused(profile: list[tuple[float, float]], length: float, sentence: str) -> None:
    with pytest.raises(OutOfRange, match=sentence):
        straightedge_gaps(profile, length)


def test_a_limit_refused() -> None:
    with pytest.raises(OutOfRange, match="limit_m"):
        over_limit([], -0.001)
