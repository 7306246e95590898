"""Loose depth along a strip: what to set, its drift, and a screed that was set anew."""

import pytest

from matbook.shift.depths import Depth
from tests.shift.placed import PLACED, creeping, depth
from tests.shift.site import PLAN, Site, at, on


def one(site: Site, minute: float = 240) -> Depth:
    (found,) = site.view(minute).depths
    return found


def test_what_to_set_by_the_plans_roll_down() -> None:
    """50 mm with a fifth of the loose depth lost: 62.5 mm."""
    found = one(creeping(rise=0.0))
    assert found.to_set is not None
    assert found.to_set.value == pytest.approx(0.0625)
    assert found.trend is not None
    assert not found.trend.drifting
    assert found.off_m == pytest.approx(-0.0005 + 7 / 42000, abs=1e-6)
    assert creeping(rise=0.0).calls("depth.drift") == ()


def test_a_drift_is_said_while_it_is_still_within_the_limit() -> None:
    """Half a millimetre on 10 m; at the eighth 65.5 by the line, 3 of the 6 mm allowed: 60 m on."""
    site = creeping()
    found = one(site)
    assert found.trend is not None
    assert found.trend.drifting
    assert found.trend.slope == pytest.approx(5.5e-5, rel=0.05)
    (call,) = site.calls("depth.drift")
    assert (call.grade, call.tell, len(call.entries)) == ("watch", ("cole",), 8)
    assert call.limit is not None
    figure = dict(site.view().figures())["depth/E/binder/P1/drift"]
    assert figure.open()["range"]["is"] == "range.drift"
    assert figure.low is not None
    assert figure.low > 0.0


def test_beyond_the_limit_the_reading_speaks_for_itself() -> None:
    site = creeping(rise=1.5)
    assert site.calls("depth.drift") == ()
    assert site.calls("reading.beyond")


def test_few_readings_or_all_at_one_place_make_no_trend() -> None:
    assert one(creeping(count=2)).trend is None
    site = Site(PLACED)
    for n in range(4):
        site.write("loose-depth", {"depth": "62 mm"}, n, place=at(10))
    site.write("loose-depth", {"depth": "62 mm"}, 9, place={"lane": "E"})
    site.write("loose-depth", {"depth": "62 mm"}, 9, place=at(10, lane="Z"))
    found = {depth.strip: depth for depth in site.view().depths}
    assert found["E", "binder", "P1"].trend is None
    assert found["E", "", ""].points == ()
    assert found["E", "", ""].to_set is None


def test_a_stop_begins_a_new_trend() -> None:
    site = creeping()
    site.write("paver", {"event": "stop", "reason": "waiting for mix"}, 30, place=at(70))
    assert one(site).points == ()


def test_against_the_stations_a_drift_keeps_its_sense() -> None:
    """Lane W is paved downwards: deeper as the paver goes on is a rise all the same."""
    site = Site(PLACED)
    for n in range(8):
        mm = 62.0 + 0.5 * n + (0.5 if n % 2 else -0.5)
        site.write("loose-depth", {"depth": f"{mm} mm"}, 5 + n, place=at(1000 - 10 * n, "W"))
    found = one(site)
    assert found.trend is not None
    assert found.trend.slope > 0.0
    (call,) = site.calls("depth.drift")
    assert str(call.says["station"]) < "0+930"


# After a change of the screed


def changed(reached: float = 70, plan: str = PLACED) -> Site:
    """Set down at 70 m; the mat reaches so far."""
    site = creeping(plan, count=7)
    depth(site, 7, 66.0, "down")
    site.load("101", 20, place=on("E", "binder", 0, reached))
    return site


def test_a_check_waits_for_three_lengths_of_the_tow_arm() -> None:
    """95 % of a change takes -ln(0.05) = 3.00 lengths of 2.5 m: 77.5 m; 99 %: 4.61, 81.5 m."""
    site = changed()
    found = one(site).settling
    assert found is not None
    assert found.from_m == pytest.approx(77.49, abs=0.01)
    assert found.done_m == pytest.approx(81.51, abs=0.01)
    (call,) = site.calls("depth.wait")
    assert (call.grade, call.says["station"]) == ("note", "0+077.5")
    assert one(site).trend is None
    assert "depth/E/binder/P1/recheck" in dict(site.view().figures())


def test_once_the_mat_is_past_it_the_check_is_due() -> None:
    site = changed(reached=90)
    site.write("loose-depth", {"depth": "65 mm"}, 30, place=at(74))
    (call,) = site.calls("depth.check")
    assert (call.grade, call.says["early"], len(call.entries)) == ("watch", 1, 2)
    site.write("loose-depth", {"depth": "63 mm"}, 31, place=at(79))
    assert site.calls("depth.check") == ()
    assert [point.depth_m for point in one(site).points] == [pytest.approx(0.063)]


def test_without_a_tow_arm_the_agreed_length_counts_or_nothing() -> None:
    bare = PLACED.replace('\ntow_arm = "2.5 m"', "")
    assert one(changed(plan=bare)).settling is None
    adopted = bare.replace(
        "matbook = 1\n", 'matbook = 1\nadopt = ["common-practice/recheck-advance"]\n'
    )
    found = one(changed(plan=adopted)).settling
    assert found is not None
    assert (found.from_m, found.done_m) == (80.0, 80.0)


# Roll-down by the job's own cores


def core(site: Site, n: int, mm: str, **place: str) -> None:
    body = {"core": f"C{n}", "thickness": mm}
    site.write("core", body, 60 + n, by="tess", place={**at(20 * n), **place})


def test_three_cores_make_a_roll_down_of_the_jobs_own() -> None:
    """62 mm loose on average and 51, 50, 52 mm thick: 17.7 % lost, so 60.8 mm to set."""
    site = creeping(rise=0.0)
    for n, mm in enumerate(("51 mm", "50 mm")):
        core(site, n, mm)
    assert one(site).own is None
    core(site, 2, "52 mm")
    core(site, 3, "20 mm", lift="surface")
    core(site, 60, "20 mm")
    site.write("core", {"core": "C9"}, 99, by="tess", place=at(20))
    found = one(site)
    assert found.own is not None
    assert found.own.count == 3
    assert found.own.roll_down == pytest.approx(1 - 153 / 186, abs=0.003)
    assert found.own_set is not None
    assert found.own_set.value == pytest.approx(0.050 / (1 - found.own.roll_down))
    assert "depth/E/binder/P1/own" in dict(site.view().figures())


def test_a_core_thicker_than_the_loose_mat_makes_none() -> None:
    site = creeping(rise=0.0)
    for n in range(3):
        core(site, n, "80 mm")
    assert one(site).own is None


def test_a_plan_without_a_limit_or_a_thickness_says_what_it_can() -> None:
    """Without a limit no drift runs out of it; without a thickness there is nothing to set."""
    cut = PLAN.index('[[limits]]\nid = "depth"'), PLAN.index('[[limits]]\nid = "slope"')
    site = creeping(PLAN[: cut[0]] + PLAN[cut[1] :])
    found = one(site)
    assert found.trend is not None
    assert found.trend.drifting
    assert (found.limit, found.runs_out_m) == (None, None)
    assert site.calls("depth.drift") == ()
    bare = Site(PLACED)
    for n in range(4):
        body = {"depth": f"{40 + n} mm"}
        bare.write("loose-depth", body, n, place=at(30 * n, lift="level"))
    assert [found.to_set for found in bare.view().depths] == [None]
    assert bare.view().depths[0].off_m is None
