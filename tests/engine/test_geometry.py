"""Geometry: what is refused, wedges by hand, and the ways back."""

from collections.abc import Callable
from math import inf, nan, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from matbook.engine.depth import loose_depth
from matbook.engine.geometry import (
    Wedge,
    board_reading,
    edge_angle_deg,
    edge_wedge,
    paper_widths,
    ramp_length,
    ramp_mass,
    ramp_ratio,
    slope_degrees,
    slope_from_board,
    slope_from_levels,
    starter_strip,
)
from matbook.errors import OutOfRange

REFUSED: list[tuple[Callable[..., object], dict[str, float], str, list[float]]] = [
    (board_reading, {"slope": 0.02, "board_m": 1.2}, "slope", [0.21, -0.21, 2.0]),
    (board_reading, {"slope": 0.02, "board_m": 1.2}, "board_m", [0.0]),
    (slope_from_board, {"reading_m": 0.02, "board_m": 1.2}, "reading_m", [0.25, -0.25]),
    (slope_from_board, {"reading_m": 0.0, "board_m": 1.2}, "board_m", [0.0]),
    *[
        (slope_from_levels, {"near_m": 1.41, "far_m": 1.48, "apart_m": 3.7}, name, bad)
        for name, bad in [("near_m", []), ("far_m", [0.5, 3.0]), ("apart_m", [0.0])]
    ],
    (slope_degrees, {"slope": 0.02}, "slope", []),
    (ramp_length, {"step_m": 0.05, "ratio": 20.0}, "step_m", [-0.01]),
    (ramp_ratio, {"step_m": 0.05, "length_m": 1.0}, "step_m", [0.0, -0.01]),
    (ramp_ratio, {"step_m": 0.05, "length_m": 1.0}, "length_m", [-0.01]),
    (ramp_length, {"step_m": 0.05, "ratio": 20.0}, "ratio", [0.9, 501.0]),
    *[
        (ramp_mass, {"step_m": 0.05, "length_m": 1.0, "width_m": 4.0, "density_kg_m3": 2_400.0},
         name, [bad])
        for name, bad in [("step_m", -0.1), ("length_m", -1.0), ("width_m", -1.0),
                          ("density_kg_m3", 0.0)]
    ],
    *[
        (paper_widths, {"ramp_length_m": 1.2, "paper_width_m": 0.9, "lap_m": 0.1}, name, bad)
        for name, bad in [("ramp_length_m", [0.0]), ("paper_width_m", [0.0]),
                          ("lap_m", [-0.1, 0.9, 1.0])]
    ],
    (starter_strip, {"compacted_m": 0.05, "roll_down": 0.2}, "compacted_m", [0.0]),
    (starter_strip, {"compacted_m": 0.05, "roll_down": 0.2}, "roll_down", [-0.1, 0.6]),
    (edge_wedge, {"height_m": 0.05, "angle_deg": 30.0}, "height_m", [-0.01]),
    (edge_wedge, {"height_m": 0.05, "angle_deg": 30.0}, "angle_deg", [4.9, 90.1]),
    (edge_angle_deg, {"height_m": 0.05, "run_m": 0.1}, "height_m", [-0.01]),
    (edge_angle_deg, {"height_m": 0.05, "run_m": 0.1}, "run_m", [0.0]),
]  # fmt: skip


@pytest.mark.parametrize(
    ("function", "good", "name", "bad"),
    REFUSED,
    ids=lambda value: getattr(value, "__name__", None),
)
def test_refused(
    function: Callable[..., object], good: dict[str, float], name: str, bad: list[float]
) -> None:
    """Each argument on its own: what is good is taken, bad values, nan and inf are refused."""
    assert function(**good) is not None
    for value in (*bad, nan, inf):
        with pytest.raises(OutOfRange) as refusal:
            function(**{**good, name: value})
        assert refusal.value.field == name


@given(st.floats(-0.2, 0.2), st.floats(0.5, 5.0))
def test_a_board_reads_back(slope: float, board: float) -> None:
    reading = board_reading(slope, board)
    # at the very end of the range the last digit may step over it
    assert slope_from_board(reading * (1 - 1e-12), board) == pytest.approx(slope, abs=1e-12)


def test_a_level_and_a_board_agree() -> None:
    for slope in (-0.04, 0.0, 0.02):
        levels = slope_from_levels(1.5, 1.5 + board_reading(slope, 3.0), 3.0)
        assert levels == pytest.approx(slope, abs=1e-12)


def test_a_slope_falls_either_way() -> None:
    assert board_reading(-0.02, 1.2) == -board_reading(0.02, 1.2)
    assert slope_degrees(-1.0) == -45.0
    assert slope_degrees(0.0) == 0.0


def test_a_ratio_has_no_default() -> None:
    with pytest.raises(TypeError):
        ramp_length(0.05)  # type: ignore[call-arg]


@given(st.floats(0.001, 0.3), st.floats(1.0, 500.0))
def test_a_ramp_that_was_built_as_asked_measures_as_asked(step: float, ratio: float) -> None:
    assert ramp_ratio(step, ramp_length(step, ratio)) == pytest.approx(ratio, rel=1e-12)


@given(st.floats(0.0, 0.3), st.floats(1.0, 500.0), st.floats(1.0, 12.0))
def test_a_ramp_weighs_half_of_a_block(step: float, ratio: float, width: float) -> None:
    length = ramp_length(step, ratio)
    block = step * length * width * 2_350.0
    assert ramp_mass(step, length, width, 2_350.0) == pytest.approx(block / 2, rel=1e-12)


@pytest.mark.parametrize(
    ("ramp", "paper", "lap", "count"),
    [
        (0.5, 0.9, 0.0, 1),  # shorter than one width
        (0.9, 0.9, 0.0, 1),
        (0.91, 0.9, 0.0, 2),
        (1.0, 0.9, 0.1, 2),
        (1.7, 0.9, 0.1, 2),  # 0.9 + 0.8: just covered
        (1.71, 0.9, 0.1, 3),
        (0.05, 0.9, 0.1, 1),  # shorter than the lap
        (3.0, 1.0, 0.0, 3),
    ],
)
def test_paper_covers_the_ramp(ramp: float, paper: float, lap: float, count: int) -> None:
    assert paper_widths(ramp, paper, lap) == count
    assert paper_widths(ramp, paper_width_m=paper, lap_m=lap) == count


@given(st.floats(0.1, 10.0), st.floats(0.3, 2.0), st.floats(0.0, 0.25))
def test_paper_is_enough_and_no_width_too_many(ramp: float, paper: float, lap: float) -> None:
    count = paper_widths(ramp, paper, lap)
    assert paper + (count - 1) * (paper - lap) >= ramp - 1e-6
    assert count == 1 or paper + (count - 2) * (paper - lap) < ramp + 1e-6


@given(st.floats(0.01, 0.3), st.floats(0.0, 0.59))
def test_strips_fill_what_rolling_takes(compacted: float, share: float) -> None:
    assert compacted + starter_strip(compacted, share) == pytest.approx(
        loose_depth(compacted, share), rel=1e-12
    )


@given(st.floats(0.001, 0.5), st.floats(5.0, 85.0))
def test_an_edge_reads_back(height: float, angle: float) -> None:
    wedge = edge_wedge(height, angle)
    assert edge_angle_deg(height, wedge.run_m) == pytest.approx(angle, rel=1e-9)
    assert wedge.area_m2 == pytest.approx(height * wedge.run_m / 2, rel=1e-12)


def test_edges_one_knows() -> None:
    assert edge_wedge(0.05, 45.0).run_m == pytest.approx(0.05)
    assert edge_wedge(0.05, 45.0).area_m2 == pytest.approx(0.00125)
    assert edge_wedge(0.05, 30.0).run_m == pytest.approx(0.05 * sqrt(3.0))
    assert edge_wedge(0.05, 90.0).run_m == pytest.approx(0.0, abs=1e-12)
    assert edge_wedge(0.0, 30.0) == Wedge(0.0, 0.0)
    assert edge_angle_deg(0.0, 1.0) == 0.0
