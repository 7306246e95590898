"""The sheet that the picture of a shift is drawn on: stations across, the clock down, lines on it.

Where a point of the drawing lies on the road and in time, and back, is worked out here alone.
"""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cached_property
from itertools import pairwise
from math import ceil
from typing import Final

from matbook.shift.charts.drawing import CHARACTER, Apart, Drawing, Scale, ticks
from matbook.shift.display import clock
from matbook.shift.mats import Mat
from matbook.shift.view import View
from matbook.words import say

PHONE: Final = 360.0
LAPTOP: Final = 720.0
PAD_M: Final = 10.0
HOLD: Final = timedelta(minutes=12)
"""Now is shown up to so long after the last that was laid."""
LEAD: Final = timedelta(minutes=10)
"""And begins so long before: the first words need room above the line."""
AHEAD: Final = timedelta(minutes=30)
"""The picture goes on for so long: by then the mat laid last can't be rolled to density."""
LEFT: Final = 46.0
TOP: Final = 76.0
RIGHT: Final = 12.0
BELOW: Final = 8.0
SHORTEST: Final = 260.0
TALLEST: Final = 580.0
A_MINUTE: Final = 1.15
"""So tall is a minute, where that makes the drawing neither too low nor too tall."""
TYPE: Final = 11.0
"""Size of the type: as many pixels on a phone."""
BOLD: Final = 0.66
"""Width of a bold character against the size of the type."""
JOINED_M: Final = 0.5
DAY: Final = 24 * 60
"""Minutes."""
FOOT_M: Final = 0.3048

Point = tuple[float, float]


@dataclass(frozen=True)
class Sheet:
    """The drawing with its scales, and the mat that is on it."""

    drawing: Drawing
    x: Scale
    y: Scale
    apart: Apart
    begun: datetime
    laid: tuple[Mat, ...]

    def down(self, at: datetime) -> float:
        """A moment on the clock's side."""
        return self.y((at - self.begun).total_seconds())

    def at(self, y: float) -> datetime:
        """The moment of a height."""
        return self.begun + timedelta(seconds=self.y.value(y))

    @property
    def foot(self) -> float:
        return self.y.end

    @property
    def runs(self) -> list[list[Mat]]:
        """The mat in stretches without a gap."""
        found: list[list[Mat]] = []
        for mat in self.laid:
            if found and abs(mat.piece.from_m - found[-1][-1].piece.to_m) <= JOINED_M:
                found[-1].append(mat)
            else:
                found.append([mat])
        return found

    def edge(self, laid: Sequence[Mat], after: Sequence[float]) -> list[Point]:
        """A line along the mat, so long after each piece was laid [s]."""
        lower = map(self.tall, after)
        return [
            (x, y + down) for mat, down in zip(laid, lower, strict=True) for x, y in self._way(mat)
        ]

    def _way(self, mat: Mat) -> list[Point]:
        """The paver's way over a piece; many lines go along it."""
        if id(mat) not in self._ways:
            self._ways[id(mat)] = [(self.x(at_m), self.down(at)) for at_m, at in mat.path]
        return self._ways[id(mat)]

    @cached_property
    def _ways(self) -> dict[int, list[Point]]:
        """Of each piece on the sheet, which holds them."""
        return {}

    def tall(self, seconds: float) -> float:
        """How tall so long a time is."""
        return self.y(seconds) - self.y(0.0)

    def words(
        self, x: float, y: float, said: str, *, bold: bool = False, anchor: str = "start"
    ) -> bool:
        """Words on a ground of their own; left out, and False, where they would cover others."""
        wide, lines = width_of(said, bold=bold), said.split("\n")
        tall = len(lines) * (TYPE + 2)
        left = {"start": x, "middle": x - wide / 2, "end": x - wide}[anchor]
        left = min(max(left, LEFT + 2), self.drawing.width - RIGHT - wide)
        inside = TOP + TYPE <= y <= self.foot + TYPE + 2 - tall
        room = inside and self.apart.clear(left - 2, y - TYPE + 1, wide + 4, tall)
        if room:
            self.drawing.bar(left - 2, y - TYPE + 1, wide + 4, tall, "white")
            for n, line in enumerate(lines):
                self.drawing.text(left, y + n * (TYPE + 2), line, size=TYPE, bold=bold)
        return room


def width_of(said: str, *, bold: bool = False) -> float:
    """How wide words are, about; of several lines, the longest."""
    return max(map(len, said.split("\n"))) * TYPE * (BOLD if bold else CHARACTER)


def sheet_of(view: View, lane: str, lift: str, width: float) -> Sheet | None:
    """The sheet of one lane and lift up to now; None while no mat's cooling can be forecast."""
    laid = tuple(
        m for m in view.mats if (m.lane, m.piece.lift) == (lane, lift) and m.from_at <= view.now
    )
    if not laid:
        return None
    ends = [end for m in laid for end in (m.piece.from_m, m.piece.to_m)]
    low, high = min(ends) - PAD_M, max(ends) + PAD_M
    span = (high, low) if laid[0].piece.to_m < laid[0].piece.from_m else (low, high)
    begun, last = laid[0].from_at - LEAD, max(m.to_at for m in laid)
    seconds = (max(last, min(view.now, last + HOLD)) + AHEAD - begun).total_seconds()
    foot = TOP + min(max(SHORTEST, seconds / 60.0 * A_MINUTE), TALLEST)
    return Sheet(
        Drawing(width, foot + BELOW),
        Scale(*span, LEFT, width - RIGHT),
        Scale(0.0, seconds, TOP, foot),
        Apart(),
        begun,
        laid,
    )


def above(line: Sequence[Point], foot: float) -> list[Point]:
    """As much of a line as is above the foot: it goes down with the paver's way."""
    found = [one for one in line if one[1] < foot]
    for (x1, y1), (x2, y2) in pairwise(line):
        if y1 < foot <= y2:
            found.append((x1 + (foot - y1) / (y2 - y1) * (x2 - x1), foot))
            break
    return found


def across(line: Sequence[Point], x: float) -> float | None:
    """The height of a line at a place, the upper one at a stop; None beside it."""
    n = bisect_left(line, x, key=lambda point: point[0])
    if n == len(line) or (n == 0 and x < line[0][0]):
        return None
    (x2, y2), (x1, y1) = line[n], line[max(0, n - 1)]
    return y2 if x1 == x2 else y1 + (x - x1) / (x2 - x1) * (y2 - y1)


def axes(sheet: Sheet, view: View, lane: str, lift: str, language: str) -> None:
    """Stations along the top, the clock down the side, and what is shown."""
    drawing, width = sheet.drawing, sheet.drawing.width
    drawing.line(LEFT, TOP, width - RIGHT, TOP)
    drawing.line(LEFT, TOP, LEFT, sheet.foot)
    _stations(sheet, view, lane)
    way = say("mat.way", language)
    drawing.text(width - RIGHT, 26, way, size=TYPE, anchor="end")
    title = f"{view.plan.lanes[lane].name}, {view.plan.lifts[lift].name}"
    if width_of(title) < width - RIGHT - 6 - width_of(way):
        drawing.text(6, 26, title, size=TYPE)
    _clock(sheet)


def _stations(sheet: Sheet, view: View, lane: str) -> None:
    stationing = view.plan.road_of(lane).stationing
    low, high = sorted((sheet.x.low, sheet.x.high))
    unit = FOOT_M if view.plan.job.units == "us" else 1.0
    apart = Apart()
    for value in ticks(low / unit, high / unit, max(3, round(sheet.drawing.width / 70))):
        x, said = sheet.x(value * unit), stationing.format(value * unit, places=0)
        sheet.drawing.line(x, TOP - 4, x, TOP)
        middle = min(x, sheet.drawing.width - width_of(said) / 2)
        if apart.room(middle, TOP - 7, said, TYPE):
            sheet.drawing.text(middle, TOP - 7, said, size=TYPE, anchor="middle")


def _clock(sheet: Sheet) -> None:
    wanted = sheet.y.high / 60.0 / max(1, round((sheet.foot - TOP) / 60))
    steps = (n for n in (5, 10, 15, 20, 30, 60, 120, 240, DAY) if n >= wanted * 0.9)
    step = next(steps, DAY * ceil(wanted / DAY))  # a wrong date makes a shift months long
    at = sheet.begun.replace(hour=0, minute=0, second=0, microsecond=0)
    while (at - sheet.begun).total_seconds() <= sheet.y.high:
        if at >= sheet.begun:
            y = sheet.down(at)
            sheet.drawing.line(LEFT - 4, y, LEFT, y)
            said = clock(at) if step < DAY else f"{at:%m-%d}"
            sheet.drawing.text(LEFT - 7, y + 4, said, size=TYPE, anchor="end")
        at += timedelta(minutes=step)
