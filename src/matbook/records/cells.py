"""A sheet of a workbook: its cells as the text that they stand for, row by row.

Names, kinds of cell and date systems: ECMA-376-1 (SpreadsheetML), sections 18.3.1.4, 18.17.4 and
18.18.11; from memory.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from datetime import datetime, timedelta
from decimal import Decimal
from math import isfinite
from typing import Final

from matbook.errors import FileRefused
from matbook.records.delimited import MOST_ROWS, Row
from matbook.records.parts import ODD, Attributes, Format, parse, plain, whole

MOST_CELLS: Final = 4_000_000
MOST_COLUMNS: Final = 1_000
HIDDEN: Final = "its row is hidden in the workbook"

_NAME = re.compile(r"([A-Z]{1,3})([0-9]{1,7})")
_FROM_1900: Final = datetime(1899, 12, 30)  # counts 29 February 1900, which never was
_FROM_1904: Final = datetime(1904, 1, 1)
_DAYS: Final = 2_950_000  # a day in the year 9976
_DAY_S: Final = 86_400


class SheetReader:
    """Reads a sheet's cells as the text that they stand for."""

    def __init__(self, strings: Sequence[str], styles: Sequence[Format], from_1904: bool) -> None:
        self._strings = strings
        self._styles = styles
        self._begin = _FROM_1904 if from_1904 else _FROM_1900
        self._kinds: Mapping[str, Callable[[str, str], str]] = {
            "n": self._number,
            "s": self._shared,
            "b": lambda value, style: "TRUE" if value == "1" else "FALSE",
            "str": lambda value, style: plain(value),
            "inlineStr": lambda value, style: plain(value),
            "e": lambda value, style: value,
            "d": lambda value, style: value.replace("T", " "),
        }

    def read(self, content: bytes) -> list[Row]:
        """All rows with anything in them, from the top down."""
        found = _Rows()

        def start(name: str, has: Attributes) -> None:
            if name == "c":
                found.begin_cell(has)
            elif name == "row":
                found.begin_row(has)

        def end(name: str, text: str) -> None:
            if name == "v":
                found.value = text
            elif name == "t":
                found.value += text
            elif name == "c" and found.value:
                kind = self._kinds.get(found.kind)
                if kind is None:
                    raise FileRefused(ODD)
                found.keep(kind(found.value, found.style))
            elif name == "row":
                found.end_row()

        parse(content, start, end)
        return found.rows

    def _shared(self, value: str, style: str) -> str:
        at = whole(value)
        if at >= len(self._strings):
            raise FileRefused(ODD)
        return self._strings[at]

    def _number(self, value: str, style: str) -> str:
        try:
            number = float(value)
        except ValueError:
            raise FileRefused(ODD) from None
        at = whole(style)
        shown = self._styles[at] if at < len(self._styles) else Format()
        if shown.moment and 0 <= number < _DAYS:
            return self._moment(number)
        if not isfinite(number):
            return value
        text = format(Decimal(f"{number:.15g}"), "f")  # a workbook keeps 15 digits
        front, _, part = text.partition(".")
        return f"{front}.{part:0<{shown.decimals}}" if len(part) < shown.decimals else text

    def _moment(self, days: float) -> str:
        """A count of days: less than one is a time, a whole one a date; to the second."""
        seconds = round(days * _DAY_S)
        moment = self._begin + timedelta(seconds=seconds)
        if seconds < _DAY_S:
            return f"{moment:%H:%M:%S}"
        return moment.isoformat(" ") if seconds % _DAY_S else f"{moment:%Y-%m-%d}"


class _Rows:
    """The rows of a sheet as they come."""

    def __init__(self) -> None:
        self.rows: list[Row] = []
        self.kind, self.style, self.value = "n", "0", ""
        self._line, self._column, self._damage = 0, 0, ""
        self._cells: dict[int, str] = {}
        self._count = 0

    def begin_row(self, has: Attributes) -> None:
        line = whole(has["r"]) if "r" in has else self._line + 1
        if line <= self._line:
            raise FileRefused(ODD)
        self._line, self._column = line, 0
        self._damage = HIDDEN if has.get("hidden") in ("1", "true") else ""

    def begin_cell(self, has: Attributes) -> None:
        self.kind, self.style, self.value = has.get("t", "n"), has.get("s", "0"), ""
        name = has.get("r")
        if name is None:
            self._column += 1
        elif found := _NAME.fullmatch(name):
            self._column = _column(found[1])
        else:
            raise FileRefused(ODD)

    def keep(self, text: str) -> None:
        if self._column > MOST_COLUMNS:
            raise FileRefused(f"The workbook has a table of more than {MOST_COLUMNS} columns.")
        if text:
            self._cells[self._column] = text

    def end_row(self) -> None:
        if not self._cells:
            return
        width = max(self._cells)
        self._count += width
        if len(self.rows) > MOST_ROWS or self._count > MOST_CELLS:
            raise FileRefused(f"The workbook has more than {MOST_ROWS} rows; send it in parts.")
        cells = [self._cells.get(at, "") for at in range(1, width + 1)]
        self.rows.append(Row(self._line, cells, self._damage))
        self._cells.clear()


def _column(letters: str) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - 64
    return number
