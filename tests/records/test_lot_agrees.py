"""The demo's lots, alike at every digit in the app, the report, the command line, the workbook."""

import io
import json
import re
from collections.abc import Iterator
from datetime import datetime
from functools import cache
from typing import Any

import click
import pypdfium2
import pytest
import python_calamine

from matbook.cli.show import PRINTERS
from matbook.desk.job import JobBook
from matbook.desk.open_book import OpenBook
from matbook.records.lot import make_lot_report
from matbook.records.lot_sheet import lot_sheet
from matbook.records.pdf import attachments_of
from matbook.shift.display import fixed, signed
from tests.desk.asked import demo

Answer = dict[str, Any]


@cache
def opened() -> OpenBook:
    found = OpenBook("harrow", book())
    found.add(demo("harrow"))
    return found


@cache
def book() -> JobBook:
    return JobBook()


def ask(question: str, **arguments: str) -> Any:
    return opened().ask(question, arguments)


@cache
def lot(name: str) -> tuple[Answer, str, datetime]:
    """A lot's answer at the demo's last moment, with its shift and that moment."""
    opened()
    shift = book().latest()
    now = book().last_moment(shift)
    return ask("lot", name=name, at=now.isoformat()), shift, now


def close(text: str) -> str:
    """Without blanks, and with the hyphens that a line's end may have put in taken out."""
    return re.sub(r"[\s\u00ad\ufffe-]", "", text)


def sentences(answer: Answer) -> Iterator[str]:
    """Everything that an answer says in words and digits."""
    yield from (answer["title"], answer["line"], answer["factor"], answer["mean"])
    for row in answer["rows"]:
        yield from (row["value"], row["station"], row["sample"], row["state"])
    yield from (step["text"] for step in answer["steps"])
    for part in ("rule", "laid", "doubts", "ahead", "sides", "draw", "notes"):
        yield from answer[part]
    if answer["why"]:
        yield answer["why"]


@pytest.mark.parametrize("name", ["mat-1", "mat-2"])
def test_app_report_and_command_line_say_the_same(
    name: str, capsys: pytest.CaptureFixture[str]
) -> None:
    answer, shift, now = lot(name)
    raw = make_lot_report(book(), shift, name, None, now)
    with pypdfium2.PdfDocument(raw) as document:
        pages = [page.get_textpage().get_text_bounded() for page in document]
    with click.Context(click.Command("show")):
        PRINTERS["lot"](answer)
    printed = {"report": close("".join(pages)), "command line": close(capsys.readouterr().out)}
    for where, text in printed.items():
        for one in sentences(answer):
            if one != "—":
                assert close(one) in text, (where, one)
    assert json.loads(attachments_of(raw)["lot.json"]) == answer
    row = next(one for one in ask("lots") if one["lot"] == name)
    assert row.items() <= answer.items()


@pytest.mark.parametrize("name", ["mat-1", "mat-2"])
def test_the_workbook_holds_the_same_digits(name: str) -> None:
    answer, shift, now = lot(name)
    raw = lot_sheet(book(), shift, name, now)
    rows = python_calamine.load_workbook(io.BytesIO(raw)).get_sheet_by_index(0).to_python()
    held = [row[1] for row in rows if len(row) > 1 and isinstance(row[1], float)]
    results = [fixed(value, 1) + " %" for value in held[: len(answer["rows"])]]
    assert results == [row["value"] for row in answer["rows"]]
    assert answer["mean"] in [f"{fixed(value, 2)} %" for value in held]
    if answer["factor"] != "—":
        assert answer["factor"] in [fixed(value, 3) for value in held]
        assert answer["money"] in [signed(value, 2) for value in held]


def test_how_much_is_laid_is_the_mass_of_the_tickets() -> None:
    """Lots of 1000 t: two whole ones, and what is over, out of all mix on the lift's lanes."""
    lots = {row["lot"]: ask("lot", name=row["lot"]) for row in ask("lots")}
    assert lots.keys() == {"mat-1", "mat-2", "mat-3"}
    whole = "1 000.0 t of 1 000.0 t laid"
    assert lots["mat-1"]["laid"][0].replace("\u202f", " ").startswith(whole)
    assert lots["mat-2"]["laid"][0].replace("\u202f", " ").startswith(whole)
    assert "nothing tested yet" in lots["mat-3"]["line"]
    assert lots["mat-3"]["laid"][-1] == "Sublot 4: nothing laid yet"
