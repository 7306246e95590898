"""Checklists as the app is told, and what of them is said of what is due."""

from matbook.desk.open_book import OpenBook
from tests.desk.asked import ask
from tests.shift.site import Site, at, on
from tests.shift.test_lists import WITH


def test_each_line_with_its_reason_and_the_latest_word() -> None:
    site = Site(WITH)
    site.write("shift-open", {}, 0)
    (found,) = ask(site, "lists", 5)["lists"]
    assert (found["name"], found["due"], found["line"]) == (
        "Before the shift", True, "0 of 2 lines looked at",
    )  # fmt: skip
    site.write("checklist", {"list": "before", "item": "Plan read", "state": "done"}, 1)
    (found,) = ask(site, "lists", 5)["lists"]
    read, word = found["lines"]
    assert (read["state_words"], read["at"], read["why"]) == ("done", "07:01", "x")
    assert (word["state_words"], word["hold"][:10]) == ("not looked at", "Hold point")


def test_a_list_that_is_not_due_says_so_and_without_a_shift_there_is_none() -> None:
    site = Site(WITH)
    site.write("note", {"text": "x"}, 0)
    (found,) = ask(site, "lists", 5)["lists"]
    assert (found["state"], found["due"], found["source"]) == (
        "due when the shift opens, at a change of lane", False, "",
    )  # fmt: skip
    assert OpenBook("ridge").ask("lists")["lists"] == []


def test_what_is_due_at_once_and_again_is_said_on_now_and_in_the_table() -> None:
    site = Site(WITH)
    site.write("shift-open", {}, 0)
    row = next(one for one in ask(site, "due", 5) if one["check"] == "Before the shift")
    assert (row["left"], row["state"], row["done"]) == ("now", "", "0 of 2")
    heads = [(one["head"], one["line"]) for one in ask(site, "now", 5)["calls"]]
    assert ("1 line to look at", "Before the shift: Plan read.") in heads
    assert (
        "Hold point not released",
        "Word of the engineer (Before the shift): not looked at.",
    ) in heads


def test_a_check_at_an_event_says_at_which_then_that_it_is_due_then_that_it_is_done() -> None:
    site = Site(WITH)
    site.write("shift-open", {}, 0)

    def left(minute: float) -> str:
        rows = {row["check"]: row for row in ask(site, "due", minute)}
        return str(rows["Straightedge over the joint"]["left"])

    assert left(1) == "when paving starts, after a stop"
    site.write("paver", {"event": "start"}, 2, place=at(0))
    assert left(3) == "now"
    site.write("straightedge", {"length": "3 m", "gap": "1 mm", "along": "joint"}, 4, place=at(0))
    assert left(5) == "done"


def test_a_list_passed_over_says_so_and_a_line_not_done_has_its_reason() -> None:
    site = Site(WITH)
    site.write("shift-open", {}, -10)
    site.load("101", 0, place=on("E", "binder", 0, 50))
    site.load("102", 10, place=on("W", "binder", 1000, 970))
    heads = [(one["head"], one["line"]) for one in ask(site, "now", 11)["calls"]]
    assert ("Before the shift: passed over 1 time", "Due again: Plan read.") in heads
    line = {"list": "before", "item": "Plan read", "state": "not done", "note": "Not here yet."}
    site.write("checklist", line, 12)
    (found,) = ask(site, "lists", 15)["lists"]
    assert found["state"] == "due again, passed over 1 time"
    assert found["line"] == "1 of 2 lines looked at"
    assert found["lines"][0]["said"] == "Not here yet."
    heads = [(one["head"], one["line"]) for one in ask(site, "now", 15)["calls"]]
    assert ("Not done: Plan read", "Before the shift: Not here yet.") in heads


def test_at_the_close_lines_and_hold_points_that_wait_are_open() -> None:
    site = Site(WITH)
    site.write("shift-open", {}, 0)
    still = ask(site, "close", 5)["open"]
    assert "Before the shift: 2 lines nobody has looked at" in still
    assert any("Word of the engineer (Before the shift): not looked at." in line for line in still)
    site.write("checklist", {"list": "before", "item": "Plan read", "state": "done"}, 6)
    site.write("hold-point", {"point": "Word of the engineer", "state": "released"}, 7)
    assert not any("Before the shift" in line for line in ask(site, "close", 8)["open"])


def test_what_is_up_says_where_it_is_dealt_with() -> None:
    site = Site(WITH)
    site.write("shift-open", {}, 0)
    found = ask(site, "now", 5)
    goes = {call["code"]: call["goes"] for call in found["calls"]}
    assert goes["list.due"] == goes["list.held"] == ["lists"]
    assert next(one for one in found["answers"] if one["name"] == "due")["goes"] == ["lists"]
    site.write("paver", {"event": "start"}, 6, place=at(0))
    (due,) = (c for c in ask(site, "now", 7)["calls"] if c["id"] == "check.due:joint-edge")
    assert due["goes"] == ["write", "straightedge"]
