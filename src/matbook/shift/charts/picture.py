"""The picture of the shift: stations along the top, the clock down the side.

The paver draws one line; under it lies the mat, shaded by its mean temperature, and on it the time
by which rolling makes no more density, with its range. What was observed sits where it happened.
"""

from matbook.shift.charts.cooled import deadline, phase_lines, shades, tender
from matbook.shift.charts.drawing import Drawing
from matbook.shift.charts.frame import Chart
from matbook.shift.charts.legend import Drawn, legend
from matbook.shift.charts.seen import beside, keep_clear, loads, marks, paver, rollers
from matbook.shift.charts.sheet import LAPTOP, LEFT, RIGHT, TOP, Sheet, axes, sheet_of, width_of
from matbook.shift.display import Display, clock
from matbook.shift.places import label
from matbook.shift.view import View
from matbook.words import say


def picture(
    view: View, lane: str, lift: str, width: float = LAPTOP, language: str = "en"
) -> Drawing | None:
    """The picture of one lane and lift up to now; None while no mat's cooling can be forecast."""
    sheet = sheet_of(view, lane, lift, width)
    if sheet is None:
        return None
    shades(sheet)
    hatched = tender(sheet, view)
    phase_lines(sheet, view)
    ends = deadline(sheet, view)
    rolled = rollers(sheet, view)
    axes(sheet, view, lane, lift, language)
    _now(sheet, view, language)
    for end in ends:
        keep_clear(sheet, end)
    line = paver(sheet, view, language)
    states = marks(sheet, view, language)
    loads(sheet, view, line)
    legend(sheet, view, Drawn(hatched, frozenset(rolled), frozenset(states)), language)
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
        ends = sheet.x(one.middle.from_m), sheet.x(one.middle.to_m)
        drawing.line(*(ends[0], y + 7), *(ends[1], y + 7), width=2)
        for end in ends:
            drawing.line(end, y + 3, end, y + 11, width=2)
        said = say(
            "picture.left",
            language,
            metres=display.show("length", one.middle.length_m, 0),
            early=display.show("length", one.early.length_m, 0),
        )
        left, right = sorted(ends)
        for bold in (True, False):
            if beside(sheet, (left, y + 7), said, 6.0, (("left", 0),), bold=bold):
                break
            if width_of(said, bold=bold) < sheet.x.end - LEFT:
                sheet.words(right, y + 24, said, bold=bold, anchor="end")
                break


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
    checked = view.checked.agreeing
    caption = (
        say("picture.checked", language, n=checked)
        if checked
        else say("answer.rolling.unchecked", language)
    )
    return Chart(
        f"picture-{lane}-{lift}",
        drawn.svg(alt),
        alt,
        f"{say('picture.caption', language, **words)} {caption[:1].upper()}{caption[1:]}.",
    )
