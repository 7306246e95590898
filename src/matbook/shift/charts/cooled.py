"""The mat in the picture of a shift: its shades, the ends of rolling's phases, the tender zone."""

from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import Final

from matbook.plan.model import Mix, Phase, Plan
from matbook.shift.charts.sheet import Point, Sheet, above, across
from matbook.shift.mats import Mat
from matbook.shift.view import View

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
STEPS_K: Final = (45.0, 35.0, 25.0, 15.0, 7.5, 0.0, -10.0, -20.0)
"""Each shade goes down to so much above the end of density rolling."""
DASHES: Final = ("2 2", "6 2", "6 2 1.5 2", "9 3", "1 4")
"""The line of each phase of rolling, in the plan's order: they differ without colour."""
HATCH: Final = 5.0
UNKNOWN: Final = 0.6
"""Width of the strokes where there is no forecast."""
UNKNOWNS: Final = 7
THICK: Final = 2.0
"""Width of the line by which rolling makes no more density."""
THIN: Final = 0.5
"""Width of the lines of its early and late ends."""


def phases_of(plan: Plan, mix: str) -> list[tuple[Phase, str]]:
    """The phases of rolling that a mix goes through, each with the dash of its line."""
    mine = [one for one in plan.phases if one.mix in ("", mix)]
    return [(one, DASHES[n % len(DASHES)]) for n, one in enumerate(mine)]


def tender_zone(mix: Mix) -> tuple[float, float] | None:
    """The surface temperatures between which a mix is tender, the hotter first [°C]."""
    if mix.tender_from_c is None or mix.tender_to_c is None:
        return None
    return max(mix.tender_from_c, mix.tender_to_c), min(mix.tender_from_c, mix.tender_to_c)


def shades(sheet: Sheet) -> None:
    """The mat, shaded from hot to cold: each shade from one temperature to the next."""
    for laid in sheet.runs:
        before = sheet.edge(laid, [0.0] * len(laid))
        for step, shade in zip(STEPS_K, SHADES, strict=True):
            after = sheet.edge(laid, [m.reaches(m.family.ends_c + step) for m in laid])
            sheet.drawing.area(_down_to(sheet.foot, [*before, *reversed(after)]), shade)
            before = after


def unknown(sheet: Sheet) -> None:
    """Where no temperature was taken there is no forecast: thin strokes across the paver's way."""
    for before, after in pairwise(sheet.runs):
        (near, begun), (far, ended) = before[-1].path[-1], after[0].path[0]
        left, right, top = sheet.x(near), sheet.x(far), sheet.down(ended)
        wide = right - left
        for n in range(1, UNKNOWNS + 1):
            y = max(top, sheet.down(begun)) + n * HATCH
            if y + wide < sheet.foot and wide > 1.0:
                sheet.drawing.line(left, y + wide, right, y, width=UNKNOWN)


def _down_to(foot: float, shape: Sequence[Point]) -> list[Point]:
    return [(x, min(foot, y)) for x, y in shape]


def tender(sheet: Sheet, view: View) -> bool:
    """Bars across the mat while its surface is in the tender zone; whether there are any."""
    found = False
    for laid in sheet.runs:
        zone = tender_zone(view.plan.mixes[laid[0].piece.mix])
        if zone is None:
            continue
        ends = [sheet.edge(laid, [m.reaches(temp, "surface") for m in laid]) for temp in zone]
        left, right = sorted((ends[0][0][0], ends[0][-1][0]))
        for n in range(int(left // HATCH) + 1, int(right // HATCH) + 1):
            top, bottom = (across(line, n * HATCH) for line in ends)
            if top is not None and bottom is not None and top + 1.0 < min(bottom, sheet.foot):
                end = min(bottom, sheet.foot)
                sheet.drawing.line(n * HATCH, top, n * HATCH, end, width=0.9)
                found = True
    return found


def phase_lines(sheet: Sheet, view: View) -> None:
    """Where each phase of rolling begins and ends by the plan, as a thin line with its dash.

    Where density rolling ends there is the deadline itself, and no line beside it.
    """
    weights = view.checked.weights
    for laid in sheet.runs:
        for phase, dash in phases_of(view.plan, laid[0].piece.mix):
            for temp in (phase.starts_c, phase.ends_c):
                if temp is None or temp == laid[0].family.ends_c:
                    continue
                _lines(sheet, laid, _at(temp, weights), dash)


Late = Callable[[Mat], float | None]


def _at(temp_c: float, weights: tuple[float, ...] | None) -> Late:
    def late(mat: Mat) -> float | None:
        found = mat.until(temp_c, weights)
        return None if found is None or found.late == 0.0 else found.middle

    return late


def _lines(sheet: Sheet, laid: Sequence[Mat], late: Late, dash: str) -> None:
    """A line along the pieces that have it, broken where one has not, cut at the foot."""
    line: list[Point] = []
    for mat in laid:
        after = late(mat)
        if after is None:
            sheet.drawing.path(above(line, sheet.foot), width=0.9, dash=dash)
            line = []
            continue
        line += sheet.edge([mat], [after])
    sheet.drawing.path(above(line, sheet.foot), width=0.9, dash=dash)


def deadline(sheet: Sheet, view: View) -> list[list[Point]]:
    """When rolling makes no more density: the middle as a line, early and late around it."""
    lines = []
    weights = view.checked.weights
    for run in sheet.runs:
        found = [(mat, left) for mat in run if (left := mat.left(weights)) is not None]
        mats = [mat for mat, _ in found]
        early, middle, late = (
            sheet.edge(mats, [getattr(left, end) for _, left in found])
            for end in ("early", "middle", "late")
        )
        if found:
            shape = _down_to(sheet.foot, [*early, *reversed(late)])
            sheet.drawing.area(shape, "white", opacity=0.6)
        for edge in (early, late):
            sheet.drawing.path(above(edge, sheet.foot), width=THIN)
        lines.append(above(middle, sheet.foot))
        sheet.drawing.path(lines[-1], width=THICK)
    return lines
