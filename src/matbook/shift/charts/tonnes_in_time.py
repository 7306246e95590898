"""Mass taken against time: how the delivery went, with every stop of a paver under it."""

from datetime import datetime, timedelta
from math import fsum

from matbook.engine.units import convert
from matbook.shift.charts.drawing import VERMILION
from matbook.shift.charts.frame import BOTTOM, Chart, frame, hours
from matbook.shift.display import MEASURES, Display, clock, minutes, sign
from matbook.shift.loads import Load
from matbook.shift.view import View
from matbook.words import say


def tonnes_in_time(view: View, language: str = "en") -> Chart | None:
    """The chart of the shift's loads; None before the first load was taken."""
    taken = [load for load in view.loads if load.counts and load.net_kg is not None]
    if not taken:
        return None
    unit = MEASURES["mass"][1][view.plan.job.units][0]
    start = min(load.at for load in taken) - timedelta(minutes=10)
    end = max(load.at for load in taken) + timedelta(minutes=10)
    total = fsum(load.net_kg or 0.0 for load in taken)
    drawn = frame(
        (0.0, (end - start).total_seconds()),
        (0.0, convert(total, "kg", unit) * 1.08),
        lambda seconds: clock(_shown(start + timedelta(seconds=seconds), taken)),
        [(at - start).total_seconds() for at in hours(start, end)],
        say("chart.tonnes.y", language, unit=sign(unit)),
        say("chart.time.x", language),
    )
    points = [(drawn.x(0.0), drawn.y(0.0))]
    reached = 0.0
    for load in sorted(taken, key=lambda load: load.at):
        x = drawn.x((load.at - start).total_seconds())
        points.append((x, points[-1][1]))
        reached += load.net_kg or 0.0
        points.append((x, drawn.y(convert(reached, "kg", unit))))
    drawn.drawing.path(points, width=2)
    foot = drawn.drawing.height - BOTTOM
    for line in view.pavers:
        for stop in line.stops:
            began = (stop.started - start).total_seconds()
            ended = began + stop.lasted(view.now).total_seconds()
            if ended < 0.0 or began > drawn.x.high:
                continue
            left, right = drawn.x(max(0.0, began)), drawn.x(min(drawn.x.high, ended))
            drawn.drawing.bar(left, foot - 8, right - left, 8, VERMILION)
            drawn.label((left + right) / 2, foot - 12, minutes(stop.lasted(view.now)))
    mass = Display(view.plan.job.units).show("mass", total)
    words = {
        "count": len(taken),
        "mass": mass,
        "start": clock(taken[0].at),
        "end": clock(taken[-1].at),
        "stops": len([stop for line in view.pavers for stop in line.stops]),
        "stood": minutes(view.stood),
    }
    return Chart(
        "tonnes",
        drawn.drawing.svg(),
        say("chart.tonnes.alt", language, **words),
        say("chart.tonnes.caption", language, **words),
    )


def _shown(at: datetime, taken: list[Load]) -> datetime:
    """A moment on the clock that people had then: by the offset of the last load before it."""
    offsets = [load.at.tzinfo for load in taken if load.at <= at]
    return at.astimezone(offsets[-1]) if offsets else at
