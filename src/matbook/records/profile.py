"""A profile file: distances and heights, in columns, taken apart where it has gaps.

What is kept are the heights as they were written. A gap is said with its place and its line, and
what lies beyond it is a piece of its own: nothing is filled in, and nothing is thrown away.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import isfinite
from statistics import median
from typing import Final

from matbook.errors import FileRefused
from matbook.records.delimited import Row, read_delimited

MOST_TEXT: Final = 150_000
"""Characters of heights that one piece holds: an entry has room for them."""
UNEVEN: Final = 0.02
"""Steps may differ by so much of the usual one: distances are written with few digits."""
NUMBER: Final = re.compile(r"-?\d+(?:[.,]\d+)?(?:[eE][-+]?\d+)?", re.ASCII)


@dataclass(frozen=True, slots=True)
class Piece:
    """Heights at equal spacing with no gap, as they were written."""

    from_m: float
    """From the first distance in the file."""
    spacing_m: float
    heights: tuple[str, ...]
    line: int

    @property
    def to_m(self) -> float:
        return self.from_m + (len(self.heights) - 1) * self.spacing_m


@dataclass(frozen=True, slots=True)
class ProfileFile:
    """The pieces of a profile, and a sentence for every gap between them."""

    pieces: tuple[Piece, ...]
    gaps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Point:
    at_m: float
    height: str
    line: int


def read_profile(data: bytes, column: int = 2, metres: float = 1.0) -> ProfileFile:
    """The pieces of a profile file.

    Args:
        data: The file: a distance and heights in each row; rows before the first are its heading.
        column: Which column holds the heights, counted from 1; the distance is in the first.
        metres: How many metres one of the distances' units is.

    Raises:
        FileRefused: Not text, no heights, or distances that run backwards: with the line.
    """
    rows, _ = read_delimited(data, _likeness)
    points = list(_points(rows, column, metres))
    known = [point for point in points if point.height]
    if len(known) < 2:
        raise FileRefused(
            f"There are {len(known)} heights in column {column}; a profile has a distance in its "
            "first column and a height in another, row by row."
        )
    steps = []
    for before, after in pairwise(points):
        if after.at_m <= before.at_m:
            raise FileRefused(
                f"Line {after.line}: the distance {after.at_m:g} m isn't beyond the one before, "
                f"{before.at_m:g} m. Distances must rise from row to row."
            )
        steps.append(after.at_m - before.at_m)
    spacing_m = median(steps)
    return _taken_apart(points, spacing_m, points[0].at_m)


def _likeness(cells: Sequence[str]) -> int:
    return sum(bool(NUMBER.fullmatch(cell.strip())) for cell in cells)  # whole numbers


def _points(rows: Sequence[Row], column: int, metres: float) -> Iterator[_Point]:
    """Rows from the first that begins with a number; a height that is none is a gap."""
    begun = False
    for row in rows:
        cells = [cell.strip() for cell in row.cells]
        if not cells or not NUMBER.fullmatch(cells[0]):
            if begun:
                raise FileRefused(f"Line {row.line}: “{' '.join(cells)[:40]}” isn't a distance.")
            continue
        begun = True
        written = cells[column - 1] if len(cells) >= column else ""
        good = bool(NUMBER.fullmatch(written)) and isfinite(float(written.replace(",", ".")))
        height = written.replace(",", ".") if good else ""
        yield _Point(metres * float(cells[0].replace(",", ".")), height, row.line)


def _taken_apart(points: Sequence[_Point], spacing_m: float, start_m: float) -> ProfileFile:
    pieces: list[Piece] = []
    gaps: list[str] = []
    running: list[_Point] = []
    room = 0

    def close() -> None:
        if running:
            heights = tuple(point.height for point in running)
            pieces.append(Piece(running[0].at_m - start_m, spacing_m, heights, running[0].line))
        running.clear()

    for before, point in zip([None, *points], points, strict=False):
        jump = before is not None and point.at_m - before.at_m > (1.0 + UNEVEN) * spacing_m
        if jump or not point.height:
            if running:
                gaps.append(
                    f"Line {point.line}: a gap at {point.at_m - start_m:.3f} m; the profile is "
                    "taken apart here, and nothing is filled in."
                )
            close()
            room = 0
        elif room > MOST_TEXT:
            close()
            room = 0
        if point.height:
            running.append(point)
            room += len(point.height) + 1
    close()
    return ProfileFile(tuple(pieces), tuple(gaps))
