"""Joints, what a ramp takes, and what traffic meets tonight, as the app is told."""

from typing import Any

from tests.desk.asked import ask
from tests.shift.site import NEXT, PLAN, Site, at, on
from tests.shift.test_joints import RATIO, edge, gone, of, step, with_ratio


def state(site: Site, minute: float = 120, **arguments: Any) -> dict[str, Any]:
    found: dict[str, Any] = ask(site, "joints", minute, **arguments)
    return found


def test_each_step_with_its_state_and_the_gap_under_the_straightedge() -> None:
    site = gone()
    step(site, 0, "face")
    step(site, 2, "tacked", "not done")
    site.write("straightedge", {"length": "3 m", "gap": "2 mm", "along": "joint"}, 9, place=at(0))
    joint, end = state(site)["joints"]
    assert joint["title"] == "Transverse joint Eastbound 0+000.0"
    assert joint["place"] == {"lane": "E", "lift": "binder", "station": "0+000.0"}
    assert {one["state"] for one in end["steps"]} == {"not looked at"}
    assert end["place"]["station"] == "0+050"
    said = {one["step"]: one["state_words"] for one in joint["steps"]}
    assert (said["face"], said["tacked"], said["rolled"]) == ("done", "not done", "not looked at")
    assert joint["gap"] == "Straightedge: 2 mm"


def test_what_a_ramp_takes_is_shown_and_opens() -> None:
    site = gone(with_ratio(20))
    needs = {one["title"]: one["value"] for one in state(site)["needs"]}
    assert needs == {
        "Length that a ramp needs, Eastbound, Binder": "1.00 m",
        "Mix in the ramp, Eastbound, Binder": "0.21 t",
        "Widths of paper under the ramp, Eastbound, Binder": "2",
        "Starter strips, Eastbound, Binder": "12.5 mm",
    }
    ramp = site.write("ramp", {"step": "50 mm", "length": "1.00 m"}, 70, place=at(50))
    figure = ask(site, "figure", 120, name=f"joint/{ramp.id}/length")
    assert figure["title"] == "Length that a ramp needs, 0+050.0"
    assert figure["formula"] == "step x ratio"


def test_without_a_limit_it_says_that_there_is_no_number_by_itself() -> None:
    assert RATIO in PLAN
    titles = [
        one["title"] for one in state(gone(PLAN.replace("ramp.ratio", "edge.ratio")))["needs"]
    ]
    assert titles[-1].startswith("No length: the plan has no limit")


def test_tonight_says_who_was_told_and_what_they_answered_and_never_safe() -> None:
    site = gone(with_ratio(20))
    edge(site, 50, "open")
    items = {one["what"]: one for one in state(site)["tonight"]}
    assert items["Ramp where the mat ends"]["call"].startswith("joint.no-ramp:")
    assert (items["Centre line"]["call"][:14], items["Centre line"]["place"]) == (
        "tonight.unseen", {},
    )  # fmt: skip
    assert items["Longitudinal edge"]["place"] is None
    missing = site.write("markings", {"item": "Centre line", "state": "missing"}, 61)
    call = f"markings.not-present:{missing.id}"
    told = site.write("notice", {"to": ["cole"], "how": "spoken", "text": "x", "call": call}, 62)
    items = {one["what"]: one for one in state(site)["tonight"]}
    assert items["Centre line"]["call"] == ""
    assert items["Centre line"]["told"] == "Cole Reed told at 08:02: no answer yet"
    site.write("reply", {"notice": told.id, "text": "By six.", "settles": "no"}, 64, by="cole")
    found = state(site)
    items = {one["what"]: one for one in found["tonight"]}
    assert items["Centre line"]["told"] == "Cole Reed told at 08:02: By six."
    assert items["Ramp where the mat ends"]["state_words"] == "not looked at"
    assert items["Ramp where the mat ends"]["told"] == "nobody told"
    assert items["Longitudinal edge"]["detail"] == "step 50 mm"
    assert "safe" not in str(found).lower()


def test_a_notice_about_the_entry_itself_counts_too() -> None:
    site = gone()
    seen = site.write("traffic-control", {"layout": "TL-1", "state": "deficient"}, 61)
    site.write("notice", {"to": ["cole"], "how": "radio", "text": "x", "about": [seen.id]}, 62)
    (item,) = [one for one in state(site)["tonight"] if one["what"] == "TL-1"]
    assert (item["state_words"], item["told"][:9]) == ("missing", "Cole Reed")


def test_the_next_shift_sees_where_it_goes_on_and_which_edges_stand_open() -> None:
    site = gone()
    edge(site, 50, "open")
    site.write("shift-open", {}, 24 * 60, shift=NEXT)
    found = ask(site, "joints", 24 * 60 + 5, shift=NEXT)
    assert found["goes_on"] == ["Goes on from 0+050 (Eastbound)"]
    assert [one["words"] for one in found["edges"]] == [
        "Eastbound 0+000.0–0+050.0: open for 23 h 15 min, 50 mm"
    ]
    (joint,) = found["joints"]
    assert joint["place"] == {"lane": "E", "lift": "binder", "station": "0+050"}
    assert {one["state"] for one in joint["steps"]} == {"not looked at"}
    site.load("201", 24 * 60 + 6, shift=NEXT, place=on("E", "binder", 50, 70))
    assert ask(site, "joints", 24 * 60 + 9, shift=NEXT)["goes_on"] == []


def test_a_lane_that_the_plan_does_not_have_is_named_as_written() -> None:
    site = Site()
    place = {"lane": "Z", "lift": "binder", "station": "0+000.0"}
    site.write("joint-transverse", {"step": "face", "held": "done"}, 1, place=place)
    site.write("joint-longitudinal", {"joint": "butt", "edge": "open"}, 2, place=place)
    found = state(site)
    assert found["joints"][0]["title"] == "Transverse joint Z 0+000.0"
    assert found["edges"][0]["words"].startswith("Z: open for")
    assert found["tonight"][0]["where"] == "Z"
    assert of(site.view(), "joint.edge-open") == []
