"""Workbooks: what is read of them, and what is damaged or too much and is refused."""

import io
import random
import zipfile
from collections.abc import Callable, Mapping
from datetime import date, datetime, time, timedelta
from typing import Any

import pytest
import python_calamine
import xlsxwriter

from matbook.errors import FileRefused
from matbook.records import cells, workbook
from matbook.records.parts import Format, format_of, read_strings
from matbook.records.sheets import Sheet, read_sheet
from matbook.records.workbook import is_workbook

SHEET = "xl/worksheets/sheet1.xml"
STRINGS = "xl/sharedStrings.xml"
STYLES = "xl/styles.xml"
LINKS = "xl/_rels/workbook.xml.rels"


def made(fill: Callable[[Any, Any], None], **options: object) -> bytes:
    """A workbook that xlsxwriter writes; `fill` gets the workbook and its first sheet."""
    packed = io.BytesIO()
    with xlsxwriter.Workbook(packed, {"in_memory": True, **options}) as book:
        fill(book, book.add_worksheet("Tickets"))
    return packed.getvalue()


def rows_of(*rows: list[object]) -> bytes:
    def fill(book: Any, sheet: Any) -> None:
        for line, row in enumerate(rows):
            sheet.write_row(line, 0, row)

    return made(fill)


GOOD = rows_of(["Ticket", "Net"], ["41007", 22.4])


def part(name: str) -> str:
    with zipfile.ZipFile(io.BytesIO(GOOD)) as packed:
        return packed.read(name).decode()


def changed(parts: Mapping[str, str | bytes | None]) -> bytes:
    """The good workbook with parts put in place of others, or taken out."""
    packed = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(GOOD)) as old, zipfile.ZipFile(packed, "w") as new:
        for name in dict.fromkeys([*old.namelist(), *parts]):
            content = parts[name] if name in parts else old.read(name)
            if content is not None:
                new.writestr(name, content, zipfile.ZIP_DEFLATED)
    return packed.getvalue()


def with_rows(xml: str) -> bytes:
    """The good workbook with rows added to its sheet."""
    return changed({SHEET: part(SHEET).replace("</sheetData>", f"{xml}</sheetData>")})


def read(data: bytes) -> Sheet:
    return read_sheet(data, "x.xlsx")


def body(data: bytes) -> list[list[str]]:
    return [list(row.cells) for row in read(data).rows]


def refusal(data: bytes) -> str:
    assert is_workbook(data)
    with pytest.raises(FileRefused) as caught:
        read(data)
    return str(caught.value)


def test_a_good_workbook() -> None:
    sheet = read(GOOD)
    assert sheet.headings == ("Ticket", "Net")
    assert body(GOOD) == [["41007", "22.4"]]
    assert sheet.how == "workbook, sheet “Tickets”"
    assert sheet.decimal_mark == "."


@pytest.mark.parametrize("from_1904", [False, True])
def test_cells_as_the_workbook_shows_them(from_1904: bool) -> None:
    def fill(book: Any, sheet: Any) -> None:
        def shown(code: str) -> Any:
            return book.add_format({"num_format": code})

        sheet.write_row(0, 0, ["Ticket", "Net"])
        sheet.write_row(1, 0, [41007.0, 0.1 + 0.2, 1e15, -3, "  a ", "'=1", True, False])
        sheet.write_number(2, 0, 22.4, shown("0.00"))
        sheet.write_number(2, 1, 22, shown('#,##0.0 "t"'))
        sheet.write_number(2, 2, 22.375, shown("0.0"))
        sheet.write_number(2, 3, 0.05, shown("0.00%"))
        sheet.write_number(2, 4, 22.4, book.add_format({"num_format": 2}))
        sheet.write_datetime(3, 0, date(2026, 5, 12), shown("dd/mm/yyyy"))
        sheet.write_datetime(3, 1, time(7, 41), shown("hh:mm"))
        sheet.write_datetime(3, 2, datetime(2026, 5, 12, 7, 40, 59, 999_000), shown("d mmm h:mm"))
        sheet.write_datetime(3, 3, datetime(2026, 5, 12), book.add_format({"num_format": 22}))
        sheet.write_number(3, 4, -1, shown("hh:mm"))
        sheet.write_formula(4, 0, "=1/0", None, "#DIV/0!")
        sheet.write_formula(4, 1, '="a"&"b"', None, "ab")
        sheet.write_formula(4, 2, "=B2", None, 0.3)
        sheet.write_rich_string(4, 3, "rich ", book.add_format({"bold": True}), "text")

    assert body(made(fill, date_1904=from_1904)) == [
        ["41007", "0.3", "1000000000000000", "-3", "a", "=1", "TRUE", "FALSE"],
        ["22.40", "22.0", "22.375", "0.05", "22.40"],
        ["2026-05-12", "07:41:00", "2026-05-12 07:41:00", "2026-05-12", "-1"],
        ["#DIV/0!", "ab", "0.3", "rich text"],
    ]


def test_cells_agree_with_another_reader() -> None:
    """python-calamine, a general-purpose reader, as the oracle."""
    draw = random.Random(18)
    begin = datetime(2020, 1, 1)
    rows = [
        [draw.choice(["T", "ä", "x y"]) + str(n), draw.randint(0, 10**9), draw.random() * 100,
         begin + timedelta(seconds=draw.randrange(10**9))]
        for n in range(300)
    ]  # fmt: skip

    def fill(book: Any, sheet: Any) -> None:
        sheet.write_row(0, 0, ["Ticket", "Gross", "Net", "Loaded"])
        moments = book.add_format({"num_format": "yyyy-mm-dd hh:mm:ss"})
        for line, row in enumerate(rows, start=1):
            sheet.write_row(line, 0, row[:3])
            sheet.write_datetime(line, 3, row[3], moments)

    data = made(fill)
    theirs = python_calamine.load_workbook(io.BytesIO(data)).get_sheet_by_index(0).to_python()
    ours = [
        [cell[0], float(cell[1]), float(cell[2]), datetime.fromisoformat(cell[3])]
        for cell in body(data)
    ]
    assert [row[:2] + row[3:] for row in ours] == [row[:2] + row[3:] for row in theirs[1:]]
    assert [row[2] for row in ours] == pytest.approx([row[2] for row in theirs[1:]], rel=1e-14)


@pytest.mark.parametrize(
    ("code", "expected"),
    [
        ("General", Format()),
        ("0", Format()),
        ("0.000;-0.0", Format(decimals=3)),
        ('0.00" days"', Format(decimals=2)),
        ("[Red]0.0_);(0.0)", Format(decimals=1)),
        ("0.00E+00", Format()),
        ("[$-409]d-mmm-yy;@", Format(moment=True)),
        ("[h]:mm", Format(moment=True)),
        (r"0.0\d", Format(decimals=1)),
        ("@", Format()),
    ],
)
def test_formats(code: str, expected: Format) -> None:
    assert format_of(code) == expected


def test_the_visible_sheet_with_the_best_headings_is_read() -> None:
    def fill(book: Any, sheet: Any) -> None:
        sheet.write_row(0, 0, ["Summary of the day"])
        for name, headings in [
            ("hidden", ["Ticket", "Truck", "Net", "Mix", "Time"]),
            ("May 12", ["Ticket", "Truck", "Net"]),
            ("empty", []),
        ]:
            other = book.add_worksheet(name)
            other.write_row(3, 0, headings)
            other.write_row(4, 0, [1, 12, 22.4])
            if name == "hidden":
                other.hide()
        book.add_chartsheet("chart").set_chart(chart(book))

    def chart(book: Any) -> Any:
        found = book.add_chart({"type": "line"})
        found.add_series({"values": "=Tickets!$A$1:$A$2"})
        return found

    sheet = read(made(fill))
    assert sheet.how == "workbook, sheet “May 12”; not “Tickets”, “empty”"
    assert [(row.line, row.cells) for row in sheet.rows] == [(5, ["1", "12", "22.4"])]


def test_hidden_rows_are_kept_apart() -> None:
    def fill(book: Any, sheet: Any) -> None:
        for line, row in enumerate([["Ticket", "Net"], [1, 22.4], [2, 22.6], [3, 22.5]]):
            sheet.write_row(line, 0, row)
        sheet.set_row(2, None, None, {"hidden": True})

    assert [row.damage for row in read(made(fill)).rows] == ["", cells.HIDDEN, ""]


def test_rows_and_cells_without_names_follow_the_ones_before() -> None:
    plain = "<row><c><v>1</v></c><c/><c><v>2</v></c></row><row r='9'><c r='C9'><v>3</v></c></row>"
    assert body(with_rows(plain)) == [["41007", "22.4"], ["1", "", "2"], ["", "", "3"]]


def test_prefixed_names_texts_in_their_cell_and_dates_by_iso() -> None:
    xml = (
        '<x:row xmlns:x="urn:x"><x:c t="inlineStr"><x:is><x:r><x:t>a</x:t></x:r>'
        '<x:r><x:t>b</x:t></x:r></x:is></x:c><x:c t="d"><x:v>2026-05-12T07:41:00</x:v></x:c>'
        "</x:row>"
    )
    assert body(with_rows(xml))[1] == ["ab", "2026-05-12 07:41:00"]


def test_how_to_pronounce_a_text_is_no_part_of_it() -> None:
    xml = b"<sst><si><t>a</t><rPh><t>no</t></rPh></si><si><r><t>b</t></r><r><t>c</t></r></si></sst>"
    assert read_strings(xml) == ["a", "bc"]


def test_links_may_count_from_the_top_and_styles_may_be_missing() -> None:
    links = part(LINKS).replace('"worksheets/', '"/xl/worksheets/')
    assert body(changed({LINKS: links, STYLES: None})) == [["41007", "22.4"]]


def test_what_is_no_xlsx() -> None:
    assert "old kind (.xls)" in refusal(b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(600))
    assert "damaged" in refusal(b"PK\x03\x04" + bytes(40))
    assert "not an .xlsx workbook" in refusal(changed({"xl/workbook.xml": None}))
    assert "not an .xlsx workbook" in refusal(b"PK\x05\x06" + bytes(18))
    assert "damaged" in refusal(GOOD[:-100])
    assert "damaged" in refusal(changed({"xl/workbook.xml": "<workbook"}))
    assert "damaged" in refusal(changed({STYLES: '<?xml version="1.0" encoding="TTF-8"?><a/>'}))
    assert "not put together" in refusal(changed({f"n{n}": b"" for n in range(2100)}))
    assert "no visible sheet" in refusal(rows_of())
    assert "no visible sheet" in refusal(changed({LINKS: "<Relationships/>"}))


@pytest.mark.parametrize(
    "xml",
    [
        '<row r="2"><c r="A2"><v>1</v></c></row>',  # not below the row before
        '<row r="x"/>',
        '<row r="3"><c r="a3"><v>1</v></c></row>',
        '<row r="3"><c r="A99999999999"><v>1</v></c></row>',
        '<row r="3"><c t="s"><v>99</v></c></row>',
        '<row r="3"><c t="s"><v>-1</v></c></row>',
        '<row r="3"><c t="n"><v>x</v></c></row>',
        '<row r="3"><c t="what"><v>1</v></c></row>',
        '<row r="3"><c s="-1"><v>1</v></c></row>',
    ],
)
def test_sheets_that_are_not_put_together_as_they_should(xml: str) -> None:
    assert "not put together" in refusal(with_rows(xml))


def test_numbers_that_are_none_are_texts() -> None:
    assert body(with_rows('<row r="3"><c><v>nan</v></c><c s="7"><v>1</v></c></row>'))[1] == [
        "nan", "1",
    ]  # fmt: skip


def test_a_document_type_is_refused() -> None:
    xml = '<!DOCTYPE sst [<!ENTITY a "b">]><sst/>'
    assert "not put together" in refusal(changed({STRINGS: xml}))


def test_a_flipped_byte_in_a_part_is_found() -> None:
    at = GOOD.index(SHEET.encode()) + 60
    assert "damaged" in refusal(GOOD[:at] + bytes([GOOD[at] ^ 64]) + GOOD[at + 1 :])


def test_parts_packed_in_rare_ways_are_refused() -> None:
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_BZIP2) as new:
        new.writestr("xl/workbook.xml", b"x")
    assert "packed in a way" in refusal(packed.getvalue())


def test_a_workbook_that_unpacks_to_too_much_whatever_it_says(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(workbook, "LARGEST_FILE", 1_000_000)
    data = changed({SHEET: part(SHEET) + " " * 1_500_000})
    size = len(part(SHEET)) + 1_500_000
    true, false = size.to_bytes(4, "little"), (10).to_bytes(4, "little")
    assert data.count(true) == 2
    for packed in (data, data.replace(true, false)):
        assert "more than 1 MB" in refusal(packed)
    assert read(changed({"xl/media/a": bytes(1_500_000)})).rows  # what isn't read doesn't count


def test_claims_of_more_than_there_is_take_no_room() -> None:
    far = with_rows('<row r="1048576"/><row r="9999999"><c r="B9999999"><v>1</v></c></row>')
    assert [row.line for row in read(far).rows] == [2, 9999999]
    strings = part(STRINGS).replace('uniqueCount="', 'uniqueCount="177777777777777')
    assert body(changed({STRINGS: strings})) == [["41007", "22.4"]]


def test_more_cells_than_are_read(monkeypatch: pytest.MonkeyPatch) -> None:
    wide = with_rows('<row r="3"><c r="XFD3"><v>1</v></c></row>')
    assert "more than 1000 columns" in refusal(wide)
    monkeypatch.setattr(cells, "MOST_CELLS", 3)
    assert "rows; send it in parts" in refusal(GOOD)
    monkeypatch.setattr(cells, "MOST_CELLS", 100)
    monkeypatch.setattr(cells, "MOST_ROWS", 0)
    assert "more than 0 rows" in refusal(GOOD)
