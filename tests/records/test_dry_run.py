"""The dry run and the quarantine file."""

import csv
import io
import json

from matbook.records.dry_run import preview, quarantine_csv
from tests.records.making import plan, reasons, take

DATA = (
    "Ticket,Truck,Gross,Tare,Net,Temp,Note,Time\n"
    "1,12,37.00 t,14600 kg,,152,,07:41\n"
    "2,12,37.00,14.60,22.40,152,,07:42\n"
    "3,12,37.00,14.60,22.40,152,VOID,07:43\n"
    "4,12,,,49380 lb,152,,07:44\n"
    '5,12,37.00,14.60,x,152,"=cmd(""a"")",07:45\n'
    + "".join(f"{n},12,37.00,14.60,22.40,152,,08:{n:02}\n" for n in range(6, 12))
)


def test_a_preview_is_plain_data_with_all_that_a_person_looks_at() -> None:
    found = preview(take(DATA))
    assert json.loads(json.dumps(found)) == found
    assert found["mapping"]["net"] == "“Net” in t (sure)"
    assert found["mapping"]["ticket"] == "“Ticket” (sure)"
    assert found["not_read"] == ["Note"]
    assert found["counts"] == {"rows": 11, "taken": 9, "not_counted": 1, "refused": 1}
    # By hand: 37.00 - 14.60 + 7 x 22.40 = 179.20 t, and one ticket in pounds.
    assert found["sums"] == {"lb": "49380", "t": "179.20"}
    assert [row["line"] for row in found["rows"]] == [2, 3, 4, 10, 11, 12]
    assert found["rows"][1] == {
        "line": 3, "at": "2026-05-12T07:42:00-03:00", "ticket": "2", "truck": "12", "mix": "",
        "gross": "37.00 t", "tare": "14.60 t", "net": "22.40 t", "temp": "152 degC",
        "decision": "taken",
    }  # fmt: skip
    assert found["flags"] == [
        {"flag": "void-mark", "says": "void, by a mark beside the ticket", "lines": [4]}
    ]
    assert found["refused"] == [
        {"line": 6, "field": "net", "given": "x",
         "reason": "it must be a number, with at most one decimal mark"}
    ]  # fmt: skip


def test_a_short_file_shows_every_row_once() -> None:
    found = preview(take("Ticket,Net\n1,22.4\n2,22.6\n"))
    assert [row["line"] for row in found["rows"]] == [2, 3]


def test_the_quarantine_file_can_be_mended_and_read_again() -> None:
    raw = quarantine_csv(take(DATA).refused)
    table = list(csv.reader(io.StringIO(raw.decode("utf-8-sig"), newline="")))
    assert table == [
        ["line", "field", "given", "reason", "Ticket", "Truck", "Gross", "Tare", "Net", "Temp",
         "Note", "Time"],
        ["6", "net", "x", "it must be a number, with at most one decimal mark",
         "5", "12", "37.00", "14.60", "x", "152", "'=cmd(\"a\")", "07:45"],
    ]  # fmt: skip
    mended = take(raw.replace(b"14.60,x,", b"14.60,22.40,"))
    assert not mended.refused
    assert mended.drafts[0].body["net"] == "22.40 t"


def test_cells_of_the_quarantine_file_never_compute() -> None:
    found = take("Ticket,Net,=Note\n=1+1,x,+1\n-2,@x,\t9\n", of=plan(columns={"mix": ""}))
    assert len(reasons(found)) == 2
    table = csv.reader(io.StringIO(quarantine_csv(found.refused).decode("utf-8-sig"), newline=""))
    cells = [cell for row in table for cell in row]
    assert [cell for cell in cells if cell.startswith(("=", "+", "-", "@", "\t", "\r"))] == []
    assert {"'=Note", "'=1+1", "'+1", "'-2", "'@x"} <= set(cells)


def test_rows_with_more_cells_than_headings_keep_them() -> None:
    raw = quarantine_csv(take("Ticket,Net\n1,22,40\n2\n").refused).decode("utf-8-sig")
    assert raw.splitlines()[0].endswith("Ticket,Net,column 3")
    assert raw.splitlines()[1].endswith("1,22,40")
