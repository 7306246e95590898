"""Joints step by step, ends without a ramp, edges that stand open, what traffic meets tonight.

Ramps and strips are held against the references (placement.md, section 7): 50 mm at 20 to 1 is
1.00 m and at 50 to 1 2.50 m; starter strips for 50 mm are 12.5 mm at a ratio of 1.25, which is a
roll-down of 20 %.
"""

from typing import Any

import pytest

from matbook.shift.calls import Call
from matbook.shift.carry import carry_of
from matbook.shift.joints import STEPS, joints
from matbook.shift.view import View, view
from tests.shift.site import PLAN, Site, at, clock, on

JOINTS = '[joints]\npaper = "0.9 m"\nlap = "100 mm"\ntonight = ["Centre line", "Bump signs"]\n'
RATIO = 'quantity = "ramp.ratio"\nside = "min"\nnumber = "20"'


def with_ratio(ratio: int) -> str:
    plan = PLAN.replace("[[roads]]", f"{JOINTS}[[roads]]", 1)
    return plan.replace(RATIO, RATIO.replace("20", str(ratio)))


def step(site: Site, minute: float, name: str, held: str = "done", at_m: float = 0) -> Any:
    body = {"step": name, "held": held}
    return site.write("joint-transverse", body, minute, place=at(at_m))


def gone(plan: str = PLAN) -> Site:
    """50 m of binder, and the paver has ended."""
    site = Site(plan)
    site.write("paver", {"event": "start"}, -1, place=at(0))
    site.lay(["21.00 t"])
    site.write("paver", {"event": "end"}, 60, place=at(50))
    return site


def of(seen: View, family: str) -> list[Call]:
    return [call for call in seen.calls if call.code.startswith(family)]


# Transverse joints


def test_a_joint_holds_the_latest_word_on_each_step() -> None:
    site = Site()
    step(site, 0, "face", "not done")
    step(site, 5, "face")
    step(site, 6, "tacked", "not looked at")
    (joint,) = joints(site.facts)
    assert [joint.state(one) for one in STEPS[:5]] == [
        "not looked at", "not looked at", "not looked at", "done", "not looked at",
    ]  # fmt: skip
    (call,) = of(site.view(), "joint.held")
    assert call.says["step"] == "tacked"


def test_stations_a_metre_apart_are_one_joint_and_further_are_two() -> None:
    site = Site()
    for n, at_m in enumerate((0, 2, 50)):
        step(site, n, "face", at_m=at_m)
    site.write("joint-transverse", {"step": "face", "held": "done"}, 8, place={"lane": "E"})
    site.write("joint-transverse", {"step": "tacked", "held": "done"}, 9, place={"lane": "E"})
    assert [len(one.steps) for one in joints(site.facts)] == [1, 1, 2]


def test_a_straightedge_over_the_joint_is_its_last_step() -> None:
    site = Site()
    step(site, 0, "rolled")
    body = {"length": "3 m", "gap": "2 mm", "along": "joint"}
    site.write("straightedge", body, 3, place=at(1))
    site.write("straightedge", {**body, "along": "along"}, 4, place=at(1))
    site.write("straightedge", body, 5, place=at(400))
    site.write("straightedge", body, 6, place={"lane": "E"})
    (joint,) = joints(site.facts)
    assert (joint.state("straightedge"), len(joint.edges)) == ("done", 1)


def test_going_on_without_a_word_on_what_should_have_been_seen_is_noted() -> None:
    site = Site()
    step(site, 0, "face")
    step(site, 5, "restarted")
    found = of(site.view(), "joint.unseen")
    assert [call.says["step"] for call in found] == ["tacked", "starter strips"]
    assert {call.grade for call in found} == {"note"}


# Ends and ramps


def test_an_end_without_a_ramp_is_called_when_the_paver_has_gone() -> None:
    site = Site()
    site.lay(["21.00 t"])
    assert of(site.view(), "joint.no-ramp") == []
    (call,) = of(gone().view(), "joint.no-ramp")
    assert call.says == {"station": "0+050", "step_m": 0.05}
    people = gone().view().plan.people
    assert {people[one].role for one in call.tell} == {"contractor", "supervisor"}
    site.write("shift-close", {}, 200)
    assert len(of(site.view(), "joint.no-ramp")) == 1, "closed, with the end not written"


def test_an_end_that_was_laid_over_meets_no_traffic() -> None:
    site = gone()
    site.load("201", 80, mix="ac8", place=on("E", "surface", 0, 70))
    site.write("paver", {"event": "end"}, 100, place=at(70, lift="surface"))
    (call,) = of(site.view(), "joint.no-ramp")
    assert call.says["station"] == "0+070"


def test_a_ramp_near_the_end_answers_it_and_one_elsewhere_does_not() -> None:
    site = gone()
    ramp = {"step": "50 mm", "length": "1.00 m"}
    site.write("ramp", ramp, 70, place=at(500))
    assert len(of(site.view(), "joint.no-ramp")) == 1
    site.write("ramp", ramp, 75, place=at(51))
    assert of(site.view(), "joint.no-ramp") == []


@pytest.mark.parametrize(("ratio", "length_m", "kg"), [(20, 1.0, 210.0), (50, 2.5, 525.0)])
def test_what_a_ramp_takes_opens(ratio: int, length_m: float, kg: float) -> None:
    """3.50 m wide, 2,400 kg/m3: 0.05 x 1.00 x 3.50 x 2400 / 2 = 210 kg."""
    found = dict(gone(with_ratio(ratio)).view().figures())
    assert found["joint/E/binder/length"].value == pytest.approx(length_m)
    assert found["joint/E/binder/mass"].value == pytest.approx(kg)
    assert found["joint/E/binder/paper"].value == {20: 2, 50: 3}[ratio]
    assert found["joint/E/binder/strips"].value == pytest.approx(0.0125)
    opened = found["joint/E/binder/length"].open()
    assert opened["inputs"]["ratio"]["plan"] == "limits/ramp/number"


def test_without_a_limit_on_ramps_there_is_no_length() -> None:
    assert RATIO in PLAN
    found = dict(gone(PLAN.replace("ramp.ratio", "edge.ratio")).view().figures())
    assert "joint/E/binder/strips" in found
    assert "joint/E/binder/length" not in found


def test_a_ramp_as_written_has_its_mass_without_a_limit_too() -> None:
    site = gone(PLAN.replace("ramp.ratio", "edge.ratio"))
    one = site.write("ramp", {"step": "50 mm", "length": "2.00 m"}, 70, place=at(50))
    found = dict(site.view().figures())
    assert found[f"joint/{one.id}/mass"].value == pytest.approx(420.0)
    assert f"joint/{one.id}/length" not in found


def test_what_the_plan_does_not_say_gives_no_number() -> None:
    """The surface has no roll-down; lane X is not in the plan."""
    site = Site(with_ratio(20))
    site.load("201", 0, mix="ac8", place=on("E", "surface", 0, 70))
    site.load("202", 5, place=on("X", "binder", 0, 70))
    names = [name for name, _ in site.view().joint_figures()]
    assert names == [f"joint/E/surface/{one}" for one in ("length", "mass", "paper")]


def test_a_ramp_as_written_takes_its_own_step_length_and_width() -> None:
    site = gone(with_ratio(20))
    one = site.write("ramp", {"step": "40 mm", "length": "1.00 m", "width": "3.00 m"}, 70,
                     place=at(50))  # fmt: skip
    other = site.write("ramp", {"step": "40 mm", "length": "1.00 m"}, 71, place=at(50))
    bare = site.write("ramp", {"step": "0 mm", "length": "1.00 m"}, 72, place={"lane": "E"})
    found = dict(site.view().figures())
    assert found[f"joint/{one.id}/length"].value == pytest.approx(0.8)
    assert found[f"joint/{one.id}/mass"].value == pytest.approx(144.0)
    assert found[f"joint/{other.id}/mass"].value == pytest.approx(168.0), "the lane's own width"
    assert f"joint/{bare.id}/length" not in found


# Edges


def edge(site: Site, minute: float, state: str) -> Any:
    body = {"joint": "butt", "edge": state, "height": "50 mm"}
    return site.write("joint-longitudinal", body, minute, place=on("E", "binder", 0, 50))


def test_an_edge_that_stands_open_for_longer_than_agreed_is_called_in_the_next_shift_too() -> None:
    plan = PLAN.replace("matbook = 1\n", 'matbook = 1\nadopt = ["ohio-pn-415/open-edge"]\n', 1)
    site = Site(plan)
    left_open = edge(site, 0, "open")
    assert of(site.view(24 * 60), "joint.edge-open") == []
    carry = carry_of(site.facts)
    later = view(Site(plan).facts, clock(25 * 60), carry)
    (call,) = of(later, "joint.edge-open")
    assert (call.subject, call.grade, call.says["minutes"]) == (left_open.id, "watch", 1500.0)
    edge(site, 30, "closed")
    assert carry_of(site.facts).open_edges == {}


# Tonight


def test_each_item_is_present_missing_or_not_looked_at() -> None:
    site = gone(with_ratio(20))
    edge(site, 50, "open")
    site.write("markings", {"item": "centre line", "state": "missing"}, 61, place=at(20))
    site.write(
        "markings", {"item": "Cones", "state": "present"}, 62, place=on("E", "binder", 0, 50)
    )
    site.write("traffic-control", {"layout": "TL-1", "state": "deficient"}, 63)
    site.write("traffic-control", {"layout": "TL-2", "state": "up"}, 64)
    site.write("traffic-control", {"layout": "TL-3", "state": "down"}, 65)
    found = {(item.what, item.state) for item in site.view().tonight}
    assert found == {
        ("tonight.ramp", "not looked at"), ("tonight.edge", "open"), ("Centre line", "missing"),
        ("Bump signs", "not looked at"), ("Cones", "present"), ("TL-1", "missing"),
        ("TL-2", "present"),
    }  # fmt: skip
    (call,) = of(site.view(), "tonight.unseen")
    assert call.says == {"items": "Bump signs"}
    site.write("markings", {"item": "Bump signs", "state": "present"}, 66)
    site.write("ramp", {"step": "50 mm", "length": "1.00 m"}, 67, place=at(50))
    assert of(site.view(), "tonight.unseen") == []
    assert ("tonight.ramp", "present") in {(i.what, i.state) for i in site.view().tonight}


def test_before_a_paver_has_gone_nothing_is_missed() -> None:
    site = Site(with_ratio(20))
    site.lay(["21.00 t"])
    assert of(site.view(), "tonight.") == []
