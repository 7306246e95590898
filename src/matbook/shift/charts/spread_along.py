"""Spread along the road: every load as a segment, the last five as a line, the planned spread."""

from collections.abc import Callable

from matbook.engine.units import convert
from matbook.plan.judge import limits_for
from matbook.shift.charts.drawing import ticks
from matbook.shift.charts.frame import Chart, Frame, frame, padded
from matbook.shift.display import MEASURES, Display, sign
from matbook.shift.view import View
from matbook.shift.yields import Course, Row
from matbook.words import say

FOOT_M = 0.3048

Spread = Callable[[float], float]
"""From kg/m2 to the unit of the chart."""


def spread_along(view: View, course: Course, language: str = "en") -> Chart | None:
    """The chart for one lane and lift; None where nothing was laid, or it goes by station."""
    lane, lift = course
    rows = [row for row in view.rows if (row.piece.lane, row.piece.lift) == course]
    target = view.plan.lifts[lift].spread_kg_m2
    if not rows or target is None:
        return None
    unit = MEASURES["spread"][1][view.plan.job.units][0]

    def spread(value: float) -> float:
        return convert(value, "kg/m2", unit)

    shares = _shares(view, course)
    values = [spread(v) for row in rows for v in _values(row)]
    values += [spread(_planned(row) * share) for row in rows for share in (1.0, *shares)]
    stations = [at for row in rows for at in (row.piece.from_m, row.piece.to_m)]
    stationing = view.plan.road_of(lane).stationing
    foot = view.plan.job.units == "us"
    step = FOOT_M if foot else 1.0
    places = [at * step for at in ticks(min(stations) / step, max(stations) / step, 9)]
    span = (min(stations), max(stations))
    if rows[0].piece.to_m < rows[0].piece.from_m:
        span = span[::-1]
    drawn = frame(
        span,
        padded(values),
        lambda at: stationing.format(at, places=0),
        places,
        say("chart.spread.y", language, unit=sign(unit)),
        say("chart.station.x", language),
    )
    for row in rows:
        _plan_lines(drawn, row, spread, shares)
        _segment(drawn, row, spread(row.own.rate.value))
    _running(drawn, rows, spread)
    display = Display(view.plan.job.units)
    words = {
        "lane": view.plan.lanes[lane].name,
        "lift": view.plan.lifts[lift].name,
        "count": len(rows),
        "low": display.show("spread", min(row.own.rate.value for row in rows)),
        "high": display.show("spread", max(row.own.rate.value for row in rows)),
        "target": display.show("spread", target),
    }
    return Chart(
        f"spread-{lane}-{lift}",
        drawn.drawing.svg(),
        say("chart.spread.alt", language, **words),
        say("chart.spread.caption", language, **words),
    )


def _planned(row: Row) -> float:
    """The spread that was planned where a piece lies [kg/m2]."""
    return row.own.total.planned_kg / row.own.total.area_m2


def _shares(view: View, course: Course) -> list[float]:
    """The limits on the last five, as shares of the planned spread."""
    lane, lift = course
    limits = limits_for(view.plan, "yield.last", lift=lift, lane=lane)
    return [1 + way * float(limit.number) / 100 for limit in limits for way in (-1, 1)]


def _values(row: Row) -> list[float]:
    return [row.own.rate.value, *([row.last.rate.value] if row.last else [])]


def _plan_lines(drawn: Frame, row: Row, spread: Spread, shares: list[float]) -> None:
    """The planned spread and its limits over one piece: they step where the plan was changed."""
    left, right = drawn.x(row.piece.from_m), drawn.x(row.piece.to_m)
    for share in (1.0, *shares):
        y = drawn.y(spread(_planned(row) * share))
        solid = share == 1.0
        drawn.drawing.line(
            left, y, right, y, width=1.4 if solid else 0.8, dash="" if solid else "5 3"
        )


def _segment(drawn: Frame, row: Row, value: float) -> None:
    """One load from station to station."""
    left, right = sorted((drawn.x(row.piece.from_m), drawn.x(row.piece.to_m)))
    drawn.drawing.bar(left + 0.4, drawn.y(value) - 2, right - left - 0.8, 4)


def _running(drawn: Frame, rows: list[Row], spread: Spread) -> None:
    """The last five as a line, broken where its window begins again; a diamond beyond a limit."""
    run: list[tuple[float, float]] = []
    before: Row | None = None
    for row in rows:
        if row.last is None or (before is not None and before.piece.run != row.piece.run):
            drawn.drawing.path(run, width=2.2)
            run = []
        if row.last is not None:
            point = drawn.x(row.piece.to_m), drawn.y(spread(row.last.rate.value))
            run.append(point)
            if row.last.beyond:
                drawn.drawing.diamond(*point)
        before = row
    drawn.drawing.path(run, width=2.2)
