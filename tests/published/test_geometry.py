"""Slopes, ramps, strips, edges: published figures, and tables computed from the definitions."""

import pytest

from matbook.engine.geometry import (
    board_reading,
    edge_angle_deg,
    edge_wedge,
    ramp_length,
    slope_degrees,
    slope_from_board,
    starter_strip,
)
from matbook.engine.units import convert
from tests.published.printed import half, rows

BOARDS = {
    # board length, and the unit of the reading, by the column of the table
    "mm_over_1.2_m": (1.2, 0.001),
    "mm_over_3.0_m": (3.0, 0.001),
    "in_over_4_ft": (4 * 0.3048, 0.0254),
    "in_over_10_ft": (10 * 0.3048, 0.0254),
}


@pytest.mark.parametrize("row", rows("slope_board_readings"), ids=lambda row: row["slope_pct"])
def test_board_readings(row: dict[str, str]) -> None:
    """Computed from the definition: to the last digit printed, and back from it."""
    slope = float(row["slope_pct"]) / 100
    for column, (board, unit) in BOARDS.items():
        printed = row[column]
        found = board_reading(slope, board) / unit
        assert found == pytest.approx(float(printed), abs=half(printed))
        assert slope_from_board(float(printed) * unit, board) == pytest.approx(slope, rel=1e-9)
    assert slope_degrees(slope) == pytest.approx(float(row["degrees"]), abs=half(row["degrees"]))


@pytest.mark.parametrize(
    ("inches", "feet", "percent", "source"),
    [
        (0.25, 1.0, "2.083", "1/4 in per ft, computed"),
        (0.1875, 1.0, "1.5625", "3/16 in per ft, computed"),
        (2.88, 12.0, "2", "2 % across 12 ft, computed"),
        (0.25, 10.0, "0.208", "WSDOT-type clause, 1/4 in in 10 ft of plan, read"),
    ],
    ids=["quarter", "three sixteenths", "across a lane", "tolerance"],
)
def test_slopes_said_in_inches(inches: float, feet: float, percent: str, source: str) -> None:
    found = slope_from_board(convert(inches, "in", "m"), convert(feet, "ft", "m"))
    assert 100 * found == pytest.approx(float(percent), abs=half(percent)), source


RATIOS = {"12:1_m": 12.0, "20:1_m": 20.0, "24:1_m": 24.0, "50:1_m": 50.0, "100:1_m": 100.0}


@pytest.mark.parametrize("row", rows("ramp_lengths_m"), ids=lambda row: row["step_mm"])
def test_ramp_lengths(row: dict[str, str]) -> None:
    """Computed: ratio x step; the last column is the run of an edge at 30 degrees."""
    step = float(row["step_mm"]) / 1000
    for column, ratio in RATIOS.items():
        assert ramp_length(step, ratio) == pytest.approx(float(row[column]), abs=half(row[column]))
    printed = row["safety_edge_run_at_30deg_mm"]
    run = 1000 * edge_wedge(step, 30.0).run_m
    assert run == pytest.approx(float(printed), abs=half(printed))


def test_ramps_for_traffic() -> None:
    """20 to 1: common practice, no published source; Everett SP 5-04.3(12)A1 (2023) prints 20H:1V
    [read]; 50:1 is older WSDOT, from memory. Lengths in feet computed: 3.33 and 8.33."""
    step = convert(2.0, "in", "m")
    assert ramp_length(0.050, 20.0) == pytest.approx(1.00, abs=0.005)
    assert convert(ramp_length(step, 20.0), "m", "ft") == pytest.approx(3.33, abs=0.005)
    assert convert(ramp_length(step, 50.0), "m", "ft") == pytest.approx(8.33, abs=0.005)


def test_a_shoulder_edge_of_five_to_one() -> None:
    """5 to 1 or flatter: common practice, no published source; that is 11.3 degrees or less."""
    assert edge_angle_deg(1.0, 5.0) == pytest.approx(11.3, abs=0.05)
    assert edge_wedge(0.05, edge_angle_deg(1.0, 5.0)).run_m == pytest.approx(0.25)


def test_starter_strips() -> None:
    """NAPA handbook 9.2 [read] at its 1.25 (7.5): 50 mm needs 12.5 mm; 1/4 in to the inch."""
    assert starter_strip(0.050, 0.20) == pytest.approx(0.0125, abs=0.00005)
    assert starter_strip(1.0, 0.20) == pytest.approx(0.25, abs=0.005)


@pytest.mark.parametrize(("angle", "run"), [(30.0, "1.732"), (26.0, "2.050"), (40.0, "1.192")])
def test_run_of_an_edge(angle: float, run: str) -> None:
    """FHWA-SA-12-010: about 30 degrees, read; the window of 26 to 40 from memory; runs computed."""
    found = edge_wedge(1.0, angle)
    assert found.run_m == pytest.approx(float(run), abs=half(run))
    assert found.area_m2 == pytest.approx(float(run) / 2, abs=half(run))
    assert edge_angle_deg(1.0, found.run_m) == pytest.approx(angle, rel=1e-12)


def test_what_an_edge_adds() -> None:
    """Computed: 2 in at 30 degrees is 3.464 in2, 3.49 lb/ft at 145 lb/ft3, 1.20 % of a 12 ft lane.

    FHWA's “typically under 1 % of project tonnage” [read] then holds for one edge of two lanes.
    """
    wedge = edge_wedge(convert(2.0, "in", "m"), 30.0)
    inch = convert(1.0, "in", "m")
    assert wedge.area_m2 / inch**2 == pytest.approx(3.464, abs=0.0005)
    per_foot = wedge.area_m2 * convert(145.0, "pcf", "kg/m3") * convert(1.0, "ft", "m")
    assert convert(per_foot, "kg", "lb") == pytest.approx(3.49, abs=0.005)
    lane = convert(12.0, "ft", "m") * convert(2.0, "in", "m")
    assert 100 * wedge.area_m2 / lane == pytest.approx(1.20, abs=0.005)
    assert 100 * wedge.area_m2 / (2 * lane) < 1.0
