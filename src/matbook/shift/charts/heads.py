"""Over the picture of a shift: whether its forecast was checked, what was late, what was too thick.

What can't be seen in a picture is that there was nothing to see: a sentence says it.
"""

from math import fsum
from typing import Final

from matbook.shift.charts.drawing import Drawing
from matbook.shift.charts.seen import lateness, on_the_sheet, rolled_for_density
from matbook.shift.charts.sheet import TYPE, Sheet, width_of
from matbook.shift.display import Display
from matbook.shift.view import View
from matbook.words import say

ROWS: Final = (12.0, 40.0, 54.0)
"""Heights of the title and of the sentences; what is shown stands between them."""


def title(view: View, language: str) -> list[str]:
    """By how many readings the forecast was checked; first with how far off it was [K]."""
    agreeing = [one for one in view.checked.readings if one.state == "agrees"]
    if not agreeing:
        return [say("picture.title.unchecked", language)]
    checked = say("picture.title.checked", language, n=len(agreeing))
    off_k = fsum(abs(one.read_c - one.expected_c) for one in agreeing) / len(agreeing)
    off = Display(view.plan.job.units).apart("temperature", off_k)
    return [say("picture.title.off", language, checked=checked, off=off), checked]


def heads(sheet: Sheet, view: View, language: str) -> None:
    """The title, as much of it as fits, and under it the sentences."""
    drawing = sheet.drawing
    whole = title(view, language)
    tried = [*((said, True) for said in whole), (whole[-1], False)]
    said, bold = next((one for one in tried if _fits(drawing, *one)), tried[-1])
    drawing.text(6, ROWS[0], said, size=TYPE, bold=bold)
    drawing.text(6, ROWS[1], _late(sheet, view, language), size=TYPE)
    drawing.text(6, ROWS[2], _depths(sheet, view, language), size=TYPE)


def _fits(drawing: Drawing, said: str, bold: bool) -> bool:
    return 6 + width_of(said, bold=bold) <= drawing.width


def _late(sheet: Sheet, view: View, language: str) -> str:
    """How often rolling for density was noted where there is a forecast, and how often late."""
    noted = [lateness(sheet, view, fact) for fact in rolled_for_density(sheet, view)]
    known = [late for late in noted if late is not None]
    if not known:
        return say("picture.late.unknown", language)
    late = len([one for one in known if one])
    if not late:
        return say("picture.late.none", language, n=len(known))
    return say("picture.late.some", language, late=late, n=len(known))


def _depths(sheet: Sheet, view: View, language: str) -> str:
    """How many loose depths were checked, and how many were beyond a limit."""
    here = {fact.id for fact in on_the_sheet(sheet, view, "loose-depth")}
    if not here:
        return say("picture.depth.unchecked", language)
    taken = [one for one in view.readings("loose-depth") if one.fact.id in here]
    judged = {one.fact.id for one in taken if one.judgements}
    beyond = {one.fact.id for one in taken if one.beyond}
    if not judged:
        return say("picture.depth.unjudged", language, n=len(here))
    if not beyond:
        return say("picture.depth.none", language, n=len(judged))
    return say("picture.depth.some", language, n=len(judged), beyond=len(beyond))
