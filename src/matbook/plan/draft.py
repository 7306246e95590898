"""A plan while it is being read: its rows as taken so far, and every mistake found in them."""

import difflib
from collections.abc import Collection, Iterator, Mapping
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from matbook.engine.schedules import Composite, PaySchedule
from matbook.engine.stationing import Stationing
from matbook.errors import Refused
from matbook.plan import values
from matbook.plan.form import ROOT, Field, Table, form, inner


class Mistake(NamedTuple):
    """One mistake: its row's number in the file's order, its place, and the sentence."""

    order: int
    place: str
    sentence: str


@dataclass(slots=True)
class Row:
    """One table of the plan: what was written, and what could be taken of it."""

    table: Table
    raw: Mapping[str, Any]
    place: str
    order: int
    parent: "Row | None"
    values: dict[str, Any] = field(default_factory=dict)
    metres: dict[str, float] = field(default_factory=dict)
    """Stations of this row along their road."""

    def get(self, name: str) -> Any:
        """The value of a field; None if it is missing or was a mistake."""
        return self.values.get(name)

    @property
    def key(self) -> str:
        """What names this row among its like; empty if that is missing."""
        return str(self.values.get(self.table.key, ""))

    def wrong(self, name: str, allowed: str, given: object = None) -> Mistake:
        """A mistake at one of the row's fields."""
        place = f"{self.place}, {name}" if self.place else name
        given = self.raw.get(name) if given is None else given
        if given is None:
            return Mistake(self.order, place, f"{name} is missing; {allowed}.")
        return Mistake(self.order, place, str(Refused(name, given, allowed)))


class Draft:
    """Every row of the plan by table, in the file's order, and the mistakes."""

    def __init__(self, document: Mapping[str, Any]) -> None:
        self.rows: dict[str, list[Row]] = {name: [] for name in form()}
        self.mistakes: list[Mistake] = []
        self.roads: dict[str, Stationing] = {}
        """How the points of each road are labelled, where that could be read."""
        self.schedules: dict[str, PaySchedule | Composite] = {}
        """Pay schedules of the plan's own, where they could be read."""
        self._count = 0
        self.root = self._take(form()[ROOT], document, "", None)

    def all_rows(self) -> Iterator[Row]:
        for rows in self.rows.values():
            yield from rows

    def keys(self, table: str) -> list[str]:
        """What names the rows of a table."""
        return [row.key for row in self.rows[table]]

    def _take(self, table: Table, raw: Mapping[str, Any], place: str, parent: Row | None) -> Row:
        row = Row(table, raw, place, self._count, parent)
        self._count += 1
        self.rows[table.name].append(row)
        for name in raw:
            if name not in table.fields:
                self.mistakes.append(_unknown(row, name))
        for each in table.fields.values():
            if each.name in raw:
                self._read(row, each, raw[each.name])
            elif each.need:
                self.mistakes.append(row.wrong(each.name, _allowed(each)))
        return row

    def _read(self, row: Row, each: Field, given: object) -> None:
        table = inner(each)
        if table is not None:
            value = self._tables(row, each, table, given)
        else:
            value = values.read(each, given)
        if value is None:
            self.mistakes.append(row.wrong(each.name, _allowed(each), given))
        else:
            row.values[each.name] = value

    def _tables(self, row: Row, each: Field, table: Table, given: object) -> object:
        """The row or rows that a field holds; None if it isn't a table, or a list of them."""
        place = f"{row.place}, {each.name}" if row.place else each.name
        if each.type == "table":
            return self._take(table, given, place, row) if isinstance(given, dict) else None
        if not isinstance(given, list) or not all(isinstance(item, dict) for item in given):
            return None
        if each.need and not given:
            return None
        rows = []
        for number, item in enumerate(given, 1):
            name = item.get(table.key)
            label = f" “{_short(name)}”" if isinstance(name, str) else ""
            rows.append(self._take(table, item, f"{place}[{number}]{label}", row))
        self.mistakes += _twice(rows)
        return tuple(rows)


def near(given: str, known: Collection[str], what: str) -> str:
    """What is known, with the nearest name to what was given, as the end of a sentence."""
    best = difflib.get_close_matches(given[:60], known, 1, 0.5)
    if best:
        return f"there is no such name among {what} (did you mean “{best[0]}”?)"
    listed = ", ".join(list(known)[:12]) + (" …" if len(known) > 12 else "")
    return f"there is no such name among {what}: {listed or 'there are none'}"


def _allowed(each: Field) -> str:
    if each.type == "table":
        return f"it must be a table, written [{each.name}]"
    if each.type == "tables":
        return f"it must be a list of tables, written [[{each.name}]] before each"
    return values.allowed(each)


def _unknown(row: Row, name: str) -> Mistake:
    shown = _short(name)
    place = f"{row.place}, {shown}" if row.place else shown
    top = form()[ROOT].fields.get(name)
    if top is not None and inner(top) is None:
        hint = "it belongs at the top of the plan, before the first table."
    else:
        best = difflib.get_close_matches(name[:60], row.table.fields, 1, 0.5)
        hint = f"did you mean “{best[0]}”?" if best else f"it takes {', '.join(row.table.fields)}."
    return Mistake(row.order, place, f"“{shown}” is not known here; {hint}")


def _short(name: str) -> str:
    """A name in a place, whatever somebody wrote there."""
    return "".join(letter if letter.isprintable() else "·" for letter in name[:40])


def _twice(rows: list[Row]) -> Iterator[Mistake]:
    """Rows that carry a name which a row before them carries."""
    first: dict[str, Row] = {}
    for row in rows:
        before = first.setdefault(row.key, row) if row.key else row
        if before is not row:
            yield row.wrong(row.table.key, f"{before.place} has it already, and it must differ")
