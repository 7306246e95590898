"""The XML within a workbook: shared texts, number formats, and a sheet's cells as text.

Names, kinds of cell, built-in formats and date systems: ECMA-376-1 (SpreadsheetML), sections
18.3.1.4, 18.8.30, 18.17.4 and 18.18.11; from memory.
"""

import re
from collections.abc import Callable, Mapping, Sequence
from datetime import datetime, timedelta
from decimal import Decimal
from math import isfinite
from typing import Final, NamedTuple
from xml.parsers import expat

from matbook.errors import FileRefused
from matbook.records.delimited import MOST_ROWS, Row, unprotected

AGAIN: Final = "Save it again as .xlsx, or as CSV."
ODD: Final = f"The workbook is not put together as one should be. {AGAIN}"
MOST_CELLS: Final = 4_000_000
MOST_COLUMNS: Final = 1_000
HIDDEN: Final = "its row is hidden in the workbook"

Attributes = dict[str, str]

_NAME = re.compile(r"([A-Z]{1,3})([0-9]{1,7})")
_NOT_SHOWN = re.compile(r'"[^"]*"|\[[^\]]*\]|\\.|_.|\*.')
_DECIMALS = re.compile(r"[0#]\.(0+)")
_DATE_FORMATS: Final = frozenset([*range(14, 23), *range(27, 37), *range(45, 48), *range(50, 59)])
_BUILT_IN: Final[Mapping[int, int]] = {2: 2, 4: 2, 39: 2, 40: 2}
"""Decimals of the built-in formats that have any."""
_FROM_1900: Final = datetime(1899, 12, 30)  # counts 29 February 1900, which never was
_FROM_1904: Final = datetime(1904, 1, 1)
_DAYS: Final = 2_950_000  # a day in the year 9976
_DAY_S: Final = 86_400


class Format(NamedTuple):
    """How a workbook shows a number: as a date or time, or with so many decimals."""

    moment: bool = False
    decimals: int = 0


class Contents(NamedTuple):
    """The visible sheets of a workbook, as name and link, and which date it counts days from."""

    visible: list[tuple[str, str]]
    from_1904: bool


class Link(NamedTuple):
    """Where a link of the workbook leads, and to what."""

    kind: str
    path: str


def read_contents(content: bytes) -> Contents:
    """Which sheets a workbook shows."""
    visible: list[tuple[str, str]] = []
    systems = []

    def start(name: str, has: Attributes) -> None:
        if name == "sheet" and has.get("state", "visible") == "visible":
            link = next((value for key, value in has.items() if key.endswith(":id")), "")
            visible.append((has.get("name", ""), link))
        elif name == "workbookPr":
            systems.append(has.get("date1904", "0"))

    _parse(content, start, lambda name, text: None)
    return Contents(visible, any(system in ("1", "true") for system in systems))


def read_links(content: bytes) -> dict[str, Link]:
    """Where a workbook's links lead, by their id."""
    links = {}

    def start(name: str, has: Attributes) -> None:
        if name == "Relationship":
            kind = has.get("Type", "").rpartition("/")[2]
            links[has.get("Id", "")] = Link(kind, has.get("Target", ""))

    _parse(content, start, lambda name, text: None)
    return links


def read_strings(content: bytes) -> list[str]:
    """The texts that cells share; how to pronounce them is left out."""
    strings: list[str] = []
    pieces: list[str] = []
    spoken = []

    def start(name: str, has: Attributes) -> None:
        if name == "si":
            pieces.clear()
        elif name == "rPh":
            spoken.append(len(pieces))

    def end(name: str, text: str) -> None:
        if name == "t":
            pieces.append(text)
        elif name == "rPh":
            del pieces[spoken.pop() :]
        elif name == "si":
            strings.append(_plain("".join(pieces)))

    _parse(content, start, end)
    return strings


def read_styles(content: bytes) -> list[Format]:
    """The format of numbers for each style of cell."""
    own: dict[int, Format] = {}
    styles: list[Format] = []
    within: list[str] = []

    def start(name: str, has: Attributes) -> None:
        if name == "numFmt":
            own[_whole(has.get("numFmtId", ""))] = format_of(has.get("formatCode", ""))
        elif name == "xf" and within[-1:] == ["cellXfs"]:
            number = _whole(has.get("numFmtId", "0"))
            known = Format(number in _DATE_FORMATS, _BUILT_IN.get(number, 0))
            styles.append(own.get(number, known))
        elif name in ("cellXfs", "cellStyleXfs"):
            within.append(name)

    _parse(content, start, lambda name, text: None)
    return styles


def format_of(code: str) -> Format:
    """What a number format shows.

    Example:
        >>> format_of("dd/mm/yyyy hh:mm"), format_of('#,##0.00 "t"')
        (Format(moment=True, decimals=0), Format(moment=False, decimals=2))
    """
    shown = _NOT_SHOWN.sub("", code.partition(";")[0]).casefold()
    if any(letter in shown for letter in "dmyhs"):
        return Format(moment=True)
    found = None if "%" in shown or "e" in shown else _DECIMALS.search(shown)
    return Format(decimals=len(found[1]) if found else 0)


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
            "str": lambda value, style: _plain(value),
            "inlineStr": lambda value, style: _plain(value),
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

        _parse(content, start, end)
        return found.rows

    def _shared(self, value: str, style: str) -> str:
        at = _whole(value)
        if at >= len(self._strings):
            raise FileRefused(ODD)
        return self._strings[at]

    def _number(self, value: str, style: str) -> str:
        try:
            number = float(value)
        except ValueError:
            raise FileRefused(ODD) from None
        at = _whole(style)
        shown = self._styles[at] if at < len(self._styles) else Format()
        if shown.moment and 0 <= number < _DAYS:
            return self._moment(number)
        if not isfinite(number):
            return value
        text = format(Decimal(f"{number:.15g}"), "f")  # a workbook keeps 15 digits
        whole, _, part = text.partition(".")
        return f"{whole}.{part:0<{shown.decimals}}" if len(part) < shown.decimals else text

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
        line = _whole(has["r"]) if "r" in has else self._line + 1
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


def _whole(digits: str) -> int:
    if digits.isascii() and digits.isdigit() and len(digits) < 10:
        return int(digits)
    raise FileRefused(ODD)


def _plain(text: str) -> str:
    return unprotected(text.strip())


def _parse(
    content: bytes, start: Callable[[str, Attributes], None], end: Callable[[str, str], None]
) -> None:
    """Read XML: `start` gets each element's name and attributes, `end` its name and last text.

    Names come without their prefix. A document type is refused: its entities could be anything.
    """
    if not content:
        return
    pieces: list[str] = []

    def begins(name: str, has: Attributes) -> None:
        pieces.clear()
        start(name.rpartition(":")[2], has)

    def ends(name: str) -> None:
        end(name.rpartition(":")[2], "".join(pieces))
        pieces.clear()

    def refuse(*args: object) -> None:
        raise FileRefused(ODD)

    parser = expat.ParserCreate()
    parser.buffer_text = True
    parser.StartElementHandler = begins
    parser.EndElementHandler = ends
    parser.CharacterDataHandler = pieces.append
    parser.StartDoctypeDeclHandler = refuse
    try:
        parser.Parse(content, True)
    except (expat.ExpatError, LookupError, ValueError) as error:  # or an unknown encoding
        raise FileRefused(f"The workbook is damaged ({error}). {AGAIN}") from None
