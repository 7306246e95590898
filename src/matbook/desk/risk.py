"""What a schedule pays for work of every quality: the risk of either side, before the season.

It takes long, so it can be asked for in portions: what was worked out so far is handed back with
the next question, and whoever asks may stop at any time.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import asdict, dataclass, fields
from math import isfinite
from typing import Any, Final

from matbook.desk.asking import Asked
from matbook.desk.schedules import find, results_of, rule_by, width_of
from matbook.engine.acceptance import RiskPoint, mean_within, pay_curve
from matbook.engine.paying import Terms, checked
from matbook.engine.risk import LOTS
from matbook.engine.schedule_reader import read_schedule
from matbook.engine.schedules import PERCENT, Composite, PaySchedule
from matbook.errors import OutOfRange, Refused
from matbook.lots.charts import risk_charts, span
from matbook.plan.model import Plan
from matbook.shift.charts.drawing import ticks
from matbook.shift.display import fixed
from matbook.words import say

Row = dict[str, Any]

POINTS: Final = 200
MOST_POINTS: Final = 1000
GOOD_PCT, POOR_PCT = 90.0, 50.0
"""Percent within limits of work that ought to be paid in full, and of work that oughtn't.

Source: AASHTO R 9, acceptable and rejectable quality, from memory; the owner's may differ.
"""
BELOW_SD, ABOVE_SD = 3.0, 4.0
"""How far from a limit a curve runs, outside and inside, in standard deviations."""

Progress = Callable[[int, int], bool]


def risk(asked: Asked) -> Row:
    """A portion of a risk curve, or all of it; see `risk_of` for what is asked."""
    return risk_of(asked.plan, asked.arguments, asked.words)


@dataclass(frozen=True, slots=True)
class Setting:
    """What is simulated."""

    schedule: PaySchedule
    n: int
    sd: float
    terms: Terms
    means: tuple[float, ...]
    unit: str

    @property
    def limits(self) -> tuple[float | None, float | None]:
        """The limits that lots are judged by: the schedule's own, or those given."""
        own = self.schedule.tries[0]
        if own.lower is None and own.upper is None:
            return self.terms.lower, self.terms.upper
        return own.lower, own.upper


def risk_of(
    plan: Plan, given: Mapping[str, Any], language: str = "en", progress: Progress | None = None
) -> Row:
    """What lots are paid on average, and what each side risks, over the true mean of the work.

    Args:
        plan: The plan in force, or NO_PLAN.
        given: name of a schedule, or text of its file; or lots, the id of a rule of the plan, whose
            schedule, limits and results are then taken; results; sd; lower, upper, target; from and
            to, points; good and poor, in percent; have, the points so far; most, how many more to
            work out now; width, of the drawings.
        language: Of the words.
        progress: Told how many points are done of how many; False stops.

    Raises:
        NotFound: There is no such schedule, or no such lots.
        Refused: A value that is missing or can't be taken.
    """
    setting = setting_of(plan, given)
    have = _have(given.get("have"), setting.means)
    most = _whole(given, "most", len(setting.means), MOST_POINTS)
    wanted = setting.means[len(have) : len(have) + most]
    points = list(have)
    if wanted:
        begun, of = len(have), len(setting.means)
        told = None if progress is None else lambda done, _: progress(begun + done, of)
        points += pay_curve(
            setting.schedule, setting.n, wanted, setting.sd, *setting.terms, progress=told
        ).points
    return _page(setting, points, given, language)


# What is asked


def setting_of(plan: Plan, given: Mapping[str, Any]) -> Setting:
    """What is to be simulated; see `risk_of` for what is asked, and what is refused."""
    rule = rule_by(plan, given)
    asked = dict(given)
    if rule is not None:
        own = {"lower": rule.lower, "upper": rule.upper, "target": rule.target}
        asked = {"name": rule.schedule, "results": rule.planned, **own, **_said(given)}
    schedule = _schedule(plan, asked)
    sd = _number(asked, "sd")
    if sd is None:
        raise Refused("sd", "", "say how much the work spreads: its standard deviation, such as 1")
    if not 0.0 < sd < 1e6:
        raise OutOfRange("sd", sd, "it must be above 0")
    terms = Terms(*(_number(asked, end) for end in ("lower", "upper", "target")))
    terms = Terms(terms.lower, terms.upper, checked(schedule, terms).target)
    if schedule.target is not None:
        terms = Terms(terms.lower, terms.upper)
    n = results_of(plan, schedule, asked)
    low, high = _span(schedule, n, sd, terms)
    low = _or(_number(asked, "from"), low)
    high = _or(_number(asked, "to"), high)
    if not low < high:
        raise OutOfRange("from", low, f"it must be below to, {high:g}")
    count = _whole(asked, "points", POINTS, MOST_POINTS)
    step = (high - low) / max(1, count - 1)
    means = tuple(float(f"{low + step * k:.12g}") for k in range(count))
    return Setting(schedule, n, sd, terms, means, rule.unit if rule is not None else "")


def _said(given: Mapping[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in given.items() if value not in (None, "")}


def _or(value: float | None, default: float) -> float:
    return default if value is None else value


def _schedule(plan: Plan, given: Mapping[str, Any]) -> PaySchedule:
    text, name = given.get("text"), str(given.get("name") or "")
    found = read_schedule(str(text), name) if text else find(plan, name)
    if isinstance(found, Composite):
        raise Refused("name", name, "it puts factors together: ask for one of its characteristics")
    return found


def _span(schedule: PaySchedule, n: int, sd: float, terms: Terms) -> tuple[float, float]:
    """From where to where means are looked at, where nobody says."""
    own = schedule.tries[0]
    lower, upper = own.lower, own.upper
    if lower is None and upper is None:
        lower, upper = terms.lower, terms.upper
    if schedule.measure == PERCENT:
        if lower is None:
            assert upper is not None  # checked: there is one limit at least
            return upper - ABOVE_SD * sd, upper + BELOW_SD * sd
        if upper is None:
            return lower - BELOW_SD * sd, lower + ABOVE_SD * sd
        return lower - BELOW_SD * sd, upper + BELOW_SD * sd
    low, high = span(schedule, n)
    target = schedule.target if terms.target is None else terms.target
    if target is None:
        return low, high
    return target - high - sd, target + high + sd


def _number(given: Mapping[str, Any], name: str) -> float | None:
    value = given.get(name)
    if value is None or value == "":
        return None
    try:
        found = float(str(value).strip().replace(",", "."))
    except ValueError:
        found = float("nan")
    if isinstance(value, bool) or not isfinite(found):
        raise Refused(name, str(value)[:40], "it must be a number, such as 92.0")
    return found


def _whole(given: Mapping[str, Any], name: str, default: int, most: int) -> int:
    found = _number(given, name)
    if found is None:
        return default
    if found != round(found) or not 1 <= found <= most:
        raise Refused(name, str(given[name])[:40], f"it must be a whole number, 1 to {most}")
    return round(found)


NAMES: Final = tuple(each.name for each in fields(RiskPoint))


def _have(rows: object, means: Sequence[float]) -> list[RiskPoint]:
    """The points that were worked out before, as they were handed out; raises Refused."""
    if rows is None:
        return []
    found = []
    for row, mean in zip(rows if isinstance(rows, list) else [None], means, strict=False):
        held = row if isinstance(row, dict) else {}
        if held.keys() != set(NAMES) or not all(_fits(held[name], name) for name in NAMES):
            raise Refused("have", str(row)[:60], "it must be points as they were handed out")
        if held["mean"] != mean:
            raise Refused("have", str(held["mean"]), "it is of another setting: begin anew")
        found.append(RiskPoint(**held))
    return found


def _fits(value: object, name: str) -> bool:
    if value is None:
        return name == "within_pct"
    return isinstance(value, int | float) and not isinstance(value, bool)


# What is answered


def _page(
    setting: Setting, points: Sequence[RiskPoint], given: Mapping[str, Any], language: str
) -> Row:
    def words(code: str, **arguments: object) -> str:
        return say(f"risk.{code}", language, **arguments)

    schedule, means = setting.schedule, setting.means
    finished = len(points) == len(means)
    titles = words("mean", unit=setting.unit).rstrip(" []"), schedule.title
    charts = risk_charts(points, (means[0], means[-1]), titles, width_of(given), language)
    return {
        "title": words("title", schedule=schedule.title),
        "line": _line(setting, language),
        "standing": words("standing", source=schedule.source, standing=schedule.standing),
        "done": len(points),
        "of": len(means),
        "finished": finished,
        "points": [_plain(one) for one in points],
        "charts": [{"svg": one.svg, "words": one.alt, "caption": one.caption} for one in charts],
        "rows": _rows(setting, points, language),
        "risks": _risks(setting, given, language) if finished else [],
        "notes": [
            *([] if finished else [words("unfinished", done=len(points), of=len(means))]),
            words("lots", lots=LOTS),
            words("normal"),
            words("source"),
        ],
    }


def _plain(point: RiskPoint) -> Row:
    return {
        name: None if value is None else float(f"{value:.12g}")
        for name, value in asdict(point).items()
    }


def _line(setting: Setting, language: str) -> str:
    lower, upper = setting.limits
    ends = [f"{sign} {end:g}" for sign, end in (("≥", lower), ("≤", upper)) if end is not None]
    target = setting.schedule.target if setting.terms.target is None else setting.terms.target
    if target is not None:
        ends.append(say("risk.target", language, target=f"{target:g}"))
    limits = " · ".join(ends) or say("risk.no-limits", language)
    return say("risk.line", language, n=setting.n, sd=f"{setting.sd:g}", limits=limits)


def _rows(setting: Setting, points: Sequence[RiskPoint], language: str) -> list[Row]:
    """The points at round means, as people would read them off the curve."""
    low, high = setting.means[0], setting.means[-1]
    step = (high - low) / max(1, len(setting.means) - 1)
    rows = []
    for mark in ticks(low, high, 12):
        one = min(points, key=lambda point: abs(point.mean - mark))
        if abs(one.mean - mark) <= 0.51 * step:
            rows.append(_row(one, setting))
    return rows


def _row(one: RiskPoint, setting: Setting) -> Row:
    return {
        "mean": fixed(one.mean, _digits(setting)),
        "within": "—" if one.within_pct is None else fixed(one.within_pct, 1),
        "expected": fixed(one.expected, 3),
        "range": f"{fixed(one.low_factor, 3)} – {fixed(one.high_factor, 3)}",
        "full": fixed(100.0 * one.full, 0),
        "rejected": fixed(100.0 * one.rejected, 0),
    }


def _digits(setting: Setting) -> int:
    step = (setting.means[-1] - setting.means[0]) / max(1, len(setting.means) - 1)
    return next((digits for digits in range(6) if step >= 0.9 * 10.0**-digits), 6)


def _risks(setting: Setting, given: Mapping[str, Any], language: str) -> list[str]:
    """What the contractor risks with good work, and the owner with poor work."""
    lower, upper = setting.limits
    if lower is None and upper is None:
        return [say("risk.no-percent", language)]
    said = []
    for name, usual in (("good", GOOD_PCT), ("poor", POOR_PCT)):
        pct = _or(_number(given, name), usual)
        try:
            mean = mean_within(pct, setting.sd, lower, upper)
        except OutOfRange as error:
            said.append(str(error))
            continue
        (one,) = pay_curve(setting.schedule, setting.n, [mean], setting.sd, *setting.terms).points
        words = {
            "pct": f"{pct:g}",
            "mean": f"{fixed(mean, 2)} {setting.unit}".rstrip(),
            "factor": fixed(one.expected, 3),
            "short": fixed(100.0 * (1.0 - one.full), 0),
            "full": fixed(100.0 * one.full, 0),
            "rejected": fixed(100.0 * one.rejected, 0),
        }
        said.append(say(f"risk.{name}", language, **words))
    return said
