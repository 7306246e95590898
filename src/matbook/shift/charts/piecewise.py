"""The picture of a shift as a table, piece by piece, for a reader who can't see it."""

from collections.abc import Iterator
from datetime import timedelta

from matbook.engine.forecasting import Range
from matbook.shift.charts.cooled import phases_of
from matbook.shift.display import Display, clock
from matbook.shift.mats import Mat
from matbook.shift.places import label
from matbook.shift.view import View
from matbook.words import say


def columns(view: View, lane: str, lift: str, language: str = "en") -> list[str]:
    """The heads of the table's columns: the plan's phases of rolling among them."""
    names = ("station", "load", "laid", "temp", "mean", "surface")
    phases = _phases(view, lane, lift)
    return [
        *(say(f"picture.{name}", language) for name in names),
        *(phase for phase, _, _ in phases),
        *(say(f"picture.{name}", language) for name in ("until", "range")),
    ]


def table(view: View, lane: str, lift: str, language: str = "en") -> list[tuple[str, ...]]:
    """A row for each piece of mat: where, which load, laid when and how hot; how hot it is now.

    Then when each phase of rolling begins and ends by its temperature at the piece's beginning,
    and when rolling makes no more density there, with its range.
    """
    return [tuple(_row(view, mat, language)) for mat in _laid(view, lane, lift)]


def _laid(view: View, lane: str, lift: str) -> list[Mat]:
    return [
        m for m in view.mats if (m.lane, m.piece.lift) == (lane, lift) and m.from_at <= view.now
    ]


def _phases(view: View, lane: str, lift: str) -> list[tuple[str, float | None, float]]:
    laid = _laid(view, lane, lift)
    if not laid:
        return []
    mat = laid[-1]
    return [
        (phase.name, phase.starts_c, phase.ends_c)
        for phase, _ in phases_of(view.plan, mat.piece.mix)
    ]


def _row(view: View, mat: Mat, language: str) -> Iterator[str]:
    display, weights = Display(view.plan.job.units), view.checked.weights
    left = mat.left(weights)
    yield label(view.plan, mat.lane, mat.piece.from_m)
    yield mat.piece.part.load.label
    yield clock(mat.from_at)
    yield display.show("temperature", mat.laid_c)
    since = (view.now - mat.from_at).total_seconds()
    if left is not None and since > left.late:
        ends = display.show("temperature", mat.family.ends_c)
        yield from (say("picture.under", language, temp=ends), "")
    else:
        found = mat.temps(since, weights)
        yield from ((range_of(display, one, language) for one in found) if found else ("", ""))
    for _, starts_c, ends_c in _phases(view, mat.lane, mat.piece.lift):
        yield _span(mat, starts_c, ends_c, weights)
    if left is None:
        yield from ("", "")
        return
    middle, early, late = (_after(mat, end) for end in (left.middle, left.early, left.late))
    yield from (middle, f"{early}–{late}")


def range_of(display: Display, found: Range, language: str) -> str:
    """A temperature in the middle, with its early and late ends: 104 (99 to 109) °C."""
    low, middle, high = (
        display.number("temperature", end) for end in (found.early, found.middle, found.late)
    )
    unit = display.unit("temperature")
    return say("picture.degrees", language, low=low, middle=middle, high=high, unit=unit)


def _span(
    mat: Mat, starts_c: float | None, ends_c: float, weights: tuple[float, ...] | None
) -> str:
    """From when to when the mat is as hot as a phase wants it; a dash while that isn't known."""
    begins = None if starts_c is None else mat.until(starts_c, weights)
    ends = mat.until(ends_c, weights)
    start = _after(mat, begins.middle) if begins else ""
    return f"{start}–{_after(mat, ends.middle)}" if ends else f"{start}–"


def _after(mat: Mat, seconds: float) -> str:
    return clock(mat.from_at + timedelta(seconds=seconds))
