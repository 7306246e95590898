"""The shift's own clock: one laptop on another zone, a clock put back in the night."""

from datetime import datetime

import pytest

from matbook.shift.clocks import Clocks


def at(clock: str, offset: str) -> datetime:
    return datetime.fromisoformat(f"2026-11-01T{clock}:00{offset}")


def shown(clocks: Clocks, moment: datetime) -> str:
    return clocks.local(moment).isoformat()[11:16]


def test_before_anything_is_written_a_moment_is_left_as_it_is() -> None:
    assert Clocks().local(at("10:20", "+00:00")) == at("10:20", "+00:00")
    assert shown(Clocks(), at("10:20", "+00:00")) == "10:20"


def test_the_commonest_offset_is_the_shifts_whatever_the_order() -> None:
    moments = [at("07:00", "-03:00"), at("07:10", "-03:00"), at("10:05", "+00:00")]
    for order in (moments, moments[::-1]):
        clocks = Clocks()
        for moment in order:
            clocks.note(moment)
        assert [shown(clocks, moment) for moment in moments] == ["07:00", "07:10", "07:05"]


def test_of_two_alike_the_first_one_is_the_shifts() -> None:
    clocks = Clocks()
    clocks.note(at("10:05", "+00:00"))
    clocks.note(at("07:00", "-03:00"))
    assert shown(clocks, at("10:05", "+00:00")) == "07:05"


@pytest.mark.parametrize("more", [0, 5])
def test_a_clock_put_back_in_the_night_is_shown_as_people_saw_it(more: int) -> None:
    """Halifax, 1 November 2026: 02:00 -03:00 became 01:00 -04:00."""
    clocks = Clocks()
    for clock in ("00:30", "01:30", "01:50"):
        clocks.note(at(clock, "-03:00"))
    for clock in ("01:10", "01:40", *["02:00"] * more):
        clocks.note(at(clock, "-04:00"))
    assert shown(clocks, at("01:50", "-03:00")) == "01:50"
    assert shown(clocks, at("01:10", "-04:00")) == "01:10"
    assert shown(clocks, at("05:30", "+00:00")) in ("02:30", "01:30")


def test_a_zone_an_hour_off_that_goes_on_beside_the_shifts_is_none_of_its_own() -> None:
    clocks = Clocks()
    for clock in ("07:00", "07:10", "07:20"):
        clocks.note(at(clock, "-03:00"))
    clocks.note(at("06:05", "-04:00"))
    assert shown(clocks, at("06:05", "-04:00")) == "07:05"
    assert shown(clocks, at("05:05", "-05:00")) == "07:05"
