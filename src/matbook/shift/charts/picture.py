"""The picture of the shift: stations along the top, the clock down the side.

The paver draws one line; under it lies the mat, shaded by its mean temperature, and on it the time
by which rolling makes no more density, with its range. What was observed sits where it happened.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from matbook.shift.charts.drawing import CHARACTER, VERMILION, Apart, Drawing, Scale, ticks
from matbook.shift.charts.frame import Chart
from matbook.shift.display import Display, clock, minutes, written
from matbook.shift.facts import Fact
from matbook.shift.mats import Mat
from matbook.shift.places import label, metres
from matbook.shift.view import View
from matbook.words import say

SHADES: Final = (
    "#6b1d0a",
    "#8f3312",
    "#b04f22",
    "#c9713f",
    "#dd9663",
    "#ebb98d",
    "#f4d7b8",
    "#faeede",
)
"""From hot to cold, each lighter than the one before: they read in black and white too."""
PAD_M: Final = 10.0
HOLD: Final = timedelta(minutes=12)
"""The picture goes on for so long after the last that it shows."""
LEFT: Final = 46.0
TOP: Final = 34.0
RIGHT: Final = 12.0
FOOT: Final = 16.0
TYPE: Final = 11.0
BOLD: Final = 0.66
"""Width of a bold character against the size of the type."""


@dataclass(frozen=True)
class Sheet:
    """The drawing with its scales."""

    drawing: Drawing
    x: Scale
    y: Scale
    apart: Apart
    begun: datetime

    def down(self, at: datetime) -> float:
        """A moment on the clock's side."""
        return self.y((at - self.begun).total_seconds())

    def words(
        self, x: float, y: float, said: str, *, bold: bool = False, anchor: str = "start"
    ) -> None:
        """Words on the mat, on a ground of their own; left out where they would cover others."""
        wide = len(said) * TYPE * (BOLD if bold else CHARACTER)
        left = {"start": x, "middle": x - wide / 2, "end": x - wide}[anchor]
        left = min(max(left, LEFT + 2), self.drawing.width - RIGHT - wide)
        if self.apart.room(left, y, said, TYPE, "start"):
            self.drawing.bar(left - 2, y - TYPE + 1, wide + 4, TYPE + 2, "white")
            self.drawing.text(left, y, said, size=TYPE, bold=bold)


def picture(
    view: View, lane: str, lift: str, width: float = 720.0, language: str = "en"
) -> Drawing | None:
    """The picture of one lane and lift up to now; None while no mat's cooling can be forecast."""
    laid = [
        m for m in view.mats if (m.lane, m.piece.lift) == (lane, lift) and m.from_at <= view.now
    ]
    if not laid:
        return None
    sheet = _sheet(view, laid, width)
    _bands(sheet, laid)
    _now(sheet, view, lane, lift, language)
    _deadline(sheet, view, laid, language)
    _paver(sheet, view, laid, language)
    _axes(sheet, view, lane, laid, language)
    _observed(sheet, view, lane, lift)
    return sheet.drawing


def _sheet(view: View, laid: Sequence[Mat], width: float) -> Sheet:
    ends = [end for m in laid for end in (m.piece.from_m, m.piece.to_m)]
    low, high = min(ends) - PAD_M, max(ends) + PAD_M
    span = (high, low) if laid[0].piece.to_m < laid[0].piece.from_m else (low, high)
    begun = min(m.from_at for m in laid)
    until = max(max(m.to_at for m in laid), min(view.now, max(m.to_at for m in laid) + HOLD)) + HOLD
    seconds = (until - begun).total_seconds()
    height = TOP + FOOT + min(max(260.0, seconds / 60.0 * 1.15), 620.0)
    drawing = Drawing(width, height)
    return Sheet(
        drawing,
        Scale(*span, LEFT, width - RIGHT),
        Scale(0.0, seconds, TOP, height - FOOT),
        Apart(),
        begun,
    )


Point = tuple[float, float]


def _edge(sheet: Sheet, laid: Sequence[Mat], after: Sequence[timedelta]) -> list[Point]:
    """A line along the mat, so long after each piece was laid; cut off at the foot."""
    foot = sheet.drawing.height - FOOT
    found: list[Point] = []
    for mat, late in zip(laid, after, strict=True):
        for at_m, at in ((mat.piece.from_m, mat.from_at), (mat.piece.to_m, mat.to_at)):
            found.append((sheet.x(at_m), min(foot, sheet.down(at + late))))
    return found


def _bands(sheet: Sheet, laid: Sequence[Mat]) -> None:
    """The mat, shaded from hot to cold: each shade from one temperature to the next."""
    ends = laid[-1].family.ends_c
    levels = [ends + step for step in (45.0, 35.0, 25.0, 15.0, 7.5, 0.0, -10.0, -20.0)]
    before = [timedelta()] * len(laid)
    for level, shade in zip(levels, SHADES, strict=True):
        after = [timedelta(seconds=mat.reaches(level)) for mat in laid]
        shape = [*_edge(sheet, laid, before), *reversed(_edge(sheet, laid, after))]
        sheet.drawing.area(shape, shade)
        before = after


def _deadline(sheet: Sheet, view: View, laid: Sequence[Mat], language: str) -> None:
    """When rolling makes no more density: the middle as a line, early and late around it."""
    found = [(mat, left) for mat in laid if (left := mat.left(view.checked.weights)) is not None]
    if not found:
        return
    mats = [mat for mat, _ in found]
    early, middle, late = (
        [timedelta(seconds=getattr(left, end)) for _, left in found]
        for end in ("early", "middle", "late")
    )
    shape = [*_edge(sheet, mats, early), *reversed(_edge(sheet, mats, late))]
    sheet.drawing.area(shape, "black", opacity=0.22)
    line = _edge(sheet, mats, middle)
    sheet.drawing.path(line, width=2.4)
    temp = Display(view.plan.job.units).show("temperature", mats[0].family.ends_c)
    onward = line[0][0] < line[-1][0]  # the foot behind the paver's first stations is empty
    near = LEFT + 4 if onward else sheet.drawing.width - RIGHT - 220
    y = min(sheet.drawing.height - FOOT - 40, sheet.down(view.now) - 22)
    sheet.drawing.line(near, y - 4, near + 18, y - 4, width=2.4)
    said = say("picture.deadline", language, temp=temp)
    sheet.words(near + 24, y, said, bold=True)


def _paver(sheet: Sheet, view: View, laid: Sequence[Mat], language: str) -> None:
    """The paver's line: its slope is its speed, a vertical piece is a stop."""
    line = _edge(sheet, laid, [timedelta()] * len(laid))
    sheet.drawing.path(line, width=4)
    for mat in laid:
        x, y = sheet.x(mat.piece.to_m), sheet.down(mat.to_at)
        sheet.drawing.line(x - 3, y - 4, x + 3, y + 4, width=1.2)
    for paver in view.pavers:
        for stop in paver.stops:
            if stop.started > view.now or stop.lane != laid[0].lane:
                continue
            at_m = (
                view.plan.road_of(stop.lane).stationing.parse(stop.station)
                if stop.station
                else None
            )
            if at_m is None or stop.lasted(view.now) < timedelta(minutes=3):
                continue
            x, top = sheet.x(at_m), sheet.down(stop.started)
            bottom = sheet.down(stop.started + stop.lasted(view.now))
            sheet.drawing.bar(x - 4, top, 8, bottom - top, VERMILION)
            said = say("picture.stood", language, minutes=minutes(stop.lasted(view.now)),
                       reason=say(f"stop.{stop.reason}", language))  # fmt: skip
            sheet.words(x + 8, (top + bottom) / 2 + 4, said, bold=True)


def _axes(sheet: Sheet, view: View, lane: str, laid: Sequence[Mat], language: str) -> None:
    drawing, width = sheet.drawing, sheet.drawing.width
    drawing.line(LEFT, TOP, width - RIGHT, TOP)
    drawing.line(LEFT, TOP, LEFT, drawing.height - FOOT)
    stationing = view.plan.road_of(lane).stationing
    low, high = sorted((sheet.x.low, sheet.x.high))
    unit = 0.3048 if view.plan.job.units == "us" else 1.0
    apart = Apart()
    for value in ticks(low / unit, high / unit, max(3, round(width / 110))):
        x, said = sheet.x(value * unit), stationing.format(value * unit, places=0)
        drawing.line(x, TOP - 4, x, TOP)
        if apart.room(x, TOP - 8, said, TYPE):
            drawing.text(x, TOP - 8, said, size=TYPE, anchor="middle")
    drawing.text(width - RIGHT, 12, say("mat.way", language), size=TYPE, anchor="end")
    hours = ticks(0.0, sheet.y.high / 60.0, round(drawing.height / 70))
    step = max(5.0, (hours[1] - hours[0]) if len(hours) > 1 else 30.0)
    step = next(n for n in (5, 10, 15, 20, 30, 60, 120, 240) if n >= step * 0.9)
    at = sheet.begun.replace(minute=0, second=0, microsecond=0)
    while (at - sheet.begun).total_seconds() <= sheet.y.high:
        if at >= sheet.begun:
            y = sheet.down(at)
            drawing.line(LEFT - 4, y, LEFT, y)
            drawing.text(LEFT - 7, y + 4, clock(at), size=TYPE, anchor="end")
        at += timedelta(minutes=step)


def _observed(sheet: Sheet, view: View, lane: str, lift: str) -> None:
    """Readings of temperature as hollow circles, densities as squares, defects as triangles."""
    states = {entry: call.grade for call in reversed(view.calls) for entry in call.entries}
    for kind, state, name in (
        ("temperature", "unknown", "temp"),
        ("density", "fine", "percent"),
        ("defect", "watch", "sign"),
    ):
        for fact in view.facts.of(kind):
            at_m = metres(view.facts.plan_at(fact.at), fact)
            if at_m is None or fact.at > view.now or fact.place("lane") != lane:
                continue
            if fact.place("lift") not in ("", lift) or fact.text("stage") in (
                "delivery",
                "discharge",
            ):
                continue
            x, y = sheet.x(at_m), sheet.down(fact.at)
            if not TOP <= y <= sheet.drawing.height - FOOT:
                continue
            said = _short(fact, name)
            shape = "act" if states.get(fact.id) == "act" else state
            sheet.drawing.mark(shape, x, y, fact.id, f"{clock(fact.at)} {said}")
            sheet.words(x + 7, y + 4, said)


def _short(fact: Fact, name: str) -> str:
    return written(fact.text(name) or fact.text("density"))[:18]


def _now(sheet: Sheet, view: View, lane: str, lift: str, language: str) -> None:
    """What is left to roll at this moment, and whether anybody checked the forecast."""
    drawing, display = sheet.drawing, Display(view.plan.job.units)
    y = sheet.down(view.now)
    if TOP < y < drawing.height - FOOT:
        drawing.line(LEFT, y, drawing.width - RIGHT, y, width=1.2, dash="5 3")
        sheet.words(LEFT + 4, y - 4, say("picture.now", language, at=clock(view.now)), bold=True)
        for one in view.behind:
            if one.strip[:2] != (lane, lift) or one.middle.length_m <= 0.0:
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
            sheet.words(ends[1], y + 22, said, bold=True, anchor="end")
    if not view.checked.agreeing:
        drawing.text(LEFT, 12, say("answer.rolling.unchecked", language), size=TYPE, bold=True)


def chart(
    view: View, lane: str, lift: str, width: float = 720.0, language: str = "en"
) -> Chart | None:
    """The picture with the words that stand for it."""
    drawn = picture(view, lane, lift, width, language)
    if drawn is None:
        return None
    rows = table(view, lane, lift)
    words = {
        "lane": view.plan.lanes[lane].name,
        "lift": view.plan.lifts[lift].name,
        "first": rows[0][0],
        "from_at": rows[0][1],
        "last": rows[-1][0],
        "to_at": rows[-1][1],
        "count": len(rows),
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


def table(view: View, lane: str, lift: str) -> list[tuple[str, str, str, str, str]]:
    """The same for a reader who can't see it: station, laid, as hot as, done by, early and late."""
    display = Display(view.plan.job.units)
    rows = []
    for mat in view.mats:
        if (mat.lane, mat.piece.lift) != (lane, lift) or mat.from_at > view.now:
            continue
        left = mat.left(view.checked.weights)
        ends = ("", "")
        if left is not None:
            middle, early, late = (
                clock(mat.from_at + timedelta(seconds=end))
                for end in (left.middle, left.early, left.late)
            )
            ends = (middle, f"{early}–{late}")
        place = label(view.plan, lane, mat.piece.from_m)
        rows.append((place, clock(mat.from_at), display.show("temperature", mat.laid_c), *ends))
    return rows
