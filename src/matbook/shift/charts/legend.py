"""What the lines and shapes of a picture of the shift mean: a few words under it."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Final

from matbook.shift.charts.cooled import HATCH, SHADES, THICK, THIN, phases_of, tender_zone
from matbook.shift.charts.drawing import CHARACTER, Drawing
from matbook.shift.charts.seen import ORDER
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
    states: frozenset[str]


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
    display, mat = Display(view.plan.job.units), sheet.laid[-1]
    ends_c = mat.family.ends_c
    ends = say("picture.deadline", language, temp=display.show("temperature", ends_c))
    rows: list[tuple[Sample, str]] = [
        (_deadline, ends),
        (_shades, say("picture.shades", language)),
    ]
    if len(sheet.runs) > 1:
        rows.append((_empty, say("picture.empty", language)))
    for phase, dash in phases_of(view.plan, mat.piece.mix):
        until = display.show("temperature", phase.ends_c)
        said = say("picture.phase", language, phase=phase.name, until=until)
        if phase.starts_c is not None and phase.starts_c < mat.laid_c:
            start = display.number("temperature", phase.starts_c)
            said = say("picture.phase.from", language, phase=phase.name, start=start, until=until)
        rows.append((_thick if phase.ends_c == ends_c else _line(dash), said))
    zone = tender_zone(view.plan.mixes[mat.piece.mix])
    if drawn.tender and zone is not None:
        hot, cold = display.number("temperature", zone[0]), display.show("temperature", zone[1])
        rows.append((_hatched, say("picture.tender", language, start=hot, until=cold)))
    for dense in sorted(drawn.rolled, reverse=True):
        code = "picture.rolled" if dense else "picture.rolled.finish"
        rows.append((_rolled if dense else _finished, say(code, language)))
    if "depth" in drawn.states:
        rows.append((_pinhole, say("picture.depths", language)))
    for state in ORDER:
        if state in drawn.states:
            rows.append((_mark(state), say(f"mark.{state}", language)))
    return rows


def _deadline(drawing: Drawing, x: float, y: float) -> None:
    drawing.line(x, y, x + 18, y, width=THICK)
    for edge in (y - 5, y + 5):
        drawing.line(x, edge, x + 18, edge, width=THIN)


def _shades(drawing: Drawing, x: float, y: float) -> None:
    wide = 18.0 / len(SHADES)
    for n, shade in enumerate(SHADES):
        drawing.bar(x + n * wide, y - 5, wide, 10, shade)


def _empty(drawing: Drawing, x: float, y: float) -> None:
    drawing.line(x, y - 4, x + 18, y + 3, width=4)


def _thick(drawing: Drawing, x: float, y: float) -> None:
    drawing.line(x, y, x + 18, y, width=THICK)


def _pinhole(drawing: Drawing, x: float, y: float) -> None:
    drawing.line(x, y, x + 18, y, width=4)
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


def _mark(state: str) -> Sample:
    def sample(drawing: Drawing, x: float, y: float) -> None:
        drawing.shape(state, x + 9, y)

    return sample
