"""Delimited text, however it was saved: its encoding, its delimiter, its rows."""

import csv
import io
import re
from collections.abc import Callable, Iterable, Iterator, Sequence
from itertools import islice
from typing import Final, NamedTuple

from matbook.errors import FileRefused

DELIMITERS: Final = {",": "comma", ";": "semicolon", "\t": "tab", "|": "bar"}
LARGEST_FILE: Final = 50_000_000
MOST_ROWS: Final = 200_000
LONGEST_LINE: Final = 1_000_000
TRIED_LINES: Final = 60
"""Lines at the top of a file that its delimiter and its headings are looked for in."""

_MARKS: Final = (
    (b"\xef\xbb\xbf", "utf-8-sig"),
    (b"\xff\xfe\x00\x00", "utf-32"),
    (b"\x00\x00\xfe\xff", "utf-32"),
    (b"\xff\xfe", "utf-16"),
    (b"\xfe\xff", "utf-16"),
)
_CONTROLS = re.compile(r"[\x00-\x08\x0e-\x1f]")
_BEYOND_ASCII = re.compile(r"[^\x00-\x7f]")
_TAKEN_AS_FORMULA = re.compile(r'="([^"]*)"')
_SAFE_QUOTE = re.compile(r"'(?=[=+\-@\t\r])")


Likeness = Callable[[Sequence[str]], int]
"""How much a row looks like a row of headings."""


class Row(NamedTuple):
    """A row as it stands: the line it begins on, its cells, and what spoils it, if anything."""

    line: int
    cells: Sequence[str]
    damage: str = ""


def read_delimited(data: bytes, likeness: Likeness) -> tuple[list[Row], str]:
    """The rows of delimited text that hold anything, and how it was saved.

    Raises:
        FileRefused: The file is too large or isn't text.
    """
    if len(data) > LARGEST_FILE:
        size, most = len(data) // 1_000_000, LARGEST_FILE // 1_000_000
        raise FileRefused(f"The file has {size} MB; at most {most} are read. Send it in parts.")
    text, encoding = decoded(data)
    delimiter = _delimiter(text, likeness)
    return _rows(text, delimiter), f"{encoding}, {DELIMITERS[delimiter]}-separated"


def decoded(data: bytes) -> tuple[str, str]:
    """The text of a file and its encoding: by its mark, else UTF-8, else Windows-1252."""
    encoding = next((name for mark, name in _MARKS if data.startswith(mark)), "utf-8")
    try:
        text = data.decode(encoding)
    except UnicodeDecodeError:
        text = data.decode(encoding, "replace")
        # A few damaged bytes spoil their rows; more wrong than right is another encoding.
        if encoding == "utf-8" and text.count("\ufffd") * 2 > len(_BEYOND_ASCII.findall(text)):
            encoding, text = "cp1252", data.decode("cp1252", "replace")
    text = text.rstrip("\x1a")
    if "\x00" in text:
        raise FileRefused("The file holds zero bytes: it is no text. Save it as CSV or .xlsx.")
    if len(_CONTROLS.findall(text)) * 100 > len(text):
        raise FileRefused("The file isn't text that can be read. Save it as CSV or .xlsx.")
    return text, encoding


def _delimiter(text: str, likeness: Likeness) -> str:
    """The delimiter under which the top of the file has the best row of headings."""
    top = list(islice(_lines(text), TRIED_LINES))

    def score(delimiter: str) -> tuple[int, int]:
        rows = [row.cells for row in _line_by_line(top, delimiter)]
        widths = [len(cells) for cells in rows if len(cells) > 1]
        return max(map(likeness, rows), default=0), len(widths)

    return max(DELIMITERS, key=score)


def _rows(text: str, delimiter: str) -> list[Row]:
    """All rows that hold anything; a quote left open spoils its own line and no other."""
    reader = csv.reader(_lines(text), delimiter=delimiter, strict=True)
    rows: list[Row] = []
    last = 0
    try:
        for cells in reader:
            begins, last = last + 1, reader.line_num
            if last > begins and _swallowed(cells, delimiter):
                break
            _keep(rows, begins, cells)
        else:
            return rows
    except csv.Error:
        pass
    rows.clear()
    for row in _line_by_line(_lines(text), delimiter):
        _keep(rows, *row)
    return rows


def _lines(text: str) -> Iterator[str]:
    """The lines of a text, with whatever ends them."""
    for number, line in enumerate(io.StringIO(text, newline=""), start=1):
        if len(line) > LONGEST_LINE:
            raise FileRefused(f"Line {number} has {len(line)} characters: this is no ticket file.")
        yield line


def _swallowed(cells: Sequence[str], delimiter: str) -> bool:
    """Whether a cell holds what looks like whole rows: some quote above was left open."""
    return any(
        max(part.count(delimiter) for part in cell.splitlines() or [""]) >= 2 for cell in cells
    )


def _line_by_line(lines: Iterable[str], delimiter: str) -> Iterator[Row]:
    for number, line in enumerate(lines, start=1):
        bare = line.rstrip("\r\n")
        try:
            yield Row(number, next(csv.reader([bare], delimiter=delimiter, strict=True), []))
        except csv.Error:
            yield Row(
                number,
                bare.split(delimiter),
                "its quotation marks do not pair, or a cell is far too long",
            )


def _keep(rows: list[Row], line: int, cells: Sequence[str], damage: str = "") -> None:
    """Add a row unless it is blank; what only protects a cell from a spreadsheet is taken off."""
    plain = [
        unprotected(cell) if cell.startswith(("=", "'")) else cell for cell in map(str.strip, cells)
    ]
    if not any(plain):
        return
    if len(rows) > MOST_ROWS:
        raise FileRefused(f"The file has more than {MOST_ROWS} rows; send it in parts.")
    rows.append(Row(line, plain, damage))


def unprotected(cell: str) -> str:
    """A cell without what was put before it so that no spreadsheet computes it.

    Example:
        >>> unprotected('="0041007"'), unprotected("'-5"), unprotected("'n Rijn")
        ('0041007', '-5', "'n Rijn")
    """
    if wrapped := _TAKEN_AS_FORMULA.fullmatch(cell):
        return wrapped[1]
    return _SAFE_QUOTE.sub("", cell, count=1)
