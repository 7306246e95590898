"""A job's book: its shifts in order, each with what the one before handed on."""

from typing import Any

import pytest

from matbook.desk.job import JobBook
from matbook.errors import NotFound
from matbook.shift.carry import NOTHING
from tests.scribe import SHIFT
from tests.shift.site import NEXT, Site, clock, on

DAY = 24 * 60


def two_days() -> Site:
    site = Site()
    site.lay(["21.00 t"] * 2)
    site.write("notice", {"to": ["cole"], "how": "spoken", "text": "Ramp short."}, 60)
    site.load("104", DAY, place=on("E", "binder", end=150), shift=NEXT)
    return site


def test_shifts_stand_in_order_of_working_date_and_day_before_night() -> None:
    names = ["ridge/2026-05-13/a/day", "ridge/2026-05-12/a/night", "ridge/2026-05-12/b/day",
             "ridge/2026-05-12/a/day"]  # fmt: skip
    site = Site()
    for name in names:
        site.write("shift-open", {}, shift=name)
    assert JobBook(site.entries).shifts == [
        "ridge/2026-05-12/a/day",
        "ridge/2026-05-12/b/day",
        "ridge/2026-05-12/a/night",
        "ridge/2026-05-13/a/day",
    ]


def test_a_shift_goes_on_from_the_one_before() -> None:
    book = JobBook(two_days().entries)
    assert book.carry_to(SHIFT) is NOTHING
    carry = book.carry_to(NEXT)
    assert carry.shift == SHIFT
    assert book.carry_to(NEXT) is carry
    seen = book.view(NEXT, clock(DAY + 60))
    (piece,) = seen.pieces
    assert (piece.from_m, piece.inferred) == (100.0, True)
    assert {call.code for call in seen.calls} >= {"ticket.missing", "notice.unanswered"}


def test_facts_are_worked_out_once() -> None:
    book = JobBook(two_days().entries)
    assert book.facts(SHIFT) is book.facts(SHIFT)
    assert len(book.facts(SHIFT).of("load")) == 2
    assert len(book.facts(NEXT).of("load")) == 1


def test_the_same_entries_twice_are_one_book() -> None:
    entries = two_days().entries
    assert len(JobBook([*entries, *entries]).entries) == len(entries)


def test_a_shift_that_is_not_there() -> None:
    with pytest.raises(NotFound, match=r"2026-05-12/a/day, .*2026-05-13/a/day"):
        JobBook(two_days().entries).facts("ridge/2026-07-01/a/day")
    with pytest.raises(NotFound, match="none yet"):
        JobBook(Site().entries).facts(SHIFT)


def test_the_latest_shift() -> None:
    assert JobBook(two_days().entries).latest() == NEXT
    with pytest.raises(NotFound, match="no shift yet"):
        JobBook(Site().entries).latest()


def seal(minute: float, **more: str) -> dict[str, Any]:
    at = clock(minute).isoformat()
    return {
        "heads": {},
        "count": 1,
        "list": "0" * 64,
        "key": "k",
        "signature": "s",
        "at": at,
    } | more


def test_the_latest_seal_of_a_shift() -> None:
    """By its own moment, unless another names it as the one before; bad bodies don't count."""
    site = two_days()
    assert JobBook(site.entries).seal_of(SHIFT) is None
    site.write("seal", {"list": []}, 950, by="office")
    assert JobBook(site.entries).seal_of(SHIFT) is None
    first = site.write("seal", seal(700), 700, by="office")
    site.write("seal", seal(600), 800, by="office")
    site.write("seal", seal(900), 900, by="office", shift=NEXT)
    book = JobBook(site.entries)
    assert book.seal_of(SHIFT) == first
    assert len(book.seals_of(SHIFT)) == 3
    again = site.write("seal", seal(650, before=first.hash), 660, by="office")
    assert JobBook(site.entries).seal_of(SHIFT) == again


def test_the_last_moment_that_a_shift_speaks_of() -> None:
    """A seal, and what was written later, speak of no later moment."""
    site = two_days()
    body = {"heads": {}, "count": 1, "list": "0" * 64, "key": "k", "signature": "s"}
    site.write("seal", body, 700, by="office")
    site.write("note", {"text": "forgot"}, 50, late=500)
    assert JobBook(site.entries).last_moment(SHIFT) == clock(60)
    assert JobBook(site.entries).last_moment(NEXT) == clock(DAY)


def test_a_shift_with_nothing_but_a_seal_ends_with_it() -> None:
    site = Site()
    body = {"heads": {}, "count": 0, "list": "0" * 64, "key": "k", "signature": "s"}
    site.write("seal", body, 700, by="office")
    assert JobBook(site.entries).last_moment(SHIFT) == clock(700)
