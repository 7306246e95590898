"""A lot as a workbook that works itself out: change a result and everything follows.

Formulas are those of the lot report; each cell also holds the value that Matbook worked out, so
that a program which doesn't calculate shows the same.
"""

import io
from collections.abc import Iterator
from datetime import datetime
from typing import Any, Final

import xlsxwriter

from matbook.desk.asking import Asked
from matbook.desk.job import JobBook
from matbook.desk.lots import found
from matbook.engine.schedules import PERCENT, Polynomial
from matbook.errors import NotFound
from matbook.lots.folded import Lot
from matbook.lots.worth import as_printed, lot_size
from matbook.plan.model import Plan
from matbook.records.tables import safe
from matbook.words import say

Row = tuple[str, Any, str]
"""A label, the value that Matbook worked out, and the formula; empty where it is a given."""

FIRST: Final = 4
"""Row of the first result."""


def lot_sheet(book: JobBook, shift: str, name: str, now: datetime, language: str = "en") -> bytes:
    """A lot as .xlsx with live formulas.

    Args:
        book: The job's book.
        shift: The shift as of which it speaks.
        name: Of the lot.
        now: The moment it speaks of, and is dated with.
        language: Of the words.

    Raises:
        NotFound: There is no such lot.
    """
    asked = Asked(book, {"shift": shift, "at": now.isoformat(), "language": language})
    lot = found(asked).named(name)
    if lot is None:
        raise NotFound(f"There is no lot “{name[:40]}” in this book; see: show lots")
    out = io.BytesIO()
    made = xlsxwriter.Workbook(out, {"in_memory": True})
    made.set_properties({"created": now.replace(tzinfo=None)})
    sheet = made.add_worksheet("lot")
    sheet.set_column(0, 0, 34)
    sheet.write_string(0, 0, safe(say("lot.title", language, lot=lot.name, name=lot.rule.name)))
    sheet.write_string(1, 0, safe(asked.plan.job.note))
    for column, head in enumerate(("sublot", "value", "station", "sample")):
        sheet.write_string(FIRST - 2, column, say(f"lot.column.{head}", language))
    for number, one in enumerate(lot.counted):
        at = FIRST - 1 + number
        assert one.value is not None
        sheet.write_number(at, 0, one.sublot or 0)
        sheet.write_number(at, 1, one.value.value)
        sheet.write_string(at, 2, safe(one.fact.place("station")))
        sheet.write_string(at, 3, safe(one.sample))
    start = FIRST + len(lot.counted) + 1
    for number, (label, value, formula) in enumerate(_rows(asked.plan, lot, start, language)):
        at = start - 1 + number
        sheet.write_string(at, 0, label)
        if formula:
            sheet.write_formula(at, 1, formula, None, value)
        else:
            sheet.write_number(at, 1, value)
    made.close()
    return out.getvalue()


def _rows(plan: Plan, lot: Lot, start: int, language: str) -> Iterator[Row]:
    """What is worked out, from a row of the sheet on."""
    worth, name = lot.worth, lot.name
    if not worth.values:
        return
    results = f"B{FIRST}:B{FIRST + len(worth.values) - 1}"
    yield say("input.n", language), len(worth.values), f"=COUNT({results})"
    figures = worth.figures
    yield _titled("mean", name, language), figures["mean"].value, f"=AVERAGE({results})"
    if worth.pay is None:
        return
    row = start + 2
    if worth.schedule.measure == PERCENT:
        for one in _percentage(lot, start, language):
            yield one
            row += 1
    formula = _pay(lot, row - 1) if worth.schedule.measure == PERCENT else ""
    yield _titled("pay", name, language), as_printed(plan, worth.pay.factor), formula
    if "money" in figures:
        yield from _money(plan, lot, row, language)


def _percentage(lot: Lot, start: int, language: str) -> Iterator[Row]:
    """Spread, quality index of each side and percent within limits; given where by a table."""
    worth, name = lot.worth, lot.name
    assert worth.pay is not None
    n, mean, sd, row = start, start + 1, start + 2, start + 3
    results = f"B{FIRST}:B{FIRST + len(worth.values) - 1}"
    yield _titled("sd", name, language), worth.figures["sd"].value, f"=STDEV({results})"
    shares = []
    for side, limit in (("lower", worth.pay.lower), ("upper", worth.pay.upper)):
        if limit is None:
            continue
        unit = lot.rule.unit
        yield say(f"lot.rule.{side}", language, limit=f"{limit:g}", unit=unit), limit, ""
        inside = f"B{mean}-B{row}" if side == "lower" else f"B{row}-B{mean}"
        index = worth.figures[f"quality.{side}"].value
        yield _titled(f"quality.{side}", name, language), index, f"=({inside})/B{sd}"
        x = f"MAX(0,MIN(1,0.5-B{row + 1}*SQRT(B{n})/(2*(B{n}-1))))"
        shares.append(f"100*(1-BETADIST({x},B{n}/2-1,B{n}/2-1))")
        row += 2
    exact = worth.schedule.convention == "exact" and worth.schedule.places is None
    added = "+".join(shares) + ("-100" if len(shares) == 2 else "")
    within = f"=MAX(0,{added})" if exact else ""
    yield _titled("within", name, language), worth.pay.measured, within


def _pay(lot: Lot, within: int) -> str:
    """The factor from the percentage, where the schedule is one polynomial; else it is a given."""
    schedule, pay = lot.worth.schedule, lot.worth.pay
    assert pay is not None
    group = schedule.groups[schedule.group_for(pay.n)]
    if schedule.blend or len(schedule.tries) > 1 or not isinstance(group.curve, Polynomial):
        return ""
    terms = [f"{c:+g}*(B{within}/100)^{power}" for power, c in enumerate(group.curve.factors)]
    worked = "".join(terms)
    capped = worked if group.cap is None else f"MIN({group.cap:g},{worked})"
    return "" if schedule.reject_below is not None else f"=ROUND({capped},4)"


def _money(plan: Plan, lot: Lot, factor: int, language: str) -> Iterator[Row]:
    quantity, unit = lot_size(plan, lot.rule)
    yield f"{say('input.quantity', language)} ({unit})", quantity, ""
    yield say("input.unit_price", language), float(lot.rule.price), ""
    schedule = lot.worth.schedule
    share = f"IF(B{factor}>1,{schedule.share_above:g},{schedule.share_below:g})"
    money = f"={share}*(B{factor}-1)*B{factor + 1}*B{factor + 2}"
    yield _titled("money", lot.name, language), lot.worth.figures["money"].value, money


def _titled(what: str, lot: str, language: str) -> str:
    return say(f"figure.lot.{what}", language, lot=lot)
