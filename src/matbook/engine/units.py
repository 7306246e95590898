"""Units: one table of exact factors, and a measured value kept as it was written.

Every factor is exact, so a conversion is a ratio of whole numbers, rounded once at the end: the
same digits on every machine. A difference of temperatures has a dimension of its own and is
never converted as a temperature. Feet are international feet unless they say `ftUS`.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Context, Decimal
from fractions import Fraction
from functools import lru_cache
from math import prod
from typing import Final, overload

from matbook.engine.cited import cited
from matbook.errors import OutOfRange, Refused, UnknownUnit

SI: Final = "SI Brochure, 9th ed. (2019), tables 4, 7 and 8; from memory"
US: Final = "NIST Handbook 44 (2024), Appendix C; from memory"
SP811: Final = "NIST SP 811 (2008), appendix B.8; from memory"

DEFINITIONS: Final[Mapping[str, tuple[str, str, str]]] = {
    # The number, the unit it is a number of, the source. All exact, by definition.
    "g": ("1/1000", "kg", SI),
    "t": ("1000", "kg", SI),
    "lb": ("0.45359237", "kg", US),
    "ton": ("2000", "lb", US),
    "mm": ("1/1000", "m", SI),
    "cm": ("1/100", "m", SI),
    "km": ("1000", "m", SI),
    "in": ("1/12", "ft", US),
    "ft": ("0.3048", "m", US),
    "ftUS": ("1200/3937", "m", US),
    "yd": ("3", "ft", US),
    "mi": ("5280", "ft", US),
    "ha": ("10000", "m2", SI),
    "L": ("1/1000", "m3", SI),
    "gal": ("231", "in3", US),
    "min": ("60", "s", SI),
    "h": ("60", "min", SI),
    "d": ("24", "h", SI),
    "mph": ("1", "mi/h", US),
    "Hz": ("1", "1/s", SI),
    "pcf": ("1", "lb/ft3", US),
    "kPa": ("1000", "Pa", SI),
    "psi": ("9.80665", "lb/in2", SP811),
    "%": ("1/100", "1", SI),
    "degF": ("5/9", "degC", SP811),
    "delta_degF": ("5/9", "delta_degC", SP811),
}
_ZERO_DEGF_IN_DEGC: Final = Fraction(-160, 9)
"""0 degF, since 32 degF is 0 degC; NIST SP 811 (2008), appendix B.8; from memory."""

_OF: Final[Mapping[str, tuple[str, ...]]] = {
    # The SI unit stands first. No exact ratio takes a degree of angle to a radian: deg stays.
    "mass": ("kg", "g", "t", "ton", "lb"),
    "length": ("m", "mm", "cm", "km", "ft", "ftUS", "in", "yd", "mi"),
    "area": ("m2", "ft2", "yd2", "ha"),
    "volume": ("m3", "L", "gal", "yd3"),
    "spread": ("kg/m2", "lb/yd2"),
    "linear mass": ("kg/m", "t/m", "t/100m", "lb/ft", "ton/ft", "ton/100ft"),
    "application": ("m3/m2", "L/m2", "gal/yd2"),
    "density": ("kg/m3", "t/m3", "pcf", "lb/yd2/in", "kg/m2/mm"),
    "temperature": ("degC", "degF"),
    "temperature difference": ("delta_degC", "delta_degF"),
    "speed": ("m/s", "m/min", "km/h", "ft/min", "mph"),
    "production": ("kg/s", "t/h", "ton/h"),
    "time": ("s", "min", "h", "d"),
    "ratio": ("1", "%"),
    "roughness": ("m/m", "m/km", "in/mi"),
    "frequency": ("Hz", "1/min"),
    "spacing": ("1/m", "1/ft"),
    "angle": ("deg",),
    "pressure": ("Pa", "kPa", "psi"),
}


@dataclass(frozen=True, slots=True)
class Unit:
    """What a unit measures, and its SI value: number * `factor` + `offset`."""

    dimension: str
    factor: Fraction
    offset: Fraction


def _factor(name: str) -> Fraction:
    """The factor of a unit from its parts: t/100m is 1000 / (100 * 1), yd2 is 0.9144 squared."""
    over, *under = (
        int(count or 1) * _simple(unit) ** int(power or 1)
        for part in name.split("/")
        for count, unit, power in re.findall(r"^(\d*)(\D*)(\d?)$", part)
    )
    return over / prod(under)


def _simple(name: str) -> Fraction:
    if name not in DEFINITIONS:
        return Fraction(1)
    number, unit, _ = DEFINITIONS[name]
    return Fraction(number) * _factor(unit)


UNITS: Final[Mapping[str, Unit]] = {
    name: Unit(dimension, _factor(name), _ZERO_DEGF_IN_DEGC if name == "degF" else Fraction(0))
    for dimension, names in _OF.items()
    for name in names
}
"""Every unit, by the one spelling it has here. A ton is short, 2000 lb; t is the tonne."""

_LINES: Final[Mapping[str, tuple[int, int, int]]] = {
    # The SI value of n/d is (a*n + b*d) / (c*d): whole numbers, for speed without loss.
    name: (
        unit.factor.numerator * unit.offset.denominator,
        unit.offset.numerator * unit.factor.denominator,
        unit.factor.denominator * unit.offset.denominator,
    )
    for name, unit in UNITS.items()
}

SPELLED: Final[Mapping[str, str]] = {
    # how people write a unit -> its one spelling here
    "°C": "degC",
    "°F": "degF",
    "C": "degC",
    "F": "degF",
    "tons": "ton",
    "m²": "m2",
    "yd²": "yd2",
    "kg/m²": "kg/m2",
    "lb/yd²": "lb/yd2",
    "kg/m³": "kg/m3",
    "L/m²": "L/m2",
    "gal/yd²": "gal/yd2",
}

_WRITTEN = re.compile(r"([-+\u2212]?)([0-9]*)(?:([.,])([0-9]+))?\s*(.*)", re.DOTALL)
_MORE_NUMBER = re.compile(r"[.,/'\u2019_0-9]|[eE][-+]?[0-9]")
_MOST_DIGITS: Final = 15
_MOST_TEXT: Final = 64


@dataclass(frozen=True, slots=True)
class Quantity:
    """A measured value as it was written: its digits, kept, and its unit. Made by `parse`.

    Example:
        >>> net = parse("22,40 t")
        >>> str(net), net.number, net.to("kg"), net.si()
        ('22.40 t', Decimal('22.40'), Decimal('22400'), 22400.0)
    """

    digits: str
    unit: str

    def __str__(self) -> str:
        return f"{self.digits} {self.unit}"

    @property
    def number(self) -> Decimal:
        """The number as written, digits kept."""
        return Decimal(self.digits)

    def to(self, unit: str) -> Decimal:
        """The number in another unit of the same dimension; raises UnknownUnit."""
        return convert(self.number, self.unit, unit)

    def si(self) -> float:
        """The value in the SI unit of its dimension; a temperature stays in degC."""
        whole, _, part = self.digits.partition(".")
        number, scale = int(whole + part), int("1" + "0" * len(part))
        a, b, c = _LINES[self.unit]
        return (a * number + b * scale) / (c * scale)


@overload
def convert(value: float, from_unit: str, to_unit: str) -> float: ...
@overload
def convert(value: Decimal, from_unit: str, to_unit: str) -> Decimal: ...
@overload
def convert(value: Fraction, from_unit: str, to_unit: str) -> Fraction: ...
@cited(
    "value * factor of its unit / factor of the wanted unit",
    "NIST Handbook 44 (2024), Appendix C, and NIST SP 811 (2008), B.8; from memory",
)
def convert(
    value: float | Decimal | Fraction, from_unit: str, to_unit: str
) -> float | Decimal | Fraction:
    """The same amount in another unit.

    Equation: to = (from * factor_from + offset_from - offset_to) / factor_to, in exact ratios.

    Args:
        value: The number [from_unit]; finite.
        from_unit: The unit it is in, as spelled in `UNITS`.
        to_unit: The unit wanted, of the same dimension.

    Returns:
        The number [to_unit] in the type it came in: a float correctly rounded, a Decimal of at
        most 28 digits (as it was, if the unit stays), a Fraction exactly. An int gives a float.

    Raises:
        UnknownUnit: A unit isn't known, or the two don't measure the same thing.
        OutOfRange: The number isn't finite, or the result is more than a float can hold.

    Source: NIST Handbook 44 (2024), Appendix C, and NIST SP 811 (2008), B.8; from memory.

    Example:
        >>> convert(Decimal("23.32"), "ton", "t"), convert(302.0, "degF", "degC")
        (Decimal('21.1555481368'), 150.0)
        >>> convert(36, "delta_degF", "delta_degC"), convert(Fraction(1), "ft", "m")
        (20.0, Fraction(381, 1250))
    """
    measured = dimension(from_unit)
    if dimension(to_unit) != measured:
        choices = ", ".join(_OF[measured])
        raise UnknownUnit("unit", to_unit, f"{from_unit} measures {measured}: one of {choices}")
    a, b, c = _LINES[from_unit]
    p, q, r = _LINES[to_unit]
    try:
        n, d = value.as_integer_ratio()
        over, under = r * (a * n + b * d) - q * c * d, p * c * d
        if isinstance(value, Decimal):
            same = from_unit == to_unit
            return value if same else Context(prec=28).divide(Decimal(over), Decimal(under))
        return Fraction(over, under) if isinstance(value, Fraction) else over / under
    except (OverflowError, ValueError):
        raise OutOfRange("value", value, f"it must be a finite number of {from_unit}") from None


def dimension(unit: str) -> str:
    """What a unit measures; raises UnknownUnit.

    Source: definition.

    Example:
        >>> dimension("lb/yd2/in"), dimension("delta_degF")
        ('density', 'temperature difference')
    """
    try:
        return UNITS[unit].dimension
    except KeyError:
        allowed = "it must be a unit known here, such as t, ton, lb, m, ft, in, degC, degF or %"
        raise UnknownUnit("unit", unit, allowed) from None


def units_of(dimension: str) -> tuple[str, ...]:
    """The units that measure something, the SI unit first; raises Refused.

    Source: definition.

    Example:
        >>> units_of("mass")
        ('kg', 'g', 't', 'ton', 'lb')
    """
    try:
        return _OF[dimension]
    except KeyError:
        raise Refused("dimension", dimension, "it must be one of " + ", ".join(_OF)) from None


def si_unit(dimension: str) -> str:
    """The unit that `Quantity.si` gives; raises Refused.

    degC stands for temperatures and deg for angles.

    Source: definition.

    Example:
        >>> si_unit("density"), si_unit("temperature")
        ('kg/m3', 'degC')
    """
    return units_of(dimension)[0]


def parse(text: str, default_unit: str | None = None, *, decimal_comma: bool = False) -> Quantity:
    """Read a measured value as a person or a ticket file writes it, keeping its digits.

    A decimal comma is made a point. Nothing may stand between thousands, and a comma before
    exactly three digits (1,386) is refused, since it may be either, unless the caller knows.

    Args:
        text: The number and its unit, such as "22.40 t", "22,40 t", "-3 degC", ".5 in".
        default_unit: The unit of a number that doesn't say its own.
        decimal_comma: Whether the source is known to write decimal commas.

    Returns:
        The value; `str()` of it is its one canonical text.

    Raises:
        UnknownUnit: The unit isn't known, or measures something else than the default unit.
        Refused: The text isn't a plain number of at most 15 digits with a unit.

    Source: definition.

    Example:
        >>> str(parse("\u22123,5 degC")), str(parse("22.40", "t"))
        ('-3.5 degC', '22.40 t')
        >>> parse("1,386.5 t")
        Traceback (most recent call last):
        matbook.errors.Refused: value is “1,386.5 t”; write plain digits with at most one decimal \
mark, such as 1386.5: no thousands mark, fraction or exponent.
    """
    quantity = _read(text, decimal_comma)
    if default_unit is None:
        if not quantity.unit:
            raise Refused("value", text, "it must say its unit, such as 22.40 t")
        return quantity
    unit, measured = quantity.unit or default_unit, dimension(default_unit)
    if dimension(unit) != measured:
        raise UnknownUnit("unit", unit, "it must be one of " + ", ".join(units_of(measured)))
    return Quantity(quantity.digits, unit)


@lru_cache(maxsize=8192)
def _read(text: str, decimal_comma: bool) -> Quantity:
    """The value as it stands in the text; its unit may be missing."""
    match = _WRITTEN.match(text.strip())
    assert match is not None  # every part of the pattern may be empty
    sign, whole, mark, part, unit = match.groups("")
    unit = SPELLED.get(unit, unit)
    if not (whole or part) or len(text) > _MOST_TEXT:
        raise Refused("value", text, "it must be a number with its unit, such as 22.40 t")
    if len(whole) + len(part) > _MOST_DIGITS:
        raise Refused("value", text, f"a number has at most {_MOST_DIGITS} digits")
    if unit not in UNITS and _MORE_NUMBER.match(unit):
        allowed = "write plain digits with at most one decimal mark, such as 1386.5"
        raise Refused("value", text, f"{allowed}: no thousands mark, fraction or exponent")
    like_thousands = len(part) == 3 and 0 < len(whole) <= 3 and whole[0] != "0"
    if mark == "," and like_thousands and not decimal_comma:
        raise Refused("value", text, f"write {whole}{part} or {whole}.{part}, whichever it is")
    if unit:
        dimension(unit)
    digits = f"{whole or '0'}.{part}" if part else whole
    return Quantity(digits if sign in ("", "+") else f"-{digits}", unit)
