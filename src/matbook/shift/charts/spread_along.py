"""Spread along the road: every load as a segment, the last five as a line, the planned spread."""

from matbook.engine.units import convert
from matbook.plan.judge import limits_for
from matbook.shift.charts.drawing import BLUE, VERMILION, ticks
from matbook.shift.charts.frame import Chart, Frame, frame, padded
from matbook.shift.display import MEASURES, Display, sign
from matbook.shift.view import View
from matbook.shift.yields import Course, Row
from matbook.words import say

FOOT_M = 0.3048


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

    band = _band(view, course, target)
    values = [spread(v) for row in rows for v in _values(row)] + [spread(v) for v in band]
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
    _plan_lines(drawn, spread(target), [spread(v) for v in band])
    for row in rows:
        _segment(drawn, row, spread(row.own.rate.value), band=[spread(v) for v in band])
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


def _band(view: View, course: Course, target: float) -> list[float]:
    """The planned spread, and the limits on the last five about it."""
    lane, lift = course
    found = [target]
    for limit in limits_for(view.plan, "yield.last", lift=lift, lane=lane):
        share = float(limit.number) / 100
        found += [target * (1 - share), target * (1 + share)]
    return found


def _values(row: Row) -> list[float]:
    return [row.own.rate.value, *([row.last.rate.value] if row.last else [])]


def _plan_lines(drawn: Frame, target: float, band: list[float]) -> None:
    left, right = drawn.x.start, drawn.x.end
    for value in band:
        solid = value == target
        drawn.drawing.line(
            left,
            drawn.y(value),
            right,
            drawn.y(value),
            width=1.4 if solid else 0.8,
            dash="" if solid else "5 3",
        )


def _segment(drawn: Frame, row: Row, value: float, band: list[float]) -> None:
    """One load from station to station; vermilion and taller beyond the band."""
    left, right = sorted((drawn.x(row.piece.from_m), drawn.x(row.piece.to_m)))
    beyond = len(band) > 1 and not min(band) <= value <= max(band)
    height = 6.0 if beyond else 4.0
    fill = VERMILION if beyond else BLUE
    drawn.drawing.bar(left + 0.4, drawn.y(value) - height / 2, right - left - 0.8, height, fill)
    if beyond:
        drawn.label((left + right) / 2, drawn.y(value) - 6, row.piece.part.load.label)


def _running(drawn: Frame, rows: list[Row], spread: object) -> None:
    assert callable(spread)
    run: list[tuple[float, float]] = []
    before: Row | None = None
    for row in rows:
        if row.last is None or (before is not None and before.piece.run != row.piece.run):
            drawn.drawing.path(run, width=2.2)
            run = []
        if row.last is not None:
            run.append((drawn.x(row.piece.to_m), drawn.y(spread(row.last.rate.value))))
        before = row
    drawn.drawing.path(run, width=2.2)
