"""Rows placed in a shift: midnight, clocks that change, other shifts' rows, missing times."""

from collections.abc import Sequence
from datetime import datetime

import pytest

from matbook.book.pen import ShiftName
from matbook.errors import FileRefused, Refused
from matbook.records.moments import as_written
from matbook.records.placing import OffsetAt, placed
from tests.records.making import DAY, NIGHT, eastern, halifax

SPRING = ShiftName.read("marsh/2026-03-07/b/night")


def at(texts: Sequence[str], shift: ShiftName = DAY, offset_at: OffsetAt = halifax) -> list[str]:
    """When each row is placed, or why it isn't."""
    rows = placed([as_written(text) for text in texts], shift, offset_at).rows
    return [row.allowed if isinstance(row, Refused) else row.at for row in rows]


def hours(texts: Sequence[str], shift: ShiftName = DAY, offset_at: OffsetAt = halifax) -> list[str]:
    """Day, hour, minute and offset of each row."""
    return [text[8:16] + text[19:] for text in at(texts, shift, offset_at)]


def test_the_instant_is_the_local_time_less_its_offset() -> None:
    (row,) = placed([as_written("07:41")], DAY, halifax).rows
    assert not isinstance(row, Refused)
    assert row.ms == datetime.fromisoformat("2026-05-12T07:41:00-03:00").timestamp() * 1000


def test_bare_times_after_midnight_are_the_next_day() -> None:
    assert hours(["19:10", "23:50", "00:20", "05:30"], NIGHT, eastern) == [
        "31T19:10-04:00", "31T23:50-04:00", "01T00:20-04:00", "01T05:30-05:00",
    ]  # fmt: skip
    assert hours(["00:30", "01:00"], NIGHT, halifax) == ["01T00:30-03:00", "01T01:00-03:00"]
    assert hours(["02:30", "14:00", "23:50", "00:20", "04:00"]) == [
        "12T02:30-03:00", "12T14:00-03:00", "12T23:50-03:00", "13T00:20-03:00", "12T04:00-03:00",
    ]  # fmt: skip


def test_newest_first() -> None:
    assert hours(["00:20", "23:50", "14:00"]) == [
        "13T00:20-03:00", "12T23:50-03:00", "12T14:00-03:00",
    ]  # fmt: skip


def test_the_hour_that_comes_twice_is_told_by_the_order() -> None:
    texts = ["00:50", "01:20", "01:50", "01:10", "01:40", "02:05"]
    expected = ["-04:00", "-04:00", "-04:00", "-05:00", "-05:00", "-05:00"]
    assert [text[-6:] for text in at(texts, NIGHT, eastern)] == expected
    assert [text[-6:] for text in at(texts[::-1], NIGHT, eastern)] == expected[::-1]
    rows = placed([as_written(text) for text in texts], NIGHT, eastern).rows
    assert [isinstance(row, Refused) or row.flags for row in rows] == [
        (), *[("clock-repeats",)] * 4, (),
    ]  # fmt: skip
    order = [row.ms for row in rows if not isinstance(row, Refused)]
    assert order == sorted(order)


def test_the_hour_that_is_skipped_has_no_tickets() -> None:
    assert at(["01:50", "02:30", "03:05"], SPRING, eastern) == [
        "2026-03-08T01:50:00-05:00",
        "the clocks skipped this time when they went forward",
        "2026-03-08T03:05:00-04:00",
    ]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("2026-11-01T05:20Z", "2026-11-01T01:20:00-04:00"),
        ("2026-11-01T06:20Z", "2026-11-01T01:20:00-05:00"),
        ("2026-11-01T01:20-05:00", "2026-11-01T01:20:00-05:00"),
        ("2026-11-01T07:20:00+00:00", "2026-11-01T02:20:00-05:00"),
    ],
)
def test_a_moment_with_its_own_offset_is_brought_to_the_job_clock(text: str, expected: str) -> None:
    assert at([text], NIGHT, eastern) == [expected]


def test_an_offset_that_fits_no_time_here_stays() -> None:
    def odd(at: datetime, fold: int) -> str:
        return "-03:00" if at.hour == 7 else "-05:00"

    assert at(["2026-05-12T12:30Z"], DAY, odd) == ["2026-05-12T12:30:00+00:00"]


def test_rows_of_another_shift() -> None:
    said = "it is outside this shift, 2026-05-12 00:00 to 2026-05-13 03:00"
    texts = ["2026-05-11 23:50", "2026-05-12 00:10", "2026-05-13 02:59", "2026-05-13 03:00"]
    assert at(texts)[0] == at(texts)[3] == said
    assert at(["2026-05-11", "2026-05-13", "2026-05-12 07:00"])[0] == said
    assert at(["2026-05-14", "2026-05-12 07:00"])[0] == said


def test_a_night_is_the_one_that_its_working_date_begins_or_else_ends() -> None:
    begins = ["2026-10-31 19:00", "2026-11-01 04:00"]
    ends = ["2026-10-30 19:00", "2026-10-31 04:00"]
    assert hours(begins, NIGHT, eastern) == ["31T19:00-04:00", "01T04:00-05:00"]
    assert hours(ends, NIGHT, eastern) == ["30T19:00-04:00", "31T04:00-04:00"]
    assert [text.startswith("it is outside") for text in at(begins + ends, NIGHT, eastern)] == [
        False, False, True, True,
    ]  # fmt: skip
    assert at(["2026-09-01 19:00"], NIGHT, eastern)[0].startswith("it is outside this shift")


def test_a_date_column_may_hold_the_working_date() -> None:
    both = ["2026-10-31 19:00", "2026-10-31 23:50", "2026-10-31 00:20"]
    assert hours(both, NIGHT, eastern)[2] == "01T00:20-04:00"
    calendar = ["2026-10-31 00:20", "2026-10-31 19:00", "2026-10-31 23:50"]
    assert at(calendar, NIGHT, eastern)[0].startswith("it is outside this shift")


def test_rows_without_a_time_stand_after_the_row_before() -> None:
    rows = placed([as_written(text) for text in ("", "07:41", "", "08:00")], DAY, halifax).rows
    assert [isinstance(row, Refused) or (row.at[11:16], row.loaded, row.flags) for row in rows] == [
        ("12:00", False, ("no-time",)), ("07:41", True, ()), ("07:41", False, ("no-time",)),
        ("08:00", True, ()),
    ]  # fmt: skip


def test_midnights_alone_are_dates_and_no_times() -> None:
    rows = placed([as_written("2026-05-12 00:00:00")] * 3, DAY, halifax).rows
    assert [isinstance(row, Refused) or row.flags for row in rows] == [("no-time",)] * 3


def test_a_12_hour_clock_without_its_halves_is_refused() -> None:
    with pytest.raises(FileRefused, match=r"from 12:50 to 01:10 on one day.*12-hour clock"):
        at(["7:41", "11:50", "12:50", "1:10", "2:15"])
    assert len(at(["7:41", "12:50", "13:10"])) == 3
    assert len(at(["7:41", "9:41"])) == 2
    assert len(at(["11:41", "12:10", "11:50"])) == 3  # a ticket out of order


def test_a_date_that_is_none_in_the_order_of_the_file() -> None:
    found = at(["05/12/2026 7:00", "05/13/2026 1:00", "45/12/2026 8:00"])
    assert found[2] == "read as month/day/year, it is no date"


@pytest.mark.parametrize("text", ["0001-01-01T00:00+14:00", "9999-12-31T23:59-12:00", "0001-01-01"])
def test_dates_at_the_ends_of_the_calendar(text: str) -> None:
    assert at([text, "2026-05-12 07:41"])[0].startswith("it is outside this shift")


@pytest.mark.parametrize("day", ["2026-13-45", "0001-01-01", "9999-12-31"])
def test_a_shift_without_a_working_date(day: str) -> None:
    with pytest.raises(Refused, match="its working date must be a date of our time"):
        placed([], ShiftName("harrow", day, "a", "day"), halifax)


def test_a_row_that_is_refused_already_stays_so() -> None:
    refusal = Refused("row", "x", "it looks like a total")
    assert placed([refusal], DAY, halifax).rows == [refusal]
    assert placed([], DAY, halifax).rows == []
