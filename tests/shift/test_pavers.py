"""Each paver's line: where it was, where it stood and why, and its pace while it paves."""

from datetime import timedelta

import pytest

from matbook.shift.pavers import Line, lines
from tests.shift.site import Site, at, clock


def event(site: Site, minute: float, what: str, place: dict[str, str], **body: str) -> None:
    site.write("paver", {"event": what, **body}, minute, place=place)


def line(site: Site) -> Line:
    (found,) = lines(site.facts)
    return found


def pace(site: Site) -> float | None:
    """Pace in m/min, as people say it."""
    found = line(site).pace_m_s
    return None if found is None else round(found * 60, 6)


def test_a_stop_lasts_until_the_paver_is_seen_again() -> None:
    site = Site()
    event(site, 0, "start", at(0))
    event(site, 30, "stop", at(120), reason="waiting for mix")
    event(site, 42, "at", at(121))
    (stop,) = line(site).stops
    assert stop.lasted(clock(90)) == timedelta(minutes=12)
    assert (stop.reason, stop.station, stop.lane) == ("waiting for mix", "0+120.0", "E")
    assert line(site).standing is None


def test_a_stop_that_has_not_ended_lasts_until_now() -> None:
    site = Site()
    event(site, 30, "stop", at(120))
    standing = line(site).standing
    assert standing is not None
    assert standing.reason == "other"
    assert standing.lasted(clock(47)) == timedelta(minutes=17)
    assert standing.lasted(clock(20)) == timedelta(), "seen as known before it began"


def test_two_stops_in_a_row_are_two_stops() -> None:
    site = Site()
    event(site, 30, "stop", at(120), reason="truck change")
    event(site, 40, "stop", at(130), reason="breakdown")
    event(site, 60, "start", at(130))
    assert [(s.reason, s.lasted(clock(99))) for s in line(site).stops] == [
        ("truck change", timedelta(minutes=10)),
        ("breakdown", timedelta(minutes=20)),
    ]


def test_pace_is_distance_over_time_while_moving() -> None:
    """120 m in 30 min, a stop of 12 min, then 90 m in 18 min: 210 m in 48 min, 4.375 m/min."""
    site = Site()
    event(site, 0, "start", at(0))
    event(site, 30, "stop", at(120))
    event(site, 42, "start", at(120))
    event(site, 60, "at", at(210))
    assert pace(site) == 4.375


def test_a_stop_that_is_going_on_slows_nothing_down() -> None:
    site = Site()
    event(site, 0, "start", at(0))
    event(site, 30, "stop", at(120))
    assert pace(site) == 4.0


def test_moving_over_to_another_lane_is_no_paving() -> None:
    site = Site()
    event(site, 0, "start", at(0))
    event(site, 10, "end", at(50))
    event(site, 20, "start", at(1000, "W"))
    event(site, 30, "at", at(950, "W"))
    assert pace(site) == 5.0


def test_time_after_an_end_until_the_next_start_is_no_paving() -> None:
    """The crew ends for an hour's break and starts at the same place: still 5 m/min."""
    site = Site()
    event(site, 0, "start", at(0))
    event(site, 10, "end", at(50))
    event(site, 70, "start", at(50))
    event(site, 80, "at", at(100))
    assert pace(site) == 5.0


def test_a_leg_that_no_paver_goes_is_said_and_left_out() -> None:
    """200 m in a minute: common practice has no paver lay 90 m in one, no published source."""
    site = Site()
    event(site, 0, "start", at(0))
    event(site, 10, "at", at(50))
    event(site, 11, "at", at(250))
    event(site, 21, "at", at(300))
    assert pace(site) == 5.0
    [call] = site.calls("paver.impossible")
    assert (call.says["length_m"], call.says["minutes"]) == (200.0, 1.0)
    assert len(call.entries) == 2


@pytest.mark.parametrize("stations", [[], [0]], ids=["no point", "one point"])
def test_without_two_points_there_is_no_pace(stations: list[int]) -> None:
    site = Site()
    event(site, 0, "start", {"paver": "P1"})
    for minute, station in enumerate(stations, 5):
        event(site, minute, "at", at(station))
    assert pace(site) is None


def test_a_station_that_cannot_be_read_is_no_point() -> None:
    site = Site()
    event(site, 0, "start", {**at(0), "station": "by the bridge"})
    event(site, 5, "at", at(20))
    assert [point.station_m for point in line(site).points] == [20.0]


def test_each_paver_has_a_line_of_its_own() -> None:
    site = Site()
    event(site, 0, "start", at(0))
    event(site, 1, "start", at(0, "W", paver="P2"))
    event(site, 60, "end", at(100))
    found = lines(site.facts)
    assert [(each.paver, each.working) for each in found] == [("P1", False), ("P2", True)]


def test_a_shift_adds_up_how_long_its_pavers_stood() -> None:
    site = Site()
    event(site, 10, "stop", at(0))
    event(site, 16, "start", at(0))
    event(site, 20, "stop", at(0, paver="P2"))
    assert site.view(40).stood == timedelta(minutes=26)
