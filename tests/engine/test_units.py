"""Units: every row of the table, the types kept, and reading what people write."""

import decimal
import math
from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from matbook.engine.units import (
    DEFINITIONS,
    UNITS,
    Quantity,
    convert,
    dimension,
    parse,
    si_unit,
    units_of,
)
from matbook.errors import OutOfRange, Refused, UnknownUnit

DIMENSIONS = sorted({unit.dimension for unit in UNITS.values()})
PAIRS = [(one, other) for name in DIMENSIONS for one in units_of(name) for other in units_of(name)]


# The table


@pytest.mark.parametrize("name", DIMENSIONS)
def test_the_si_unit_needs_no_factor(name: str) -> None:
    unit = UNITS[si_unit(name)]
    assert unit.dimension == name
    assert unit.factor == 1
    assert unit.offset == 0
    assert units_of(name)[0] == si_unit(name)


def test_every_unit_belongs_to_one_dimension() -> None:
    listed = [unit for name in DIMENSIONS for unit in units_of(name)]
    assert sorted(listed) == sorted(UNITS)
    assert len(set(listed)) == len(listed)


def test_every_definition_is_used_and_has_a_source() -> None:
    assert all(source for _, _, source in DEFINITIONS.values())
    used = {name for name in DEFINITIONS if any(name in unit.split("/") for unit in UNITS)}
    assert used == set(DEFINITIONS)


@pytest.mark.parametrize("unit", UNITS)
def test_every_unit_survives_being_written_and_read(unit: str) -> None:
    assert parse(f"22.40 {unit}") == Quantity("22.40", unit)
    assert dimension(unit) == UNITS[unit].dimension


@pytest.mark.parametrize(
    ("compound", "parts"),
    [
        ("lb/yd2", ("lb", "yd2")),
        ("t/m3", ("t", "m3")),
        ("gal/yd2", ("gal", "yd2")),
        ("ton/h", ("ton", "h")),
        ("ft/min", ("ft", "min")),
        ("ton/ft", ("ton", "ft")),
    ],
)
def test_a_compound_is_its_parts(compound: str, parts: tuple[str, str]) -> None:
    over, under = parts
    assert UNITS[compound].factor == UNITS[over].factor / UNITS[under].factor


def test_levelling_by_the_station() -> None:
    assert UNITS["ton/100ft"].factor * 100 == UNITS["ton/ft"].factor
    assert UNITS["t/100m"].factor * 100 == UNITS["t/m"].factor


# Converting


@given(st.sampled_from(PAIRS), st.fractions(min_value=-(10**6), max_value=10**6))
def test_there_and_back_is_exact(pair: tuple[str, str], value: Fraction) -> None:
    one, other = pair
    assert convert(convert(value, one, other), other, one) == value


@given(st.sampled_from(PAIRS), st.floats(min_value=-1e9, max_value=1e9))
def test_a_float_is_rounded_once(pair: tuple[str, str], value: float) -> None:
    assert convert(value, *pair) == float(convert(Fraction(value), *pair))


@given(st.sampled_from(PAIRS), st.decimals(-(10**6), 10**6, places=3))
def test_a_decimal_has_28_digits(pair: tuple[str, str], value: Decimal) -> None:
    found, exact = convert(value, *pair), convert(Fraction(value), *pair)
    assert isinstance(found, Decimal)
    assert abs(Fraction(found) - exact) <= abs(exact) * Fraction(1, 10**27)


def test_the_type_is_kept() -> None:
    assert type(convert(1.0, "t", "kg")) is float
    assert type(convert(1, "t", "kg")) is float
    assert type(convert(Fraction(1), "t", "kg")) is Fraction
    assert str(convert(Decimal("22.40"), "t", "t")) == "22.40"


def test_the_callers_decimal_context_does_not_matter() -> None:
    with decimal.localcontext() as context:
        context.prec = 3
        found = convert(Decimal("23.32"), "ton", "t")
    assert found == Decimal("21.1555481368")


@pytest.mark.parametrize("value", [math.nan, math.inf, -math.inf, Decimal("nan"), 1e308])
def test_only_finite_numbers(value: float | Decimal) -> None:
    with pytest.raises(OutOfRange, match="finite number of t"):
        convert(value, "t", "g")


@pytest.mark.parametrize(("one", "other"), [("degC", "delta_degC"), ("delta_degF", "degF")])
def test_a_difference_is_no_temperature(one: str, other: str) -> None:
    with pytest.raises(UnknownUnit):
        convert(10.0, one, other)
    with pytest.raises(UnknownUnit):
        Quantity("10", one).to(other)


def test_what_may_be_wanted_is_named() -> None:
    with pytest.raises(UnknownUnit) as caught:
        convert(1.0, "t", "m")
    assert str(caught.value) == "unit is “m”; t measures mass: one of kg, g, t, ton, lb."


@pytest.mark.parametrize("unit", ["", "T", "tonne", "°C", "kg/m²", "short ton", "K"])
def test_units_have_one_spelling(unit: str) -> None:
    with pytest.raises(UnknownUnit, match="unit known here"):
        dimension(unit)


def test_an_unknown_dimension_names_those_there_are() -> None:
    with pytest.raises(Refused, match=r"colour.*; it must be one of mass, length"):
        units_of("colour")
    with pytest.raises(Refused, match="colour"):
        si_unit("colour")


def test_the_source_goes_with_the_function() -> None:
    assert "NIST" in convert.source  # type: ignore[attr-defined]


# Reading


@pytest.mark.parametrize(
    ("text", "written"),
    [
        ("22.40 t", "22.40 t"),
        ("22,40 t", "22.40 t"),
        ("22.40t", "22.40 t"),
        ("  22.40\u00a0t ", "22.40 t"),
        ("22.40\u2009t", "22.40 t"),
        ("\u22123 degC", "-3 degC"),
        ("-3,5 degC", "-3.5 degC"),
        ("+3 degC", "3 degC"),
        (".5 in", "0.5 in"),
        ("-,25 in", "-0.25 in"),
        ("2.0%", "2.0 %"),
        ("50 1/min", "50 1/min"),
        ("0.5 1", "0.5 1"),
        ("0,542 t", "0.542 t"),
        ("1386,500 t", "1386.500 t"),
        ("12,34 t", "12.34 t"),
        ("12,3456 t", "12.3456 t"),
        ("007 t", "007 t"),
        ("123456789012345 g", "123456789012345 g"),
    ],
)
def test_one_canonical_text(text: str, written: str) -> None:
    assert str(parse(text)) == written
    assert parse(written) == parse(text)


MARKS = "plain digits with at most one decimal mark"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "number with its unit"),
        ("t", "number with its unit"),
        ("nan t", "number with its unit"),
        ("inf t", "number with its unit"),
        ("- t", "number with its unit"),
        ("٣ t", "number with its unit"),
        ("1" + " " * 64 + "t", "number with its unit"),
        ("22.40", "must say its unit"),
        ("1234567890123456 kg", "at most 15 digits"),
        ("0.123456789012345 kg", "at most 15 digits"),
        ("1 386 t", MARKS),
        ("1\u2009386 t", MARKS),
        ("1\u202f386 t", MARKS),
        ("1'386 t", MARKS),
        ("1\u2019386 t", MARKS),
        ("1_386 t", MARKS),
        ("1,386.5 t", MARKS),
        ("1.386,5 t", MARKS),
        ("1,386,500 kg", MARKS),
        ("22..4 t", MARKS),
        ("22. t", MARKS),
        ("1e3 t", MARKS),
        ("1E-3 t", MARKS),
        ("1 1/2 in", MARKS),
        ("1/2 in", MARKS),
        ("1,386 t", "write 1386 or 1.386, whichever it is"),
        ("73,120 lb", "write 73120 or 73.120, whichever it is"),
        ("22.40 tonnes", "unit known here"),
        ("0x10 t", "unit known here"),
        ("22.40 t t", "unit known here"),
    ],
)
def test_refused_with_a_sentence(text: str, said: str) -> None:
    with pytest.raises(Refused, match=said):
        parse(text)


def test_a_source_known_to_write_decimal_commas() -> None:
    assert str(parse("22,400 t", decimal_comma=True)) == "22.400 t"
    with pytest.raises(Refused):
        parse("22,400 t")


def test_the_unit_of_a_number_without_one() -> None:
    assert parse("22.40", "t") == Quantity("22.40", "t")
    assert parse("22400 kg", "t") == Quantity("22400", "kg")
    with pytest.raises(UnknownUnit, match=r"unit is “m”; it must be one of kg, g, t, ton, lb\."):
        parse("22.40 m", "t")
    with pytest.raises(UnknownUnit):
        parse("22.40", "tonnes")


digits = st.from_regex(r"-?[0-9]{1,9}(\.[0-9]{1,6})?", fullmatch=True)


@given(digits, st.sampled_from(sorted(UNITS)))
def test_what_was_written_is_kept(number: str, unit: str) -> None:
    quantity = parse(f"{number} {unit}")
    assert (quantity.digits, quantity.unit) == (number, unit)
    assert str(quantity.number) == str(Decimal(number))
    assert quantity.si() == float(convert(Fraction(number), unit, si_unit(dimension(unit))))


@given(st.text(max_size=20))
def test_anything_else_is_refused_not_raised(text: str) -> None:
    try:
        quantity = parse(text, "t")
    except Refused:
        return
    assert parse(str(quantity)) == quantity
