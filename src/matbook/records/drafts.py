"""What a ticket file holds for one shift: drafts of loads, and rows that can't be taken."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final, NamedTuple

from matbook.book.pen import ShiftName
from matbook.records.headings import Column
from matbook.records.sheets import Sheet

FLAGS: Final[Mapping[str, str]] = {
    "no-time": "no time of its own; placed after the row before it",
    "clock-repeats": "the clock showed this time twice that night; told by the order of the rows",
    "future": "later than now",
    "void-mark": "void, by a mark beside the ticket",
    "reprint": "a reprint, by a mark beside the ticket",
}
"""What a person should know of a draft, by code."""


class Draft(NamedTuple):
    """A row that can be taken: the load entry that it would become."""

    line: int
    id: str
    at: str
    body: Mapping[str, str]
    flags: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class RefusedRow:
    """A row that can't be taken: its line, which field, what was given, and why not."""

    line: int
    field: str
    given: str
    reason: str
    row: Mapping[str, str]
    """The row as it stood, by heading."""


@dataclass(frozen=True, slots=True)
class TicketFile:
    """What a ticket file holds for one shift."""

    sheet: Sheet
    plant: str
    shift: ShiftName
    mapping: Mapping[str, Column]
    date_order: str
    decimal_mark: str
    drafts: Sequence[Draft]
    refused: Sequence[RefusedRow]
