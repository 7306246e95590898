"""Trucks' times that can't be are said, and nothing is lost."""

from tests.shift.site import Site, moment


def test_times_that_run_backwards_are_said() -> None:
    site = Site()
    site.load("101", 30, loaded=moment(10), arrived=moment(5), discharged=moment(31))
    site.load("102", 60, loaded=moment(40), arrived=moment(58), discharged=moment(57))
    site.load("103", 90, loaded=moment(70), discharged=moment(92))
    said = {(call.says["field"], call.says["first"]) for call in site.calls("haul.backwards")}
    assert said == {("arrived", "loaded"), ("discharged", "arrived")}
    assert len(site.view().loads) == 3


def test_a_truck_that_arrives_twice() -> None:
    """Loaded again at minute 20, when its last load was here at 25 at the earliest."""
    site = Site()
    site.load("101", 30, loaded=moment(0), arrived=moment(25))
    site.load("102", 45, loaded=moment(20))
    site.load("103", 46, loaded=moment(44), truck=None)
    site.load("104", 90, loaded=moment(70))
    (call,) = site.calls("haul.twice")
    assert (call.says["load"], call.says["other_load"], call.grade) == ("102", "101", "watch")
    assert len(call.entries) == 2


def test_two_plants_may_know_one_trucks_name() -> None:
    site = Site()
    site.load("101", 30, loaded=moment(0))
    site.load("102", 45, loaded=moment(20), plant="south")
    assert site.calls("haul.twice") == ()
