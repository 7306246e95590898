"""Readings on the mat held against each other and against what was forecast."""

from typing import Any

import pytest

from tests.shift.cooled import laid, read_on
from tests.shift.site import Site, clock


def states(site: Site, minute: float = 55) -> list[str]:
    return [one.state for one in site.view(minute).checked.readings]


def test_readings_that_no_mat_can_give_are_both_shown_and_neither_counts() -> None:
    """One of the two agrees with the forecast; which of them is right, nobody can say."""
    site = laid()
    read_on(site, 46, 210, "100 degC")
    assert states(site) == ["agrees"]
    read_on(site, 47, 210, "78 degC")
    assert states(site) == ["contradicts", "contradicts"]
    seen = site.view(55).checked
    first, second = seen.readings
    assert (first.against, second.against) == (second.fact, first.fact)
    assert seen.weights is None
    assert seen.agreeing == 0
    assert seen.contradicting == (second,)


def test_a_contradiction_asks_for_a_look_with_the_probe_for_an_hour() -> None:
    site = laid()
    one = read_on(site, 46, 210, "100 degC")
    other = read_on(site, 47, 210, "78 degC")
    call = site.call("mat.contradict", 55)
    assert call.grade == "watch"
    assert call.entries == (one.id, other.id)
    assert (call.says["other"], call.says["read"]) == (100.0, 78.0)
    assert not site.calls("mat.odd", 55)
    assert site.calls("mat.contradict", 107)
    assert not site.calls("mat.contradict", 108)


def test_a_third_reading_agrees_for_itself() -> None:
    site = laid()
    for minute, temp in ((46, "100 degC"), (47, "78 degC"), (51, "96 degC")):
        read_on(site, minute, 210, temp)
    assert states(site) == ["contradicts", "contradicts", "agrees"]
    assert site.view(55).checked.agreeing == 1


@pytest.mark.parametrize(
    ("minute", "station", "body"),
    [
        (52, 210, {}),  # not soon after
        (47, 230, {}),  # another place
        (47, 210, {"how": "infrared", "settled": "", "water": "none"}),  # the skin is colder
        (47, 210, {"settled": "no"}),  # it can't count anyway
    ],
)
def test_readings_that_may_well_differ(minute: float, station: float, body: dict[str, Any]) -> None:
    site = laid()
    read_on(site, 46, 210, "100 degC")
    read_on(site, minute, station, "78 degC", **body)
    assert "contradicts" not in states(site)


def test_a_reading_taken_hours_later_says_nothing_of_the_forecast() -> None:
    site = laid()
    read_on(site, 46 + 200, 210, "40 degC")
    assert states(site, 300) == []


def test_readings_from_later_than_now_are_not_looked_at() -> None:
    site = laid()
    read_on(site, 46, 210, "100 degC")
    assert site.view(45).checked.readings == ()
    assert site.view(45).now == clock(45)
