"""Workbooks: what is read of them, and what would fill the memory and is refused before."""

import io
import zipfile
from collections.abc import Mapping
from datetime import date, datetime, time, timedelta

import pytest
import xlsxwriter

from matbook.errors import FileRefused
from matbook.records import workbook
from matbook.records.sheets import read_sheet
from matbook.records.workbook import _text, is_workbook

SHEET = "xl/worksheets/sheet1.xml"
STRINGS = "xl/sharedStrings.xml"


def made(rows: list[list[object]]) -> bytes:
    packed = io.BytesIO()
    with xlsxwriter.Workbook(packed, {"in_memory": True}) as book:
        sheet = book.add_worksheet("Tickets")
        for line, row in enumerate(rows):
            sheet.write_row(line, 0, row)
    return packed.getvalue()


GOOD = made([["Ticket", "Net"], ["41007", 22.4]])


def changed(parts: Mapping[str, bytes | None], data: bytes = GOOD) -> bytes:
    """The workbook with parts put in place of others, or taken out."""
    packed = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(data)) as old, zipfile.ZipFile(packed, "w") as new:
        for name in dict.fromkeys([*old.namelist(), *parts]):
            content = parts[name] if name in parts else old.read(name)
            if content is not None:
                new.writestr(name, content, zipfile.ZIP_DEFLATED)
    return packed.getvalue()


def part(name: str) -> bytes:
    with zipfile.ZipFile(io.BytesIO(GOOD)) as packed:
        return packed.read(name)


def with_cell(row: int, column: str) -> bytes:
    """The workbook with one cell more."""
    cell = f'<row r="{row}"><c r="{column}{row}"><v>1</v></c></row></sheetData>'
    return changed({SHEET: part(SHEET).replace(b"</sheetData>", cell.encode())})


def refusal(data: bytes) -> str:
    assert is_workbook(data)
    with pytest.raises(FileRefused) as caught:
        read_sheet(data, "x.xlsx")
    return str(caught.value)


@pytest.mark.parametrize(
    ("cell", "text"),
    [
        ("  a ", "a"), ("'=1", "=1"), (True, "TRUE"), (41007.0, "41007"), (22.4, "22.4"),
        (1e15, "1000000000000000"), (0.1 + 0.2, "0.3"), (date(2026, 5, 12), "2026-05-12"),
        (time(7, 40, 59, 999999), "07:41:00"), (timedelta(hours=25, minutes=1), "25:01:00"),
        (datetime(2026, 5, 12, 7, 40, 59, 999999), "2026-05-12 07:41:00"),
    ],
)  # fmt: skip
def test_cells_as_text(cell: workbook.Cell, text: str) -> None:
    assert _text(cell) == text


def test_a_good_workbook() -> None:
    sheet = read_sheet(GOOD, "x.xlsx")
    assert [row.cells for row in sheet.rows] == [["41007", "22.4"]]
    assert sheet.decimal_mark == "."


def test_what_is_no_xlsx() -> None:
    assert "old kind (.xls)" in refusal(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600))
    assert "damaged" in refusal(b"PK\x03\x04" + bytes(40))
    assert "not an .xlsx workbook" in refusal(changed({"xl/workbook.xml": None}))
    assert "not an .xlsx workbook" in refusal(b"PK\x05\x06" + bytes(18))
    assert "damaged" in refusal(GOOD[:-100])
    assert "can't be read" in refusal(changed({"xl/workbook.xml": b"<workbook"}))
    assert "not put together" in refusal(changed({f"n{n}": b"" for n in range(2100)}))


def test_a_flipped_byte_in_a_part_is_found() -> None:
    at = GOOD.index(SHEET.encode()) + 60
    assert "damaged" in refusal(GOOD[:at] + bytes([GOOD[at] ^ 64]) + GOOD[at + 1 :])


def test_parts_packed_in_rare_ways_are_refused() -> None:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_BZIP2) as new:
        new.writestr("xl/workbook.xml", b"x")
    assert "not put together" in refusal(packed.getvalue())


def test_a_workbook_with_nothing_in_it() -> None:
    assert "no visible sheet" in refusal(made([]))


def test_a_workbook_that_unpacks_to_too_much() -> None:
    assert "more than 50 MB" in refusal(changed({"xl/media/a": bytes(51_000_000)}))


def test_a_part_that_lies_about_its_size(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(workbook, "LARGEST_FILE", 1_000_000)
    data = changed({"xl/media/a": bytes(1_500_000)})
    true, false = (1_500_000).to_bytes(4, "little"), (10).to_bytes(4, "little")
    assert data.count(true) == 2
    assert "more than 1 MB" in refusal(data.replace(true, false))


def test_a_cell_far_below_would_make_a_table_of_millions() -> None:
    assert "900000 rows by 2 columns" in refusal(with_cell(900_000, "B"))
    assert "3000 rows by 16384 columns" in refusal(with_cell(3000, "XFD"))


def test_empty_cells_far_below_that_only_have_a_format_are_no_harm() -> None:
    far = part(SHEET).replace(b"</sheetData>", b'<row r="1048576"/></sheetData>')
    far = far.replace(b"</sheetData>", b"<row r='1048576' a='>'/></sheetData>")
    assert len(read_sheet(changed({SHEET: far}), "x.xlsx").rows) == 1


def test_one_long_text_in_very_many_cells(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(workbook, "MOST_TEXT", 100_000)
    many = made([["Ticket", "Net"], *[["x" * 1000, 22.4]] * 200])
    assert "more text than can be read" in refusal(many)
    few = made([["Ticket", "Net", "Note"], *[["1", 22.4, ""]] * 200, ["2", 22.4, "x" * 1000]])
    assert len(read_sheet(few, "x.xlsx").rows) == 201


def test_a_date_that_cannot_be() -> None:
    packed = io.BytesIO()
    with xlsxwriter.Workbook(packed, {"in_memory": True}) as book:
        sheet = book.add_worksheet()
        sheet.write_row(0, 0, ["Ticket", "Net", "Date"])
        sheet.write_row(1, 0, ["1", 22.4])
        moments = book.add_format({"num_format": "dd/mm/yyyy hh:mm"})
        sheet.write_number(1, 2, 2_958_465.9999999, moments)
    assert "a date or a time that can't be" in refusal(packed.getvalue())
