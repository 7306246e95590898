"""What was seen during a shift, in its picture: the paver, its loads and stops, rollers, readings.

A mark's shape is the state of what was seen, as everywhere; its words, with their unit, say what
it is. Words stand only where there is room, those that need a person first.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from itertools import pairwise
from typing import Final

from matbook.shift.calls import GRADES
from matbook.shift.charts.sheet import TYPE, Point, Sheet, across, width_of
from matbook.shift.display import clock, minutes, written
from matbook.shift.facts import Fact
from matbook.shift.measured import MEASURES
from matbook.shift.places import metres
from matbook.shift.view import View
from matbook.words import say

PAVER: Final = 2.5
"""Width of the paver's line."""
LATE: Final = timedelta(minutes=1)
"""Times are noted to the minute: rolling so long after the likely end is late."""
MARK: Final = 9.0
"""Marks are drawn at least so far apart."""
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
    "draw": ("number",),
    "defect": ("sign",),
    "loose-depth": ("depth",),
}
"""Kinds that the picture marks, those first whose words come first; and what is written."""
FORM: Final[Mapping[str, str]] = {
    "density": "round",
    "temperature": "square",
    "sample": "tall",
    "core": "tall",
    "draw": "peg",
    "defect": "house",
    "loose-depth": "square",
    "roller": "square",
}
"""The shape of each kind while nobody is needed."""
WITHOUT_KIND: Final = ("sample", "core", "draw", "roller")
"""Kinds whose words say by themselves what they are."""
ORDER: Final = ("fine", "unknown", "watch", "act")
"""Drawn in this order, so that the gravest lies on top."""


@dataclass(frozen=True)
class Seen:
    """One observation at its place in the drawing."""

    fact: Fact
    at: Point
    state: str
    said: str
    counts: bool
    """Whether it is a reading that checks the forecast."""

    @property
    def small(self) -> bool:
        """A depth check with nothing to say: there are many, so each is a dot on the line."""
        return self.fact.entry.kind == "loose-depth" and self.state in ORDER[:2]


def paver(sheet: Sheet) -> list[Point]:
    """The paver's line: its slope is its speed, a vertical piece is a stop. Returns the line."""
    line = sheet.edge(sheet.laid, [0.0] * len(sheet.laid))
    sheet.drawing.path(line, width=PAVER)
    keep_clear(sheet, line)
    return line


def keep_clear(sheet: Sheet, line: Sequence[Point]) -> None:
    """No words on a line."""
    for (x1, y1), (x2, y2) in pairwise(line):
        steps = max(1, round(max(abs(x2 - x1), abs(y2 - y1)) / EVERY))
        for n in range(steps):
            x, y = x1 + (x2 - x1) * n / steps, y1 + (y2 - y1) * n / steps
            sheet.apart.take(x - EVERY / 2, y - EVERY / 2, EVERY, EVERY)


NEAR: Final = (("right", 0), ("left", 0), ("right", -1), ("left", 1), ("right", 2))
FURTHER: Final = (
    *(("right", step) for step in (0, -1, 1, -2, -3)),
    *(("left", step) for step in (4, 5, 6, 3, 7, 2)),
)
LOUD: Final = (*NEAR, ("right", -2), ("left", 2), ("right", -3), ("left", 3))
"""Where words stand beside their place: on which side, and how many lines lower."""


def beside(
    sheet: Sheet,
    at: Point,
    said: str,
    away: float,
    tried: Sequence[tuple[str, int]] = NEAR,
    *,
    bold: bool = False,
) -> Point | None:
    """Words beside a place, where they run into nothing: where; None where there is no room."""
    x, y = at[0], at[1] + 4
    sides = {"right": x + away, "left": x - away - width_of(said, bold=bold)}
    for side, step in tried:
        start = sides[side]
        inside = sheet.x.start < start and start + width_of(said, bold=bold) < sheet.drawing.width
        if inside and sheet.words(start, y + step * (TYPE + 2), said, bold=bold):
            return start, y + step * (TYPE + 2)
    return None


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


def rollers(sheet: Sheet, view: View, language: str) -> tuple[set[bool], list[Seen]]:
    """Where a roller was seen rolling, and when: a box where that makes density, else a bar.

    Returns which of the two there are, and where rolling was late, by how much.
    """
    found, behind = set(), []
    dense = {fact.id for fact in rolled_for_density(sheet, view)}
    for fact in on_the_sheet(sheet, view, "roller"):
        stretch = _stretch(view, fact)
        if stretch is None:
            continue
        plan = view.facts.plan_at(fact.at)
        left, right = sorted(sheet.x(end) for end in stretch)
        phases = [one.name for one in plan.phases if one.id == fact.text("phase")]
        names = [plan.rollers[one].name for one in (fact.text("roller"),) if one in plan.rollers]
        said = " · ".join((clock(view.facts.local(fact.at)), *names, *phases))
        y, wide = sheet.down(fact.at), max(4.0, right - left)
        sheet.drawing.rolled(left, y, wide, fact.id, said, dense=fact.id in dense)
        sheet.apart.take(left, y - 3, wide, 6)
        found.add(fact.id in dense)
        late = lateness(sheet, view, fact) if fact.id in dense else None
        if late:
            words = say("picture.late", language, minutes=minutes(late))
            behind.append(Seen(fact, (left, y), "watch", words, False))
    return found, behind


def rolled_for_density(sheet: Sheet, view: View) -> Iterator[Fact]:
    """The notes of rolling in a phase that makes density."""
    for fact in on_the_sheet(sheet, view, "roller"):
        phases = view.facts.plan_at(fact.at).phases
        phase = next((one for one in phases if one.id == fact.text("phase")), None)
        dense = phase.makes_density if phase else fact.text("phase") != "finish"
        if dense and _stretch(view, fact) is not None:
            yield fact


def _stretch(view: View, fact: Fact) -> tuple[float, float] | None:
    """From where to where it was rolling [m]."""
    plan = view.facts.plan_at(fact.at)
    start, end = (metres(plan, fact, name) for name in ("from", "to"))
    return None if start is None or end is None else (start, end)


def lateness(sheet: Sheet, view: View, fact: Fact) -> timedelta | None:
    """How long after the likely end of density rolling it was rolling, where that is longest.

    Nothing where it was in time; None where nothing is forecast there.
    """
    found = []
    low, high = sorted(_stretch(view, fact) or (0.0, 0.0))
    for mat in sheet.laid:
        first, last = sorted((mat.piece.from_m, mat.piece.to_m))
        left = mat.left(view.checked.weights)
        if left is None or last < low or first > high:
            continue
        ends = (mat.at_station(max(first, low)), mat.at_station(min(last, high)))
        found.append(fact.at - min(ends) - timedelta(seconds=left.middle))
    if not found:
        return None
    return max(found) if max(found) >= LATE else timedelta(0)


def marks(sheet: Sheet, view: View, late: Sequence[Seen], language: str) -> list[Seen]:
    """Readings, densities, samples, defects, late rolling, each at its place. Returns them."""
    states = _states(view)
    found = [one for kind in FIELDS for one in _seen(sheet, view, kind, states, language)]
    found += late
    placed: list[Seen] = []
    for one in sorted(found, key=lambda one: ORDER.index(one.state)):
        words = f"{clock(view.facts.local(one.fact.at))} {one.said}"
        if one.small:
            sheet.drawing.pinhole(*one.at, one.fact.id, words)
            continue
        here = _moved(sheet, one, placed)
        placed.append(here)
        if here.at != one.at:
            sheet.drawing.line(*one.at, *here.at, width=0.8)
        x, y = here.at
        if one.counts:
            sheet.drawing.box(x - 5.5, y - 5.5, 11, 11)
        sheet.drawing.mark(one.state, x, y, one.fact.id, words, form=FORM[one.fact.entry.kind])
        sheet.apart.take(x - 4, y - 4, 8, 8)
    _written(sheet, sorted(placed, key=lambda one: -ORDER.index(one.state) // 2), language)
    return found


def _moved(sheet: Sheet, one: Seen, placed: Sequence[Seen]) -> Seen:
    """Beside its place, where another mark lies there: densities on the side of the mat."""
    x, y = one.at
    side = -1.5 if one.fact.entry.kind == "density" else 1.5
    for aside in (0.0, 1.0, -1.0, 2.0, -2.0):
        at = x + aside * side * MARK, y
        taken = any(
            abs(at[0] - other.at[0]) < MARK and abs(y - other.at[1]) < MARK for other in placed
        )
        if not taken and sheet.x.start <= at[0] <= sheet.x.end:
            return replace(one, at=at)
    return one


def _written(sheet: Sheet, placed: Sequence[Seen], language: str) -> None:
    """The value beside each mark; what it is, at the first of a kind and where one is needed."""
    named: set[str] = set()
    for one in placed:
        kind, loud = one.fact.entry.kind, one.state in ORDER[2:]
        whole = f"{say(f'kind.{kind}', language)} {one.said}"
        around = LOUD if loud else NEAR
        plain = kind in WITHOUT_KIND or (kind in named and not loud)
        if not plain and beside(sheet, one.at, whole, 7.0, around):
            named.add(kind)
        else:
            beside(sheet, one.at, one.said, 7.0, around)


def on_the_sheet(sheet: Sheet, view: View, kind: str) -> Iterator[Fact]:
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
    checking = {one.fact.id for one in view.checked.readings if one.state == "agrees"}
    for fact in on_the_sheet(sheet, view, kind):
        at_m = _where(sheet, view, fact)
        if at_m is None or not sheet.x.holds(at_m) or fact.text("stage") in OF_NO_MAT:
            continue
        said = next((fact.text(name) for name in FIELDS[kind] if fact.text(name)), "")
        if kind == "draw":
            said = say("picture.place", language, number=said)
        elif kind in ("sample", "core"):
            said = f"{say(f'kind.{kind}', language)} {said}".rstrip()
        else:
            said = written(said)
        state = states.get(fact.id, "unknown")
        at = sheet.x(at_m), sheet.down(fact.at)
        yield Seen(fact, at, state, said[:18], fact.id in checking)


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
                beyond = reading.beyond or found.get(reading.fact.id) == "watch"
                found[reading.fact.id] = "watch" if beyond else "fine"
    for kind in ("core", "density", "sample"):  # what was tested at a drawn place makes it fine
        found |= {fact.text("draw"): "fine" for fact in view.facts.of(kind) if fact.text("draw")}
    for one in view.checked.readings:
        if one.state == "agrees":
            found.setdefault(one.fact.id, "fine")
    for grade in reversed(GRADES[:2]):
        for call in view.calls_of_entries:
            if call.grade == grade:
                found |= dict.fromkeys(call.entries, grade)
    return found
