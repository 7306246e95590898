"""A table in a file, as text: its headings, and its rows with the line that each stands on."""

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from itertools import zip_longest
from typing import Final

from matbook.errors import FileRefused
from matbook.records.delimited import TRIED_LINES, Likeness, Row, read_delimited
from matbook.records.headings import recognise
from matbook.records.workbook import is_workbook, read_workbook

FEWEST_HEADINGS: Final = 2
TRIED_CELLS: Final = 250


@dataclass(frozen=True, slots=True)
class Sheet:
    """A table as it stands in a file."""

    name: str
    how: str
    """How the file is written, to be shown."""
    headings: tuple[str, ...]
    heading_line: int
    rows: Sequence[Row]
    """All rows below the headings that hold anything."""
    decimal_mark: str = ""
    """The file's decimal mark, where its numbers aren't text."""

    def cells_of(self, row: Row) -> dict[str, str]:
        """A row by its headings; where one is missing or repeated, with its column's number."""
        found: dict[str, str] = {}
        for number, (heading, cell) in enumerate(zip_longest(self.headings, row.cells), start=1):
            name = heading or f"column {number}"
            found[f"{name} ({number})" if name in found else name] = cell or ""
        return found


def read_sheet(data: bytes, name: str, known: Collection[str] = ()) -> Sheet:
    """Read the table in a CSV file or an .xlsx workbook.

    The row of headings needn't be the first: it is the one with the most words that
    `headings.toml`, or the plan, knows; lines above it are titles.

    Args:
        data: The file's bytes.
        name: Its name, for the person who reads a refusal.
        known: Headings that the plan names.

    Raises:
        FileRefused: A sentence saying why no table can be read from it.
    """
    wanted = {" ".join(heading.split()).casefold() for heading in known if heading}

    def likeness(row: Sequence[str]) -> int:
        cells = row[:TRIED_CELLS]
        named = {" ".join(cell.split()).casefold() for cell in cells} & wanted
        fields = {seen.field for cell in cells if (seen := recognise(cell.strip()))}
        return len(fields) + 2 * len(named)

    workbook = is_workbook(data)
    try:
        rows, how = (read_workbook if workbook else read_delimited)(data, likeness)
        at = _heading_row(rows, likeness)
    except FileRefused as refusal:
        raise FileRefused(f"{name}: {refusal}") from None
    headings = [" ".join(cell.split()) for cell in rows[at].cells]
    while not headings[-1]:
        headings.pop()
    return Sheet(name, how, tuple(headings), rows[at].line, rows[at + 1 :], "." if workbook else "")


def _heading_row(rows: Sequence[Row], likeness: Likeness) -> int:
    """Where the headings stand among the first rows."""
    marks = [likeness(row.cells) for row in rows[:TRIED_LINES]]
    best = max(marks, default=0)
    if best < FEWEST_HEADINGS:
        shown = "; ".join(" | ".join(row.cells)[:60] for row in rows[:3])
        raise FileRefused(
            "no row looks like headings of a ticket file (ticket number, truck, net mass, time). "
            "If it has such a row, name its headings in the plan at the plant: "
            f'columns = {{ ticket = "…", net = "…" }}. The file begins: {shown}'
        )
    return marks.index(best)
