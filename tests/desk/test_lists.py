"""Checklists as the app is told, and what of them is said of what is due."""

from matbook.desk.open_book import OpenBook
from tests.desk.asked import ask
from tests.shift.site import Site
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
    assert (found["state"], found["due"], found["source"]) == ("not due yet", False, "")
    assert OpenBook("ridge").ask("lists")["lists"] == []


def test_what_is_due_at_once_and_again_is_said_on_now_and_in_the_table() -> None:
    site = Site(WITH)
    site.write("shift-open", {}, 0)
    row = next(one for one in ask(site, "due", 5) if one["check"] == "Before the shift")
    assert (row["left"], row["state"]) == ("0 times", "")
    heads = [(one["head"], one["line"]) for one in ask(site, "now", 5)["calls"]]
    assert ("Due now", "Before the shift.") in heads
