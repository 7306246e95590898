"""Workbooks (.xlsx, ECMA-376) as rows of text: which sheet, and what is too much to read.

A workbook is a zip of XML in which a few bytes can claim billions of cells. So each part is
measured as it unpacks, only cells that are there take room, and what a part says of its own size
is not believed.
"""

import io
import posixpath
import zipfile
from collections.abc import Iterator
from typing import Final

from matbook.errors import FileRefused
from matbook.records.cells import SheetReader
from matbook.records.delimited import LARGEST_FILE, TRIED_LINES, Likeness, Row
from matbook.records.parts import (
    AGAIN,
    ODD,
    read_contents,
    read_links,
    read_strings,
    read_styles,
)
from matbook.records.zips import DAMAGED, unpacked

MOST_PARTS: Final = 2_000
_BOOK: Final = "xl/workbook.xml"
_OLE: Final = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_PACKED: Final = (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED)


def is_workbook(data: bytes) -> bool:
    """Whether a file is a zip, as .xlsx is, or a workbook of the old kind."""
    return data.startswith((b"PK\x03\x04", b"PK\x05\x06", _OLE))


def read_workbook(data: bytes, likeness: Likeness) -> tuple[list[Row], str]:
    """The rows of the visible sheet with the best row of headings, and which sheet that is.

    Raises:
        FileRefused: It is no .xlsx, is damaged, holds too much, or no visible sheet holds a row.
    """
    if data.startswith(_OLE):
        raise FileRefused(f"The workbook is of the old kind (.xls), or has a password. {AGAIN}")
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as packed:
            sheets = [sheet for sheet in _visible_sheets(Parts(packed)) if sheet[0]]
    except DAMAGED as error:
        raise FileRefused(f"The workbook is damaged ({str(error)[:100]}). {AGAIN}") from None
    if not sheets:
        raise FileRefused("The workbook has no visible sheet with anything in it.")
    rows, name = max(
        sheets, key=lambda sheet: max(likeness(row.cells) for row in sheet[0][:TRIED_LINES])
    )
    others = ", ".join(f"“{other}”" for _, other in sheets if other != name)
    return rows, f"workbook, sheet “{name}”" + (f"; not {others}" if others else "")


class Parts:
    """The parts of a workbook, unpacked up to a limit that all of them share."""

    def __init__(self, packed: zipfile.ZipFile) -> None:
        self._packed = packed
        self._left = LARGEST_FILE
        self._parts = {part.filename: part for part in packed.infolist()}
        if _BOOK not in self._parts:
            raise FileRefused(f"The file is a zip, but not an .xlsx workbook. {AGAIN}")
        if len(self._parts) < len(packed.infolist()) or len(self._parts) > MOST_PARTS:
            raise FileRefused(ODD)

    def read(self, name: str) -> bytes:
        """A part's content; empty if there is no such part."""
        part = self._parts.get(name)
        if part is None:
            return b""
        if part.compress_type not in _PACKED:
            raise FileRefused(f"The workbook is packed in a way that isn't read. {AGAIN}")
        content = unpacked(self._packed, part, self._left)
        self._left -= len(content)
        if self._left < 0:
            most = LARGEST_FILE // 1_000_000
            raise FileRefused(f"The workbook unpacks to more than {most} MB; send it in parts.")
        return content


def _visible_sheets(parts: Parts) -> Iterator[tuple[list[Row], str]]:
    contents = read_contents(parts.read(_BOOK))
    links = read_links(parts.read("xl/_rels/workbook.xml.rels"))
    paths = {link.kind: _path(link.path) for link in links.values()}
    strings = read_strings(parts.read(paths.get("sharedStrings", "")))
    styles = read_styles(parts.read(paths.get("styles", "")))
    for name, at in contents.visible:
        link = links.get(at)
        if link and link.kind == "worksheet":
            reader = SheetReader(strings, styles, contents.from_1904)
            yield reader.read(parts.read(_path(link.path))), name


def _path(target: str) -> str:
    """A part's name in the zip from a link, which counts from the folder of the workbook."""
    return posixpath.normpath(posixpath.join("/xl", target)).lstrip("/")
