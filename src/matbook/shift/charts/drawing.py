"""A drawing in SVG: a few shapes, black on white; shape tells the state, colour repeats it."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from html import escape
from math import ceil, floor, log10
from typing import Final

BLUE: Final = "#0b4f8a"
VERMILION: Final = "#b5270c"
ROW: Final = 16.0
FONT: Final = "Matbook Sans, sans-serif"
CHARACTER: Final = 0.56
"""Width of a character against the size of the type, on average; for keeping labels apart."""

FORMS: Final[Mapping[str, str]] = {
    "square": "M {x} {y} m -3.5 -3.5 h 7 v 7 h -7 Z",
    "round": "M {x} {y} m -3.8 0 a 3.8 3.8 0 1 1 7.6 0 a 3.8 3.8 0 1 1 -7.6 0 Z",
    "tall": "M {x} {y} m -2 -5 h 4 v 10 h -4 Z",
    "house": "M {x} {y} m -3.5 4 v -5 l 3.5 -4 l 3.5 4 v 5 Z",
    "peg": "M {x} {y} m -4 -5 h 8 l -4 10 Z",
}
"""Shapes of what needs nobody, where several kinds of it lie in one drawing."""


@dataclass(frozen=True, slots=True)
class Scale:
    """Maps values to the drawing: `low` to `start`, `high` to `end`."""

    low: float
    high: float
    start: float
    end: float

    def holds(self, value: float) -> bool:
        """Whether a value is on the scale."""
        return min(self.low, self.high) <= value <= max(self.low, self.high)

    def value(self, place: float) -> float:
        """The value at a place of the drawing."""
        return self.low + (place - self.start) / (self.end - self.start) * (self.high - self.low)

    def __call__(self, value: float) -> float:
        if self.high == self.low:
            return (self.start + self.end) / 2
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)


@dataclass(slots=True)
class Drawing:
    """Collects shapes; `svg()` writes them out."""

    width: float
    height: float
    shapes: list[str] = field(default_factory=list)
    ink: str = "black"
    """Colour of lines and words: black in print; on a screen currentColor, so that it turns."""
    paper: str = "white"
    """Colour of what is hollow."""

    def line(
        self, x1: float, y1: float, x2: float, y2: float, *, width: float = 1, dash: str = ""
    ) -> None:
        dashed = f' stroke-dasharray="{dash}"' if dash else ""
        self.shapes.append(
            f'<line x1="{x1:.1f}" y1="{y1:.1f}" x2="{x2:.1f}" y2="{y2:.1f}" '
            f'stroke="{self.ink}" stroke-width="{width}"{dashed}/>'
        )

    def path(
        self, points: Sequence[tuple[float, float]], *, width: float = 2, dash: str = ""
    ) -> None:
        if len(points) < 2:
            return
        steps = " L ".join(f"{x:.1f} {y:.1f}" for x, y in points)
        dashed = f' stroke-dasharray="{dash}"' if dash else ""
        self.shapes.append(
            f'<path d="M {steps}" fill="none" stroke="{self.ink}" stroke-width="{width}"{dashed}/>'
        )

    def area(
        self, points: Sequence[tuple[float, float]], fill: str, *, opacity: float = 1.0
    ) -> None:
        """A filled shape without an outline."""
        steps = " L ".join(f"{x:.1f} {y:.1f}" for x, y in points)
        clear = f' fill-opacity="{opacity:g}"' if opacity < 1.0 else ""
        self.shapes.append(f'<path d="M {steps} Z" fill="{fill}"{clear}/>')

    def bar(self, x: float, y: float, width: float, height: float, fill: str = BLUE) -> None:
        self.shapes.append(
            f'<rect x="{x:.1f}" y="{y:.1f}" width="{max(width, 0.8):.1f}" '
            f'height="{max(height, 0.8):.1f}" fill="{fill}"/>'
        )

    def dot(self, x: float, y: float, *, hollow: bool = False) -> None:
        fill = self.paper if hollow else BLUE
        stroke = self.ink if hollow else BLUE
        self.shapes.append(
            f'<circle cx="{x:.1f}" cy="{y:.1f}" r="3.2" fill="{fill}" stroke="{stroke}"/>'
        )

    def diamond(self, x: float, y: float) -> None:
        """Act: something beyond its limit."""
        r = 5
        self.shapes.append(
            f'<path d="M {x:.1f} {y - r:.1f} L {x + r:.1f} {y:.1f} L {x:.1f} {y + r:.1f} '
            f'L {x - r:.1f} {y:.1f} Z" fill="{VERMILION}"/>'
        )

    def box(self, x: float, y: float, width: float, height: float) -> None:
        """An outline: what lay from here to there."""
        self.shapes.append(
            f'<rect x="{x:.1f}" y="{y:.1f}" width="{max(width, 0.8):.1f}" '
            f'height="{height:.1f}" fill="{self.paper}" stroke="{self.ink}" stroke-width="0.8"/>'
        )

    def mark(
        self,
        state: str,
        x: float,
        y: float,
        entry: str,
        words: str,
        size: float = 1.0,
        form: str = "",
    ) -> None:
        """A state at its place: square fine, triangle watch, diamond act, circle not known.

        With a form of its own it is filled where fine, and hollow where not known. It carries the
        id of its entry for whoever taps it, and the words that stand for it.
        """
        self.shapes.append(
            f'<g class="mark {state}" data-entry="{escape(entry)}"><title>{escape(words)}</title>'
            f"{self._shape(state, x, y, size, form)}</g>"
        )

    def stood(self, x: float, y: float, height: float, entry: str, words: str) -> None:
        """Where a machine stood, from when to when; it carries its entry like a mark."""
        self.shapes.append(
            f'<g class="stood" data-entry="{escape(entry)}"><title>{escape(words)}</title>'
            f"{self._block(x, y, height)}</g>"
        )

    def block(self, x: float, y: float, height: float) -> None:
        """The sign of a machine that stood, for a legend."""
        self.shapes.append(self._block(x, y, height))

    def _block(self, x: float, y: float, height: float) -> str:
        """Red with an outline, and striped: without colour it can't be taken for a mark."""
        stripes = " ".join(
            f"M {x - 4:.1f} {y + down:.1f} l 8 -3" for down in range(5, ceil(height) - 1, 5)
        )
        return (
            f'<rect x="{x - 4:.1f}" y="{y:.1f}" width="8" height="{height:.1f}" '
            f'fill="{VERMILION}" stroke="{self.ink}"/>'
            + (f'<path d="{stripes}" stroke="{self.paper}" stroke-width="1.4"/>' if stripes else "")
        )

    def rolled(
        self, x: float, y: float, width: float, entry: str, words: str, *, dense: bool = True
    ) -> None:
        """Where a machine rolled, as a box for density, else a bar; with its entry, like a mark."""
        shape = f"M {x:.1f} {y - 2.5:.1f} v 5 "
        shape += f"h {width:.1f} v -5 Z" if dense else f"m 0 -2.5 h {width:.1f} m 0 -2.5 v 5"
        self.shapes.append(
            f'<g class="rolled" data-entry="{escape(entry)}"><title>{escape(words)}</title>'
            f'<path d="{shape}" fill="none" stroke="{self.paper}" stroke-width="3"/>'
            f'<path d="{shape}" fill="none" stroke="{self.ink}" stroke-width="1.4"/></g>'
        )

    def pinhole(self, x: float, y: float, entry: str, words: str) -> None:
        """One of many small marks: light on a dark line."""
        self.shapes.append(
            f'<g class="pinhole" data-entry="{escape(entry)}"><title>{escape(words)}</title>'
            f'<circle cx="{x:.1f}" cy="{y:.1f}" r="1.5" fill="{self.paper}" '
            f'stroke="{self.ink}" stroke-width="0.6"/></g>'
        )

    def shape(self, state: str, x: float, y: float, form: str = "") -> None:
        """The shape of a state by itself, for a legend."""
        self.shapes.append(self._shape(state, x, y, 1.0, form))

    def _shape(self, state: str, x: float, y: float, size: float, form: str) -> str:
        r = 3.5 * size
        if form and state in ("fine", "unknown"):
            fill, edge = (self.ink, self.paper) if state == "fine" else (self.paper, self.ink)
            steps = FORMS[form].format(x=f"{x:.1f}", y=f"{y:.1f}")
            return f'<path d="{steps}" fill="{fill}" stroke="{edge}" stroke-width="1.2"/>'
        if state == "fine":
            return (
                f'<rect x="{x - r:.1f}" y="{y - r:.1f}" width="{2 * r:.1f}" '
                f'height="{2 * r:.1f}" fill="{self.ink}" stroke="{self.paper}" '
                'stroke-width="0.8"/>'
            )
        if state == "unknown":
            return (
                f'<circle cx="{x:.1f}" cy="{y:.1f}" r="{r:.1f}" fill="{self.paper}" '
                f'stroke="{self.ink}" stroke-width="1.2"/>'
            )
        r = 5 * size
        corners = {
            "watch": ((x, y - r), (x + r, y + r - 1), (x - r, y + r - 1)),
            "act": ((x, y - r - 1), (x + r + 1, y), (x, y + r + 1), (x - r - 1, y)),
        }[state]
        steps = " L ".join(f"{a:.1f} {b:.1f}" for a, b in corners)
        fill = VERMILION if state == "act" else self.ink
        return f'<path d="M {steps} Z" fill="{fill}" stroke="{self.paper}" stroke-width="0.8"/>'

    def text(
        self,
        x: float,
        y: float,
        words: str,
        *,
        size: float = 10,
        anchor: str = "start",
        bold: bool = False,
    ) -> None:
        weight = ' font-weight="bold"' if bold else ""
        self.shapes.append(
            f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size}"{self._ink} '
            f'text-anchor="{anchor}"{weight}>{escape(words)}</text>'
        )

    @property
    def _ink(self) -> str:
        """The colour of words, where it isn't the black that they have by themselves."""
        return "" if self.ink == "black" else f' fill="{self.ink}"'

    def svg(self, label: str = "") -> str:
        """The whole drawing as one SVG text; `label` are the words that stand for it."""
        named = f' role="img" aria-label="{escape(label)}"' if label else ""
        return (
            f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {self.width:g} '
            f'{self.height:g}" font-family="{FONT}"{named}>' + "".join(self.shapes) + "</svg>"
        )


def ticks(low: float, high: float, wanted: int) -> list[float]:
    """Round values between low and high, about as many as wanted: steps of 1, 2 or 5.

    Example:
        >>> ticks(0, 9.5, 5)
        [0.0, 2.0, 4.0, 6.0, 8.0]
    """
    if high <= low:
        return [low]
    rough = (high - low) / max(1, wanted)
    power = 10.0 ** floor(log10(rough))
    step = next(power * m for m in (1, 2, 5, 10) if power * m >= rough * 0.7)
    first = ceil(low / step - 1e-9)
    return [n * step for n in range(first, floor(high / step + 1e-9) + 1)]


class Apart:
    """Keeps labels from colliding: says whether a new one still has room."""

    def __init__(self) -> None:
        self._rows: dict[int, list[tuple[float, float, float, float]]] = {}

    def room(self, x: float, y: float, words: str, size: float, anchor: str = "middle") -> bool:
        """Whether a label fits here; if so, its place is taken."""
        wide = len(words) * size * CHARACTER
        left = x - {"start": 0.0, "middle": wide / 2, "end": wide}[anchor]
        return self.clear(left - 2, y - size, wide + 4, size + 2)

    def clear(self, left: float, top: float, width: float, height: float) -> bool:
        """Whether nothing stands in a box yet; if so, it is taken."""
        box = (left, top, left + width, top + height)
        rows = (self._rows.get(row, ()) for row in _rows(box))
        if any(_overlap(box, other) for row in rows for other in row):
            return False
        self.take(left, top, width, height)
        return True

    def take(self, left: float, top: float, width: float, height: float) -> None:
        """Keep a box free of labels, whatever stands there already."""
        box = (left, top, left + width, top + height)
        for row in _rows(box):
            self._rows.setdefault(row, []).append(box)


def _rows(box: tuple[float, float, float, float]) -> range:
    """Boxes are looked for among those of the rows that they reach into."""
    return range(int(box[1] // ROW), int(box[3] // ROW) + 1)


def _overlap(a: tuple[float, float, float, float], b: tuple[float, float, float, float]) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]
