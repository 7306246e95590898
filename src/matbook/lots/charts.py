"""Charts of pay schedules: what a lot is paid by what was measured, and what lots may expect."""

from collections.abc import Sequence
from math import isfinite
from typing import Final

from matbook.engine.risk import RiskPoint
from matbook.engine.schedules import Bands, Least, PaySchedule
from matbook.shift.charts.drawing import BLUE, VERMILION, ticks
from matbook.shift.charts.frame import BOTTOM, WIDTH, Chart, Frame, frame
from matbook.shift.display import fixed
from matbook.words import say

STEPS: Final = 300
"""Points of a curve: steps of a table stand upright at this width."""
HEIGHT: Final = 260.0
ABOVE: Final = 0.02
"""Room above the highest factor, as a factor."""
FULL: Final = 1.0
DASHED: Final = "4 3"
BAND: Final = 0.18
"""How strongly the range that most lots fall into is filled."""


def schedule_chart(
    schedule: PaySchedule, n: int, width: float = WIDTH, language: str = "en"
) -> Chart:
    """The curve of a schedule for lots of so many results; where it rejects, a bar says so."""
    low, high = span(schedule, n)
    marks = [low + (high - low) * k / STEPS for k in range(STEPS + 1)]
    places = schedule.places if schedule.convention == "exact" else 0  # a table has whole percents
    if places is not None:
        marks = sorted({round(x, places) for x in marks})
    found = [(x, *schedule.curve_at(x, n)) for x in marks]
    paid = [factor for _, factor, rejected in found if not rejected] or [FULL]
    drawn = _axes(
        (low, high),
        min(*paid, FULL),
        max(*paid, FULL),
        (
            say("schedule.chart.y", language),
            say(f"measure.{schedule.measure}", language),
        ),
        width,
    )
    run: list[tuple[float, float]] = []
    out: list[list[float]] = []
    for x, factor, rejected in found:
        if rejected:
            if run or not out:
                out.append([])
            out[-1].append(drawn.x(x))
            drawn.drawing.path(run)
            run = []
            continue
        if run:
            run.append((drawn.x(x), run[-1][1]))  # a step stands upright
        run.append((drawn.x(x), drawn.y(factor)))
    drawn.drawing.path(run)
    for one in out:
        _rejected(drawn, one[0], one[-1], language)
    words = {
        "title": schedule.title,
        "n": n,
        "low": fixed(min(paid), 3),
        "high": fixed(max(paid), 3),
    }
    alt = say("schedule.chart.alt", language, **words)
    return Chart("schedule", drawn.drawing.svg(alt), alt, alt)


def span(schedule: PaySchedule, n: int) -> tuple[float, float]:
    """From where to where a schedule's curve says something new for so many results."""
    curve = schedule.groups[schedule.group_for(n)].curve
    if isinstance(curve, Bands):
        held = [end for band in curve.bands for end in (band.start, band.end) if isfinite(end)]
        low, high = min(held), max(held)
        margin = (high - low) * 0.1
        starts, ends = (band.start for band in curve.bands), (band.end for band in curve.bands)
        return max(low - margin, min(starts)), min(high + margin, max(ends))
    if isinstance(curve, Least):
        return max(0.0, curve.rows[-1][1] - 10.0), 100.0
    return (40.0, 100.0)


def _axes(
    x_span: tuple[float, float],
    least: float,
    most: float,
    titles: tuple[str, str],
    width: float,
) -> Frame:
    """Axes with the line of full pay."""
    low, high = x_span
    at = ticks(low, high, max(3, round(width / 110)))
    margin = max(ABOVE, (most - least) * 0.12)
    drawn = frame(
        x_span, (least - margin, most + margin), lambda x: f"{x:g}", at, *titles, HEIGHT, width
    )
    drawn.drawing.line(
        drawn.x(low), drawn.y(FULL), drawn.x(high), drawn.y(FULL), width=0.9, dash=DASHED
    )
    return drawn


def _rejected(drawn: Frame, left: float, right: float, language: str) -> None:
    """A bar along the foot where work is rejected, with the word on it."""
    foot = drawn.drawing.height - BOTTOM
    drawn.drawing.bar(left, foot - 7, right - left, 7, VERMILION)
    drawn.label((left + right) / 2, foot - 12, say("schedule.rejected", language))


def risk_charts(
    points: Sequence[RiskPoint],
    x_span: tuple[float, float],
    titles: tuple[str, str],
    width: float = WIDTH,
    language: str = "en",
) -> tuple[Chart, Chart]:
    """Expected pay over the true mean of the work; and how many lots of 100 get what.

    Args:
        points: As far as they are worked out, by their mean.
        x_span: From where to where they will run.
        titles: Of the mean with its unit; of the schedule.
        width: Of the drawing.
        language: Of the words.
    """
    words = {"title": titles[1], "count": len(points)}
    alts = [say(f"risk.chart.{name}.alt", language, **words) for name in ("pay", "chances")]
    pay = _expected(points, x_span, titles[0], width, language)
    chances = _chances(points, x_span, titles[0], width, language)
    return (
        Chart("pay", pay.drawing.svg(alts[0]), alts[0], say("risk.chart.pay", language)),
        Chart(
            "chances", chances.drawing.svg(alts[1]), alts[1], say("risk.chart.chances", language)
        ),
    )


def _expected(
    points: Sequence[RiskPoint],
    x_span: tuple[float, float],
    x_title: str,
    width: float,
    language: str,
) -> Frame:
    """The mean factor, with where eight in ten lots fall."""
    ends = [end for one in points for end in (one.low_factor, one.high_factor)]
    titles = say("schedule.chart.y", language), x_title
    drawn = _axes(x_span, min([*ends, FULL - 0.1]), max([*ends, FULL]), titles, width)
    upper = [(drawn.x(one.mean), drawn.y(one.high_factor)) for one in points]
    lower = [(drawn.x(one.mean), drawn.y(one.low_factor)) for one in points]
    if len(points) > 1:
        drawn.drawing.area([*upper, *reversed(lower)], BLUE, opacity=BAND)
    drawn.drawing.path([(drawn.x(one.mean), drawn.y(one.expected)) for one in points], width=2.4)
    return drawn


def _chances(
    points: Sequence[RiskPoint],
    x_span: tuple[float, float],
    x_title: str,
    width: float,
    language: str,
) -> Frame:
    """The operating characteristic: lots of 100 with full pay, and lots rejected."""
    low, high = x_span
    at = ticks(low, high, max(3, round(width / 110)))
    y_title = say("risk.chart.chances.y", language)
    drawn = frame(x_span, (0.0, 100.0), lambda x: f"{x:g}", at, y_title, x_title, HEIGHT, width)
    full = [(drawn.x(one.mean), drawn.y(100.0 * one.full)) for one in points]
    rejected = [(drawn.x(one.mean), drawn.y(100.0 * one.rejected)) for one in points]
    drawn.drawing.path(full, width=2.4)
    drawn.drawing.path(rejected, width=1.6, dash=DASHED)
    return drawn
