"""Delimited text: encodings, delimiters, quotes, and what isn't text."""

import csv
import io

import pytest

from matbook.errors import FileRefused
from matbook.records import delimited
from matbook.records.delimited import read_delimited
from matbook.records.sheets import read_sheet

TABLE = [["Ticket", "Net", "Trück"], ["1", "22,40", "a;b\tc|d"], ["2", "22.6", 'a "b" c']]


def written(delimiter: str, **how: str) -> str:
    text = io.StringIO(newline="")
    csv.writer(text, delimiter=delimiter, **how).writerows(TABLE)  # type: ignore[arg-type]
    return text.getvalue()


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-32", "cp1252"])
@pytest.mark.parametrize("delimiter", delimited.DELIMITERS)
@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_every_encoding_delimiter_and_line_end(encoding: str, delimiter: str, end: str) -> None:
    sheet = read_sheet(written(delimiter, lineterminator=end).encode(encoding), "x.csv")
    assert [list(sheet.headings), *(list(row.cells) for row in sheet.rows)] == TABLE
    assert sheet.how == f"{encoding}, {delimited.DELIMITERS[delimiter]}-separated"
    assert [row.line for row in sheet.rows] == [2, 3]


def rows(text: str) -> list[tuple[int, list[str], str]]:
    found, _ = read_delimited(text.encode(), len)
    return [(row.line, list(row.cells), row.damage) for row in found]


def test_blank_lines_and_line_ends_within_quotes_keep_the_count() -> None:
    text = 'a,b\n\n , \n"1\n2",x\n3,y\n'
    assert rows(text) == [(1, ["a", "b"], ""), (4, ["1\n2", "x"], ""), (6, ["3", "y"], "")]


def test_a_quote_left_open_spoils_only_its_own_line() -> None:
    text = 'a,b,c\n1,"x,y\n2,p,q\n3,r,s\n'
    assert rows(text) == [
        (1, ["a", "b", "c"], ""),
        (2, ["1", '"x', "y"], "its quotation marks do not pair, or a cell is far too long"),
        (3, ["2", "p", "q"], ""),
        (4, ["3", "r", "s"], ""),
    ]


def test_two_quotes_left_open_do_not_swallow_the_rows_between() -> None:
    text = 'a,b,c\n1,x,"note\n2,p,q\n3,r,s\n4,t,u"\n'
    assert [(line, damage != "") for line, _, damage in rows(text)] == [
        (1, False), (2, True), (3, False), (4, False), (5, False),
    ]  # fmt: skip


def test_a_few_damaged_bytes_do_not_make_another_encoding() -> None:
    data = "Ticket,Net,Trück\n1,22,ä\n2,22,ö\n".encode().replace(b"2,22,", b"2,2\xff2,")
    text, encoding = delimited.decoded(data)
    assert encoding == "utf-8"
    assert "2,2\ufffd2,ö" in text


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"Ticket,Net\n1,\x002\n", "zero bytes"),
        (bytes(range(1, 9)) * 20, "isn't text"),
        (b"Ticket,Net\n" * 200_010, "more than 200000 rows"),
        (b"", "no row looks like headings"),
        (b"Ticket,Net\n1" + b"," * 1_000_001, "Line 2 has 1000002 characters"),
    ],
)
def test_what_is_no_table(data: bytes, said: str) -> None:
    with pytest.raises(FileRefused, match=f"^x.csv: .*{said}"):
        read_sheet(data, "x.csv")


def test_a_file_that_is_too_large(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(delimited, "LARGEST_FILE", 3_000_000)
    with pytest.raises(FileRefused, match="has 4 MB; at most 3"):
        read_sheet(b" " * 4_000_000, "x.csv")


def test_a_cell_of_any_length_is_read_or_spoils_its_row() -> None:
    found = rows(f"a,b\n1,{'x' * 200_000}\n2,y\n")
    assert [(line, damage) for line, _, damage in found] == [
        (1, ""),
        (2, "its quotation marks do not pair, or a cell is far too long"),
        (3, ""),
    ]


def test_a_row_by_its_headings() -> None:
    sheet = read_sheet(b"Ticket,Net,,Net\n1,22,x,23,beyond\n2\n", "x.csv")
    assert sheet.cells_of(sheet.rows[0]) == {
        "Ticket": "1", "Net": "22", "column 3": "x", "Net (4)": "23", "column 5": "beyond",
    }  # fmt: skip
    assert sheet.cells_of(sheet.rows[1]) == {
        "Ticket": "2", "Net": "", "column 3": "", "Net (4)": "",
    }  # fmt: skip


def test_headings_over_two_lines_and_blank_ones_at_the_end() -> None:
    sheet = read_sheet(b'Ticket;"Kolli\n kg";;\n1;22400;;\n', "x.csv", ["Kolli kg"])
    assert sheet.headings == ("Ticket", "Kolli kg")
    assert len(sheet.rows) == 1
