"""Loads: each truck once, with everyone who saw it, and its mass counted once."""

from datetime import timedelta

import pytest

from matbook.shift.loads import Load, load_of, loads
from tests.shift.site import Site, moment, on


def only(site: Site) -> Load:
    (load,) = loads(site.facts)
    return load


# One load


def test_a_load_taken_counts_with_the_net_on_its_ticket() -> None:
    site = Site()
    site.load("101")
    assert (only(site).counts, only(site).net_kg, only(site).label) == (True, 21_000.0, "101")


@pytest.mark.parametrize("decision", ["turned away", "void"])
def test_a_load_turned_away_or_void_is_kept_and_not_counted(decision: str) -> None:
    site = Site()
    site.load("101", decision=decision)
    assert (only(site).counts, only(site).decision, only(site).net_kg) == (False, decision, 21e3)


def test_net_is_gross_less_tare_where_no_net_is_printed() -> None:
    site = Site()
    site.load("101", net=None, gross="33.00 t", tare="12.00 t")
    figure = only(site).net()
    assert only(site).net_kg == 21_000.0
    assert figure is not None
    assert figure.value == 21_000.0
    assert figure.open()["function"] == "matbook.engine.weight.net_mass"


def test_net_may_come_from_the_witness_that_has_it() -> None:
    site = Site()
    site.load("101", net=None)
    site.load("101", by="pia", witness="plant")
    figure = only(site).net()
    assert only(site).net_kg == 21_000.0
    assert figure is not None
    assert figure.value == 21_000.0


def test_without_a_mass_there_is_none_to_show() -> None:
    site = Site()
    site.load("101", net=None, gross="33.00 t")
    assert only(site).net_kg is None
    assert only(site).net() is None


def test_a_gross_below_its_tare_gives_no_net() -> None:
    site = Site()
    site.load("101", net=None, gross="11.00 t", tare="12.00 t")
    assert only(site).net_kg is None
    assert only(site).net() is None


def test_a_load_without_a_number_is_a_load_of_its_own() -> None:
    site = Site()
    site.load(None, 0)
    site.load(None, 5)
    assert [load.label for load in loads(site.facts)] == ["—", "—"]


def test_age_runs_from_the_plant_to_discharge_or_to_the_look_at_the_load() -> None:
    site = Site()
    site.load("101", 60, loaded=moment(0), discharged=moment(75))
    site.load("102", 60, loaded=moment(10))
    site.load("103", 60)
    ages = [load.age for load in loads(site.facts)]
    assert ages == [timedelta(minutes=75), timedelta(minutes=50), None]


def test_the_temperature_is_the_roads_own() -> None:
    """What the ticket says is the plant's word; infrared is a look all the same."""
    site = Site()
    site.load("101", temp="150 degC", temp_how="ticket")
    site.load("102", 5, temp="140 degC", temp_how="infrared")
    site.load("103", 10, temp="139 degC", witness="plant", by="pia")
    site.load("104", 15)
    assert [load.temp for load in loads(site.facts)] == ["", "140 degC", "", ""]


# Two witnesses to one load


def test_the_plants_file_and_the_road_are_two_witnesses_to_one_load() -> None:
    site = Site()
    site.load("101", 30, temp="141 degC")
    site.load("101", 0, by="pia", witness="plant", loaded=moment(0))
    load = only(site)
    assert (load.net_kg, load.fact.entry.by, len(load.witnesses)) == (21_000.0, "ana", 1)
    assert load.age == timedelta(minutes=30)
    assert load.seen_on_road
    assert load.differences() == []


def test_a_mass_printed_in_pounds_and_in_tonnes_is_the_same_mass() -> None:
    site = Site()
    site.load("101", net="46297 lb")  # 20,999.97 kg
    site.load("101", by="pia", witness="plant", net="21.00 t")
    site.load("102", 5, net="46297 lb")
    site.load("102", 5, by="pia", witness="plant", net="21.02 t")
    first, second = loads(site.facts)
    assert first.differences() == []
    assert second.differences() == [("net", "46297 lb", "21.02 t")]


def test_masses_a_kilogram_apart_are_one_printed_number() -> None:
    site = Site()
    for number, theirs in (("101", "21001 kg"), ("102", "21002 kg")):
        site.load(number)
        site.load(number, by="pia", witness="plant", net=theirs)
        site.load(number, 5, by="wyn", net=theirs)
    one, other, apart = loads(site.facts)
    assert (len(one.witnesses), one.differences()) == (2, [])
    assert {len(other.witnesses), len(apart.witnesses)} == {0, 1}


def test_what_two_witnesses_say_differently_is_listed_and_the_road_counts() -> None:
    site = Site()
    site.load("101")
    site.load("101", by="pia", witness="plant", net="21.40 t", truck="12", mix="ac8",
              decision="void")  # fmt: skip
    load = only(site)
    assert load.net_kg == 21_000.0
    assert load.counts
    assert load.differences() == [
        ("truck", "11", "12"),
        ("mix", "ac16", "ac8"),
        ("decision", "taken", "void"),
        ("net", "21.00 t", "21.40 t"),
    ]


def test_times_of_loading_further_apart_than_clocks_are_listed() -> None:
    site = Site()
    for number, theirs in (("101", 5), ("102", 6)):
        site.load(number, 30, loaded=moment(0))
        site.load(number, 30, by="pia", witness="plant", loaded=moment(theirs))
    assert [load.differences() for load in loads(site.facts)] == [
        [], [("loaded", "07:00", "07:06")],
    ]  # fmt: skip


def test_a_difference_in_mass_is_told_in_masses_even_when_one_side_has_no_net() -> None:
    site = Site()
    site.load("101", net=None, gross="33.00 t", tare="12.00 t")
    site.load("101", by="pia", witness="plant", net="21.40 t")
    ((field, ours, theirs),) = only(site).differences()
    assert (field, theirs) == ("net", "21.40 t")
    assert ours == "33.00 t − 12.00 t"


def test_a_load_only_in_the_plants_file_counts_and_was_not_seen() -> None:
    site = Site()
    site.load("101", by="pia", witness="plant")
    assert (only(site).counts, only(site).seen_on_road) == (True, False)


def test_a_colleague_who_wrote_the_same_load_is_a_witness() -> None:
    site = Site()
    site.load("101", 30)
    site.load("101", 31, by="wyn")
    assert (only(site).net_kg, len(only(site).witnesses)) == (21_000.0, 1)


def test_a_colleague_with_another_truck_saw_another_load() -> None:
    site = Site()
    site.load("101", 30)
    site.load("101", 31, by="wyn", truck="12")
    assert [load.truck for load in loads(site.facts)] == ["11", "12"]


def test_the_same_person_writing_a_number_twice_has_two_loads_to_clear_up() -> None:
    site = Site()
    site.load("101", 30)
    site.load("101", 60)
    assert len(loads(site.facts)) == 2


def test_of_two_loads_under_one_number_the_plants_line_joins_the_likelier() -> None:
    site = Site()
    site.load("101", 30, truck="11", net="20.00 t")
    site.load("101", 60, truck="12", net="21.00 t")
    site.load("101", 20, by="pia", witness="plant", truck="12", net="21.00 t")
    first, second = loads(site.facts)
    assert (first.witnesses, len(second.witnesses)) == ((), 1)


def test_a_second_line_of_the_plant_is_a_second_load() -> None:
    site = Site()
    site.load("101")
    site.load("101", 5, by="pia", witness="plant")
    site.load("101", 6, by="pia", witness="plant", truck="12")
    assert [load.truck for load in loads(site.facts)] == ["11", "12"]


def test_a_reprint_joins_its_original_and_never_counts_twice() -> None:
    site = Site()
    site.load("101", 30)
    site.load("101", 90, form="reprint")
    assert (only(site).fact.text("form"), len(only(site).witnesses)) == ("", 1)


def test_a_reprint_alone_is_the_load() -> None:
    site = Site()
    site.load("101", 90, form="reprint")
    assert only(site).counts


def test_a_handwritten_ticket_is_a_load_like_any_other() -> None:
    site = Site()
    site.load("17", form="handwritten")
    assert (only(site).counts, only(site).fact.text("form")) == (True, "handwritten")


def test_plants_may_use_the_same_numbers() -> None:
    site = Site()
    site.load("101")
    site.load("101", 5, plant="south")
    assert [load.plant for load in loads(site.facts)] == ["north", "south"]


def test_a_number_is_the_same_in_capitals_and_with_spaces_about_it() -> None:
    site = Site()
    site.load("a101")
    site.load(" A101", by="wyn")
    assert only(site).number == "a101"


# Finding a load again


def test_a_load_is_found_by_any_of_its_entries_and_by_what_was_struck() -> None:
    site = Site()
    first = site.load("101", net="20.00 t", place=on(end=50))
    right = site.load("101", strikes=first.id, why="misread")
    plant = site.load("101", by="pia", witness="plant")
    facts = site.facts
    for entry in (first, right, plant):
        found = load_of(facts, entry.id)
        assert found is not None
        assert found.ids == (right.id, plant.id)
    assert load_of(facts, "nobody") is None
