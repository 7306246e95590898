"""Workbooks (.xlsx): looked over before they are opened, then read as rows of text.

A workbook is a zip of XML. A few kilobytes can claim millions of cells, so each part is measured
as it unpacks, and the cells it names are counted, before a reader makes a table of them.
"""

import io
import re
import struct
import zipfile
import zlib
from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from math import fsum
from typing import Final

import python_calamine as calamine

from matbook.errors import FileRefused
from matbook.records.delimited import (
    LARGEST_FILE,
    MOST_ROWS,
    TRIED_LINES,
    Likeness,
    Row,
    unprotected,
)

MOST_CELLS: Final = 4_000_000
MOST_TEXT: Final = 200_000_000
"""Bytes of text in all cells of a sheet; one shared text may stand in any number of them."""

MOST_PARTS: Final = 2_000
_PACKED: Final = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)
_EMPTY = re.compile(rb"""<(?:[^<>"'/]|/(?!>)|"[^"]{0,300}"|'[^']{0,300}')*+/>""")
_WHOLE = re.compile(rb">\s*([0-9]{1,9})\s*<")
_NAMES = re.compile(rb"""\br\s*=\s*(?:"([^"]*)"|'([^']*)')""")
_NAME = re.compile(rb"([A-Z]{0,3})([1-9][0-9]{0,6})")
_TEXT_ENDS: Final = b"</si>"
_OLE: Final = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_AGAIN: Final = "Save it again as .xlsx, or as CSV."

_DAMAGED: Final = (
    zipfile.BadZipFile,
    zlib.error,
    struct.error,
    EOFError,
    OSError,
    RuntimeError,
    ValueError,
)
"""What the zip reader raises at a zip that is broken, or that asks for a password."""

Cell = str | float | bool | date | time | timedelta


def is_workbook(data: bytes) -> bool:
    """Whether a file is a zip, as .xlsx is, or a workbook of the old kind."""
    return data.startswith((b"PK\x03\x04", b"PK\x05\x06", _OLE))


def read_workbook(data: bytes, likeness: Likeness) -> tuple[list[Row], str]:
    """The rows of the visible sheet with the best row of headings, and which sheet that is.

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
    rows, name = max(
        sheets, key=lambda sheet: max(likeness(row.cells) for row in sheet[0][:TRIED_LINES])
    )
    return rows, f"workbook, sheet “{name}”"


def _visible_sheets(data: bytes) -> Iterator[tuple[list[Row], str]]:
    with calamine.load_workbook(io.BytesIO(data)) as book:
        for index, meta in enumerate(book.sheets_metadata):
            kinds = (calamine.SheetTypeEnum.WorkSheet, calamine.SheetVisibleEnum.Visible)
            if (meta.typ, meta.visible) != kinds:
                continue
            table = book.get_sheet_by_index(index).to_python(skip_empty_area=False)
            rows = [
                Row(line, [_text(cell) for cell in cells]) for line, cells in enumerate(table, 1)
            ]
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
        cell = datetime.combine(date.min, cell) - datetime.min
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
            odd = {part.compress_type for part in packed.infolist()} - set(_PACKED)
            if odd or len(names) > MOST_PARTS or len(set(names)) < len(names):
                raise FileRefused(f"The workbook is not put together as one should be. {_AGAIN}")
            _measure(packed)
    except _DAMAGED as error:
        raise FileRefused(f"The workbook is damaged ({str(error)[:100]}). {_AGAIN}") from None


def _measure(packed: zipfile.ZipFile) -> None:
    left, sheets, lengths = LARGEST_FILE, list[bytes](), list[int]()
    for part in packed.infolist():
        part.file_size = 1 << 62  # what it says of itself is no promise
        with packed.open(part) as stream:
            content = stream.read(left + 1)
        left -= len(content)
        if left < 0:
            most = LARGEST_FILE // 1_000_000
            raise FileRefused(f"The workbook unpacks to more than {most} MB; send it in parts.")
        if part.filename.startswith("xl/worksheets/"):
            sheets.append(content)
        elif part.filename.endswith("sharedStrings.xml"):
            lengths = [len(text) for text in content.split(_TEXT_ENDS)]
    for sheet in sheets:
        _check_size(sheet, lengths)


def _check_size(sheet: bytes, lengths: Sequence[int]) -> None:
    """Refuse a sheet that would fill the memory: by its block of cells, or by their texts."""
    rows, columns = _reach(sheet)
    if rows > MOST_ROWS or rows * columns > MOST_CELLS:
        rows, columns = _reach(_EMPTY.sub(b"", sheet))  # empty cells with a format are no harm
    if rows > MOST_ROWS or rows * columns > MOST_CELLS:
        raise FileRefused(
            f"The workbook has a sheet of {rows} rows by {columns} columns; at most {MOST_ROWS} "
            "rows are read. Delete what stands far below or beside the table."
        )
    if rows * columns * max(lengths, default=0) > MOST_TEXT:
        named = Counter(int(digits) for digits in _WHOLE.findall(sheet))
        text = [lengths[at] * times for at, times in named.items() if at < len(lengths)]
        if fsum(text) > MOST_TEXT:
            raise FileRefused("The workbook's cells hold more text than can be read.")


def _reach(sheet: bytes) -> tuple[int, int]:
    """Rows and columns of the block, from the top left, that holds all that a sheet names.

    A name of another form is refused: a reader may take it for a cell a billion rows down.
    """
    names = [_NAME.fullmatch(one or other) for one, other in set(_NAMES.findall(sheet))]
    places = [(int(name[2]), _column(name[1])) for name in names if name]
    if len(places) < len(names):
        raise FileRefused(f"The workbook is not put together as one should be. {_AGAIN}")
    return max((row for row, _ in places), default=1), max((at for _, at in places), default=1)


def _column(letters: bytes) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + letter - 64
    return number or 1
