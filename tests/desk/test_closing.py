"""The end of a shift: what is open, and handing over."""

from typing import Any

from tests.desk.asked import ask, busy
from tests.scribe import SHIFT
from tests.shift.site import NEXT, Site, at, on


def close(site: Site, **arguments: Any) -> dict[str, Any]:
    found: dict[str, Any] = ask(site, "close", 90, **arguments)
    return found


def test_everything_that_is_still_open_is_said() -> None:
    site = busy()
    site.load("108", 85)
    assert close(site)["open"][0] == "1 load with mix that nobody has said where it went"
    said = "\n".join(close(site)["open"])
    assert "Not told to anybody: 109 °C. Load 106:" in said
    assert "Told, and not settled: Cole Reed, 07:55. Load 106 is cold." in said
    assert "Check overdue: Weather" in said
    assert "First paver still stands in this book" in said


def test_a_paver_that_did_not_end_is_named_and_one_that_did_is_not() -> None:
    site = Site()
    site.write("paver", {"event": "start"}, 0, place=at(0))
    site.write("paver", {"event": "start"}, 0, place=at(0, "W", paver="P9"))
    site.write("paver", {"event": "end"}, 5, place=at(50, "W", paver="P9"))
    assert [one for one in close(site)["open"] if "ended" in one] == [
        "First paver was not written as ended"
    ]


def test_devices_and_their_missing_numbers() -> None:
    site = busy()
    kept = site.entries
    site.entries = [e for e in kept if not (e.device == "phone-ana" and e.seq in (4, 7, 8))]
    said = close(site)
    devices = {one["device"]: one for one in said["devices"]}
    assert devices["phone-tess"] == {
        "device": "phone-tess", "by": "Tess Lund", "last_at": "08:20", "entries": 1,
    }  # fmt: skip
    assert said["missing"] == [{"device": "phone-ana", "numbers": "4, 7–8"}]
    assert (said["opened"], said["closed"], said["sealed"]) == (True, False, False)


def test_a_device_that_wrote_in_another_shift_only_is_not_missing_anything() -> None:
    site = busy()
    site.write("note", {"text": "x"}, 1440, by="wyn", shift=NEXT)
    site.write("note", {"text": "y"}, 1441, by="ana", shift=NEXT)
    assert {one["device"] for one in ask(site, "close", None, shift=NEXT)["devices"]} == {
        "phone-wyn", "phone-ana",
    }  # fmt: skip
    assert ask(site, "close", None, shift=NEXT)["missing"] == []


def test_a_device_of_the_shift_before_that_was_not_heard_from_is_named() -> None:
    site = busy()
    site.write("note", {"text": "x"}, 1440, by="ana", shift=NEXT)
    assert ask(site, "close", None, shift=NEXT)["silent"] == [
        "Cole Reed (phone-cole)", "Tess Lund (phone-tess)",
    ]  # fmt: skip
    assert close(site, shift=SHIFT)["silent"] == []


def test_a_shift_begun_by_mistake_and_struck_is_passed_over() -> None:
    site = busy()
    wrong = site.write("shift-open", {}, 1440, shift=NEXT)
    assert ask(site, "close", None)["opened"] is True
    assert ask(site, "now", None)["shift"] == NEXT
    site.write("note", {"text": "x"}, 1441, shift=NEXT, strikes=wrong.id, why="begun by mistake")
    assert ask(site, "now", None)["shift"] == SHIFT
    assert [row["state"] for row in ask(site, "entries", None, shift=NEXT)][:2] == [
        "withdrawal", "struck",
    ]  # fmt: skip
    after = NEXT.replace("13", "14")
    site.write("note", {"text": "x"}, 2880, by="ana", shift=after)
    assert ask(site, "close", None, shift=after)["silent"] == [
        "Cole Reed (phone-cole)", "Tess Lund (phone-tess)",
    ]  # fmt: skip


def test_a_book_of_mistakes_alone_still_has_a_latest_shift() -> None:
    site = Site()
    wrong = site.write("shift-open", {}, 0)
    site.write("note", {"text": "x"}, 1, strikes=wrong.id, why="begun by mistake")
    assert ask(site, "now", None)["shift"] == SHIFT


def test_handing_over_says_where_things_stand_and_what_is_open() -> None:
    said = ask(busy(), "handover", 90)
    lines = said["text"].split("\n")
    assert lines[0] == "Ridge Road, 2026-05-12 · crew a · day shift, as of 08:30"
    assert lines[1] == "Taken: 7 loads, 150.0 t."
    assert lines[2] == "First paver in Eastbound, Binder: reached 0+350."
    assert lines[3] == "North plant: last ticket 107."
    assert lines[-1] == "Open matters: 1."
    (matter,) = said["matters"]
    assert matter | {"id": ""} == {"id": "", "at": "07:55", "to": ["Cole Reed"],
                                   "text": "Load 106 is cold.", "answer": "Seen."}  # fmt: skip


def test_handing_over_a_shift_of_unknown_names() -> None:
    site = Site()
    site.load("none", 0, plant="own", place=on("E", "binder", 0, 50, paver="P9"))
    site.load("7", 2, plant="other", place=on("X", "binder", 0, 50))
    lines = ask(site, "handover", 10)["text"].split("\n")
    assert "P9 in Eastbound, Binder: reached 0+050." in lines
    assert "other: last ticket 7." in lines
    assert not [line for line in lines if line.startswith("own:")]
