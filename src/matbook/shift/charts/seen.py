"""What was seen during a shift, in its picture: the paver, its loads and stops, rollers, readings.

A mark's shape is the state of what was seen, as everywhere; its words, with their unit, say what
it is. Words stand only where there is room, those that need a person first.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from itertools import pairwise
from typing import Final

from matbook.shift.calls import GRADES
from matbook.shift.charts.sheet import TYPE, Point, Sheet, across, width_of
from matbook.shift.display import clock, minutes, written
from matbook.shift.facts import Fact
from matbook.shift.measured import MEASURES
from matbook.shift.pavers import Stop
from matbook.shift.places import metres
from matbook.shift.view import View
from matbook.words import say

SHORT_STOP: Final = timedelta(minutes=3)
"""A stop shorter than this is not written beside the line."""
LABEL_APART: Final = 18.0
"""Load numbers stand at least so far apart along the line."""
EVERY: Final = 4.0
"""Lines are kept clear of words in boxes so large."""
OF_NO_MAT: Final = ("delivery", "discharge", "base")
"""Stages of a temperature that was not taken on the mat."""
FIELDS: Final[Mapping[str, tuple[str, ...]]] = {
    "density": ("percent", "density"),
    "temperature": ("temp",),
    "sample": ("sample",),
    "core": ("core",),
    "defect": ("sign",),
    "loose-depth": ("depth",),
}
"""Kinds that the picture marks, those first whose words come first; and what is written."""
ORDER: Final = ("fine", "unknown", "watch", "act")
"""Drawn in this order, so that the gravest lies on top."""


@dataclass(frozen=True)
class Seen:
    """One observation at its place in the drawing."""

    fact: Fact
    at: Point
    state: str
    said: str

    @property
    def small(self) -> bool:
        """A depth check with nothing to say: there are many, so each is a dot on the line."""
        return self.fact.entry.kind == "loose-depth" and self.state in ORDER[:2]


STOOD: Final = (
    ("picture.stood", True),
    ("picture.stood", False),
    ("picture.stood.why", False),
    ("picture.stood.short", False),
)
"""What is written at a stop, and whether boldly: the first of these that there is room for."""


def paver(sheet: Sheet, view: View, language: str) -> list[Point]:
    """The paver's line: its slope is its speed, a vertical piece is a stop. Returns the line."""
    line = sheet.edge(sheet.laid, [0.0] * len(sheet.laid))
    sheet.drawing.path(line, width=4)
    keep_clear(sheet, line)
    for stop in (one for paver in view.pavers for one in paver.stops):
        at_m = _stood_at(view, stop)
        lasted = stop.lasted(view.now)
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
        }
        sheet.drawing.stood(x, top, tall, stop.id, say("picture.stood", language, **said))
        for code, bold in STOOD:
            words = say(code, language, **said)
            if beside(sheet, (x, top + tall / 2), words, 8.0, FURTHER, bold=bold):
                break
    return line


def _stood_at(view: View, stop: Stop) -> float | None:
    fact = next(one for one in view.facts.of("paver") if one.id == stop.id)
    return metres(view.facts.plan_at(fact.at), fact)


def keep_clear(sheet: Sheet, line: Sequence[Point]) -> None:
    """No words on a line."""
    for (x1, y1), (x2, y2) in pairwise(line):
        steps = max(1, round(max(abs(x2 - x1), abs(y2 - y1)) / EVERY))
        for n in range(steps):
            x, y = x1 + (x2 - x1) * n / steps, y1 + (y2 - y1) * n / steps
            sheet.apart.take(x - EVERY / 2, y - EVERY / 2, EVERY, EVERY)


NEAR: Final = (("right", 0), ("left", 0), ("right", -1), ("left", 1), ("right", 2))
FURTHER: Final = (*NEAR[:-1], ("right", -2), ("left", 2))
"""Where words stand beside their place: on which side, and how many lines lower."""


def beside(
    sheet: Sheet,
    at: Point,
    said: str,
    away: float,
    tried: Sequence[tuple[str, int]] = NEAR,
    *,
    bold: bool = False,
) -> bool:
    """Words beside a place, where they run into nothing; False where there is no room."""
    x, y = at[0], at[1] + 4
    sides = {"right": x + away, "left": x - away - width_of(said, bold=bold)}
    for side, step in tried:
        start = sides[side]
        inside = sheet.x.start < start and start + width_of(said, bold=bold) < sheet.drawing.width
        if inside and sheet.words(start, y + step * (TYPE + 2), said, bold=bold):
            return True
    return False


def loads(sheet: Sheet, view: View, line: Sequence[Point]) -> None:
    """Each load as a piece of the paver's line; its number beside it, where there is room."""
    lane, lift, *_ = sheet.laid[0].piece.strip
    last = -LABEL_APART
    for piece in view.pieces:
        ends = [
            across(line, sheet.x(at_m)) for at_m in (piece.to_m, (piece.from_m + piece.to_m) / 2)
        ]
        if (piece.lane, piece.lift) != (lane, lift) or ends[0] is None or ends[1] is None:
            continue
        x, y = sheet.x(piece.to_m), ends[0]
        sheet.drawing.line(x, y, x + 5, y - 5, width=1)
        if ends[1] - last >= LABEL_APART:
            at = sheet.x((piece.from_m + piece.to_m) / 2), ends[1]
            if sheet.words(at[0] + 9, at[1] - 4, piece.part.load.label):
                last = ends[1]


def rollers(sheet: Sheet, view: View) -> set[bool]:
    """Where a roller was seen rolling, and when: a box where that makes density, else a bar.

    Returns which of the two there are.
    """
    found = set()
    for fact in _on_the_sheet(sheet, view, "roller"):
        plan = view.facts.plan_at(fact.at)
        ends = [metres(plan, fact, name) for name in ("from", "to")]
        if ends[0] is None or ends[1] is None:
            continue
        left, right = sorted((sheet.x(ends[0]), sheet.x(ends[1])))
        phase = next((one for one in plan.phases if one.id == fact.text("phase")), None)
        dense = phase.makes_density if phase else fact.text("phase") != "finish"
        names = [plan.rollers[one].name for one in (fact.text("roller"),) if one in plan.rollers]
        said = " · ".join(
            (clock(view.facts.local(fact.at)), *names, *([phase.name] if phase else []))
        )
        y, wide = sheet.down(fact.at), max(4.0, right - left)
        sheet.drawing.rolled(left, y, wide, fact.id, said, dense=dense)
        found.add(dense)
    return found


def marks(sheet: Sheet, view: View, language: str) -> set[str]:
    """Readings, densities, samples, defects where they were taken; the states that are drawn."""
    states = _states(view)
    found = [one for kind in FIELDS for one in _seen(sheet, view, kind, states, language)]
    for one in sorted(found, key=lambda one: ORDER.index(one.state)):
        words = f"{clock(view.facts.local(one.fact.at))} {one.said}"
        if one.small:
            sheet.drawing.pinhole(*one.at, one.fact.id, words)
        else:
            sheet.drawing.mark(one.state, *one.at, one.fact.id, words)
            sheet.apart.take(one.at[0] - 4, one.at[1] - 4, 8, 8)
    for one in sorted(found, key=lambda one: -ORDER.index(one.state) // 2):
        if not one.small:
            beside(sheet, one.at, one.said, 7.0)
    return {"depth" if one.small else one.state for one in found}


def _on_the_sheet(sheet: Sheet, view: View, kind: str) -> Iterator[Fact]:
    """What was seen of a kind in this lane and lift, up to now and within the clock's side."""
    lane, lift, *_ = sheet.laid[0].piece.strip
    for fact in view.facts.of(kind):
        here = fact.place("lane") == lane and fact.place("lift") in ("", lift)
        late = fact.at > view.now or sheet.down(fact.at) > sheet.foot
        if (here or fact.text("load")) and fact.at >= sheet.begun and not late:
            yield fact


def _seen(
    sheet: Sheet, view: View, kind: str, states: Mapping[str, str], language: str
) -> Iterator[Seen]:
    for fact in _on_the_sheet(sheet, view, kind):
        at_m = _where(sheet, view, fact)
        if at_m is None or not sheet.x.holds(at_m) or fact.text("stage") in OF_NO_MAT:
            continue
        said = next((fact.text(name) for name in FIELDS[kind] if fact.text(name)), "")
        if kind in ("sample", "core"):
            said = f"{say(f'kind.{kind}', language)} {said}".rstrip()
        else:
            said = written(said)
        state = states.get(fact.id, "unknown")
        yield Seen(fact, (sheet.x(at_m), sheet.down(fact.at)), state, said[:18])


def _where(sheet: Sheet, view: View, fact: Fact) -> float | None:
    """The station of an observation [m]; of a sample out of a truck, the middle of its load."""
    if fact.text("load"):
        lane, lift, *_ = sheet.laid[0].piece.strip
        for piece in view.pieces:
            if (piece.lane, piece.lift) == (lane, lift) and fact.text(
                "load"
            ) in piece.part.load.ids:
                return (piece.from_m + piece.to_m) / 2
        return None
    ends = (metres(view.facts.plan_at(fact.at), fact, name) for name in ("station", "to", "from"))
    return next((end for end in ends if end is not None), None)


def _states(view: View) -> dict[str, str]:
    """The state of each entry: by its limits, by the forecast, by what is said of it."""
    found: dict[str, str] = {}
    for kind in MEASURES:
        for reading in view.readings(kind):
            if reading.judgements:
                found[reading.fact.id] = "fine"
    for one in view.checked.readings:
        if one.state == "agrees":
            found.setdefault(one.fact.id, "fine")
    for grade in reversed(GRADES[:2]):
        for call in view.calls:
            if call.grade == grade:
                found |= dict.fromkeys(call.entries, grade)
    return found
