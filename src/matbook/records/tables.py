"""Plain tables as CSV and as workbooks: numbers stay numbers, text never becomes a formula."""

import csv
import io
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from decimal import Decimal
from itertools import chain, islice
from math import isfinite
from typing import Final, Literal

import xlsxwriter
from xlsxwriter.worksheet import Worksheet

from matbook.errors import Refused

Value = str | int | float | Decimal | datetime | None

STARTS_FORMULA: Final = ("=", "+", "-", "@", "\t", "\r")
"""What makes a spreadsheet compute a cell of text, if it begins so."""

LONGEST_CELL: Final = 32_767
MOST_ROWS: Final = 1_048_575
LONGEST_NAME: Final = 31
"""A workbook's own limits: characters of a cell, rows below the headings, a sheet's name."""

_LOOKED_AT: Final = 500
_WIDEST: Final = 60
_NOT_IN_NAMES: Final = str.maketrans(dict.fromkeys("[]:*?/\\'", " "))


@dataclass(frozen=True, slots=True)
class Column:
    """What a column holds; the unit stands in its heading."""

    heading: str
    kind: Literal["text", "number", "moment"] = "text"
    unit: str = ""

    @property
    def title(self) -> str:
        return f"{self.heading} ({self.unit})" if self.unit else self.heading


@dataclass(frozen=True, slots=True)
class Table:
    """A table to be written; a number is a number or its digits, a blank cell is None."""

    name: str
    columns: Sequence[Column]
    rows: Iterable[Sequence[Value]]


def safe(text: str) -> str:
    """A text that no spreadsheet takes for a formula.

    Example:
        >>> safe("=1+1"), safe("41007")
        ("'=1+1", '41007')
    """
    return f"'{text}" if text.startswith(STARTS_FORMULA) else text


def to_csv(table: Table) -> bytes:
    """A table as CSV (RFC 4180), in UTF-8 with a mark so that spreadsheets know.

    Numbers have a decimal point and keep their digits; moments are ISO 8601 with their offset.

    Raises:
        Refused: A number isn't one.
    """
    text = io.StringIO(newline="")
    writer = csv.writer(text)
    writer.writerow(safe(column.title) for column in table.columns)
    for row in table.rows:
        writer.writerow(
            _as_text(column, value) for column, value in zip(table.columns, row, strict=True)
        )
    return text.getvalue().encode("utf-8-sig", "replace")


def to_xlsx(tables: Iterable[Table], created: datetime) -> bytes:
    """Tables as the sheets of one workbook, written row by row.

    Moments are shown as the local time they were, since a workbook knows no offsets. A text
    longer than a cell can be is cut, and says so.

    Args:
        tables: One for each sheet.
        created: Stands in the file as the time it was made, so that equal tables at an equal
            time give equal bytes.

    Raises:
        Refused: A number isn't one, or a table has more rows than a workbook holds.
    """
    packed = io.BytesIO()
    with xlsxwriter.Workbook(packed, {"constant_memory": True}) as book:
        book.set_properties({"created": created.replace(tzinfo=None)})
        head = book.add_format({"bold": True, "text_wrap": True, "valign": "top"})
        moments = book.add_format({"num_format": "yyyy-mm-dd hh:mm:ss"})
        names: set[str] = set()
        for table in tables:
            sheet = book.add_worksheet(_sheet_name(table.name, names))
            sheet.freeze_panes(1, 0)
            rows = _fitted(sheet, table)
            for at, column in enumerate(table.columns):
                sheet.write_string(0, at, safe(column.title), head)
            for line, row in enumerate(rows, start=1):
                if line > MOST_ROWS:
                    raise Refused(table.name, line, f"a workbook holds {MOST_ROWS} rows; use CSV")
                for at, (column, value) in enumerate(zip(table.columns, row, strict=True)):
                    _write(sheet, line, at, column, value, moments)
    return packed.getvalue()


def _write(
    sheet: Worksheet, line: int, at: int, column: Column, value: Value, moments: object
) -> None:
    if column.kind == "moment" and isinstance(value, datetime):
        sheet.write_datetime(line, at, value.replace(tzinfo=None), moments)
        return
    text = _as_text(column, value)
    if column.kind == "number" and text:
        sheet.write_number(line, at, float(text))
    elif text:
        sheet.write_string(line, at, _cut(text))


def _cut(text: str) -> str:
    """A text that fits a cell; one that doesn't ends by saying how much is missing."""
    if len(text) <= LONGEST_CELL:
        return text
    return f"{text[: LONGEST_CELL - 60]} … [cut: the text has {len(text)} characters]"


def _as_text(column: Column, value: Value) -> str:
    if value is None or value == "":
        return ""
    if column.kind == "number":
        return _digits(column, value)
    if isinstance(value, datetime):
        return value.isoformat()
    return safe(str(value).encode("utf-8", "replace").decode())


def _digits(column: Column, value: Value) -> str:
    """A number's digits: as given, or a worked-out one at 12 significant digits."""
    if isinstance(value, float) and isfinite(value):
        value = Decimal(f"{value:.12g}")
    try:
        number = Decimal(str(value))
    except ArithmeticError:
        number = Decimal("NaN")
    if not number.is_finite():
        raise Refused(column.heading, value, "it must be a number")
    return format(number, "f")


def _fitted(sheet: Worksheet, table: Table) -> Iterator[Sequence[Value]]:
    """Make columns as wide as their headings and first cells; all the rows, once more."""
    rest = iter(table.rows)
    first = list(islice(rest, _LOOKED_AT))
    for at, column in enumerate(table.columns):
        cells = [len(_as_text(column, row[at])) for row in first if at < len(row)]
        words = [len(word) for word in column.title.split()]
        sheet.set_column(at, at, min(max(*cells, *words, 8, 8), _WIDEST) + 2)
    return chain(first, rest)


def _sheet_name(name: str, taken: set[str]) -> str:
    """A name that a workbook allows, and that no sheet before has."""
    plain = " ".join(name.translate(_NOT_IN_NAMES).split()) or "Sheet"
    found, number = plain[:LONGEST_NAME], 1
    while found.casefold() in taken:
        number += 1
        found = f"{plain[: LONGEST_NAME - len(str(number)) - 1]} {number}"
    taken.add(found.casefold())
    return found
