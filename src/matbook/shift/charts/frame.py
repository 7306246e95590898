"""The frame that every chart stands in: axes with round values, grid, titles of the axes."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from matbook.shift.charts.drawing import CHARACTER, Apart, Drawing, Scale, ticks

WIDTH: Final = 680.0
HEIGHT: Final = 230.0
LEFT: Final = 52.0
RIGHT: Final = 14.0
TOP: Final = 24.0
BOTTOM: Final = 34.0


@dataclass(frozen=True, slots=True)
class Chart:
    """A drawing with the words that stand for it where it can't be seen."""

    name: str
    svg: str
    alt: str
    caption: str


@dataclass(frozen=True, slots=True)
class Frame:
    """A drawing with its two scales."""

    drawing: Drawing
    x: Scale
    y: Scale
    apart: Apart

    def label(self, x: float, y: float, words: str, *, bold: bool = False) -> bool:
        """A label at a place of the drawing; left out, and False, where it would cover another.

        Lines are cut where they would run through it.
        """
        room = self.apart.room(x, y, words, 9)
        if room:
            wide = len(words) * 9 * CHARACTER
            self.drawing.bar(x - wide / 2, y - 7.5, wide, 8.5, self.drawing.paper)
            self.drawing.text(x, y, words, size=9, anchor="middle", bold=bold)
        return room


def frame(
    x_span: tuple[float, float],
    y_span: tuple[float, float],
    x_label: Callable[[float], str],
    x_at: Sequence[float],
    y_title: str,
    x_title: str,
    height: float = HEIGHT,
    width: float = WIDTH,
    inks: tuple[str, str] = ("black", "white"),
) -> Frame:
    """Axes over these spans; `x_at` are the values labelled along x, `inks` that and the paper."""
    drawing = Drawing(width, height, ink=inks[0], paper=inks[1])
    x = Scale(*x_span, LEFT, width - RIGHT)
    y = Scale(*y_span, height - BOTTOM, TOP)
    apart = Apart()
    for value in ticks(*y_span, 5):
        drawing.line(LEFT, y(value), width - RIGHT, y(value), width=0.3)
        drawing.text(LEFT - 6, y(value) + 3.5, f"{value:g}", anchor="end")
    for value in x_at:
        words = x_label(value)
        drawing.line(x(value), height - BOTTOM, x(value), height - BOTTOM + 4)
        if apart.room(x(value), height - BOTTOM + 15, words, 10):
            drawing.text(x(value), height - BOTTOM + 15, words, anchor="middle")
    drawing.line(LEFT, height - BOTTOM, width - RIGHT, height - BOTTOM)
    drawing.line(LEFT, TOP, LEFT, height - BOTTOM)
    drawing.text(LEFT, TOP - 10, y_title, bold=True)
    drawing.text(width - RIGHT, height - 4, x_title, anchor="end")
    return Frame(drawing, x, y, apart)


def hours(start: datetime, end: datetime) -> list[datetime]:
    """Whole hours between two moments, or half hours where there are few."""
    step = timedelta(minutes=30) if end - start < timedelta(hours=4) else timedelta(hours=1)
    first = start.replace(minute=0, second=0, microsecond=0)
    found, at = [], first
    while at <= end:
        if at >= start:
            found.append(at)
        at += step
    return found


def padded(values: Sequence[float], share: float = 0.1) -> tuple[float, float]:
    """The span of some values with a margin at both ends."""
    low, high = min(values), max(values)
    margin = (high - low) * share or abs(high) * share or 1.0
    return low - margin, high + margin
