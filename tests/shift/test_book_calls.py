"""What the book itself calls for: quarantine, contests, chains, writers, instruments, notices."""

from datetime import timedelta

import pytest

from matbook.book.pen import Pen
from matbook.shift.book_calls import written_later
from matbook.shift.carry import carry_of
from tests.shift.site import NEXT, PLAN, Site, at, on


def test_a_book_without_a_plan_calls_for_one_and_judges_nothing() -> None:
    site = Site(plan="")
    site.load("101", temp="20 degC")
    call = site.call("plan.missing")
    assert (call.grade, len(site.calls())) == ("act", 1)


# Quarantine, contests, strikes


@pytest.mark.parametrize(
    ("kind", "body", "v"),
    [
        ("loda", {"x": "1"}, 1),
        ("note", {"text": "x"}, 2),
        ("note", {}, 1),
        ("load", {"plant": "north", "decision": "taken", "net": "21,00 t"}, 1),
    ],
    ids=["unknown kind", "newer form", "field missing", "comma"],
)
def test_what_cannot_be_opened_rests_in_quarantine(kind: str, body: dict[str, str], v: int) -> None:
    site = Site()
    entry = site.write(kind, body, 10, v=v)
    call = site.call("book.quarantine")
    assert (call.subject, call.says["kind"], call.grade) == (entry.id, kind, "watch")
    assert call.says["why"]
    assert site.view().loads == ()


def test_a_strike_by_somebody_without_the_right_to_it() -> None:
    site = Site()
    note = site.write("note", {"text": "dry"}, 10)
    strike = site.write("note", {"text": "damp"}, 11, by="wyn", strikes=note.id, why="no")
    call = site.call("book.strike-refused")
    assert call.entries == (strike.id, note.id)
    assert [fact.text("text") for fact in site.facts.of("note")] == ["dry"]


def test_two_corrections_of_one_entry_are_a_contest() -> None:
    site = Site()
    first = site.write("width", {"width": "3.50 m"}, 10, place=at(10))
    one = site.write("width", {"width": "3.55 m"}, 10, late=2, strikes=first.id, why="x",
                     place=at(10))  # fmt: skip
    two = site.write("width", {"width": "3.60 m"}, 10, by="greta", late=4, strikes=first.id,
                     why="y", place=at(10))  # fmt: skip
    call = site.call("book.contested")
    assert (call.subject, set(call.entries)) == (one.id, {one.id, two.id})
    assert call.says["versions"] == "width 3.55 m or 3.60 m"


def test_a_correction_of_what_has_not_arrived_waits() -> None:
    site = Site()
    site.write("note", {"text": "x"}, 10, strikes="01890000-0000-7000-8000-000000000009", why="x")
    assert site.call("book.strike-waits").grade == "note"


# Clocks


def test_an_entry_written_before_it_happened() -> None:
    site = Site()
    site.write("note", {"text": "x"}, 60, late=-3)
    assert site.call("book.clock").subject == "phone-ana"
    early = Site()
    early.write("note", {"text": "x"}, 60, late=-2)
    assert early.calls("book.clock") == ()


def test_an_entry_of_a_time_still_to_come() -> None:
    site = Site()
    for minute in (240, 245, 270, 300):
        site.write("note", {"text": "x"}, minute, by="wyn" if minute == 300 else "ana")
    calls = site.calls("book.to-come")
    assert [(call.subject, call.says["when"]) for call in calls] == [
        ("phone-wyn", "12:00"),
        ("phone-ana", "11:30"),
    ]
    assert site.calls("book.to-come", 295) == ()
    body = {"heads": {}, "count": 1, "list": "0" * 64, "key": "k", "signature": "s"}
    site.write("seal", body, 400, by="office")
    site.write("plan", {"path": "job.note", "new": "x", "with": "y"}, 500, by="greta")
    assert site.calls("book.to-come", 300) == ()


def test_how_much_later_an_entry_was_written() -> None:
    site = Site()
    assert written_later(site.write("note", {"text": "x"}, 0, late=30)) is None
    late = site.write("note", {"text": "x"}, 0, late=31)
    assert written_later(late) == timedelta(minutes=31)
    assert written_later(site.load("101", late=600, by="pia", witness="plant")) is None
    body = {"heads": {}, "count": 1, "list": "0" * 64, "key": "k", "signature": "s"}
    assert written_later(site.write("seal", body, 5, by="office", late=600)) is None


# Writers


def test_somebody_who_is_not_in_the_plan() -> None:
    site = Site()
    for minute in (5, 9):
        site.write("note", {"text": "x"}, minute, by="zed")
    call = site.call("book.writer-unknown")
    assert (call.subject, call.grade) == ("zed", "note")


def test_somebody_who_wrote_what_is_not_theirs_to_write() -> None:
    site = Site()
    site.write("loose-depth", {"depth": "62 mm"}, 5, by="cole", place=at(10))
    call = site.call("book.writer-role")
    assert (call.says["role"], call.says["kind"]) == ("contractor", "loose-depth")


def test_what_the_installation_writes_has_no_person() -> None:
    site = Site()
    body = {"heads": {}, "count": 1, "list": "0" * 64, "key": "k", "signature": "s"}
    site.write("seal", body, 5, by="office")
    assert site.calls("book.writer-unknown") == ()


# Chains


def test_a_device_that_used_a_number_twice() -> None:
    site = Site()
    site.write("note", {"text": "one"}, 5)
    scribe = site.scribes["ana"]
    fork = scribe.pen
    site.write("note", {"text": "two"}, 6)
    scribe.pen = fork
    site.write("note", {"text": "three"}, 7)
    call = site.call("book.fork")
    assert (call.subject, call.grade) == ("phone-ana", "act")
    assert (call.says["count"], call.says["first"]) == (1, 3)


def test_an_entry_that_does_not_fit_the_one_before() -> None:
    site = Site()
    site.write("note", {"text": "one"}, 5)
    pen = site.scribes["ana"].pen
    site.scribes["ana"].pen = Pen(pen.device, pen.by, pen.seq, "0" * 64)
    site.write("note", {"text": "two"}, 6)
    call = site.call("book.break")
    assert (call.subject, call.says["count"]) == ("phone-ana", 1)


def test_each_devices_chain_as_far_as_the_shift_shows_it() -> None:
    site = Site()
    site.write("note", {"text": "one"}, 5)
    site.write("note", {"text": "two"}, 6, by="wyn")
    found = site.facts.chains()
    assert {device: chain.count for device, chain in found.items()} == {
        "phone-ana": 2, "phone-wyn": 1,
    }  # fmt: skip
    assert all(chain.whole for chain in found.values())


# The plan


def test_a_change_to_the_plan_that_does_not_hold() -> None:
    site = Site()
    change = {"path": "lifts/binder/spread", "old": "130 kg/m2", "new": "125 kg/m2"}
    entry = site.write("plan", change, 5, why="agreed", by="greta")
    call = site.call("plan.change-refused")
    assert (call.subject, call.grade) == (entry.id, "act")
    assert "120 kg/m2" in str(call.says["why"])
    assert site.view().plan.lifts["binder"].spread_kg_m2 == 120.0


# Instruments


def test_an_instrument_used_after_its_calibration_was_due() -> None:
    site = Site()
    body = {"stage": "laydown", "temp": "140 degC"}
    first = site.write("temperature", body, 5, place=at(10), instrument="probe-1")
    site.write("temperature", body, 9, place=at(20), instrument="probe-1")
    site.write("slope", {"slope": "2.0 %"}, 9, place=at(20), instrument="board-1")
    call = site.call("instrument.overdue")
    assert (call.subject, call.says["due"], call.entries) == ("probe-1", "2026-04-01", (first.id,))


def test_instruments_in_date_or_unused_are_not_called() -> None:
    site = Site()
    site.write("slope", {"slope": "2.0 %"}, 9, place=at(20), instrument="board-1")
    assert site.calls("instrument.overdue") == ()
    struck = Site()
    entry = struck.write("slope", {"slope": "2.0 %"}, 9, place=at(20), instrument="probe-1")
    body = {"slope": "2.0 %"}
    struck.write("slope", body, 9, place=at(20), strikes=entry.id, why="by board 1")
    assert struck.calls("instrument.overdue") == ()
    today = Site(PLAN.replace('due = "2026-04-01"', 'due = "2026-05-12"'))
    today.write("slope", body, 9, place=at(20), instrument="probe-1")
    assert today.calls("instrument.overdue") == ()
    dated = Site()
    change = {"path": "instruments/probe-1/due", "old": "2026-04-01", "new": "2026-06-01"}
    dated.write("plan", change, -30, why="calibrated", by="greta")
    body = {"stage": "laydown", "temp": "140 degC"}
    dated.write("temperature", body, 5, place=at(10), instrument="probe-1")
    assert dated.calls("instrument.overdue") == ()


# Notices and disagreements


def test_a_notice_nobody_answered_and_one_that_was_not_settled() -> None:
    site = Site()
    told = site.write("notice", {"to": ["cole"], "how": "spoken", "text": "Screed low."}, 0)
    call = site.call("notice.unanswered", 45)
    assert (call.subject, call.says["minutes"], call.says["to"]) == (told.id, 45.0, ["cole"])
    body = {"notice": told.id, "text": "Looking at it.", "settles": "no"}
    site.write("reply", body, 20, by="cole")
    assert site.call("notice.answered-open").subject == told.id
    site.write("reply", {"notice": told.id, "text": "Raised.", "settles": "yes"}, 30)
    assert [c for c in site.calls() if c.code.startswith("notice.")] == []


def test_a_notice_of_the_shift_before_still_waits() -> None:
    site = Site()
    told = site.write("notice", {"to": ["cole"], "how": "spoken", "text": "Ramp short."}, 0)
    carry = carry_of(site.facts)
    following = Site()
    following.write("shift-open", {}, 24 * 60, shift=NEXT)
    assert following.call("notice.unanswered", 24 * 60, carry).subject == told.id


def test_somebody_saw_it_differently_and_the_entry_stays() -> None:
    site = Site()
    entry = site.load("101", temp="141 degC", place=on("E", "binder", 0, 50))
    body = {"about": entry.id, "says": "It was 150 by my probe."}
    site.write("disagreement", body, 20, by="cole")
    call = site.call("book.disagreement")
    assert (call.subject, call.says["who"]) == (entry.id, "cole")
    assert site.view().loads[0].temp == "141 degC"
