"""Where the paver stood, in the picture of a shift: a block on its line, its words beside it."""

from collections.abc import Iterator
from datetime import timedelta
from typing import Final

from matbook.shift.charts.seen import FURTHER, beside
from matbook.shift.charts.sheet import TYPE, Point, Sheet, width_of
from matbook.shift.display import clock, minutes
from matbook.shift.pavers import Stop
from matbook.shift.places import metres
from matbook.shift.view import View
from matbook.words import say

SHORT_STOP: Final = timedelta(minutes=3)
"""A stop shorter than this is not written beside the line."""
AWAY: Final = 10.0
"""Its words stand so far from it, with a line to them."""


def stops(sheet: Sheet, view: View, language: str) -> bool:
    """Each stop as a block from when to when, with its words; whether there are any."""
    found = False
    for stop in (one for paver in view.pavers for one in paver.stops):
        at_m, lasted = _stood_at(view, stop), stop.lasted(view.now)
        if at_m is None or not sheet.x.holds(at_m) or lasted < SHORT_STOP:
            continue
        if stop.started > view.now or stop.lane != sheet.laid[0].lane:
            continue
        x, top = sheet.x(at_m), sheet.down(stop.started)
        tall = min(sheet.foot, sheet.down(stop.started + lasted)) - top
        said = {
            "minutes": minutes(lasted),
            "reason": say(f"stop.{stop.reason}", language),
            "station": stop.station,
            "begin": clock(view.facts.local(stop.started)),
            "end": clock(view.facts.local(stop.started + lasted)),
        }
        sheet.drawing.stood(x, top, tall, stop.id, say("picture.stood", language, **said))
        sheet.apart.take(x - 4, top, 8, tall)
        _written(sheet, (x, top), tall, said, language)
        found = True
    return found


def _written(sheet: Sheet, at: Point, tall: float, said: dict[str, str], language: str) -> None:
    """The longest of its words that there is room for, and a line to them."""
    (x, top), y = at, at[1] + tall / 2
    for words, bold in _words(said, language):
        start = beside(sheet, (x, y), words, AWAY, FURTHER, bold=bold)
        if start is None:
            continue
        middle = start[1] - TYPE / 2 + 1
        if start[0] > x:
            sheet.drawing.line(x + 4, y, start[0] - 1, middle, width=0.7)
        else:
            end = start[0] + width_of(words, bold=bold) + 1
            sheet.drawing.line(x - 4, top + tall, end, middle, width=0.7)
        return


def _words(said: dict[str, str], language: str) -> Iterator[tuple[str, bool]]:
    """What is written at a stop, and whether boldly; the best first."""
    whole = say("picture.stood.times", language, **said)
    when = say("picture.stood.when", language, **said)
    where = say("picture.stood.where", language, **said)
    yield from ((whole, True), (whole, False))
    yield from ((f"{when}\n{where}", True), (f"{when}\n{where}", False))
    yield say("picture.stood.short", language, **said), False


def _stood_at(view: View, stop: Stop) -> float | None:
    fact = next(one for one in view.facts.of("paver") if one.id == stop.id)
    return metres(view.facts.plan_at(fact.at), fact)
