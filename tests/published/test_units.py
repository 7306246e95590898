"""Units against printed conversion tables, and against SciPy's constants (CODATA, NIST)."""

import csv
from decimal import Decimal
from pathlib import Path

import pytest
from scipy import constants

from matbook.engine.units import convert

DATA = Path(__file__).parent / "data"


def rows() -> list[dict[str, str]]:
    with (DATA / "unit_factors.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


@pytest.mark.parametrize("row", rows(), ids=lambda row: f"{row['from']} to {row['to']}")
def test_printed_conversion(row: dict[str, str]) -> None:
    """Within half a unit of the last digit printed; the source stands in each row."""
    printed = Decimal(row["printed"])
    half_digit = Decimal(5).scaleb(int(printed.as_tuple().exponent) - 1)
    found = convert(Decimal(row["value"]), row["from"], row["to"])
    assert abs(found - printed) <= half_digit


@pytest.mark.parametrize(
    ("unit", "si", "value"),
    [
        ("lb", "kg", constants.pound),
        ("ton", "kg", constants.short_ton),
        ("t", "kg", constants.metric_ton),
        ("in", "m", constants.inch),
        ("ft", "m", constants.foot),
        ("yd", "m", constants.yard),
        ("mi", "m", constants.mile),
        ("ftUS", "m", constants.survey_foot),
        ("ha", "m2", constants.hectare),
        ("L", "m3", constants.liter),
        ("gal", "m3", constants.gallon_US),
        ("mph", "m/s", constants.mph),
        ("km/h", "m/s", constants.kmh),
        ("psi", "Pa", constants.psi),
        ("d", "s", constants.day),
        ("delta_degF", "delta_degC", constants.degree_Fahrenheit),
    ],
)
def test_scipy_has_the_same_factor(unit: str, si: str, value: float) -> None:
    """SciPy works its constants out in floats: equal to 15 digits."""
    assert convert(1.0, unit, si) == pytest.approx(value, rel=1e-15, abs=0)


@pytest.mark.parametrize("degrees", [-459.67, -40.0, 0.0, 32.0, 98.6, 302.0])
def test_scipy_converts_temperatures_alike(degrees: float) -> None:
    """SciPy goes through kelvins, which costs it digits: equal to 1e-10 degC."""
    expected = constants.convert_temperature(degrees, "F", "C")
    assert convert(degrees, "degF", "degC") == pytest.approx(expected, abs=1e-10)


def test_ohio_checklist_misprints_350_fahrenheit() -> None:
    """Ohio DOT 401.15 project checklist [read] prints 170 C for 350 F; it is 177 C."""
    assert round(convert(350.0, "degF", "degC")) == 177


def test_navy_takes_146_pounds_for_110() -> None:
    """The US Navy book [read] calls 146 lb/ft3 and 110 lb/yd2/in equal; 146 makes 109.5."""
    assert convert(Decimal(146), "pcf", "lb/yd2/in") == Decimal("109.5")


def test_a_ton_taken_for_a_tonne() -> None:
    """The error is 9.3 % one way and 10.2 % the other (from the exact definitions)."""
    short, metric = convert(1.0, "ton", "t"), convert(1.0, "t", "ton")
    assert round(100 * (1 - short), 1) == 9.3
    assert round(100 * (metric - 1), 1) == 10.2
