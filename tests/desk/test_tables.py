"""The shift's tables, in the words and units of the job."""

from tests.desk.asked import ask, busy
from tests.shift.site import US_PLAN, Site, on


def test_yield_by_lane_and_lift() -> None:
    (row,) = ask(busy(), "yield")
    assert (row["lane"], row["lift"], row["loads"]) == ("E", "binder", 7)
    assert row["mass"] == "150.0 t"
    assert row["range"].endswith("%")
    assert ask(busy(), "yield", language="fr")[0]["range"].startswith("de ")


def test_a_lift_without_a_target_has_no_deviation() -> None:
    site = Site()
    site.load("101", place=on("E", "level", 700, 750))
    (row,) = ask(site, "yield")
    assert (row["over"], row["range"]) == ("", "")


def test_pavers_with_their_stops() -> None:
    (row,) = ask(busy(), "pavers", 82)
    assert row == {"paver": "P1", "points": 3, "pace": "5.0 m/min",
                   "stops": "08:10 12 min waiting for mix"}  # fmt: skip
    assert ask(busy(US_PLAN), "pavers")[0]["pace"] == "16.4 ft/min"


def test_a_paver_seen_once_has_no_pace() -> None:
    site = Site()
    site.write("paver", {"event": "start"}, 0, place=on("E"))
    assert ask(site, "pavers")[0]["pace"] == ""


def test_checks_due() -> None:
    rows = {row["check"]: row for row in ask(busy(), "due")}
    assert rows["Weather"]["state"] == "overdue"
    assert rows["Straightedge"]["left"] != "—"
    idle = Site()
    idle.write("note", {"text": "nothing yet"}, 0)
    assert {row["left"] for row in ask(idle, "due")} == {"—"}


def test_who_was_told() -> None:
    (row,) = ask(busy(), "told")
    assert row | {"id": ""} == {
        "at": "07:55", "to": "Cole Reed", "how": "spoken", "text": "Load 106 is cold.",
        "answer": "Seen.", "state": "open", "id": "", "after": "", "answered": "3 min", "sent": "",
        "times": "answered 3 min later",
    }  # fmt: skip
