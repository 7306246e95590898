"""Dates and times as written, and the order a file writes its dates in."""

from datetime import date, time

import pytest

from matbook.errors import FileRefused, Refused
from matbook.records.headings import MONTHS
from matbook.records.moments import ORDERS, Written, as_written, date_order, dated

MAY_12 = date(2026, 5, 12)


@pytest.mark.parametrize(
    ("text", "day", "clock", "offset"),
    [
        ("2026-05-12 07:41", MAY_12, time(7, 41), ""),
        ("2026-05-12T07:41:05", MAY_12, time(7, 41, 5), ""),
        ("2026-05-12T07:41:05.250-03:00", MAY_12, time(7, 41, 5), "-03:00"),
        ("2026-05-12T10:41Z", MAY_12, time(10, 41), "+00:00"),
        ("2026-05-12 07:41 +0200", MAY_12, time(7, 41), "+02:00"),
        ("2026/5/12", MAY_12, None, ""),
        ("2026.05.12", MAY_12, None, ""),
        ("20260512 7:41", MAY_12, time(7, 41), ""),
        ("05/12/2026 07:41", (5, 12, 2026), time(7, 41), ""),
        ("12.05.2026 07:41", (12, 5, 2026), time(7, 41), ""),
        ("12.05.26", (12, 5, 2026), None, ""),
        ("12. 5. 2026, 7.41 Uhr", (12, 5, 2026), time(7, 41), ""),
        ("5-12-26 7:41 PM", (5, 12, 2026), time(19, 41), ""),
        ("Tue 05/12/2026", (5, 12, 2026), None, ""),
        ("Di., 12.05.2026", (12, 5, 2026), None, ""),
        ("12 May 2026 07:41", MAY_12, time(7, 41), ""),
        ("12-May-26", MAY_12, None, ""),
        ("May 12, 2026", MAY_12, None, ""),
        ("Tue, 12 May 2026", MAY_12, None, ""),
        ("12 mai 2026", MAY_12, None, ""),
        ("12 de mayo de 2026", MAY_12, None, ""),
        ("12. März 2026", date(2026, 3, 12), None, ""),
        ("7:41", None, time(7, 41), ""),
        ("07.41", None, time(7, 41), ""),
        ("7h41", None, time(7, 41), ""),
        ("07h41m05", None, time(7, 41, 5), ""),
        ("7:41 a.m.", None, time(7, 41), ""),
        ("12:05 AM", None, time(0, 5), ""),
        ("12:05 PM", None, time(12, 5), ""),
        ("0741", None, time(7, 41), ""),
        ("741", None, time(7, 41), ""),
        ("", None, None, ""),
    ],
)
def test_as_written(text: str, day: object, clock: time | None, offset: str) -> None:
    assert as_written(text) == Written(day, clock, offset)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "text",
    ["soon", "25:00", "7:61", "13:00 PM", "0:30 AM", "2026-02-30", "12 Foo 2026", "12/2026",
     "41007", "99", "12 May June 2026", "x" * 65, "07:41 tomorrow", "1-2-3-4", "12.05 07:41",
     "2026-05-12T07:41+15:00", "2026-05-12T07:41-03:60"],
)  # fmt: skip
def test_what_is_no_moment(text: str) -> None:
    with pytest.raises(Refused, match=r"it must be a date and time, such as 2026-05-12 07:41"):
        as_written(text)


def test_every_month_in_every_language() -> None:
    for word, number in MONTHS.items():
        assert as_written(f"3 {word.title()} 2026").day == date(2026, number, 3)


@pytest.mark.parametrize("order", ORDERS)
def test_dates_by_order(order: str) -> None:
    assert dated((11, 13, 2026), order) == (
        date(2026, 11, 13) if order == "month/day/year" else None
    )


@pytest.mark.parametrize(
    ("written", "working", "order"),
    [
        ([], MAY_12, ""),
        ([(5, 5, 2026)], MAY_12, "day/month/year"),  # the same either way
        ([(13, 5, 2026), (5, 6, 2026)], MAY_12, "day/month/year"),
        ([(5, 13, 2026), (5, 6, 2026)], MAY_12, "month/day/year"),
        ([(5, 12, 2026)], MAY_12, "month/day/year"),
        ([(12, 5, 2026), (11, 5, 2026)], MAY_12, "day/month/year"),
        ([(11, 1, 2026), (10, 31, 2026)], date(2026, 10, 31), "month/day/year"),
        # One row written the other way, or damaged, does not turn the rest round.
        ([(5, 12, 2026), (5, 13, 2026), (13, 5, 2026)], MAY_12, "month/day/year"),
        ([(45, 5, 2026), (5, 12, 2026)], MAY_12, "month/day/year"),
    ],
)
def test_the_order_of_a_file(
    written: list[tuple[int, int, int]], working: date, order: str
) -> None:
    assert date_order(written, working) == order


def test_an_order_that_nothing_decides() -> None:
    with pytest.raises(FileRefused, match=r"2026-04-03 or 2026-03-04.*working date, 2026-05-12"):
        date_order([(3, 4, 2026)], MAY_12)
