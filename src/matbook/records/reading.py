"""One row of a ticket file as the body of a load entry, field by field."""

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import Final

from matbook.book.kinds import kind_named
from matbook.errors import Refused
from matbook.plan.model import Plan, Plant
from matbook.records.amounts import Amounts, decimal_mark, is_nothing
from matbook.records.delimited import Row
from matbook.records.headings import AMOUNTS, VALUES, Column, which_ton, words_of
from matbook.records.moments import Written, as_written
from matbook.records.sheets import Sheet

LOAD: Final = kind_named("load")
TEXTS: Final = ("ticket", "truck", "mix", "job_on_ticket")

DECISIONS: Final[Mapping[str, Mapping[str, str]]] = {
    # What the words of a column, by their key in headings.toml, say of a load.
    "void": {"yes": "void", "void": "void", "turned_away": "turned away", "no": "taken"},
    "status": {"void": "void", "turned_away": "turned away"},
}
MARKS: Final[Mapping[str, tuple[str, str, str]]] = {
    # Words that tell something wherever they stand alone in a cell: field, value, flag.
    "void": ("decision", "void", "void-mark"),
    "reprint": ("form", "reprint", "reprint"),
}
_TOO_MANY: Final = (
    "there are more cells than headings; a cell with the delimiter in it needs quotation marks"
)
_LONGEST_MARK: Final = 16
_SPOILT = re.compile(r"[\x00-\x1f\x7f-\x9f\ufffd]")


class Reader:
    """Reads the rows of one file."""

    def __init__(
        self, sheet: Sheet, plan: Plan, plant: Plant, mapping: Mapping[str, Column]
    ) -> None:
        self._headings = sheet.headings
        self._width = len(sheet.headings)
        self._text_file = not sheet.decimal_mark
        self._cut_line = _cut_line(sheet) if self._text_file else 0
        self._plant = plant
        self._at = {field: column.index for field, column in mapping.items()}
        self._names = {"mix": _mixes(plan), "truck": _trucks(plan)}
        self._seen: dict[tuple[str, str], str] = {}
        self._texts = [(field, self._at[field]) for field in TEXTS if field in mapping]
        self._decisions = [(f, self._at[f]) for f in DECISIONS if f in self._at]
        self._moments = [f for f in ("loaded", "date", "time") if f in self._at]
        self._rest = sorted(set(range(self._width)) - set(self._at.values()))
        ton = which_ton(plan, plant)
        amounts = [Amounts(mapping[field], LOAD, ton) for field in AMOUNTS if field in mapping]
        shown = ((a, cell) for a in amounts for cell in _column(sheet.rows, a.column.index))
        self.mark = sheet.decimal_mark or decimal_mark(shown)
        self._amounts = [
            (a.column.field, a.column.index, replace(a, mark=self.mark).read) for a in amounts
        ]

    def moment(self, row: Row) -> Written | Refused:
        """When a row says it was loaded, or what keeps the row from being a load at all."""
        try:
            self._require_load(row)
            found = [as_written(self._cell(row, field)) for field in self._moments]
        except Refused as refusal:
            return refusal
        if len(found) == 1:
            return found[0]
        # Where the time has a column of its own, a date's midnight is no time.
        return Written(
            next((w.day for w in found if w.day), None),
            next((w.clock for w in reversed(found) if w.clock), None),
            next((w.offset for w in found if w.offset), ""),
        )

    def body(self, row: Row) -> tuple[dict[str, str], tuple[str, ...]]:
        """The body of a row's load, and the flags that its marks raise; raises Refused."""
        body = {"plant": self._plant.id, "decision": "taken", "witness": "plant"}
        cells = row.cells
        if len(cells) < self._width:
            cells = [*cells, *[""] * (self._width - len(cells))]
        for field, at in self._texts:
            if text := self._text(field, cells[at]):
                body[field] = text
        for field, at, read in self._amounts:
            if value := read(cells[at]):
                body[field] = value
        if "temp" in body:
            body["temp_how"] = "ticket"
        for field, at in self._decisions:
            said = _decision(field, cells[at])
            if said != "taken":
                body["decision"] = said
        flags = self._marks(cells, body)
        self._require_mass(body)
        return body, flags

    def _text(self, field: str, cell: str) -> str:
        """A cell as text, a mix or a truck by its id in the plan."""
        found = self._seen.get((field, cell))
        if found is None:
            text = _text(field, cell)
            found = self._names.get(field, {}).get(text.casefold(), text)
            if field != "ticket":
                self._seen[field, cell] = found
        return found

    def _cell(self, row: Row, field: str) -> str:
        at = self._at[field]
        cell = row.cells[at] if at < len(row.cells) else ""
        return "" if cell and not cell[0].isdigit() and is_nothing(cell) else cell

    def _marks(self, cells: Sequence[str], body: dict[str, str]) -> tuple[str, ...]:
        """Note what words standing alone say, in cells that aren't read, or beside the number."""
        flags = []
        beside = body.get("ticket", "").split()
        alone = [cells[at] for at in self._rest if cells[at] and len(cells[at]) <= _LONGEST_MARK]
        for cell in alone + beside[1:] + beside[:-1] if len(beside) == 2 else alone:
            if mark := MARKS.get(_value(cell)):
                field, value, flag = mark
                body[field] = value
                flags.append(flag)
                if len(beside) == 2 and cell in beside:
                    beside.remove(cell)
                    body["ticket"] = beside[0]
        return tuple(flags)

    def _require_load(self, row: Row) -> None:
        """Refuse a row that is no load by its looks: damaged, headings again, a sum."""
        cells = row.cells
        if row.damage:
            raise Refused("row", _first(cells), row.damage)
        if cells[0] == self._headings[0] and tuple(cells[: self._width]) == self._headings:
            raise Refused("row", _first(cells), "it only says the headings again")
        beyond = _first(cells[self._width :]) if len(cells) > self._width else ""
        if beyond and self._text_file:
            raise Refused("row", beyond, _TOO_MANY)
        ticket = self._cell(row, "ticket") if "ticket" in self._at else ""
        if not ticket[-1:].isdigit():
            self._require_no_sum(row, ticket)
        if row.line == self._cut_line:
            raise Refused("row", cells[-1], "it is shorter than all others: the file is cut")

    def _require_no_sum(self, row: Row, ticket: str) -> None:
        """Refuse a row that says it is a sum, or that nothing tells from one."""
        looked_at = row.cells if "ticket" in self._at else [_first(row.cells)]
        if not any(map(str.isdigit, ticket)):
            for cell in filter(_is_total, looked_at):
                raise Refused("row", cell, "it looks like a total")
        telling = [field for field in ("ticket", "truck", *self._moments) if field in self._at]
        if telling and not any(self._cell(row, field) for field in telling):
            raise Refused("row", "", "nothing but a mass is in it, so it looks like a total")
        if not ticket and self._plant.numbers != "none":
            raise Refused("ticket", "", "it must be given, as this plant numbers its tickets")

    @staticmethod
    def _require_mass(body: Mapping[str, str]) -> None:
        weighed = "net" in body or ("gross" in body and "tare" in body)
        if body["decision"] == "taken" and not weighed:
            raise Refused("net", "", "it must be given, or gross and tare")


def _first(cells: Sequence[str]) -> str:
    return next(filter(None, cells), "")


def _text(field: str, cell: str) -> str:
    """A cell as text; raises Refused where it is spoilt or the form has no room for it."""
    most = LOAD.fields[field].most
    if not (cell.isprintable() and "\ufffd" not in cell) and _SPOILT.search(cell):
        raise Refused(field, cell, "a character in it is damaged, or doesn't print")
    if len(cell) > most:
        raise Refused(field, cell, f"it must be text of 1 to {most} characters")
    return "" if is_nothing(cell) else cell


@lru_cache(maxsize=4096)
def _value(cell: str) -> str:
    return VALUES.get(words_of(cell), "")


@lru_cache(maxsize=64)
def _decision(field: str, cell: str) -> str:
    value = _value(cell)
    if is_nothing(cell) or value == "good":
        return "taken"
    if said := DECISIONS[field].get(value):
        return said
    raise Refused(field, cell, "it must be blank or a word such as OK, void or rejected")


@lru_cache(maxsize=4096)
def _is_total(cell: str) -> bool:
    words = words_of(cell[:80])[:2]
    return any(VALUES.get((word,)) == "total" for word in words)


def _cut_line(sheet: Sheet) -> int:
    """The line of a last row that is shorter than every other, as when a file is cut; or 0."""
    widths = [len(row.cells) for row in sheet.rows]
    last = widths[-1] if widths else 0
    shorter = bool(widths[:-1]) and last < min(*widths[:-1], len(sheet.headings))
    return sheet.rows[-1].line if shorter else 0


def _column(rows: Iterable[Row], at: int) -> set[str]:
    return {row.cells[at] for row in rows if at < len(row.cells)}


def _mixes(plan: Plan) -> dict[str, str]:
    return _ids((mix.id, (mix.id, mix.name, mix.design)) for mix in plan.mixes.values())


def _trucks(plan: Plan) -> dict[str, str]:
    return _ids((truck.id, (truck.id, truck.name)) for truck in plan.trucks.values())


def _ids(named: Iterable[tuple[str, tuple[str, ...]]]) -> dict[str, str]:
    """The id that each name stands for, where it stands for one only."""
    found: dict[str, set[str]] = {}
    for name, labels in named:
        for label in filter(None, labels):
            found.setdefault(label.casefold(), set()).add(name)
    return {label: next(iter(ids)) for label, ids in found.items() if len(ids) == 1}
