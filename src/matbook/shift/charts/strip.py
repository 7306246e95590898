"""A strip of the lane: every observation at its station, one track for each subject.

Stations run in the direction of paving. It is drawn 360 wide, so that it can be read on a phone as
it is; a state is a shape, colour only repeats it, and ink follows the page it stands on.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

from matbook.shift.charts.drawing import CHARACTER, Apart, Drawing, Scale, ticks

WIDTH: Final = 360.0
SIDE: Final = 10.0
HEAD: Final = 18.0
TRACK: Final = 40.0
FOOT: Final = 24.0
TYPE: Final = 11.0
"""Size of the type: as many pixels on a phone."""

RAISED: Final = 10.0
"""What is beyond a limit stands above the others, so that none of them hides it."""

ORDER: Final = ("fine", "unknown", "watch", "act")
"""Drawn in this order, so that the gravest lies on top."""


@dataclass(frozen=True, slots=True)
class Spot:
    """One observation on the strip."""

    track: str
    at_m: float
    from_m: float | None
    """Where it began, if it reaches from a station to another."""
    state: str
    """fine, watch, act or unknown."""
    label: str
    """What is written beside it where it is beyond a limit."""
    words: str
    entry: str


@dataclass(frozen=True, slots=True)
class Ground:
    """What the strip is drawn over."""

    reversed: bool
    """Paving runs against the stations."""
    step_m: float
    """One unit of the labels [m]: a foot or a metre."""
    format: Callable[[float], str]
    """A station as the road labels it."""
    way: str
    """Words for the direction of paving."""


def strip(spots: Sequence[Spot], tracks: Sequence[tuple[str, str]], ground: Ground) -> Drawing:
    """The drawing of one lane and lift; `tracks` are the subjects and their names, from above."""
    used = [(key, name) for key, name in tracks if any(spot.track == key for spot in spots)]
    height = HEAD + TRACK * len(used) + FOOT
    drawing = Drawing(WIDTH, height, ink="currentColor", paper="none")
    ends = [at for s in spots for at in (s.at_m, s.from_m) if at is not None]
    low, high = min(ends), max(ends)
    margin = (high - low) * 0.02 or 1.0
    span = (high + margin, low - margin) if ground.reversed else (low - margin, high + margin)
    x = Scale(*span, SIDE, WIDTH - SIDE)
    drawing.text(WIDTH - SIDE, HEAD - 6, ground.way, size=TYPE, anchor="end")
    for n, (key, name) in enumerate(used):
        _track(drawing, x, HEAD + TRACK * n, name, [s for s in spots if s.track == key])
    _stations(drawing, x, height - FOOT, (low, high), ground)
    return drawing


def _track(drawing: Drawing, x: Scale, top: float, name: str, spots: Sequence[Spot]) -> None:
    apart = Apart()
    line = top + TRACK - 10
    drawing.line(SIDE, line, WIDTH - SIDE, line, width=0.4)
    apart.room(SIDE, top + 12, name, TYPE, "start")
    drawing.text(SIDE, top + 12, name, size=TYPE, bold=True)
    for spot in spots:
        if spot.from_m is not None:
            left, right = sorted((x(spot.from_m), x(spot.at_m)))
            drawing.box(left, line - 3, right - left, 6)
    size = min(1.0, max(0.45, (WIDTH - 2 * SIDE) / len(spots) / 9))
    for spot in sorted(spots, key=lambda s: ORDER.index(s.state)):
        up = spot.state in ("act", "watch")
        y = line - RAISED if up else line
        drawing.mark(spot.state, x(spot.at_m), y, spot.entry, spot.words, 1.0 if up else size)
    for spot in sorted(spots, key=lambda s: -ORDER.index(s.state)):
        if spot.label and spot.state in ("act", "watch"):
            half = len(spot.label) * TYPE * CHARACTER / 2
            middle = min(max(x(spot.at_m), SIDE + half), WIDTH - SIDE - half)
            if apart.room(middle, top + 12, spot.label, TYPE):
                drawing.text(middle, top + 12, spot.label, size=TYPE, anchor="middle")


def _stations(
    drawing: Drawing, x: Scale, line: float, span: tuple[float, float], ground: Ground
) -> None:
    apart = Apart()
    drawing.line(SIDE, line, WIDTH - SIDE, line)
    low, high = (end / ground.step_m for end in span)
    for value in ticks(low, high, 5):
        at, words = x(value * ground.step_m), ground.format(value * ground.step_m)
        half = len(words) * TYPE * CHARACTER / 2
        middle = min(max(at, SIDE + half), WIDTH - SIDE - half)
        drawing.line(at, line, at, line + 4)
        if apart.room(middle, line + 17, words, TYPE):
            drawing.text(middle, line + 17, words, size=TYPE, anchor="middle")
