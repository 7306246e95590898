"""A sheet to print: half a page in short, then everything as tables."""

from typing import Any

from tests.desk.asked import ask, busy
from tests.shift.site import US_PLAN, Site, at


def in_short(site: Site, minute: float = 90, **arguments: Any) -> dict[str, list[str]]:
    said = ask(site, "day_sheet", minute, **arguments)
    return {one["title"]: one["lines"] for one in said["summary"]}


def test_the_day_sheet_is_printable_and_is_not_the_record() -> None:
    said = ask(busy(), "day_sheet", 90)
    assert said["title"] == "Day sheet: Ridge Road"
    assert said["job_note"] == "Invented."
    assert "not the official daily record" in said["note"]
    assert [s["title"] for s in said["sections"]] == [
        "What is up", "Loads", "Yield", "Pavers", "Who was told", "Checks", "Every entry",
    ]  # fmt: skip
    for section in said["sections"]:
        assert {len(row) for row in section["rows"]} == {len(section["columns"])}
        assert all(isinstance(cell, str) for row in section["rows"] for cell in row)
    laid = next(s for s in said["sections"] if s["title"] == "Yield")["rows"]
    assert laid[0][:2] == ["Eastbound", "Binder"]
    entries = said["sections"][-1]["rows"]
    assert [row[0] for row in entries[1:]] == sorted(row[0] for row in entries[1:])
    assert "struck" in {row[-1] for row in entries}


def test_a_sheet_leaves_out_what_there_is_nothing_of() -> None:
    site = Site()
    site.write("shift-open", {}, 0)
    titles = [s["title"] for s in ask(site, "day_sheet", 1)["sections"]]
    assert "Loads" not in titles


def test_it_begins_with_the_shift_in_short() -> None:
    said = in_short(busy())
    assert list(said) == [
        "State", "Taken", "Laid", "Needs somebody", "Told", "Checks overdue", "Corrected",
        "Written by",
    ]  # fmt: skip
    assert said["State"] == ["not closed yet"]
    assert said["Taken"] == ["7 loads, 150.0 t"]
    (laid,) = said["Laid"]
    assert laid == "Eastbound, Binder: 150.0 t from 7 loads · reached 0+350 · +2.0 % against plan"
    assert said["Told"] == ["1 matter, 1 not settled"]
    assert said["Corrected"] == ["1 entry struck; all are readable below"]
    assert said["Written by"] == ["Ana Vale, Cole Reed, Tess Lund"]
    assert sum(len(lines) for lines in said.values()) < 20


def test_it_names_the_gravest_and_counts_the_rest() -> None:
    site = busy()
    for n in range(6):
        site.write("loose-depth", {"depth": "90 mm"}, 81 + n / 10, place=at(220 + n))
    said, calls = in_short(site)["Needs somebody"], ask(site, "now", 90)["calls"]
    asking = [call for call in calls if call["grade"] != "note"]
    assert said[:5] == [f"{call['head']}: {call['line']}" for call in asking[:5]]
    assert said[5] == f"and {len(asking) - 5} more, below"


def test_what_was_settled_is_no_longer_among_what_needs_somebody() -> None:
    site = Site()
    site.write("shift-open", {}, -5)
    site.load("101", 0, temp="109 degC")
    (call,) = [one for one in ask(site, "now", 5)["calls"] if one["code"] == "load.temperature"]
    assert call["head"] in in_short(site, 5)["Needs somebody"][0]
    told = site.write("notice", {"to": ["pia"], "how": "phone", "text": "x", "call": call["id"]}, 2)
    site.write("reply", {"notice": told.id, "text": "Burner set.", "settles": "yes"}, 3, by="pia")
    assert not any(call["head"] in line for line in in_short(site, 5)["Needs somebody"])


def test_a_closed_shift_with_nothing_in_it_is_short() -> None:
    site = Site(US_PLAN)
    site.write("shift-open", {}, 0)
    site.write("load", {"plant": "north", "decision": "turned away", "ticket": "9"}, 1)
    site.write("shift-close", {}, 2)
    said = in_short(site, 3)
    assert said["State"] == ["closed, not sealed"]
    assert said["Taken"] == ["0 loads, 0.0 ton; 1 turned away"]
    assert not {"Laid", "Told", "Corrected"} & set(said)


def test_when_nothing_is_up_it_says_so_and_only_of_what_is_computed() -> None:
    site = Site()
    site.write("shift-open", {}, 0)
    assert in_short(site, 1)["Needs somebody"] == ["nothing, of what this version computes"]
