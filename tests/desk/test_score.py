"""The score of the forecasts, over the shifts of a job."""

from typing import Any

import pytest

from matbook.shift.score import scored, tallies
from tests.desk.asked import ask
from tests.shift.cooled import cooling, laid, read_on
from tests.shift.site import NEXT, US_PLAN, Site

DRY: dict[str, Any] = {"how": "infrared", "settled": "", "water": "none"}


def read() -> Site:
    """Two readings inside, a skin inside, one far off, two at odds, one of no conditions."""
    site = laid()
    read_on(site, 46, 210, "100 degC")
    read_on(site, 48, 230, "103 degC")
    read_on(site, 49, 235, "92 degC", **DRY)
    read_on(site, 50, 110, "31 degC")
    read_on(site, 51, 160, "97 degC")
    read_on(site, 52, 160, "70 degC")
    read_on(site, 53, 170, "95 degC", settled="no")
    return site


def test_it_counts_what_lay_inside_what_was_expected_before() -> None:
    found = ask(read(), "score", 60)
    every, probe, skin = found["rows"]
    assert (every["how"], every["readings"], every["inside"]) == ("all", 4, 3)
    assert every["share"] == "75 %"
    assert (probe["how"], probe["readings"], probe["inside"]) == ("probe", 3, 2)
    assert (skin["how"], skin["readings"], skin["inside"]) == ("infrared", 1, 1)
    assert every["range"] == "30 to 95 %"  # Wilson's for 3 of 4
    assert every["off"].startswith("−")
    assert found["notes"][1:] == [
        "1 reading left out: conditions not noted.",
        "2 readings left out: they contradict each other.",
    ]


def test_each_reading_stands_beside_its_range() -> None:
    first, *_, last = ask(read(), "score", 60)["readings"]
    assert (first["read"], first["state"], first["station"]) == ("100 °C", "inside", "0+210.0")
    low, high = first["expected"].removesuffix(" °C").split(" – ")
    assert int(low) < 100 < int(high)
    assert (last["read"], last["state"]) == ("31 °C", "outside")


def test_a_reading_is_held_against_what_was_expected_before_it_was_used() -> None:
    """The second of two that agree finds a narrower range than the first alone would."""
    site, alone = laid(), laid()
    for minute in (44, 46):
        read_on(site, minute, 210, "103 degC")
    read_on(alone, 46, 210, "103 degC")
    second, only = scored(site.view(60).checked)[-1], scored(alone.view(60).checked)[0]
    assert second.high_c - second.low_c < only.high_c - only.low_c
    assert second.compared.fact.at == only.compared.fact.at


def test_it_runs_over_every_shift_up_to_the_moment_asked_about() -> None:
    site = read()
    site.write("note", {"text": "x"}, 24 * 60, shift=NEXT)
    assert ask(site, "score", 24 * 60 + 5)["rows"] == ask(site, "score", 60)["rows"]
    assert ask(site, "score", 47)["rows"][0]["readings"] == 1


def test_nothing_to_score_is_said() -> None:
    found = ask(laid(), "score", 60)
    assert found["rows"] == found["readings"] == []
    (note,) = found["notes"]
    assert note.startswith("No reading on a mat yet")
    assert tallies(()) == ()


def test_the_contractor_sees_the_score_and_not_the_readings() -> None:
    found = ask(read(), "score", 60, role="contractor")
    assert found["rows"] == ask(read(), "score", 60)["rows"]
    assert found["readings"] == []


@pytest.mark.parametrize("language", ["es", "fr"])
def test_in_other_languages_and_units(language: str) -> None:
    site = laid(cooling(US_PLAN))
    read_on(site, 46, 210, "100 degC")
    found = ask(site, "score", 60, language=language)
    assert found["rows"][0]["off"].endswith("°F")
    assert found["readings"][0]["read"] == "212 °F"
    assert found["notes"][0] != ask(site, "score", 60)["notes"][0]
