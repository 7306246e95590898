"""Temperature on delivery, load by load, against the limits of each load's mix."""

from matbook.engine.units import convert
from matbook.plan.judge import limits_for
from matbook.shift.charts.frame import Chart, frame, padded
from matbook.shift.display import MEASURES, sign
from matbook.shift.facts import si
from matbook.shift.loads import Load
from matbook.shift.view import View
from matbook.words import say


def temperature_by_load(view: View, language: str = "en") -> Chart | None:
    """The chart of every load that was measured; None if none was."""
    measured = [load for load in view.loads if load.looked_at is not None]
    if not measured:
        return None
    unit = MEASURES["temperature"][1][view.plan.job.units][0]
    limits = _limits(view, measured, unit)
    values = [convert(si(load.temp), "degC", unit) for load in measured]
    marks = [float(n) for n in range(1, len(measured) + 1)]
    step = max(1, len(measured) // 12)
    drawn = frame(
        (0.0, len(measured) + 1.0),
        padded([*values, *limits]),
        lambda n: measured[int(n) - 1].label,
        marks[::step],
        say("chart.temperature.y", language, unit=sign(unit)),
        say("chart.load.x", language),
        height=200,
    )
    for limit in limits:
        drawn.drawing.line(
            drawn.x.start, drawn.y(limit), drawn.x.end, drawn.y(limit), width=1, dash="5 3"
        )
        drawn.label(drawn.x.end - 16, drawn.y(limit) - 3, f"{limit:g}")
    beyond = {call.subject for call in view.calls if call.code == "load.temperature"}
    for n, (load, value) in enumerate(zip(measured, values, strict=True), 1):
        x, y = drawn.x(float(n)), drawn.y(value)
        if load.id in beyond:
            drawn.drawing.diamond(x, y)
            if not drawn.label(x, y - 8, load.label, bold=True):
                drawn.label(x, y + 15, load.label, bold=True)
        else:
            drawn.drawing.dot(x, y, hollow=_skin_only(load))
    words = {
        "count": len(measured),
        "of": len(view.loads),
        "low": f"{min(values):.0f} {sign(unit)}",
        "high": f"{max(values):.0f} {sign(unit)}",
        "beyond": len([load for load in measured if load.id in beyond]),
    }
    return Chart(
        "temperatures",
        drawn.drawing.svg(),
        say("chart.temperature.alt", language, **words),
        say("chart.temperature.caption", language, **words),
    )


def _limits(view: View, measured: list[Load], unit: str) -> list[float]:
    mixes = {load.mix for load in measured if load.mix in view.plan.mixes}
    return sorted(
        {
            convert(float(limit.number), limit.unit, unit)
            for mix in mixes
            for limit in limits_for(view.plan, "temperature.delivery", mix=mix)
        }
    )


def _skin_only(load: Load) -> bool:
    """Infrared: drawn hollow, since it sees the skin alone."""
    return load.looked_at is not None and load.looked_at.text("temp_how") == "infrared"
