"""A lot as a workbook that works itself out: change a result and everything follows.

Formulas are those of the lot report; each cell also holds the value that Matbook worked out, so
that a program which doesn't calculate shows the same. Lots paid together come in one workbook: the
first sheet takes its factors from theirs.
"""

import io
from collections.abc import Iterator
from datetime import datetime
from typing import Any

import xlsxwriter

from matbook.desk.asking import Asked
from matbook.desk.job import JobBook
from matbook.desk.lots import found
from matbook.engine.schedules import PERCENT, Polynomial
from matbook.errors import NotFound
from matbook.lots.folded import Lot
from matbook.lots.together import Together, together
from matbook.lots.worth import as_printed, lot_size
from matbook.plan.model import Plan
from matbook.records.tables import safe
from matbook.shift.figure import Figure, plain


def lot_sheet(book: JobBook, shift: str, name: str, now: datetime, language: str = "en") -> bytes:
    """A lot, or lots paid together, as .xlsx with live formulas.

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
    seen = found(asked)
    lot = seen.named(name)
    both = [] if lot else [one for one in together(asked.plan, seen.lots) if one.name == name]
    if not (lot or both):
        raise NotFound(f"There is no lot “{name[:40]}” in this book; see: show lots")
    out = io.BytesIO()
    made = xlsxwriter.Workbook(out, {"in_memory": True})
    made.set_properties({"created": now.replace(tzinfo=None)})
    if lot is not None:
        _of_lot(_Sheet(made, "lot", asked, lot.name, lot.rule.name), asked.plan, lot)
    for one in both:
        _of_all(made, asked, one)
    made.close()
    return out.getvalue()


class _Sheet:
    """A sheet in the making: rows of a label, a value and the formula that comes to it."""

    def __init__(self, made: Any, name: str, asked: Asked, lot: str, title: str) -> None:
        self.name, self.asked, self.lot = name, asked, lot
        self._sheet, self._row = made.add_worksheet(name), 2
        self._sheet.set_column(0, 0, 34)
        self._sheet.write_string(0, 0, safe(self.say("lot.title", lot=lot, name=title)))
        self._sheet.write_string(1, 0, safe(asked.plan.job.note))

    def say(self, code: str, **arguments: object) -> str:
        return self.asked.say(code, **arguments)

    def titled(self, what: str) -> str:
        """What a figure of the lot is."""
        return self.say(f"figure.lot.{what}", lot=self.lot)

    def add(self, label: str, value: float, formula: str = "") -> str:
        """One row; the name of its cell. Without a formula its value is a given."""
        self._sheet.write_string(self._row, 0, safe(label))
        if formula:
            self._sheet.write_formula(self._row, 1, formula, None, value)
        else:
            self._sheet.write_number(self._row, 1, value)
        self._row += 1
        return f"B{self._row}"

    def results(self, lot: Lot) -> tuple[str, str]:
        """The lot's results that count; where they stand, and where their weights do."""
        weights = lot.worth.weights
        heads = ["sublot", "value", "station", "sample", *(["weight"] if weights else [])]
        for column, head in enumerate(heads):
            self._sheet.write_string(self._row, column, self.say(f"lot.column.{head}"))
        first = self._row + 2
        for number, one in enumerate(lot.counted):
            self._row += 1
            assert one.value is not None
            self._sheet.write_number(self._row, 0, one.sublot or 0)
            self._sheet.write_number(self._row, 1, one.value.value)
            self._sheet.write_string(self._row, 2, safe(one.fact.place("station")))
            self._sheet.write_string(self._row, 3, safe(one.sample))
            if weights:
                self._sheet.write_number(self._row, 4, weights[number])
        self._row += 2
        last = first + len(lot.counted) - 1
        return f"B{first}:B{last}", f"E{first}:E{last}"


# A lot


def _of_lot(sheet: _Sheet, plan: Plan, lot: Lot) -> str:
    """All of a lot; the cell of its pay factor, empty where it has none."""
    results, weights = sheet.results(lot)
    worth, figures = lot.worth, lot.worth.figures
    if not worth.values:
        return ""
    n = sheet.add(sheet.say("input.n"), len(worth.values), f"=COUNT({results})")
    mean = sheet.add(sheet.titled("mean"), figures["mean"].value, f"=AVERAGE({results})")
    if worth.weights:
        formula = f"=SUMPRODUCT({results},{weights})/SUM({weights})"
        sheet.add(sheet.titled("mean.weighted"), figures["mean.weighted"].value, formula)
    if worth.pay is None:
        return ""
    formula = ""
    if worth.schedule.measure == PERCENT:
        formula = _pay(lot, _percentage(sheet, lot, results, n, mean))
    pay = sheet.add(sheet.titled("pay"), as_printed(plan, worth.pay.factor), formula)
    money = ""
    for name in ("money", "money.laid"):
        if name in figures:
            cell = _money(sheet, plan, lot, name, pay)
            money = cell if figures[name] is lot.money else money
    _taken(sheet, lot, money)
    return pay


def _percentage(sheet: _Sheet, lot: Lot, results: str, n: str, mean: str) -> str:
    """Spread, quality index of each side and percent within limits; given where by a table."""
    worth = lot.worth
    assert worth.pay is not None
    sd = sheet.add(sheet.titled("sd"), worth.figures["sd"].value, f"=STDEV({results})")
    shares = []
    for side, given in (("lower", worth.pay.lower), ("upper", worth.pay.upper)):
        if given is None:
            continue
        label = sheet.say(f"lot.rule.{side}", limit=f"{given:g}", unit=lot.rule.unit)
        limit = sheet.add(label, given)
        inside = f"{mean}-{limit}" if side == "lower" else f"{limit}-{mean}"
        index = worth.figures[f"quality.{side}"].value
        q = sheet.add(sheet.titled(f"quality.{side}"), index, f"=({inside})/{sd}")
        x = f"MAX(0,MIN(1,0.5-{q}*SQRT({n})/(2*({n}-1))))"
        shares.append(f"100*(1-BETADIST({x},{n}/2-1,{n}/2-1))")
    exact = worth.schedule.convention == "exact" and worth.schedule.places is None
    added = "+".join(shares) + ("-100" if len(shares) == 2 else "")
    formula = f"=MAX(0,{added})" if exact else ""
    return sheet.add(sheet.titled("within"), worth.pay.measured, formula)


def _pay(lot: Lot, within: str) -> str:
    """The factor from the percentage, where the schedule is one polynomial; else it is a given."""
    schedule, pay = lot.worth.schedule, lot.worth.pay
    assert pay is not None
    group = schedule.groups[schedule.group_for(pay.n)]
    if schedule.blend or len(schedule.tries) > 1 or not isinstance(group.curve, Polynomial):
        return ""
    terms = [f"{c:+g}*({within}/100)^{power}" for power, c in enumerate(group.curve.factors)]
    worked = "".join(terms)
    capped = worked if group.cap is None else f"MIN({group.cap:g},{worked})"
    return "" if schedule.reject_below is not None else f"=ROUND({capped},4)"


def _money(sheet: _Sheet, plan: Plan, lot: Lot, name: str, factor: str) -> str:
    schedule = lot.worth.schedule
    share = f"IF({factor}>1,{schedule.share_above:g},{schedule.share_below:g})"
    return _moved(sheet, plan, lot, lot.worth.figures[name], name, f"={share}*", factor)


def _moved(
    sheet: _Sheet, plan: Plan, lot: Lot, figure: Figure, name: str, begin: str, factor: str
) -> str:
    """Quantity, price and what the factor moves; the money's cell."""
    label = f"{sheet.say('input.quantity')} ({lot_size(plan, lot.rule)[1]})"
    quantity = sheet.add(label, plain(figure.inputs["quantity"]))
    price = sheet.add(sheet.say("input.unit_price"), plain(figure.inputs["unit_price"]))
    formula = f"{begin}({factor}-1)*{quantity}*{price}"
    return sheet.add(sheet.titled(name), figure.value, formula)


def _taken(sheet: _Sheet, lot: Lot, money: str) -> None:
    """What events take away, and what is left in all."""
    cells = []
    for one in lot.taken:
        number = sheet.add(f"{one.rule.name} (n)", len(one.events))
        each = sheet.add(f"{one.rule.name} ({sheet.say('input.each')})", float(one.rule.each))
        cells.append(sheet.add(sheet.titled("taken"), one.figure.value, f"={number}*{each}"))
    if cells and lot.money is not None:
        left = lot.money.value - lot.taken_away
        sheet.add(sheet.titled("total"), left, f"={money}-{'-'.join(cells)}")


# Lots paid together


def _of_all(made: Any, asked: Asked, one: Together) -> None:
    """The sheet of all first, then one for each of its lots."""
    sheet = _Sheet(made, "all", asked, one.name, one.rule.name)
    pays = {}
    for number, (part, lot) in enumerate(one.lots.items(), 1):
        own = _Sheet(made, f"lot{number}", asked, lot.name, lot.rule.name)
        cell = _of_lot(own, asked.plan, lot)
        pays[part] = f"={own.name}!{cell}" if cell else ""
    cells = list(_factors(sheet, one, pays))
    if "composite" not in one.figures:
        return
    weights = [one.recipe.weights[part] for part in one.parts]
    worked = f"MIN({','.join(cells)})"
    if one.recipe.how != "lowest":
        terms = "+".join(f"{w:g}*{cell}" for w, cell in zip(weights, cells, strict=True))
        worked = f"({terms})/({'+'.join(f'{w:g}' for w in weights)})"
    if one.recipe.cap is not None:
        worked = f"MIN({one.recipe.cap:g},{worked})"
    found = one.figures["composite"].value
    factor = sheet.add(sheet.titled("composite"), found, f"={worked}")
    for name in ("money", "money.laid"):
        if name in one.figures:
            lot = next(iter(one.lots.values()))
            printed = f"ROUND({factor},4)"
            _moved(sheet, asked.plan, lot, one.figures[name], name, "=", printed)


def _factors(sheet: _Sheet, one: Together, pays: dict[str, str]) -> Iterator[str]:
    """Each characteristic's factor, taken from its lot's sheet; a joint's by its area."""
    for part, lot in one.parts.items():
        own = one.figures.get(f"part.{part}")
        if own is None:
            continue
        cell = sheet.add(f"{part}: {lot}", own.value, pays[part])
        if part != one.rule.joint or "joint" not in one.figures:
            yield cell
            continue
        found = one.figures["joint"]
        worked = found.inputs["factor"]
        assert isinstance(worked, Figure)
        length, band, area = (
            sheet.add(f"{sheet.say(f'input.{name}')} ({unit})", plain(worked.inputs[name]))
            for name, unit in (("joint_m", "m"), ("band_m", "m"), ("lot_m2", "m²"))
        )
        formula = f"=ROUND(1-(1-{cell})*MIN(1,{length}*{band}/{area}),4)"
        yield sheet.add(sheet.titled("joint"), found.value, formula)
