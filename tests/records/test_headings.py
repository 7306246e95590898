"""Headings: which words stand for which field, and what a "ton" is where."""

import re

import pytest

from matbook.errors import FileRefused
from matbook.records import headings
from matbook.records.headings import FIELDS, Column, Seen, columns, recognise, said, unit_named
from tests.records.making import plan


def lists() -> list[tuple[str, str, str]]:
    """Every phrase of the table, with its field and rank."""
    return [
        (field, rank, phrase)
        for field, ranks in headings._TABLE["fields"].items()
        for rank in headings.RANKS[:3]
        for phrase in ranks.get(rank, ())
    ]


def test_every_phrase_of_the_table_is_recognised_in_every_spelling() -> None:
    assert len(lists()) > 200
    for field, rank, phrase in lists():
        for spelling in (phrase, phrase.upper(), phrase.title(), phrase.replace(" ", "_") + ":"):
            seen = recognise(spelling)
            assert seen is not None, spelling
            assert (seen.field, seen.rank) == (field, rank), spelling


def test_no_phrase_or_word_stands_in_the_table_twice() -> None:
    phrases = [phrase for _, _, phrase in lists()]
    assert len(phrases) == len(set(phrases))
    for name in ("values", "units", "months"):
        listed = [word for words in headings._TABLE[name].values() for word in words]
        assert len(listed) == len(set(listed)), name


def test_phrases_are_written_as_they_are_compared() -> None:
    table = headings._TABLE
    every = [phrase for _, _, phrase in lists()]
    for name in ("values", "units", "months", "passed_over"):
        every += [word for words in table[name].values() for word in words]
    assert [phrase for phrase in every if not re.fullmatch(r"[a-z0-9]+( [a-z0-9]+)*", phrase)] == []


@pytest.mark.parametrize(
    ("heading", "field", "unit"),
    [
        ("Ticket #", "ticket", ""),
        ("TicketNo.", "ticket", ""),
        ("№ de bon", "ticket", ""),
        ("Numéro de bon", "ticket", ""),
        ("TruckID", "truck", ""),
        ("NetWeight", "net", ""),
        ("Net Wt. [LBS]", "net", "lb"),
        ("Net (short tons)", "net", "ton"),
        ("Poids net en tonnes", "net", "t"),
        ("Load net tons", "net", "t or ton"),
        ("Tons", "net", "t or ton"),
        ("Temp ºF", "temp", "degF"),
        ("Mix discharge temp °C", "temp", "degC"),
        ("Date & Time", "loaded", ""),
        ("Datum und Uhrzeit", "loaded", ""),
        ("Hora de carga", "time", ""),
        ("Fecha", "date", ""),
        ("Job No", "job_on_ticket", ""),
        ("Ungültig", "void", ""),
        ("ÉTAT", "status", ""),
    ],
)
def test_headings_as_people_write_them(heading: str, field: str, unit: str) -> None:
    seen = recognise(heading)
    assert seen is not None
    assert (seen.field, seen.unit) == (field, unit)


@pytest.mark.parametrize(
    "heading",
    ["", "Cumulative net", "Net to date", "Target temp", "Air temp", "Time In", "Truck driver name",
     "Net price", "Customer", "Remarks", "Legal gross", "°C", "..."],
)  # fmt: skip
def test_headings_that_are_something_else(heading: str) -> None:
    assert recognise(heading) is None


@pytest.mark.parametrize(
    ("units", "plant", "expected"),
    [
        ("metric", "t", "t"),
        ("us", "ton", "ton"),
        ("us", "t", "t"),
        ("metric", "ton", "ton"),
        ("metric", "kg", "t"),
        ("us", "lb", "ton"),
    ],
)
def test_which_ton_the_plan_decides(units: str, plant: str, expected: str) -> None:
    of = plan(units, plant)
    found = columns(["Ticket", "Net tons", "Gross", "Temp"], of, of.plants["north"])
    assert found["net"] == Column("net", "Net tons", 1, "best", expected, True)
    assert found["gross"] == Column("gross", "Gross", 2, "best", plant, False)
    assert found["temp"].unit == ("degC" if units == "metric" else "degF")


def test_a_unit_that_measures_something_else_is_no_unit_of_a_mass() -> None:
    of = plan()
    assert columns(["Ticket", "Net C"], of, of.plants["north"])["net"].unit == "t"


def test_the_sure_heading_wins_over_the_likely_one() -> None:
    of = plan()
    found = columns(["Number", "Ticket", "Weight", "Net", "Net extra"], of, of.plants["north"])
    assert {field: column.heading for field, column in found.items()} == {
        "ticket": "Ticket",
        "net": "Net",
    }
    assert list(found) == [field for field in FIELDS if field in found]


def test_a_plan_that_names_a_heading_for_what_no_column_can_be() -> None:
    of = plan(columns={"weight": "Net"})
    with pytest.raises(FileRefused, match=r"“weight”.*a column can be ticket, truck, gross"):
        columns(["Ticket", "Net"], of, of.plants["north"])


def test_many_headings_are_not_all_listed() -> None:
    of = plan()
    with pytest.raises(FileRefused, match="“H19” and others"):
        columns([f"H{n}" for n in range(30)], of, of.plants["north"])


def test_fields_as_a_person_says_them() -> None:
    assert [said(field) for field in FIELDS] == [
        "ticket number", "truck", "gross mass", "tare mass", "net mass", "temperature", "mix",
        "job on ticket", "time of loading", "date", "time", "mark of void tickets",
        "status of a ticket",
    ]  # fmt: skip


def test_units_by_name() -> None:
    assert unit_named("TONNES") == "t"
    assert unit_named("lbs") == "lb"
    assert unit_named("stone") == ""
    assert recognise("Temperature") == Seen("temp", "plain")
