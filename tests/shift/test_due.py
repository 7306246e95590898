"""Checks due: the first few, then every so many loads, tonnes, metres or minutes."""

import pytest

from matbook.shift.due import Due
from tests.shift.site import PLAN, Site, at, on


def due(site: Site, check: str, minute: float = 240) -> Due:
    return next(item for item in site.view(minute).due if item.check.id == check)


# By loads: the first three, then every fifth


def test_before_work_begins_nothing_is_due() -> None:
    site = Site()
    assert {item.left for item in site.view().due} == {None}
    assert not any(item.overdue for item in site.view().due)


def test_the_first_loads_are_due_one_by_one() -> None:
    site = Site()
    site.load("101", 0)
    assert (due(site, "delivery").left, due(site, "delivery").overdue) == (0.0, False)
    site.load("102", 10)
    assert (due(site, "delivery").left, due(site, "delivery").overdue) == (-1.0, True)


def test_after_the_first_three_every_fifth_load() -> None:
    site = Site()
    for n in range(3):
        site.load(str(101 + n), n, temp="140 degC")
    assert (due(site, "delivery").left, due(site, "delivery").done) == (5.0, 3)
    for n in range(3, 8):
        site.load(str(101 + n), n)
    assert (due(site, "delivery").left, due(site, "delivery").overdue) == (0.0, False)
    site.load("109", 9)
    assert due(site, "delivery").overdue
    last = site.load("110", 10, temp="141 degC")
    item = due(site, "delivery")
    assert (item.left, item.done) == (5.0, 4)
    assert item.last is not None
    assert item.last.id == last.id


def test_the_plants_own_temperature_is_not_the_roads_check() -> None:
    site = Site()
    site.load("101", 0, by="pia", witness="plant", temp="160 degC")
    assert due(site, "delivery").done == 0


def test_a_load_turned_away_counts_for_nothing_but_its_temperature_was_taken() -> None:
    site = Site()
    site.load("101", 0, decision="turned away", temp="90 degC")
    assert (due(site, "delivery").left, due(site, "delivery").done) == (None, 1)


def test_a_check_without_every_is_due_once() -> None:
    site = Site()
    site.load("101", 0)
    assert due(site, "edge").left == 0.0
    site.write("straightedge", {"length": "3 m", "gap": "2 mm"}, 10, place=at(10))
    assert (due(site, "edge").left, due(site, "edge").done) == (None, 1)


# By distance, mass and time


def test_by_distance_laid_in_the_lanes() -> None:
    site = Site()
    site.lay(["21.00 t"])
    assert due(site, "depth").left == 50.0
    site.write("loose-depth", {"depth": "62 mm"}, 5, place=at(40))
    site.load("102", 10, place=on("E", "binder", 50, 130))
    assert due(site, "depth").left == 20.0
    site.load("103", 20, place=on("E", "binder", 130, 160))
    assert (due(site, "depth").left, due(site, "depth").overdue) == (-10.0, True)


def test_by_mass_taken() -> None:
    site = Site()
    for n in range(4):
        site.load(str(101 + n), n)
    assert due(site, "slope").left == 16_000.0
    site.write("slope", {"slope": "2.0 %"}, 10, place=at(10))
    assert due(site, "slope").left == 100_000.0


def test_by_time_from_the_opening_or_the_first_load() -> None:
    site = Site()
    site.load("101", 30)
    assert due(site, "weather", 60).left == 30 * 60
    site.write("shift-open", {}, 0)
    assert due(site, "weather", 60).left == 0.0
    assert due(site, "weather", 61).overdue
    site.write("weather", {"sky": "clear"}, 62)
    assert due(site, "weather", 72).left == 50 * 60


def test_nothing_falls_due_after_the_close() -> None:
    site = Site()
    site.write("shift-open", {}, 0)
    site.write("shift-close", {}, 50)
    assert due(site, "weather", 600).left == 10 * 60


def test_what_is_most_pressing_stands_first() -> None:
    """As a share of how often: the edge at once, 10 of 60 minutes, one of five loads, 79 of 100
    tonnes; then what isn't due because nothing was laid."""
    site = Site()
    site.write("shift-open", {}, 0)
    site.load("101", 5, temp="140 degC")
    order = [item.check.id for item in site.view(50).due]
    assert order == ["edge", "weather", "delivery", "slope", "depth"]


# Where the count begins again


def test_the_count_begins_again_at_another_lane() -> None:
    site = Site()
    site.lay(["21.00 t"])
    site.write("loose-depth", {"depth": "62 mm"}, 5, place=at(40))
    site.load("102", 10, place=on("W", "binder", 1000, 970))
    item = due(site, "depth")
    assert (item.left, item.done, item.last) == (70.0, 0, None)


def test_the_count_begins_again_at_another_lift() -> None:
    site = Site()
    site.lay(["21.00 t"])
    site.write("slope", {"slope": "2.0 %"}, 5, place=at(40))
    site.load("102", 10, mix="ac8", place=on("E", "surface", 0, 50))
    item = due(site, "slope")
    assert (item.left, item.done, item.last) == (79_000.0, 0, None)


def test_the_count_begins_again_after_a_stop() -> None:
    site = Site()
    site.lay(["21.00 t"])
    site.write("loose-depth", {"depth": "62 mm"}, 2, place=at(40))
    site.write("paver", {"event": "stop"}, 5, place=at(50))
    assert due(site, "depth").done == 1
    site.write("paver", {"event": "start"}, 25, place=at(50))
    assert (due(site, "depth").done, due(site, "depth").left) == (0, 100.0)


def test_the_first_checks_are_due_again_once_work_goes_on() -> None:
    plan = PLAN.replace('every = "100 m"\n', 'first = 1\nevery = "100 m"\n')
    site = Site(plan)
    site.lay(["21.00 t"])
    site.write("loose-depth", {"depth": "62 mm"}, 2, place=at(40))
    site.write("paver", {"event": "stop"}, 5, place=at(50))
    site.write("paver", {"event": "start"}, 25, place=at(50))
    assert due(site, "depth").left is None, "nothing has been laid since"
    site.load("102", 30, place=on("E", "binder", 50, 70))
    assert due(site, "depth").left == 0.0


def test_two_pavers_side_by_side_change_no_lane() -> None:
    """Their loads come in turn, E, W, E, W; neither paver changes its lane."""
    site = Site()
    for n in range(3):
        site.load(str(101 + n), 10 * n, place=on("E", "binder", 20 * n, 20 * n + 20))
        place = on("W", "binder", 1000 - 20 * n, 980 - 20 * n, "P2")
        site.load(str(201 + n), 10 * n + 5, place=place)
    item = due(site, "depth")
    assert item.left == pytest.approx(-20.0)


def test_first_checks_by_another_measure_are_due_at_once() -> None:
    plan = PLAN.replace('every = "100 m"\n', 'first = 2\nevery = "100 m"\n')
    site = Site(plan)
    site.load("101")
    assert due(site, "depth").left is None, "no mat has been laid"
    site.load("102", 10, place=on("E", "binder", 0, 50))
    assert due(site, "depth").left == 0.0
    for n in (1, 2):
        site.write("loose-depth", {"depth": "62 mm"}, 10 + n, place=at(10))
    assert due(site, "depth").left == 100.0
