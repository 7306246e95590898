"""What the mat calls for: yield, readings, stops, checks due, stations nobody can read."""

import pytest

from matbook.shift.calls import Call
from tests.shift.site import PLAN, Site, at, clock, on

# Yield


def drifting(net: str, loads: int = 5) -> Site:
    site = Site()
    site.lay([net] * loads)
    return site


def test_a_running_yield_beyond_its_limit() -> None:
    """22.26 t on 175 m2 is 127.2 kg/m2: 6.0 % over, 53 mm if the base is even."""
    call = drifting("22.26 t").call("yield.last")
    assert (call.grade, call.subject, call.says["loads"]) == ("watch", "E/binder/P1", 5)
    assert call.says["pct"] == pytest.approx(6.0)
    assert call.says["thickness_m"] == pytest.approx(0.053)
    assert call.tell == ("cole",)
    low, high = call.says["low"], call.says["high"]
    assert isinstance(low, float)
    assert isinstance(high, float)
    assert low < 6.0 < high


def test_yield_under_the_plan_is_called_too() -> None:
    call = drifting("19.74 t").call("yield.last")
    assert call.says["pct"] == pytest.approx(-6.0)


def test_a_running_yield_within_its_limit_is_not_called() -> None:
    site = drifting("21.42 t")
    assert site.calls("yield.last") == ()


def test_only_where_the_paver_is_now_is_called_by_load_and_by_five() -> None:
    """Five loads 6 % over, then five in order: the window has moved on."""
    site = Site()
    site.lay([*["22.26 t"] * 5, *["21.00 t"] * 5])
    assert site.calls("yield.last") == ()


def test_one_load_far_off() -> None:
    site = Site()
    site.lay(["21.00 t"] * 4)
    site.load("105", 50, net="27.30 t", place=on("E", "binder", 200, 250))
    call = site.call("yield.load")
    assert call.says["pct"] == pytest.approx(30.0)
    assert call.entries == (site.view().rows[-1].piece.part.fact.id,)


def test_each_paver_is_called_for_itself() -> None:
    site = Site()
    for n in range(5):
        site.load(str(101 + n), 10 * n, net="22.26 t", place=on("E", "binder", 50 * n, 50 * n + 50))
        place = on("W", "binder", 1500 - 50 * n, 1450 - 50 * n, "P2")
        site.load(str(201 + n), 10 * n + 5, net="25.44 t", place=place)
    assert {call.subject for call in site.calls("yield.last")} == {"E/binder/P1", "W/binder/P2"}


def test_a_lane_and_lift_and_the_whole_shift() -> None:
    site = drifting("22.05 t", 2)
    lift, shift = site.call("yield.lift"), site.call("yield.shift")
    assert (lift.subject, lift.says["pct"]) == ("E/binder", pytest.approx(5.0))
    assert (shift.subject, shift.grade, shift.tell) == ("shift", "act", ("greta",))


def test_a_total_is_of_the_moment_of_its_own_last_load() -> None:
    """Binder was laid in lane E first, then the surface over it."""
    site = drifting("22.05 t", 2)
    site.load("201", 300, mix="ac8", net="16.80 t", place=on("E", "surface", 0, 50))
    assert site.call("yield.lift", 400).at == clock(10)


def test_where_nothing_was_planned_nothing_is_called() -> None:
    site = Site()
    site.load("101", place=on("E", "level", 700, 750))
    assert not [call for call in site.calls() if call.code.startswith("yield.")]


# Stretches that are over


def test_a_stretch_that_stood_beyond_and_was_mended() -> None:
    """22.5 t is 7.1 % over; the window of five is beyond 5 % from load 105 to load 107."""
    site = Site()
    site.lay([*["22.50 t"] * 6, *["21.00 t"] * 6])
    call = site.call("yield.was")
    assert (call.grade, call.subject) == ("watch", f"E/binder/{site.entries[5].id}")
    assert call.says["pct"] == pytest.approx(100 / 14)
    assert (call.says["from"], call.says["to_station"], call.says["until"]) == (
        "0+200", "0+350", "08:00",
    )  # fmt: skip
    assert call.entries == tuple(entry.id for entry in site.entries[5:8])
    assert site.calls("yield.last") == ()


def test_a_stretch_still_beyond_is_not_over() -> None:
    site = Site()
    site.lay(["22.50 t"] * 8)
    assert site.calls("yield.was") == ()
    assert site.call("yield.last")


def test_pavers_side_by_side_have_stretches_of_their_own() -> None:
    """Their loads come in turn; each paver still has but one stretch, and one of them is over."""
    site = Site()
    for n in range(10):
        net = "22.50 t" if n < 6 else "21.00 t"
        place = on("E", "binder", 50 * n, 50 * n + 50)
        site.load(str(101 + n), 10 * n, net=net, place=place)
        place = on("W", "binder", 1900 - 50 * n, 1850 - 50 * n, "P2")
        site.load(str(201 + n), 10 * n + 5, net="25.80 t", place=place)
    assert len(site.calls("yield.was")) == 1
    assert site.call("yield.last").subject == "W/binder/P2"


# What traffic meets


def test_markings_that_are_not_there() -> None:
    site = Site()
    for minute, (item, state) in enumerate(
        [("edge line", "missing"), ("centre line", "not looked at"), ("edge line", "present")]
    ):
        site.write("markings", {"item": item, "state": state}, minute)
    call = site.call("markings.not-present")
    assert call.says == {"item": "centre line", "state": "not looked at"}


# Readings


def test_a_reading_beyond_its_limit() -> None:
    site = Site()
    entry = site.write("loose-depth", {"depth": "70 mm"}, 10, place=at(40))
    call = site.call("reading.beyond")
    assert (call.subject, call.entries) == (f"{entry.id}/depth", (entry.id,))
    assert (call.says["quantity"], call.says["station"]) == ("loose-depth", "0+040.0")
    assert call.says["value"] == pytest.approx(0.070)
    assert call.says["target"] == pytest.approx(0.0625)
    assert str(call.says["by"]) == "1.5"


def test_a_reading_without_a_target_has_none_to_show() -> None:
    site = Site()
    site.write("straightedge", {"length": "3 m", "gap": "6 mm"}, 10)
    call = site.call("reading.beyond")
    assert (call.says["target"], call.says["station"]) == (None, "")


def test_each_limit_that_is_broken_is_a_call_of_its_own() -> None:
    more = (
        '[[limits]]\nid = "depth-act"\nquantity = "loose-depth"\nside = "within"\nnumber = "7"\n'
        'unit = "mm"\ngrade = "act"\n'
    )
    site = Site(PLAN.replace("[[checks]]", more + "[[checks]]", 1))
    site.write("loose-depth", {"depth": "70 mm"}, 10, place=at(40))
    assert [call.grade for call in site.calls("reading.beyond")] == ["act", "watch"]


def test_a_reading_that_was_struck_is_called_no_more() -> None:
    site = Site()
    entry = site.write("loose-depth", {"depth": "70 mm"}, 10, place=at(40))
    site.write("note", {"text": "wrong stick"}, 15, strikes=entry.id, why="wrong stick")
    assert site.calls("reading.beyond") == ()


# Stops


def test_a_paver_that_stands_too_long() -> None:
    site = Site()
    entry = site.write("paver", {"event": "stop", "reason": "waiting for mix"}, 30, place=at(120))
    assert site.calls("paver.standing", 40) == ()
    call = site.call("paver.standing", 41)
    assert (call.grade, call.says["minutes"], call.says["reason"]) == (
        "watch", 11.0, "waiting for mix",
    )  # fmt: skip
    assert (call.says["station"], call.subject, call.tell) == ("0+120.0", entry.id, ("cole",))


def test_a_stop_that_is_over_is_only_noted() -> None:
    site = Site()
    site.write("paver", {"event": "stop"}, 30, place=at(120))
    site.write("paver", {"event": "start"}, 45, place=at(120))
    call = site.call("paver.stood")
    assert (call.grade, call.says["minutes"]) == ("note", 15.0)
    assert site.calls("paver.standing") == ()


# Checks


def test_a_check_that_is_due_and_one_that_is_passed_over() -> None:
    site = Site()
    site.load("101", 0, place=on("E", "binder", 0, 50))
    dues = {call.subject: call for call in site.calls("check.due", 30)}
    assert {"delivery", "edge"} == set(dues)
    assert dues["edge"].grade == "note"
    site.load("102", 10, place=on("E", "binder", 50, 100))
    late = {call.subject: call for call in site.calls("check.overdue", 30)}
    assert (late["delivery"].grade, late["delivery"].says["by"]) == ("watch", 1.0)


def test_a_check_that_is_kept_up_calls_for_nothing() -> None:
    site = Site()
    site.load("101", 0, temp="140 degC", place=on("E", "binder", 0, 50))
    site.write("straightedge", {"length": "3 m", "gap": "2 mm"}, 5, place=at(10))
    assert [call for call in site.calls(minute=30) if call.code.startswith("check.")] == []


def test_an_overdue_check_is_of_the_moment_it_was_last_done() -> None:
    site = Site()
    site.write("shift-open", {}, 0)
    site.write("weather", {"sky": "clear"}, 10)
    assert site.call("check.overdue", 100).at == clock(10)


# Stations


def test_a_station_this_road_does_not_have() -> None:
    site = Site()
    site.write("defect", {"sign": "tear"}, 10, place={"lane": "E", "station": "12+34+5"})
    call = site.call("station.unreadable")
    assert (call.says["station"], call.says["kind"], call.grade) == ("12+34+5", "defect", "watch")


TWO_ROADS = PLAN.replace(
    "[[lanes]]", '[[roads]]\nid = "spur"\nname = "Spur"\nstationing = "100m"\n[[lanes]]', 1
)


@pytest.mark.parametrize(
    ("place", "calls"),
    [
        ({"station": "0+040"}, 1),
        ({"station": "0+040", "road": "ridge-road"}, 0),
        ({"from": "0+040", "to": "0+050", "lane": "E"}, 0),
        ({"station": "0+040", "road": "spur"}, 1),
        ({"from": "x", "to": "y", "lane": "E"}, 1),
        ({"lane": "E"}, 0),
    ],
    ids=["no road", "road", "lane", "other style", "two labels", "no station"],
)
def test_stations_where_the_plan_has_two_roads(place: dict[str, str], calls: int) -> None:
    site = Site(TWO_ROADS)
    site.write("defect", {"sign": "tear"}, 10, place=place)
    assert len(site.calls("station.unreadable")) == calls


def test_a_struck_station_is_called_no_more() -> None:
    site = Site()
    entry = site.write("defect", {"sign": "tear"}, 10, place={"lane": "E", "station": "x"})
    facts = site.facts
    place = at(40)
    site.write("defect", {"sign": "tear"}, 10, place=place, strikes=entry.id, why="misread")
    assert site.calls("station.unreadable") == ()
    facts.add(site.entries[-1])
    assert facts.state(entry) == "struck"


# Two that mean the same


def test_of_two_limits_on_one_thing_the_graver_is_called() -> None:
    more = (
        '[[limits]]\nid = "stop-act"\nquantity = "stop"\nside = "max"\nnumber = "5"\n'
        'unit = "min"\ngrade = "act"\n'
    )
    for plan in (
        PLAN.replace("[[checks]]", more + "[[checks]]", 1),
        PLAN.replace("[[limits]]", more + "[[limits]]", 1),
    ):
        site = Site(plan)
        site.write("paver", {"event": "stop"}, 30, place=at(120))
        call: Call = site.call("paver.standing", 60)
        assert (call.grade, call.limit and call.limit.number) == ("act", "5")
