"""Widths: every way a width runs on, areas against numerical integration, and levelling."""

from itertools import pairwise
from math import fsum, inf, nan
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad

from matbook.engine.widths import (
    SHAPES,
    Then,
    Width,
    WidthLaw,
    area,
    levelling_mass,
    width_at,
)
from matbook.errors import OutOfRange, Refused

THEN = get_args(Then)
stations = st.floats(-1_000.0, 1_000.0)


@st.composite
def laws(draw: st.DrawFn) -> WidthLaw:
    at = sorted(draw(st.sets(st.integers(-50, 50), min_size=1, max_size=6)))
    shapes: list[Then] = [draw(st.sampled_from(THEN)) for _ in at]
    return tuple(
        Width(10.0 * place, draw(st.floats(0.0, 8.0)), then)
        for place, then in zip(at, shapes, strict=True)
    )


MIDDLE = {
    # width a quarter, half and three quarters of the way from 3 m to 4 m, and the area of 100 m
    "step": ([3.0, 3.0, 3.0], 300.0),
    "linear": ([3.25, 3.5, 3.75], 350.0),
    "curve": ([3.15625, 3.5, 3.84375], 350.0),
}


def test_the_table_and_the_type_name_the_same_shapes() -> None:
    assert set(THEN) == SHAPES.keys() == MIDDLE.keys()


@pytest.mark.parametrize("then", SHAPES)
def test_every_row_of_shapes(then: Then) -> None:
    law = (Width(0.0, 3.0, then), Width(100.0, 4.0))
    middle, whole = MIDDLE[then]
    assert [width_at(law, at) for at in (25.0, 50.0, 75.0)] == pytest.approx(middle, abs=1e-12)
    assert area(law, 0.0, 100.0) == pytest.approx(whole, abs=1e-9)
    assert [width_at(law, at) for at in (-1.0, 0.0, 100.0, 101.0)] == [3.0, 3.0, 4.0, 4.0]


@pytest.mark.parametrize("then", SHAPES)
def test_a_shape_is_the_slope_of_its_integral(then: Then) -> None:
    """SciPy's quadrature of the width against the area's closed form."""
    shape, integral = SHAPES[then]
    for share in (0.1, 0.5, 1.0):
        assert integral(share) == pytest.approx(quad(shape, 0.0, share)[0], abs=1e-12)
    assert shape(0.0) == integral(0.0) == 0.0


def test_a_curve_has_no_kink_at_its_ends() -> None:
    shape, _ = SHAPES["curve"]
    for end, sign in ((0.0, 1), (1.0, -1)):
        assert abs(shape(end + sign * 1e-6) - shape(end)) < 1e-11
    assert SHAPES["linear"][0](1e-6) == 1e-6, "a straight taper has one"


@given(laws(), stations, stations)
def test_area_against_quadrature(law: WidthLaw, a: float, b: float) -> None:
    low, high = sorted((a, b))
    corners = [width.at_m for width in law if low < width.at_m < high]
    edges = [low, *corners, high]
    total = fsum(quad(lambda at: width_at(law, at), x, y)[0] for x, y in pairwise(edges))
    assert area(law, a, b) == pytest.approx(total, rel=1e-8, abs=1e-6)


@given(laws(), stations, stations, stations)
def test_areas_add_up_and_direction_does_not_matter(
    law: WidthLaw, a: float, b: float, c: float
) -> None:
    assert area(law, a, b) == area(law, b, a)
    a, b, c = sorted((a, b, c))
    assert area(law, a, b) + area(law, b, c) == pytest.approx(area(law, a, c), abs=1e-9)


@given(laws(), stations)
def test_a_width_lies_between_its_neighbours(law: WidthLaw, at: float) -> None:
    given_widths = [width.width_m for width in law]
    assert min(given_widths) - 1e-12 <= width_at(law, at) <= max(given_widths) + 1e-12


def test_paving_down_station() -> None:
    law = (Width(0.0, 3.5, "step"), Width(60.0, 4.0))
    assert area(law, 100.0, 0.0) == 60.0 * 3.5 + 40.0 * 4.0


LAW = (Width(0.0, 3.0), Width(100.0, 4.0))


@pytest.mark.parametrize(
    ("law", "says"),
    [
        ((), "width_law is “empty”; it needs at least one width."),
        ((Width(0.0, 3.0), Width(0.0, 4.0)),
         "width_law is 0.0; widths must stand in order of station."),
        ((Width(9.0, 3.0), Width(0.0, 4.0)),
         "width_law is 0.0; widths must stand in order of station."),
        ((Width(0.0, 3.0, "zigzag"),),  # type: ignore[arg-type]
         "width_law is “zigzag”; a width runs on by step, linear, curve."),
        ((Width(0.0, -3.0),), "width_law is -3.0; it must be a number from 0."),
        ((Width(0.0, nan),), "width_law is nan; it must be a number from 0."),
        ((Width(inf, 3.0),), "width_law is inf; it must be a station in metres."),
    ],
)  # fmt: skip
def test_laws_refused(law: WidthLaw, says: str) -> None:
    with pytest.raises(Refused) as refusal:
        area(law, 0.0, 1.0)
    assert str(refusal.value) == says
    with pytest.raises(Refused) as refusal:
        width_at(law, 0.0)
    assert str(refusal.value) == says


@pytest.mark.parametrize("bad", [nan, inf, -inf])
def test_stations_refused(bad: float) -> None:
    with pytest.raises(OutOfRange, match="from_m"):
        area(LAW, bad, 0.0)
    with pytest.raises(OutOfRange, match="to_m"):
        area(LAW, 0.0, bad)
    with pytest.raises(OutOfRange, match="at_m"):
        width_at(LAW, bad)
    with pytest.raises(OutOfRange, match="from_m"):
        levelling_mass([(0.0, 1.0, 5.0)], bad, 1.0)
    with pytest.raises(OutOfRange, match="to_m"):
        levelling_mass([(0.0, 1.0, 5.0)], 0.0, bad)
    with pytest.raises(OutOfRange, match="reaches"):
        levelling_mass([(bad, 1.0, 5.0)], 0.0, 1.0)
    with pytest.raises(OutOfRange, match="reaches"):
        levelling_mass([(0.0, bad, 5.0)], 0.0, 1.0)


REACHES = [(0.0, 100.0, 55.0), (200.0, 100.0, 70.0), (300.0, 400.0, 40.0)]


@pytest.mark.parametrize(
    ("from_m", "to_m", "mass"),
    [
        (0.0, 400.0, 5_500.0 + 7_000.0 + 4_000.0),
        (400.0, 0.0, 16_500.0),
        (50.0, 150.0, 6_250.0),  # a reach written backwards counts the same
        (210.0, 290.0, 0.0),  # a stretch without levelling
        (-50.0, 10.0, 550.0),
        (390.0, 900.0, 400.0),
        (70.0, 70.0, 0.0),
    ],
)
def test_levelling(from_m: float, to_m: float, mass: float) -> None:
    assert levelling_mass(REACHES, from_m, to_m) == pytest.approx(mass, abs=1e-9)


def test_levelling_takes_no_mass_away() -> None:
    with pytest.raises(OutOfRange, match=r"reaches is -1.0; it must be a number from 0"):
        levelling_mass([(0.0, 1.0, -1.0)], 0.0, 1.0)
    assert levelling_mass([], 0.0, 100.0) == 0.0
