"""Tables out: what a spreadsheet and our own reader find in them again."""

import csv
import io
import zipfile
from datetime import datetime, timedelta, timezone
from decimal import Decimal

import pytest
import python_calamine

from matbook.errors import Refused
from matbook.records import tables
from matbook.records.sheets import read_sheet
from matbook.records.tables import Column, Table, Value, safe, to_csv, to_xlsx

MADE = datetime(2026, 5, 12, 18, 30)
AT = datetime(2026, 5, 12, 7, 41, tzinfo=timezone(timedelta(hours=-3)))
COLUMNS = [
    Column("Ticket"), Column("Net", "number", "t"), Column("Loaded at", "moment"), Column("=Note"),
]  # fmt: skip
ROWS: list[list[Value]] = [
    ["41007", "22.40", AT, "=HYPERLINK(1)"],
    ["41008", Decimal("-0.50"), None, "+1\n@"],
    ["0041009", 0.1 + 0.2, "not known", ""],
    ["@4", 1e-7, AT, 'a "b", c'],
    ["\t5", 12, AT, None],
]
TABLE = Table("Loads", COLUMNS, ROWS)


@pytest.mark.parametrize("start", tables.STARTS_FORMULA)
def test_no_text_begins_as_a_formula(start: str) -> None:
    assert safe(f"{start}1") == f"'{start}1"


def test_csv_keeps_digits_offsets_and_text() -> None:
    raw = to_csv(TABLE)
    assert raw.startswith(b"\xef\xbb\xbfTicket,Net (t),Loaded at,'=Note\r\n")  # RFC 4180: CRLF
    found = list(csv.reader(io.StringIO(raw.decode("utf-8-sig"), newline="")))
    assert found[1:] == [
        ["41007", "22.40", "2026-05-12T07:41:00-03:00", "'=HYPERLINK(1)"],
        ["41008", "-0.50", "", "'+1\n@"],
        ["0041009", "0.3", "not known", ""],
        ["'@4", "0.0000001", "2026-05-12T07:41:00-03:00", 'a "b", c'],
        ["'\t5", "12", "2026-05-12T07:41:00-03:00", ""],
    ]


def test_a_workbook_keeps_numbers_moments_and_text() -> None:
    raw = to_xlsx([TABLE, Table("Loads", COLUMNS[:1], [["x"]])], MADE)
    book = python_calamine.load_workbook(io.BytesIO(raw))
    assert book.sheet_names == ["Loads", "Loads 2"]
    local = AT.replace(tzinfo=None)
    assert book.get_sheet_by_index(0).to_python() == [
        ["Ticket", "Net (t)", "Loaded at", "'=Note"],
        ["41007", 22.4, local, "'=HYPERLINK(1)"],
        ["41008", -0.5, "", "'+1\n@"],
        ["0041009", 0.3, "not known", ""],
        ["'@4", 1e-7, local, 'a "b", c'],
        ["'\t5", 12.0, local, ""],
    ]


def test_no_cell_of_a_workbook_is_a_formula_and_the_headings_stay_in_sight() -> None:
    with zipfile.ZipFile(io.BytesIO(to_xlsx([TABLE], MADE))) as packed:
        sheet = packed.read("xl/worksheets/sheet1.xml")
    assert b"<f>" not in sheet
    assert b'state="frozen"' in sheet
    assert b"<cols>" in sheet


def test_equal_tables_at_an_equal_time_give_equal_bytes() -> None:
    assert to_xlsx([TABLE], MADE) == to_xlsx([TABLE], MADE)
    assert to_xlsx([TABLE], MADE) != to_xlsx([TABLE], MADE + timedelta(seconds=1))
    assert to_csv(TABLE) == to_csv(TABLE)


def test_rows_may_come_one_by_one() -> None:
    many = Table("Many", [Column("n", "number")], ([n] for n in range(700)))
    book = python_calamine.load_workbook(io.BytesIO(to_xlsx([many], MADE)))
    assert len(book.get_sheet_by_index(0).to_python()) == 701


def test_what_we_write_our_own_reader_takes() -> None:
    table = Table("Loads", [COLUMNS[0], COLUMNS[1], COLUMNS[2]], [row[:3] for row in ROWS[:1]])
    for raw in (to_csv(table), to_xlsx([table], MADE)):
        sheet = read_sheet(raw, "loads")
        assert sheet.headings == ("Ticket", "Net (t)", "Loaded at")
        assert sheet.rows[0].cells[0] == "41007"


@pytest.mark.parametrize("value", ["x", float("nan"), float("inf"), "Infinity", AT])
def test_what_is_no_number_in_a_column_of_numbers(value: Value) -> None:
    table = Table("T", [Column("Net", "number")], [[value]])
    for write in (to_csv, lambda t: to_xlsx([t], MADE)):
        with pytest.raises(Refused, match=r"Net is .*; it must be a number"):
            write(table)


def test_a_text_longer_than_a_cell_is_cut_and_says_so() -> None:
    raw = to_xlsx([Table("T", [Column("text")], [["x" * 40_000]])], MADE)
    (_, (cell,)) = python_calamine.load_workbook(io.BytesIO(raw)).get_sheet_by_index(0).to_python()
    assert str(cell).endswith("x … [cut: the text has 40000 characters]")
    assert len(str(cell)) <= tables.LONGEST_CELL


def test_half_a_character_is_written_as_a_question_mark() -> None:
    table = Table("T", [Column("text")], [["a\ud800"]])
    assert to_csv(table).endswith(b"a?\r\n")
    assert to_xlsx([table], MADE)


def test_more_rows_than_a_workbook_holds(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(tables, "MOST_ROWS", 3)
    table = Table("T", [Column("n", "number")], [[n] for n in range(4)])
    with pytest.raises(Refused, match="a workbook holds 3 rows; use CSV"):
        to_xlsx([table], MADE)


def test_names_of_sheets() -> None:
    names = ["a/b:c", "", "x" * 40, "x" * 40, "''", "A B C"]
    raw = to_xlsx([Table(name, [Column("n")], []) for name in names], MADE)
    assert python_calamine.load_workbook(io.BytesIO(raw)).sheet_names == [
        "a b c", "Sheet", "x" * 31, "x" * 29 + " 2", "Sheet 2", "A B C 2",
    ]  # fmt: skip
