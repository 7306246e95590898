"""The parts of a workbook beside its cells: its sheets, shared texts and number formats.

Names, states and built-in formats: ECMA-376-1 (SpreadsheetML), sections 18.2.19, 18.4 and
18.8.30; from memory.
"""

import re
from collections.abc import Callable, Mapping
from typing import Final, NamedTuple
from xml.parsers import expat

from matbook.errors import FileRefused
from matbook.records.delimited import unprotected

AGAIN: Final = "Save it again as .xlsx, or as CSV."
ODD: Final = f"The workbook is not put together as one should be. {AGAIN}"

Attributes = dict[str, str]

_NOT_SHOWN = re.compile(r'"[^"]*"|\[[^\]]*\]|\\.|_.|\*.')
_DECIMALS = re.compile(r"[0#]\.(0+)")
_DATE_FORMATS: Final = frozenset([*range(14, 23), *range(27, 37), *range(45, 48), *range(50, 59)])
_BUILT_IN: Final[Mapping[int, int]] = {2: 2, 4: 2, 39: 2, 40: 2}
"""Decimals of the built-in formats that have any."""


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

    parse(content, start, lambda name, text: None)
    return Contents(visible, any(system in ("1", "true") for system in systems))


def read_links(content: bytes) -> dict[str, Link]:
    """Where a workbook's links lead, by their id."""
    links = {}

    def start(name: str, has: Attributes) -> None:
        if name == "Relationship":
            kind = has.get("Type", "").rpartition("/")[2]
            links[has.get("Id", "")] = Link(kind, has.get("Target", ""))

    parse(content, start, lambda name, text: None)
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
            strings.append(plain("".join(pieces)))

    parse(content, start, end)
    return strings


def read_styles(content: bytes) -> list[Format]:
    """The format of numbers for each style of cell."""
    own: dict[int, Format] = {}
    styles: list[Format] = []
    within: list[str] = []

    def start(name: str, has: Attributes) -> None:
        if name == "numFmt":
            own[whole(has.get("numFmtId", ""))] = format_of(has.get("formatCode", ""))
        elif name == "xf" and within[-1:] == ["cellXfs"]:
            number = whole(has.get("numFmtId", "0"))
            known = Format(number in _DATE_FORMATS, _BUILT_IN.get(number, 0))
            styles.append(own.get(number, known))
        elif name in ("cellXfs", "cellStyleXfs"):
            within.append(name)

    parse(content, start, lambda name, text: None)
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


def parse(
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


def whole(digits: str) -> int:
    if digits.isascii() and digits.isdigit() and len(digits) < 10:
        return int(digits)
    raise FileRefused(ODD)


def plain(text: str) -> str:
    return unprotected(text.strip())
