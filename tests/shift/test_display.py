"""Numbers as people read them: unit beside each, thousands parted, a true minus, no minus zero."""

from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from matbook.engine.units import UNITS, convert, dimension
from matbook.errors import OutOfRange
from matbook.plan.quantities import quantities
from matbook.shift.display import (
    MEASURES,
    QUANTITIES,
    SIGNS,
    Display,
    System,
    clock,
    fixed,
    minutes,
    sign,
    signed,
    written,
)

METRIC, US = Display("metric"), Display("us")


@pytest.mark.parametrize(
    ("measure", "value", "metric", "us"),
    [
        ("load", 22_400.0, "22.40 t", "24.69 ton"),
        ("mass", 2_230_000.0, "2\u202f230.0 t", "2\u202f458.2 ton"),
        ("spread", 120.0, "120.0 kg/m²", "221.2 lb/yd²"),
        ("thickness", 0.0508, "51 mm", "2.00 in"),
        ("gap", 0.006, "6 mm", "0.24 in"),
        ("length", 30.48, "30.5 m", "100.0 ft"),
        ("width", 3.6576, "3.66 m", "12.00 ft"),
        ("area", 836.12736, "836 m²", "1\u202f000 yd²"),
        ("temperature", 100.0, "100 °C", "212 °F"),
        ("temperature", -40.0, "−40 °C", "−40 °F"),
        ("pace", 0.1, "6.0 m/min", "19.7 ft/min"),
        ("wind", 10.0, "36 km/h", "22 mph"),
        ("slope", -0.02, "−2.0 %", "−2.0 %"),
        ("ratio", 20.0, "20", "20"),
    ],
)
def test_a_number_with_its_unit(measure: str, value: float, metric: str, us: str) -> None:
    assert METRIC.show(measure, value) == metric
    assert US.show(measure, value) == us


def test_every_measure_is_shown_in_both_systems_of_its_own_dimension() -> None:
    for si_unit, shown in MEASURES.values():
        for unit, digits in shown.values():
            assert dimension(unit) == dimension(si_unit)
            assert 0 <= digits <= 3


def test_digits_may_be_asked_for() -> None:
    assert METRIC.show("mass", 42_160.0, 0) == "42 t"
    assert METRIC.number("mass", 42_160.0) == "42.2"
    assert (METRIC.unit("spread"), US.unit("temperature"), METRIC.unit("ratio")) == (
        "kg/m²", "°F", "",
    )  # fmt: skip


# Differences


def test_a_difference_of_temperatures_is_no_temperature() -> None:
    """10 degrees Celsius apart are 18 degrees Fahrenheit apart; 10 degC is 50 degF."""
    assert METRIC.difference("temperature", 10.0) == "+10 °C"
    assert US.difference("temperature", 10.0) == "+18 °F"
    assert US.difference("temperature", -10.0) == "−18 °F"
    assert US.show("temperature", 10.0) == "50 °F"


def test_a_difference_carries_its_sign_unless_it_shows_as_nothing() -> None:
    assert METRIC.difference("gap", 0.0042) == "+4 mm"
    assert METRIC.difference("gap", -0.0042) == "−4 mm"
    for nothing in (0.0, 0.0003, -0.0003):
        assert METRIC.difference("gap", nothing) == "0 mm"
    assert METRIC.difference("ratio", 3.0) == "+3"


# Quantities that limits speak of


def test_a_value_of_a_quantity() -> None:
    assert METRIC.of("temperature.laydown", 131.6) == "132 °C"
    assert US.of("loose-depth", 0.0635) == "2.50 in"
    assert METRIC.of("ramp.ratio", 18.0) == "18:1"


def test_a_quantity_is_shown_as_what_limits_on_it_measure() -> None:
    for name, measure in QUANTITIES.items():
        assert dimension(MEASURES[measure][0]) == quantities()[name].dimension
        assert METRIC.of(name, 1.0)


# Digits


@pytest.mark.parametrize(
    ("value", "digits", "text"),
    [
        (1234567.891, 2, "1\u202f234\u202f567.89"),
        (-1234.5, 0, "−1\u202f234"),
        (0.125, 2, "0.12"),
        (0.375, 2, "0.38"),
        (2.675, 2, "2.68"),
        (-0.04, 1, "0.0"),
        (-0.0, 0, "0"),
        (999.96, 1, "1\u202f000.0"),
    ],
)
def test_digits_thousands_and_minus(value: float, digits: int, text: str) -> None:
    """Half to even on the decimal number that is meant, not on its binary noise."""
    assert fixed(value, digits) == text


@pytest.mark.parametrize(
    ("value", "text"),
    [(2.34, "+2.3"), (-2.34, "−2.3"), (0.04, "0.0"), (-0.04, "0.0"), (1234.0, "+1\u202f234.0")],
)
def test_a_deviation_is_written_with_its_sign(value: float, text: str) -> None:
    assert signed(value, 1) == text


@given(st.floats(-1e6, 1e6), st.integers(0, 3))
def test_minus_zero_is_never_printed(value: float, digits: int) -> None:
    for text in (fixed(value, digits), signed(value, digits)):
        assert "-" not in text
        number = text.replace("\u202f", "").replace("−", "-")
        assert float(number) == pytest.approx(value, abs=0.5001 * 10.0**-digits)
        assert not (number.startswith("-") and float(number) == 0)


@given(st.floats(-60, 250), st.sampled_from(["metric", "us"]))
def test_what_is_shown_is_what_was_meant(celsius: float, system: System) -> None:
    shown = Display(system).number("temperature", celsius).replace("−", "-")
    unit = MEASURES["temperature"][1][system][0]
    assert float(shown) == pytest.approx(convert(celsius, "degC", unit), abs=0.5001)


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_what_is_no_number_is_refused(value: float) -> None:
    with pytest.raises(OutOfRange):
        fixed(value, 1)


# Text


def test_units_are_written_as_people_write_them() -> None:
    assert set(SIGNS) <= set(UNITS)
    assert (sign("degF"), sign("kg/m2"), sign("t")) == ("°F", "kg/m²", "t")


def test_what_a_person_typed_is_shown_as_typed() -> None:
    assert written("141 degC") == "141 °C"
    assert written("-3.10 %") == "−3.10 %"
    assert written("0050") == "0050"


def test_the_clock_is_the_persons_own() -> None:
    assert clock(datetime.fromisoformat("2026-05-12T07:05:59-03:00")) == "07:05"


@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        (0, "0 min"),
        (89, "1 min"),
        (119 * 60, "119 min"),
        (120 * 60, "2 h 00 min"),
        (47 * 3600 + 540, "47 h 09 min"),
        (49 * 3600, "2 d 1 h"),
    ],
)
def test_how_long(seconds: int, text: str) -> None:
    assert minutes(timedelta(seconds=seconds)) == text
