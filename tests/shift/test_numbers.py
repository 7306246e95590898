"""Ticket numbers: what is repeated, missing or out of order, as each plant numbers them."""

from typing import Any

import pytest

from matbook.shift.carry import Carry
from matbook.shift.numbers import Numbering, number_of
from tests.shift.site import Site, moment


def numbering(site: Site, plant: str = "north", before: dict[str, int] | None = None) -> Numbering:
    seen = site.view(carry=Carry(tickets=before or {}))
    return next(found for found in seen.numberings if found.plant == plant)


def taken(numbers: list[str], plant: str = "north", **body: Any) -> Site:
    site = Site()
    for minute, number in enumerate(numbers):
        site.load(number, minute, plant=plant, **body)
    return site


def gaps(found: Numbering) -> list[tuple[int, int, str]]:
    return [(first, last, after.number) for first, last, after in found.missing]


# By job: each number comes once, and all of them come


def test_numbers_one_after_the_other_show_nothing() -> None:
    found = numbering(taken(["101", "102", "103"]))
    assert (found.repeated, found.missing, found.backwards, found.last) == ((), (), (), 103)


def test_a_missing_number_is_told_with_the_load_after_it() -> None:
    found = numbering(taken(["101", "103", "107"]))
    assert gaps(found) == [(102, 102, "103"), (104, 106, "107")]


def test_a_number_that_comes_late_is_not_missing() -> None:
    found = numbering(taken(["101", "103", "102"]))
    assert gaps(found) == []
    assert [load.number for load in found.backwards] == ["102"]


def test_a_void_ticket_is_accounted_for() -> None:
    site = taken(["101", "103"])
    site.load("102", 30, decision="void")
    assert gaps(numbering(site)) == []


def test_numbers_go_on_from_the_shift_before() -> None:
    found = numbering(taken(["103", "104"]), before={"north": 100})
    assert gaps(found) == [(101, 102, "103")]
    assert numbering(taken(["101"]), before={"north": 100}).missing == ()


def test_out_of_order_is_by_when_the_plant_loaded() -> None:
    site = Site()
    site.load("101", 30, loaded=moment(0))
    site.load("102", 20, loaded=moment(5))
    assert numbering(site).backwards == (), "the second truck only drove faster"


# Repeated


def test_two_loads_under_one_number_are_a_repeated_number() -> None:
    site = taken(["101", "101"])
    ((first, second),) = numbering(site).repeated
    assert {first.number, second.number} == {"101"}
    assert numbering(site).backwards == ()
    assert first.id != second.id


def test_one_of_them_void_is_no_repetition() -> None:
    site = taken(["101"])
    site.load("101", 5, decision="void")
    assert numbering(site).repeated == ()


def test_a_plant_file_and_a_person_repeat_nothing() -> None:
    site = taken(["101"])
    site.load("101", 5, by="pia", witness="plant")
    assert numbering(site).repeated == ()


# Plant-wide and not at all


def test_a_plant_wide_series_has_other_peoples_gaps() -> None:
    found = numbering(taken(["5001", "5009", "5003", "5009"], "south"), "south")
    assert (found.missing, found.backwards, found.last) == ((), (), 5009)
    assert len(found.repeated) == 1


@pytest.mark.parametrize("plant", ["mobile", "nobody"])
def test_a_plant_that_numbers_nothing_repeats_nothing(plant: str) -> None:
    found = numbering(taken(["1", "1", "5"], plant), plant)
    assert (found.repeated, found.missing, found.backwards) == ((), (), ())


def test_loads_without_a_number_say_nothing_of_numbers() -> None:
    site = Site()
    site.load(None)
    assert site.view().numberings == ()


def test_a_number_that_ends_in_no_digits_counts_nothing() -> None:
    site = taken(["101", "by hand", "102"])
    found = numbering(site)
    assert (gaps(found), found.last) == ([], 102)
    only_words = numbering(taken(["by hand"]), before={"north": 100})
    assert (only_words.missing, only_words.last) == ((), 100)
    assert numbering(taken(["by hand"])).last is None


def test_a_number_is_its_prefix_and_its_digits() -> None:
    site = taken(["NP-0101", "9" * 15, "9" * 16, "x"])
    assert [number_of(load) for load in site.view().loads] == [
        ("NP-", 101), ("", 10**15 - 1), None, None,
    ]  # fmt: skip
