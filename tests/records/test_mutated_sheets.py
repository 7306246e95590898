"""Damaged ticket files: every row becomes a draft or a refusal, or the file is refused."""

import io
import random
import re
from collections.abc import Iterator

import pytest
import xlsxwriter

from matbook.book.pen import ShiftName
from matbook.errors import FileRefused
from matbook.records.dry_run import preview, quarantine_csv
from tests.records.making import DAY, NIGHT, plan, take
from tests.records.mutate_sheets import mutate, mutate_packed

SEED = 20260512

NIGHT_FILE = (
    "Marsh plant\nTicket,Truck,Gross lb,Tare lb,Net Tons,Temp F,Date,Time,Status\n"
    + "".join(
        f'{7100 + n},T{n % 9},"{70 + n},540","28,{900 - n}",{20 + n / 100:.2f},{300 + n},'
        f"10/31/2026,{h:02}:{m:02},{s}\n"
        for n, (h, m, s) in enumerate(
            [(19, 5, "OK"), (21, 50, "Void"), (23, 59, ""), (0, 40, "OK"), (1, 20, "Posted"),
             (1, 50, "OK"), (1, 10, "OK"), (1, 45, "OK"), (2, 20, "Rejected")]
        )
    )
    + "Total,,,,185.1,,,,\n"
)  # fmt: skip
DAY_FILE = (
    "\ufeffTagesliste\n\nLieferschein;LKW;Brutto kg;Tara kg;Netto kg;Sorte;Datum;Zeit\n"
    + "".join(
        f"{41000 + n};{n % 7};37.{n:03};14.600;22.{n + 400};ac11;12.05.2026;"
        f"{7 + n // 6:02}:{n % 6}5\n"
        for n in range(40)
    )
)
BARE_FILE = "Ticket\tNet\tNote\n" + "".join(f"{n}\t{20 + n},5\t{'x' * n}\n" for n in range(1, 20))


def workbook() -> bytes:
    packed = io.BytesIO()
    with xlsxwriter.Workbook(packed, {"in_memory": True}) as book:
        sheet = book.add_worksheet("Tickets")
        moments = book.add_format({"num_format": "dd/mm/yyyy hh:mm"})
        sheet.merge_range(0, 0, 0, 3, "Tickets of the day")
        sheet.write_row(2, 0, ["Ticket", "Truck", "Net (t)", "Loaded at"])
        for n in range(12):
            sheet.write_row(3 + n, 0, [41000 + n, f"T{n}", 22.4 + n / 100])
            sheet.write_number(3 + n, 3, 46154.3 + n / 300, moments)
    return packed.getvalue()


def mutated(count: int, seed: int) -> Iterator[tuple[bytes, ShiftName]]:
    """Damaged files, from a fixed seed; every sixth is a workbook."""
    draw = random.Random(seed)
    packed = workbook()
    texts = [(NIGHT_FILE, NIGHT), (DAY_FILE, DAY), (BARE_FILE, DAY)]
    for number in range(count):
        if number % 6 == 5:
            yield (mutate_packed if draw.random() < 0.7 else mutate)(packed, draw), DAY
        else:
            text, shift = draw.choice(texts)
            yield mutate(text.encode(), draw), shift


def check(count: int, seed: int) -> tuple[int, int, int]:
    """Read damaged files: how many were refused; of the others, rows taken and rows refused."""
    said: list[str] = []
    drafts = refused = 0
    for data, shift in mutated(count, seed):
        of = plan("us", "ton") if shift is NIGHT else plan()
        try:
            found = take(data, shift, of)
        except FileRefused as refusal:
            said.append(str(refusal))
            continue
        # `take` has checked that each row is there once, and each body by its form.
        lines = [draft.line for draft in found.drafts] + [row.line for row in found.refused]
        assert sorted(lines) == [row.line for row in found.sheet.rows]
        assert all(row.reason and row.field for row in found.refused)
        preview(found)
        quarantine_csv(found.refused)
        drafts += len(found.drafts)
        refused += len(found.refused)
    assert [
        text for text in said if not re.fullmatch(r"tickets\.csv: .{20,}", text, re.DOTALL)
    ] == []
    return len(said), drafts, refused


def test_the_files_are_good_before_they_are_damaged() -> None:
    night = take(NIGHT_FILE, NIGHT, plan("us", "ton"))
    assert [len(night.drafts), len(night.refused)] == [9, 1]
    assert len(take(DAY_FILE).drafts) == 40
    assert len(take(BARE_FILE).drafts) == 19
    assert len(take(workbook()).drafts) == 12


def test_damaged_files() -> None:
    files, drafts, refused = check(300, SEED)
    assert 20 < files < 200
    assert drafts > 1000
    assert refused > 100


@pytest.mark.long
def test_very_many_damaged_files() -> None:
    files, drafts, refused = check(10_000, SEED + 1)
    assert files > 500
    assert drafts > 50_000
    assert refused > 5_000
