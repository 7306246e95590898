"""What makes no sense on the road: places outside the lane, laid twice, names the plan lacks."""

from matbook.shift.speak import spoken
from tests.shift.site import Site, on


def codes(site: Site) -> set[str]:
    return {call.code for call in site.view().calls}


def test_a_station_far_outside_the_lane_is_in_no_yield() -> None:
    site = Site()
    site.load("101", 0, place=on("E", "binder", 0, 50))
    site.load("102", 5, place=on("E", "binder", 50, 9000))
    assert [row.piece.part.load.number for row in site.view().rows] == ["101"]
    assert "load.no-area" in codes(site)


def test_a_mat_may_run_a_little_past_the_end_of_its_lane() -> None:
    site = Site()
    end = site.view().plan.lanes["E"].to_m
    site.load("101", 0, place=on("E", "binder", end - 40, end + 10))
    assert len(site.view().rows) == 1


def test_one_place_named_by_two_loads_is_said() -> None:
    site = Site()
    site.load("101", 0, place=on("E", "binder", 0, 50))
    site.load("102", 5, place=on("E", "binder", 50, 100))
    assert "yield.twice" not in codes(site)
    site.load("103", 9, place=on("E", "binder", 60, 110))
    call = site.call("yield.twice")
    assert spoken(call, site.view().plan, call.at).line == (
        "Load 103 (07:09) lies over load 102 (07:05) from 0+060 on, in the same lane and lift: "
        "a station or a time of one of them is wrong."
    )


def test_how_much_of_a_place_was_named_twice() -> None:
    """A long piece over two short ones: 10 m and 50 m of it are named twice."""
    site = Site()
    site.load("101", 0, place=on("E", "binder", 0, 200))
    site.load("102", 5, place=on("E", "binder", 10, 20))
    site.load("103", 9, place=on("E", "binder", 200, 150))
    site.load("104", 12, place=on("W", "binder", 200, 150))
    site.load("105", 15, place=on("E", "surface", 200, 150), mix="ac8")
    site.load("106", 20, place=on("E", "binder", 198, 250))
    call = site.call("yield.twice")
    assert call.says == {
        "load": "101 (07:00)", "n": 2, "others": "102 (07:05), 103 (07:09)", "length_m": 60.0,
        "station": "0+010",
    }  # fmt: skip
    assert len(call.entries) == 3


def test_a_load_written_with_a_wrong_time_is_named() -> None:
    """Five loads one after the other; the fourth, truly at 07:35, was written as at 07:05."""
    site = Site()
    for n, minute in enumerate((0, 10, 20, 5, 40)):
        site.load(str(101 + n), minute, place=on("E", "binder", end=50 * (n + 1)))
    call = site.call("yield.twice")
    assert call.says["load"] == "104 (07:05)"
    assert call.says["others"] == "102 (07:10), 103 (07:20), 105 (07:40)"


def test_of_many_loads_under_another_six_are_named() -> None:
    site = Site()
    site.load("101", 0, place=on("E", "binder", 0, 200))
    for n in range(8):
        site.load(str(102 + n), 5 + n, place=on("E", "binder", 20 * n, 20 * n + 15))
    call = site.call("yield.twice")
    assert call.says["n"] == 8
    assert str(call.says["others"]).endswith("106 (07:09), 107 (07:10), …")


def test_names_that_the_plan_lacks_are_said_once_each() -> None:
    site = Site()
    site.load("101", 0, plant="nowhere", place={"lane": "Q", "lift": "binder"})
    site.load("102", 1, plant="nowhere", place={"lane": "Q", "lift": "binder"})
    found = [call.subject for call in site.view().calls if call.code == "plan.name-unknown"]
    assert sorted(found) == ["lane/Q", "plant/nowhere"]


def test_a_load_emptied_before_it_was_loaded_has_no_age() -> None:
    site = Site()
    site.load("101", 0, loaded="2026-05-12T23:00:00-03:00")
    assert site.view().loads[0].age is None
    assert "load.loaded-later" in codes(site)
