"""The picture of the shift: stations along the top, the clock down the side.

The paver draws one line; under it lies the mat, shaded by its mean temperature, and on it the time
by which rolling makes no more density, with its range. What was observed sits where it happened.
"""

from textwrap import fill
from typing import Final

from matbook.shift.charts.cooled import deadline, phase_lines, shades, tender, unknown
from matbook.shift.charts.drawing import Drawing
from matbook.shift.charts.frame import Chart
from matbook.shift.charts.heads import heads, title
from matbook.shift.charts.legend import Drawn, legend
from matbook.shift.charts.seen import beside, keep_clear, loads, marks, paver, rollers
from matbook.shift.charts.sheet import LAPTOP, LEFT, RIGHT, TOP, Sheet, axes, sheet_of
from matbook.shift.charts.stood import stops
from matbook.shift.display import Display, clock
from matbook.shift.places import label
from matbook.shift.view import View
from matbook.words import say

HUNG: Final = 14.0
"""What is left to roll is measured so far under the line of now."""


def picture(
    view: View, lane: str, lift: str, width: float = LAPTOP, language: str = "en"
) -> Drawing | None:
    """The picture of one lane and lift up to now; None while no mat's cooling can be forecast."""
    sheet = sheet_of(view, lane, lift, width)
    if sheet is None:
        return None
    shades(sheet)
    unknown(sheet)
    hatched = tender(sheet, view)
    phase_lines(sheet, view)
    ends = deadline(sheet, view)
    axes(sheet, view, lane, lift, language)
    heads(sheet, view, language)
    _now(sheet, view, language)
    for end in ends:
        keep_clear(sheet, end)
    line = paver(sheet)
    rolled, late = rollers(sheet, view, language)
    stood = stops(sheet, view, language)
    seen = marks(sheet, view, late, language)
    loads(sheet, view, line)
    drawn = Drawn(hatched, frozenset(rolled), stood, tuple(seen))
    legend(sheet, view, drawn, language)
    return sheet.drawing


def _now(sheet: Sheet, view: View, language: str) -> None:
    """What is left to roll at this moment."""
    drawing, display = sheet.drawing, Display(view.plan.job.units)
    y = sheet.down(view.now)
    if not TOP < y < sheet.foot:
        return
    drawing.line(LEFT, y, drawing.width - RIGHT, y, width=1.2, dash="5 3")
    sheet.words(
        LEFT + 4,
        y - 4,
        say("picture.now", language, at=clock(view.facts.local(view.now))),
        bold=True,
    )
    for one in view.behind:
        if one.strip[:2] != sheet.laid[0].piece.strip[:2] or one.middle.length_m <= 0.0:
            continue
        left, right = sorted((sheet.x(one.middle.from_m), sheet.x(one.middle.to_m)))
        _arrow(drawing, left, right, y)
        said = say(
            "picture.left",
            language,
            metres=display.show("length", one.middle.length_m, 0),
            early=display.show("length", one.early.length_m, 0),
        )
        parted = fill(said, len(said) * 2 // 3)
        for words, bold in ((said, True), (said, False), (parted, True), (parted, False)):
            if beside(sheet, (left, y), words, 6.0, (("left", 1),), bold=bold):
                break


def _arrow(drawing: Drawing, left: float, right: float, y: float) -> None:
    """A measure hung under the line of now, clear of the rollers noted there."""
    at, head = y + HUNG, min(6.0, (right - left) / 3)
    drawing.bar(left - 1, at - 4, right - left + 2, 8, drawing.paper)
    drawing.line(left, at, right, at, width=1.6)
    for end, inwards in ((left, head), (right, -head)):
        drawing.line(end, y, end, at + 5, width=1.2)
        drawing.area([(end, at), (end + inwards, at - 4), (end + inwards, at + 4)], drawing.ink)


def chart(
    view: View, lane: str, lift: str, width: float = LAPTOP, language: str = "en"
) -> Chart | None:
    """The picture with the words that stand for it."""
    drawn = picture(view, lane, lift, width, language)
    if drawn is None:
        return None
    laid = [
        m for m in view.mats if (m.lane, m.piece.lift) == (lane, lift) and m.from_at <= view.now
    ]
    words = {
        "lane": view.plan.lanes[lane].name,
        "lift": view.plan.lifts[lift].name,
        "first": label(view.plan, lane, laid[0].piece.from_m),
        "from_at": clock(laid[0].from_at),
        "last": label(view.plan, lane, laid[-1].piece.from_m),
        "to_at": clock(laid[-1].from_at),
        "count": len(laid),
    }
    alt = say("picture.alt", language, **words)
    return Chart(
        f"picture-{lane}-{lift}",
        drawn.svg(alt),
        alt,
        f"{say('picture.caption', language, **words)} {title(view, language)[0]}.",
    )
