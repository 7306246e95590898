"""Pay schedules: which there are, and each with what it says, its curve and what is wrong in it.

Answered without a shift, and without a job where there is none yet: a schedule is looked at before
the season.
"""

import re
from collections.abc import Iterator, Mapping
from math import isinf
from typing import Any, Final

from matbook.desk.asking import Asked
from matbook.engine.samples import MOST_RESULTS
from matbook.engine.schedule_reader import pay_schedules, read_schedule, shipped
from matbook.engine.schedules import Band, Bands, Composite, Group, Least, PaySchedule
from matbook.errors import FileRefused, NotFound, Refused
from matbook.lots.charts import schedule_chart, span
from matbook.plan.model import Plan
from matbook.plan.rules import LotRule
from matbook.shift.charts.frame import WIDTH
from matbook.shift.display import fixed
from matbook.words import say

Row = dict[str, Any]

USUAL: Final = 5
"""Results that a curve is drawn for where nothing says how many there will be."""
NARROWEST: Final = 320.0
WIDEST: Final = 1400.0
LONGEST: Final = 50_000
EVERY: Final = 5.0
"""Percent from row to row in the table of a curve that has no rows of its own."""


def all_schedules(asked: Asked) -> list[Row]:
    """Every schedule that ships or that the plan brings."""
    return list_of(asked.plan, asked.words)


def one_schedule(asked: Asked) -> Row:
    """A schedule, opened; raises NotFound."""
    return page_of(asked.plan, asked.arguments, asked.words)


def list_of(plan: Plan, language: str = "en") -> list[Row]:
    """One row for each schedule, the plan's own first."""
    names = [*plan.schedules, *(one for one in pay_schedules() if one not in plan.schedules)]
    return [_row(plan, find(plan, name), language) for name in names]


def find(plan: Plan, name: str) -> PaySchedule | Composite:
    """A schedule of the plan's own, or one that ships; raises NotFound."""
    own = plan.schedules.get(name)
    if own is not None:
        return own
    try:
        return shipped(name)
    except NotFound:
        known = ", ".join([*plan.schedules, *pay_schedules()])
        raise NotFound(f"There is no pay schedule “{name[:40]}”; there is: {known}.") from None


def _row(plan: Plan, one: PaySchedule | Composite, language: str) -> Row:
    used = [rule.id for rule in plan.lots if rule.schedule == one.name]
    return {
        "name": one.name,
        "title": one.title,
        "source": one.source,
        "edition": one.edition or "—",
        "standing": one.standing,
        "from": say(f"schedule.{'own' if one.name in plan.schedules else 'shipped'}", language),
        "lots": ", ".join(used),
    }


def page_of(plan: Plan, given: Mapping[str, Any], language: str = "en") -> Row:
    """What a schedule says, its curve and its rows; or what is wrong in a file.

    Args:
        plan: The plan in force, or NO_PLAN.
        given: name; or text, a file's own; results, how many a lot has; width, of the drawing.
        language: Of the words.

    Raises:
        NotFound: There is no such schedule.
        Refused: An argument that can't be taken.
    """
    text, name = given.get("text"), str(given.get("name") or "")
    if text is None:
        found = find(plan, name)
    else:
        if not isinstance(text, str) or len(text) > LONGEST:
            raise Refused("text", type(text).__name__, f"it must be text of at most {LONGEST}")
        try:
            found = read_schedule(text, name)
        except FileRefused as refusal:
            return {"title": name, "faults": list(_faults(text, str(refusal)))}
    page = {**_row(plan, found, language), "faults": []}
    if isinstance(found, Composite):
        return {**page, **_composite(found, language)}
    n = results_of(plan, found, given)
    chart = schedule_chart(found, n, width_of(given), language)
    return {
        **page,
        "about": list(_about(found, n, language)),
        "results": n,
        "chart": {"svg": chart.svg, "words": chart.alt},
        "measure": say(f"measure.{found.measure}", language),
        "rows": list(_rows(found, n, language)),
    }


def results_of(plan: Plan, schedule: PaySchedule, given: Mapping[str, Any]) -> int:
    """How many results a lot has: as said, as the plan has it, or as is usual. Raises Refused."""
    said = given.get("results")
    if said is not None and said != "":
        if not str(said).isascii() or not str(said).isdigit() or len(str(said)) > 4:
            raise Refused("results", str(said)[:40], "it must be a whole number, such as 5")
        n = int(str(said))
        schedule.group_for(n)
        return n
    planned = (rule.planned for rule in plan.lots if rule.schedule == schedule.name)
    held = [n for n in (*planned, USUAL) if _is_for(schedule, n)]
    return held[0] if held else schedule.groups[0].least


def _is_for(schedule: PaySchedule, n: int) -> bool:
    return any(group.least <= n <= group.most for group in schedule.groups)


def rule_by(plan: Plan, given: Mapping[str, Any]) -> LotRule | None:
    """The lots that are asked about, by the id of their rule; None where none are named."""
    wanted = str(given.get("lots") or "")
    found = next((rule for rule in plan.lots if rule.id == wanted), None)
    if wanted and found is None:
        known = ", ".join(rule.id for rule in plan.lots) or "none"
        raise NotFound(f"The plan has no lots “{wanted[:40]}”; it has: {known}.")
    return found


def width_of(given: Mapping[str, Any]) -> float:
    """How wide a drawing is wanted; raises Refused."""
    said = given.get("width", WIDTH)
    try:
        found = float(said)
    except (TypeError, ValueError):
        raise Refused("width", str(said)[:40], "it must be a number") from None
    return min(max(found, NARROWEST), WIDEST)


# What it says


def _about(schedule: PaySchedule, n: int, language: str) -> Iterator[str]:
    """Each of its rules as a sentence."""

    def words(code: str, **arguments: object) -> str:
        return say(f"schedule.{code}", language, **arguments)

    looked_up = say(f"measure.{schedule.measure}", language)
    yield words("measure", measure=looked_up)
    if schedule.convention != "exact":
        yield words("table", table=schedule.convention)
    if schedule.places is not None:
        yield words("places", places=schedule.places)
    if schedule.target is not None:
        yield words("target", target=f"{schedule.target:g}")
    for place, one in enumerate(schedule.tries):
        ends = [f"{end:g}" for end in (one.lower, one.upper) if end is not None]
        if ends:
            cap = "" if one.cap is None else words("try.cap", cap=f"{one.cap:g}")
            yield words("try" if place == 0 else "try.again", limits=" – ".join(ends), cap=cap)
    groups = ", ".join(_results(one) for one in schedule.groups)
    yield words("groups", groups=groups, n=n)
    own = schedule.groups[schedule.group_for(n)]
    if own.cap is not None:
        yield words("cap", cap=f"{own.cap:g}")
    if own.standing != schedule.standing:
        yield words("standing", standing=own.standing)
    if schedule.blend and schedule.blend[0] <= n <= schedule.blend[1]:
        yield words("blend", low=schedule.blend[0], high=schedule.blend[1])
    if schedule.reject_below is not None:
        yield words("reject", below=f"{schedule.reject_below:g}")
    if schedule.left_in_place:
        yield words("stays", factor=f"{schedule.left_in_place:g}")
    if (schedule.share_above, schedule.share_below) != (1.0, 1.0):
        shares = {"above": f"{schedule.share_above:g}", "below": f"{schedule.share_below:g}"}
        yield words("shares", **shares)


def _results(group: Group) -> str:
    """For how many results a group is, such as 3, 4–9 or 10+."""
    if group.most == MOST_RESULTS:
        return f"{group.least}+"
    return f"{group.least}" if group.least == group.most else f"{group.least}–{group.most}"


def _rows(schedule: PaySchedule, n: int, language: str) -> Iterator[Row]:
    """The curve as a table: its own rows, or a value every so often."""
    curve = schedule.groups[schedule.group_for(n)].curve
    if isinstance(curve, Bands):
        for band in curve.bands:
            factors = dict.fromkeys(fixed(factor, 4) for factor in band.factor)
            paid = say("schedule.rejected", language) if band.rejected else " – ".join(factors)
            yield {"measured": _run(band, language), "factor": paid}
        return
    if isinstance(curve, Least):
        for _, least in curve.rows:
            measured = say("schedule.from", language, end=f"{least:g}")
            yield {"measured": measured, "factor": _factor(schedule, least, n, language)}
        return
    low, high = span(schedule, n)
    for k in range(round((high - low) / EVERY) + 1):
        x = high - EVERY * k
        yield {"measured": f"{x:g}", "factor": _factor(schedule, x, n, language)}


def _run(band: Band, language: str) -> str:
    """From where to where a band runs."""
    if band.start == band.end:
        return f"{band.start:g}"
    if isinf(band.start):
        return say("schedule.up-to", language, end=f"{band.end:g}")
    if isinf(band.end):
        return say("schedule.from", language, end=f"{band.start:g}")
    return f"{band.start:g} – {band.end:g}"


def _factor(schedule: PaySchedule, x: float, n: int, language: str) -> str:
    found = schedule.curve_at(x, n)
    return say("schedule.rejected", language) if found.rejected else fixed(found.factor, 4)


def _composite(one: Composite, language: str) -> Row:
    said = [say(f"schedule.composite.{one.how}", language)]
    if one.cap is not None:
        said.append(say("schedule.cap", language, cap=f"{one.cap:g}"))
    rows = [{"measured": name, "factor": fixed(weight, 3)} for name, weight in one.weights.items()]
    measure = say("schedule.composite.of", language)
    return {"about": said, "results": 0, "chart": None, "measure": measure, "rows": rows}


# What is wrong in a file

_PLACE = re.compile(r"(groups|tries)\[(\d+)\]|(\w+):")
_LINE = re.compile(r"line (\d+)")


def _faults(text: str, refusal: str) -> Iterator[Row]:
    """Each fault with the line that it is in or near, where that can be told."""
    for fault in refusal.split("\n"):
        line = line_of(text, fault)
        yield {"line": line, "words": fault}


def line_of(text: str, fault: str) -> int | None:
    """The line of a file that a fault speaks of: of its table, or of its key at the top.

    Example:
        >>> line_of('title = "T"\\n[[groups]]\\nfrom = 3\\n', "groups[1].from: it must be")
        2
    """
    said = _LINE.search(fault)
    if said is not None:
        return int(said[1])
    found = _PLACE.match(fault)
    if found is None:
        return None
    name, number = found[1] or found[3], int(found[2] or 1)
    lines = enumerate(text.splitlines(), 1)
    heads = [n for n, line in lines if re.match(rf"\s*(\[\[?)?{name}\b", line)]
    return heads[min(number, len(heads)) - 1] if heads else None
