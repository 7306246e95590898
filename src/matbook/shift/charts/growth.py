"""How density grew with passes at the places of a control strip."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from matbook.engine.growth import DensityReading
from matbook.engine.units import convert
from matbook.shift.charts.frame import Chart, Frame, frame, padded
from matbook.shift.display import MEASURES, System, sign
from matbook.words import say

FORMS: Final = ("square", "round", "tall", "house")
DASHES: Final = ("", "6 3", "2 2", "8 3 2 3")
"""Each place by its own shape and dash: they differ without colour."""
WIDTHS: Final = {"phone": 360.0, "print": 680.0}
INKS: Final = {"phone": ("currentColor", "none"), "print": ("black", "white")}
HEIGHT: Final = 300.0
APART: Final = 12.0
"""Between the numbers of two places."""

Size = Literal["phone", "print"]


@dataclass(frozen=True, slots=True)
class Line:
    """One place: its number, its readings, and its state in words."""

    number: int
    readings: Sequence[DensityReading]
    state: str


@dataclass(frozen=True, slots=True)
class Top:
    """What holds for all places together."""

    passes: int | None
    """To roll with; None where there is no telling."""
    highest_kg_m3: float
    apart_kg_m3: float
    """What the mean of the places can't tell apart."""
    cessation_c: float


def growth_chart(
    strip: str,
    lines: Sequence[Line],
    top: Top,
    system: System,
    language: str = "en",
    size: Size = "print",
) -> Chart:
    """Density over passes, a line for each place; hollow where the mat was already cold.

    At least one place has readings. The grey band is what the gauge can't tell from the highest
    mean.
    """
    known = [line for line in lines if line.readings]
    unit = MEASURES["density"][1][system][0]
    readings = [one for line in known for one in line.readings]
    passes = sorted({one.passes for one in readings})
    coldest = {n: min(one.temp_c for one in readings if one.passes == n) for n in passes}
    values = [convert(one.density_kg_m3, "kg/m3", unit) for one in readings]
    drawn = frame(
        (passes[0] - 1.0, passes[-1] + 1.0),
        padded(values),
        lambda n: f"{n:.0f}",
        [float(n) for n in passes],
        say("chart.growth.y", language, unit=sign(unit)),
        say("chart.growth.x", language),
        height=HEIGHT,
        width=WIDTHS[size],
        inks=INKS[size],
    )
    _band(drawn, top, unit)
    for n, line in enumerate(known):
        _line(drawn, line, n, top.cessation_c, unit)
    _numbers(drawn, known, unit)
    _temperatures(drawn, coldest, system)
    words = {
        "strip": strip,
        "places": len(known),
        "first": passes[0],
        "last": passes[-1],
        "states": "; ".join(f"{line.number}: {line.state}" for line in known),
    }
    alt = say("chart.growth.alt", language, **words)
    label = alt if size == "phone" else ""
    caption = say("chart.growth.caption", language, **words)
    return Chart("growth", drawn.drawing.svg(label), alt, caption)


def _band(drawn: Frame, top: Top, unit: str) -> None:
    """What can't be told from the highest, and a line at the passes to roll with."""
    low, high = (
        drawn.y(convert(value, "kg/m3", unit))
        for value in (top.highest_kg_m3 - top.apart_kg_m3, top.highest_kg_m3)
    )
    left, right = drawn.x.start, drawn.x.end
    drawn.drawing.area([(left, high), (right, high), (right, low), (left, low)], "#8a8a8a",
                       opacity=0.3)  # fmt: skip
    if top.passes is not None:
        x = drawn.x(float(top.passes))
        drawn.drawing.line(x, drawn.y.start - 18, x, drawn.y.end, width=1.5, dash="5 3")
        drawn.drawing.text(x, drawn.y.end - 2, str(top.passes), size=14, anchor="middle", bold=True)


def _line(drawn: Frame, line: Line, n: int, cessation_c: float, unit: str) -> None:
    at = [
        (drawn.x(float(one.passes)), drawn.y(convert(one.density_kg_m3, "kg/m3", unit)))
        for one in line.readings
    ]
    drawn.drawing.path(at, width=1.6, dash=DASHES[n % len(DASHES)])
    for (x, y), one in zip(at, line.readings, strict=True):
        cold = one.temp_c < cessation_c
        drawn.drawing.shape("unknown" if cold else "fine", x, y, FORMS[n % len(FORMS)])


def _numbers(drawn: Frame, lines: Sequence[Line], unit: str) -> None:
    """The number of each place at the end of its line, one above the other where they are near."""
    ends = sorted(
        (
            drawn.y(convert(line.readings[-1].density_kg_m3, "kg/m3", unit)),
            drawn.x(float(line.readings[-1].passes)),
            line.number,
        )
        for line in lines
    )
    lowest = -APART
    for y, x, number in ends:
        lowest = max(y, lowest + APART)
        drawn.drawing.text(x + 8, lowest + 4, str(number), size=12, bold=True)


def _temperatures(drawn: Frame, coldest: dict[int, float], system: System) -> None:
    """The coldest mat after so many passes, above the axis."""
    unit = MEASURES["temperature"][1][system][0]
    y = drawn.y.start - 6
    for passes, temp_c in coldest.items():
        words = f"{convert(temp_c, 'degC', unit):.0f}°"
        if drawn.apart.room(drawn.x(float(passes)), y, words, 10):
            drawn.drawing.text(drawn.x(float(passes)), y, words, anchor="middle")
