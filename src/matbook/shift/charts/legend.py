"""What the lines and shapes of a picture of the shift mean: a few words under it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final

from matbook.shift.charts.cooled import (
    HATCH,
    SHADES,
    STEPS_K,
    THICK,
    THIN,
    UNKNOWN,
    phases_of,
    tender_zone,
)
from matbook.shift.charts.drawing import CHARACTER, Drawing
from matbook.shift.charts.seen import FORM, ORDER, PAVER, Seen
from matbook.shift.charts.sheet import TYPE, Sheet
from matbook.shift.display import Display
from matbook.shift.view import View
from matbook.words import say

ROW: Final = 16.0
SAMPLE: Final = 22.0
SIDE: Final = 6.0
APART: Final = 14.0

Sample = Callable[[Drawing, float, float], None]


@dataclass(frozen=True)
class Drawn:
    """What of the legend is in the picture."""

    tender: bool
    rolled: frozenset[bool]
    stood: bool
    seen: tuple[Seen, ...]


def legend(sheet: Sheet, view: View, drawn: Drawn, language: str) -> None:
    """Draw it under the picture, and make room for it there."""
    drawing = sheet.drawing
    x, y = SIDE, sheet.foot + ROW
    for sample, said in _rows(sheet, view, drawn, language):
        wide = SAMPLE + len(said) * TYPE * CHARACTER
        if x > SIDE and x + wide > drawing.width:
            x, y = SIDE, y + ROW
        sample(drawing, x, y - 4)
        drawing.text(x + SAMPLE, y, said, size=TYPE)
        x += wide + APART
    drawing.height = y + SIDE


def _rows(sheet: Sheet, view: View, drawn: Drawn, language: str) -> list[tuple[Sample, str]]:
    rows: list[tuple[Sample, str]] = [(_paver, say("picture.paver", language))]
    if drawn.stood:
        rows.append((_block, say("picture.standing", language)))
    rows += _mat(sheet, view, drawn, language)
    for dense in sorted(drawn.rolled, reverse=True):
        code = "picture.rolled" if dense else "picture.rolled.finish"
        rows.append((_rolled if dense else _finished, say(code, language)))
    return rows + _marks(drawn.seen, language)


def _mat(sheet: Sheet, view: View, drawn: Drawn, language: str) -> list[tuple[Sample, str]]:
    """The mat's shades, and the lines on it."""
    display, mat = Display(view.plan.job.units), sheet.laid[-1]
    ends_c = mat.family.ends_c
    hot, cold, ends = (
        display.show("temperature", ends_c + over) for over in (STEPS_K[0], STEPS_K[-1], 0.0)
    )
    rows: list[tuple[Sample, str]] = [
        (_shades, say("picture.shades", language, hot=hot, cold=cold, ends=ends))
    ]
    if len(sheet.runs) > 1:
        rows.append((_empty, say("picture.empty", language)))
    done = say("picture.deadline", language, temp=ends)
    for phase, dash in phases_of(view.plan, mat.piece.mix):
        until = display.show("temperature", phase.ends_c)
        begins = phase.starts_c is not None and phase.starts_c < mat.laid_c
        if phase.ends_c == ends_c and not begins:
            done = say("picture.deadline.phase", language, phase=phase.name, temp=ends)
            continue
        said = say("picture.phase", language, phase=phase.name, until=until)
        if phase.starts_c is not None and begins:
            start = display.number("temperature", phase.starts_c)
            said = say("picture.phase.from", language, phase=phase.name, start=start, until=until)
        rows.append((_line(dash), said))
    rows[1:1] = [(_thick, done), (_thin, say("picture.deadline.ends", language))]
    zone = tender_zone(view.plan.mixes[mat.piece.mix])
    if drawn.tender and zone is not None:
        hot, cold = display.number("temperature", zone[0]), display.show("temperature", zone[1])
        rows.append((_hatched, say("picture.tender", language, start=hot, until=cold)))
    return rows


def _marks(seen: Sequence[Seen], language: str) -> list[tuple[Sample, str]]:
    """What was seen: a shape for each kind, filled or hollow; other shapes where one is needed."""
    rows: list[tuple[Sample, str]] = []
    if any(one.small for one in seen):
        rows.append((_pinhole, say("picture.depths", language)))
    marked = [one for one in seen if not one.small]
    quiet = {one.fact.entry.kind: one.state for one in marked if one.state in ORDER[:2]}
    states = {one.state for one in marked}
    for kind, state in quiet.items():
        code = "picture.places" if kind == "draw" else f"kind.{kind}"
        rows.append((_mark(state, FORM[kind]), say(code, language)))
    if "fine" in states:
        rows.append((_mark("fine", "square"), say("picture.filled", language)))
    if "unknown" in states:
        rows.append((_mark("unknown", "square"), say("picture.hollow", language)))
    for state in ORDER[2:]:
        if state in states:
            rows.append((_mark(state), say(f"mark.{state}", language)))
    if any(one.counts for one in seen):
        rows.append((_framed, say("picture.counts", language)))
    return rows


def _paver(drawing: Drawing, x: float, y: float) -> None:
    drawing.line(x, y - 3, x + 18, y + 4, width=PAVER)
    drawing.line(x + 9, y + 0.5, x + 14, y - 4.5)


def _block(drawing: Drawing, x: float, y: float) -> None:
    drawing.block(x + 9, y - 6, 12)


def _shades(drawing: Drawing, x: float, y: float) -> None:
    wide = 18.0 / len(SHADES)
    for n, shade in enumerate(SHADES):
        drawing.bar(x + n * wide, y - 5, wide, 10, shade)
    ends = x + (STEPS_K.index(0.0) + 1) * wide
    drawing.line(ends, y - 6, ends, y + 6, width=THICK)


def _empty(drawing: Drawing, x: float, y: float) -> None:
    for n in range(4):
        drawing.line(x + 4 * n, y + 5, x + 4 * n + 6, y - 5, width=UNKNOWN)


def _thin(drawing: Drawing, x: float, y: float) -> None:
    for edge in (y - 3, y + 3):
        drawing.line(x, edge, x + 18, edge, width=THIN)


def _thick(drawing: Drawing, x: float, y: float) -> None:
    drawing.line(x, y, x + 18, y, width=THICK)


def _pinhole(drawing: Drawing, x: float, y: float) -> None:
    drawing.line(x, y, x + 18, y, width=PAVER)
    for n in range(3):
        drawing.pinhole(x + 3 + n * 6, y, "", "")


def _line(dash: str) -> Sample:
    def sample(drawing: Drawing, x: float, y: float) -> None:
        drawing.line(x, y, x + 18, y, width=1.2, dash=dash)

    return sample


def _hatched(drawing: Drawing, x: float, y: float) -> None:
    for n in range(4):
        drawing.line(x + 1.5 + n * HATCH, y - 5, x + 1.5 + n * HATCH, y + 5, width=0.9)


def _rolled(drawing: Drawing, x: float, y: float) -> None:
    drawing.box(x + 1, y - 2.5, 16, 5)


def _finished(drawing: Drawing, x: float, y: float) -> None:
    drawing.line(x + 1, y, x + 17, y, width=1.4)
    for end in (x + 1, x + 17):
        drawing.line(end, y - 2.5, end, y + 2.5, width=1.4)


def _framed(drawing: Drawing, x: float, y: float) -> None:
    drawing.box(x + 3.5, y - 5.5, 11, 11)
    drawing.shape("fine", x + 9, y, "square")


def _mark(state: str, form: str = "") -> Sample:
    def sample(drawing: Drawing, x: float, y: float) -> None:
        drawing.shape(state, x + 9, y, form)

    return sample
