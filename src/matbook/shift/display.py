"""Numbers as people read them: the job's units, the usual digits, the unit beside each.

What a person typed is shown as typed; only worked-out numbers come through here.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final, Literal

from matbook.engine.rounding import exact, round_to
from matbook.engine.units import convert

System = Literal["metric", "us"]

MEASURES: Final[Mapping[str, tuple[str, Mapping[System, tuple[str, int]]]]] = {
    # measure: SI unit, then for each system the unit it is shown in and the digits
    "load": ("kg", {"metric": ("t", 2), "us": ("ton", 2)}),
    "mass": ("kg", {"metric": ("t", 1), "us": ("ton", 1)}),
    "spread": ("kg/m2", {"metric": ("kg/m2", 1), "us": ("lb/yd2", 1)}),
    "thickness": ("m", {"metric": ("mm", 0), "us": ("in", 2)}),
    "gap": ("m", {"metric": ("mm", 0), "us": ("in", 2)}),
    "length": ("m", {"metric": ("m", 1), "us": ("ft", 1)}),
    "width": ("m", {"metric": ("m", 2), "us": ("ft", 2)}),
    "density": ("kg/m3", {"metric": ("kg/m3", 0), "us": ("pcf", 1)}),
    "area": ("m2", {"metric": ("m2", 0), "us": ("yd2", 0)}),
    "temperature": ("degC", {"metric": ("degC", 0), "us": ("degF", 0)}),
    "pace": ("m/s", {"metric": ("m/min", 1), "us": ("ft/min", 1)}),
    "wind": ("m/s", {"metric": ("km/h", 0), "us": ("mph", 0)}),
    "slope": ("1", {"metric": ("%", 1), "us": ("%", 1)}),
    "ratio": ("1", {"metric": ("1", 0), "us": ("1", 0)}),
    "application": ("m3/m2", {"metric": ("L/m2", 3), "us": ("gal/yd2", 3)}),
    "volume": ("m3", {"metric": ("L", 0), "us": ("gal", 0)}),
    "steepness": ("1", {"metric": ("1", 1), "us": ("1", 1)}),
    "roughness": ("m/m", {"metric": ("m/km", 2), "us": ("in/mi", 0)}),
    "angle": ("deg", {"metric": ("deg", 0), "us": ("deg", 0)}),
    "spacing": ("1/m", {"metric": ("1/m", 0), "us": ("1/ft", 1)}),
}

QUANTITIES: Final[Mapping[str, str]] = {
    # what limits and readings speak of -> how it is shown; temperatures all alike
    "loose-depth": "gap",
    "width": "width",
    "overlap": "gap",
    "joint.height": "gap",
    "joint.offset": "gap",
    "drop-off": "gap",
    "edge.ratio": "steepness",
    "edge.angle": "angle",
    "straightedge": "gap",
    "cross-slope": "slope",
    "iri": "roughness",
    "tack.rate": "application",
    "ramp.ratio": "ratio",
    "roller-speed": "pace",
    "pass-overlap": "gap",
    "impact.spacing": "spacing",
    "air.temperature": "temperature",
    "surface.temperature": "temperature",
}

SIGNS: Final[Mapping[str, str]] = {
    "degC": "°C",
    "degF": "°F",
    "delta_degC": "°C",
    "delta_degF": "°F",
    "kg/m2": "kg/m²",
    "lb/yd2": "lb/yd²",
    "m2": "m²",
    "yd2": "yd²",
    "m3": "m³",
    "kg/m3": "kg/m³",
    "L/m2": "L/m²",
    "gal/yd2": "gal/yd²",
    "deg": "°",
    "1": "",
}


@dataclass(frozen=True, slots=True)
class Display:
    """Writes numbers for the people of one job."""

    system: System

    def number(self, measure: str, value: float, digits: int | None = None) -> str:
        """A number in the job's unit for this measure, without the unit."""
        si_unit, shown = MEASURES[measure]
        unit, usual = shown[self.system]
        return fixed(convert(value, si_unit, unit), usual if digits is None else digits)

    def unit(self, measure: str) -> str:
        """The unit that a measure is shown in."""
        return sign(MEASURES[measure][1][self.system][0])

    def show(self, measure: str, value: float, digits: int | None = None) -> str:
        """A number with its unit, such as 22.40 t."""
        return f"{self.number(measure, value, digits)} {self.unit(measure)}".rstrip()

    def difference(self, measure: str, value: float) -> str:
        """A signed difference with its unit; a difference of temperatures is not a temperature."""
        si_unit, shown = MEASURES[measure]
        unit, digits = shown[self.system]
        if measure == "temperature":
            si_unit, unit = f"delta_{si_unit}", f"delta_{unit}"
        return f"{signed(convert(value, si_unit, unit), digits)} {sign(unit)}".rstrip()

    def apart(self, measure: str, value: float) -> str:
        """A difference that has no direction, such as hottest less coldest."""
        return self.difference(measure, value).lstrip("+")

    def drift(self, slope: float) -> str:
        """A change of depth over length, such as +1.5 mm in 100 m; +0.07 in in 100 ft."""
        if self.system == "us":
            return f"{signed(12.0 * 100.0 * slope, 2)} in / 100 ft"
        return f"{signed(1000.0 * 100.0 * slope, 1)} mm / 100 m"

    def of(self, quantity: str, value: float) -> str:
        """A value of a quantity as limits name it, with its unit."""
        measure = "temperature" if quantity.startswith("temperature.") else QUANTITIES[quantity]
        ratio = ":1" if measure == "ratio" else ""
        return f"{self.show(measure, value)}{ratio}"


def fixed(value: float, digits: int) -> str:
    """A number with so many decimals, thousands parted by a thin space, a true minus sign."""
    rounded = round_to(exact(value), digits, "half-even")
    text = f"{rounded:,f}".replace(",", "\u202f")
    if not any(digit in text for digit in "123456789"):
        text = text.lstrip("-")
    return text.replace("-", "−")


def signed(value: float, digits: int) -> str:
    """A number with its sign, as deviations are written."""
    text = fixed(value, digits)
    return text if text.startswith("−") or float(text.replace("\u202f", "")) == 0 else f"+{text}"


def sign(unit: str) -> str:
    """A unit as people write it."""
    return SIGNS.get(unit, unit)


def written(text: str) -> str:
    """A measured value as it was typed, with its unit as people write it."""
    digits, _, unit = text.partition(" ")
    return f"{digits.replace('-', '−')} {sign(unit)}".rstrip()


def clock(at: datetime) -> str:
    """Hours and minutes as the person's clock showed them."""
    return f"{at.hour:02d}:{at.minute:02d}"


def minutes(duration: timedelta) -> str:
    """A duration in whole minutes; hours and minutes from two hours on, days from two days on."""
    whole = round(duration.total_seconds() / 60)
    if whole < 120:
        return f"{whole} min"
    if whole < 2 * 24 * 60:
        return f"{whole // 60} h {whole % 60:02d} min"
    return f"{whole // (24 * 60)} d {whole // 60 % 24} h"
