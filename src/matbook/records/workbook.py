"""Workbooks (.xlsx): looked over before they are opened, then read as rows of text.

A workbook is a zip of XML. A few kilobytes can claim millions of cells, so each part is measured
as it unpacks, and the cells it names are counted, before a reader makes a table of them.
"""

import io
import re
import zipfile
import zlib
from collections.abc import Callable, Iterator, Sequence
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Final

import python_calamine as calamine

from matbook.errors import FileRefused
from matbook.records.delimited import LARGEST_FILE, MOST_ROWS, Row, unprotected

MOST_CELLS: Final = 5_000_000
MOST_TEXT: Final = 500_000_000
"""Characters of all cells together, were each of them the longest shared text."""

MOST_PARTS: Final = 2_000
_PIECE: Final = 1 << 16
_CELL = re.compile(rb"""\sr\s*=\s*["']([A-Z]{0,3})([0-9]{1,7})["']""")
_TEXT_ENDS: Final = b"</si>"
_OLE: Final = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_AGAIN: Final = "Save it again as .xlsx, or as CSV."

Cell = str | float | bool | date | time | timedelta


def is_workbook(data: bytes) -> bool:
    """Whether a file is a zip, as .xlsx is, or a workbook of the old kind."""
    return data.startswith((b"PK\x03\x04", b"PK\x05\x06", _OLE))


def read_workbook(data: bytes, likeness: Callable[[Sequence[str]], int]) -> tuple[list[Row], str]:
    """The rows of the visible sheet with the best row of headings, and that sheet's name.

    Numbers come as their value: a workbook that shows 22.40 keeps 22.4. Formulas come as what
    they last gave; an error in a cell comes as an empty cell.

    Raises:
        FileRefused: It is no .xlsx, is damaged, holds too much, or no visible sheet holds a row.
    """
    _look_over(data)
    try:
        sheets = list(_visible_sheets(data))
    except calamine.CalamineError as error:
        raise FileRefused(f"The workbook can't be read ({str(error)[:100]}). {_AGAIN}") from None
    except (ValueError, OverflowError):
        raise FileRefused(f"The workbook holds a date or a time that can't be. {_AGAIN}") from None
    if not sheets:
        raise FileRefused("The workbook has no visible sheet with anything in it.")
    return max(sheets, key=lambda sheet: max(likeness(row.cells) for row in sheet[0][:60]))


def _visible_sheets(data: bytes) -> Iterator[tuple[list[Row], str]]:
    with calamine.load_workbook(io.BytesIO(data)) as book:
        for index, meta in enumerate(book.sheets_metadata):
            kinds = (calamine.SheetTypeEnum.WorkSheet, calamine.SheetVisibleEnum.Visible)
            if (meta.typ, meta.visible) != kinds:
                continue
            table = book.get_sheet_by_index(index).to_python(skip_empty_area=False)
            rows = [Row(line, [_text(cell) for cell in cells]) for line, cells in enumerate(table, 1)]
            filled = [row for row in rows if any(row.cells)]
            if filled:
                yield filled, meta.name


def _text(cell: Cell) -> str:
    """A cell as text: numbers at the 15 digits that a spreadsheet keeps, moments by ISO 8601.

    Example:
        >>> _text(41007.0), _text(0.1 + 0.2), _text(datetime(2026, 5, 12, 7, 40, 59, 999990))
        ('41007', '0.3', '2026-05-12 07:41:00')
    """
    if isinstance(cell, str):
        return unprotected(cell).strip()
    if isinstance(cell, bool):
        return str(cell).upper()
    if isinstance(cell, int | float):
        return format(Decimal(f"{cell:.15g}"), "f")
    if isinstance(cell, datetime):
        return (cell + timedelta(milliseconds=500)).replace(microsecond=0).isoformat(" ")
    if isinstance(cell, time):
        cell = timedelta(hours=cell.hour, minutes=cell.minute, seconds=cell.second + (cell.microsecond >= 500_000))
    if isinstance(cell, timedelta):
        minutes, seconds = divmod(round(cell.total_seconds()), 60)
        return f"{minutes // 60:02}:{minutes % 60:02}:{seconds:02}"
    return cell.isoformat()


def _look_over(data: bytes) -> None:
    """Refuse what is no .xlsx, or would fill the memory when opened."""
    if data.startswith(_OLE):
        raise FileRefused(f"The workbook is of the old kind (.xls), or has a password. {_AGAIN}")
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            names = packed.namelist()
            if "xl/workbook.xml" not in names:
                raise FileRefused(f"The file is a zip, but not an .xlsx workbook. {_AGAIN}")
            if len(names) > MOST_PARTS or len(set(names)) < len(names):
                raise FileRefused(f"The workbook is not put together as one should be. {_AGAIN}")
            _measure(packed)
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, NotImplementedError, RuntimeError, ValueError) as error:
        raise FileRefused(f"The workbook is damaged ({str(error)[:100]}). {_AGAIN}") from None


def _measure(packed: zipfile.ZipFile) -> None:
    left, cells, longest = LARGEST_FILE, 0, 0
    for part in packed.infolist():
        part.file_size = left + 1  # what it says of itself is no promise
        with packed.open(part) as stream:
            content = stream.read(left + 1)
        left -= len(content)
        if left < 0:
            raise FileRefused(
                f"The workbook unpacks to more than {LARGEST_FILE // 1_000_000} MB; send it in parts."
            )
        if part.filename.startswith("xl/worksheets/"):
            cells = max(cells, _reach(content))
        elif part.filename.endswith("sharedStrings.xml"):
            longest = max(map(len, content.split(_TEXT_ENDS)))
    if cells * longest > MOST_TEXT:
        raise FileRefused("The workbook's cells hold more text than can be read.")


def _reach(sheet: bytes) -> int:
    """Cells of the smallest block, from the top left, that holds all that a sheet names."""
    widest, lowest = 1, 1
    for letters, digits in _CELL.findall(sheet):
        lowest = max(lowest, int(digits))
        column = 0
        for letter in letters:
            column = column * 26 + letter - 64
        widest = max(widest, column)
    if lowest > MOST_ROWS or lowest * widest > MOST_CELLS:
        raise FileRefused(
            f"The workbook has a sheet of {lowest} rows by {widest} columns; at most {MOST_ROWS} "
            "rows are read. Delete what stands far below or beside the table."
        )
    return lowest * widest
