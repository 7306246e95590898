"""Numbers with units, as ticket files write them: decimal commas, thousands marks, own units.

A comma or a point before exactly three digits may part thousands or decimals. The rest of the
file tells which; failing that, whichever reading is a usual value. What stays open is refused.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from typing import Final

from matbook.book.kinds import Kind, faults, unusual
from matbook.engine import units
from matbook.errors import Refused
from matbook.records.headings import T_OR_TON, VALUES, Column, unit_named, words_of

_NUMBER = re.compile(r"\s*([-+\u2212]?)\s*([0-9][0-9.,'’\s]*|[.,][0-9]+)\s*([^0-9]*)")
_SPACED = re.compile(r"(?<=[0-9])[\s'’](?=[0-9]{3}(?![0-9]))")
_EITHER = re.compile(r"([1-9][0-9]{0,2})([.,])([0-9]{3})")
_GROUPS = re.compile(r"[1-9][0-9]{0,2}(?:(?:\.[0-9]{3})+(?:,[0-9]+)?|(?:,[0-9]{3})+(?:\.[0-9]+)?)")
_DECIMAL = re.compile(r"[0-9]*(?:([.,])[0-9]+)?")
LONGEST: Final = 64
"""Characters that a number may take."""
_OTHER: Final[Mapping[str, str]] = {".": ",", ",": "."}


@dataclass(frozen=True)
class Amounts:
    """Reads the cells of one column into the book's text for a measured value."""

    column: Column
    kind: Kind
    ton: str
    """What a bare "ton" is in this file: t or ton."""
    mark: str = ""
    """The file's decimal mark, or nothing where it isn't known."""
    _good: dict[str, str] = field(default_factory=dict, init=False, repr=False)
    _bad: dict[str, str] = field(default_factory=dict, init=False, repr=False)

    def read(self, cell: str) -> str:
        """The value such as "22.40 t", digits kept; empty for an empty cell; raises Refused."""
        text = self._good.get(cell)
        if text is None and cell not in self._bad:
            try:
                text = self._good[cell] = self._read(cell)
            except Refused as refusal:
                self._bad[cell] = refusal.allowed
        if text is None:
            raise Refused(self.column.field, cell, self._bad[cell])
        return text

    def mark_shown_by(self, cell: str) -> str:
        """The decimal mark under which an open number is a usual value, if under one only."""
        opened = _EITHER.fullmatch(_parts(cell)[1])
        if not opened:
            return ""
        marks = [mark for mark in _OTHER if self._usual(cell, mark)]
        return marks[0] if len(marks) == 1 else ""

    def _usual(self, cell: str, mark: str) -> bool:
        try:
            text = self._text(cell, mark)
        except Refused:
            return False
        return not unusual(self.kind, {self.column.field: text})

    def _read(self, cell: str) -> str:
        if is_nothing(cell):
            return ""
        return self._text(cell, self.mark or self.mark_shown_by(cell))

    def _text(self, cell: str, mark: str) -> str:
        sign, number, word = _parts(cell)
        text = str(units.parse(f"{sign}{_digits(cell, number, mark)} {self._unit(cell, word)}"))
        for fault in faults(self.kind, {**_LEAST, self.column.field: text}):
            raise Refused(self.column.field, cell, fault.allowed)
        return text

    def _unit(self, cell: str, word: str) -> str:
        """The cell's own unit, else its column's; the two may not gainsay each other."""
        if not word:
            return self.column.unit
        named = unit_named(word)
        unit = self.ton if named == T_OR_TON else named
        if unit == self.column.unit:
            return unit
        if not unit or units.dimension(unit) != units.dimension(self.column.unit):
            measure = units.dimension(self.column.unit)
            raise Refused("", cell, f"it must be a {measure}, such as 22.40 {self.column.unit}")
        if self.column.unit_in_heading:
            raise Refused("", cell, f"its heading says {self.column.unit}")
        return unit


_LEAST: Final = {"plant": "-", "decision": "taken"}


def is_nothing(cell: str) -> bool:
    """Whether a cell stands for nothing: blank, a dash, n/a.

    Example:
        >>> is_nothing(" -- "), is_nothing("N/A"), is_nothing("0")
        (True, True, False)
    """
    return not cell or (not (len(cell) > 4 and cell.isalnum()) and _says_nothing(cell))


@lru_cache(maxsize=4096)
def _says_nothing(cell: str) -> bool:
    words = words_of(cell)
    return not words or VALUES.get(words) == "nothing"


def decimal_mark(cells: Iterable[tuple[Amounts, str]]) -> str:
    """The decimal mark of a file, from all its numbers; nothing if they don't agree on one.

    Example:
        >>> (
        ...     shown_mark("22,40"),
        ...     shown_mark("49,380.5"),
        ...     shown_mark("1.234.567"),
        ...     shown_mark("1,386"),
        ... )
        (',', '.', ',', '')
    """
    opened = []
    shown = set()
    for amounts, cell in cells:
        number = _parts(cell)[1]
        mark = shown_mark(number)
        if mark:
            shown.add(mark)
        elif _EITHER.fullmatch(number):
            opened.append((amounts, cell))
    if not shown:
        shown = {amounts.mark_shown_by(cell) for amounts, cell in opened} - {""}
    return shown.pop() if len(shown) == 1 else ""


def shown_mark(number: str) -> str:
    """The decimal mark that a number shows beyond doubt, if any."""
    if _EITHER.fullmatch(number):
        return ""
    if _GROUPS.fullmatch(number):
        first = next(c for c in number if c in _OTHER)
        return _OTHER[first]
    found = _DECIMAL.fullmatch(number)
    return found[1] or "" if found else ""


def _digits(cell: str, number: str, mark: str) -> str:
    opened = _EITHER.fullmatch(number)
    if opened:
        whole, between, last = opened.groups()
        if not mark:
            either = f"it may be {whole}{last} or {whole}.{last}"
            raise Refused("", cell, f"{either}: write it without a mark between thousands")
        return f"{whole}.{last}" if between == mark else f"{whole}{last}"
    if _GROUPS.fullmatch(number):
        mark = shown_mark(number)
        return number.replace(_OTHER[mark], "").replace(mark, ".")
    if number and _DECIMAL.fullmatch(number):
        return number.replace(",", ".")
    raise Refused("", cell, "it must be a number, with at most one decimal mark")


def _parts(cell: str) -> tuple[str, str, str]:
    """Sign, number and unit of a cell, without spaces between thousands."""
    found = _NUMBER.fullmatch(cell) if len(cell) <= LONGEST else None
    if not found:
        return "", "", ""
    sign, number, word = found.groups()
    return sign, _SPACED.sub("", number.strip()), word.strip()
