"""Loads as a table, and what the next one will most likely be."""

from typing import Any

import pytest

from tests.desk.asked import ask, busy
from tests.shift.site import NEXT, Site, on


def test_a_load_with_where_it_went_and_what_was_decided() -> None:
    row = next(r for r in ask(busy(), "loads") if r["ticket"] == "106")
    assert row | {"id": "", "age": ""} == {
        "ticket": "106", "at": "07:50", "truck": "11", "mix": "ac16", "net": "21.00 t",
        "temp": "109 °C", "age": "", "state": "placed", "id": "", "state_words": "placed",
        "decision": "Taken", "place": "Eastbound, Binder, First paver, to 0+300.0",
    }  # fmt: skip


def test_a_load_of_which_little_is_known() -> None:
    site = Site()
    site.load(None, 0, net=None, truck=None)
    (row,) = ask(site, "loads")
    assert (row["net"], row["temp"], row["age"]) == ("", "", "")


def test_the_next_load_begins_where_the_last_one_ended() -> None:
    said = ask(busy(), "next_load")
    assert said["defaults"] == {
        "plant": "north", "mix": "ac16", "truck": "11", "lane": "E", "lift": "binder",
        "paver": "P1", "road": "", "to": "0+350",
    }  # fmt: skip
    assert said["tickets"] == {"north": "108", "south": "", "mobile": ""}
    assert ask(busy(), "last_load") == said["defaults"]


def test_trucks_stand_last_used_first() -> None:
    site = busy()
    site.load("108", 90, truck="14", place=on("E", "binder", end=400))
    assert ask(site, "next_load")["trucks"] == ["14", "11", "12"]


def test_before_the_first_load_the_plan_gives_what_it_has_only_one_of() -> None:
    for site in (Site(), busy_without_loads()):
        assert ask(site, "last_load") == {
            "plant": "", "mix": "", "lane": "", "lift": "", "paver": "", "road": "ridge-road",
            "truck": "", "to": "",
        }  # fmt: skip


def busy_without_loads() -> Site:
    site = Site()
    site.write("shift-open", {}, 0)
    return site


def test_a_place_that_is_not_known_gives_no_station() -> None:
    site = Site()
    site.load("101", 0)
    assert ask(site, "last_load")["to"] == ""


@pytest.mark.parametrize(
    ("tickets", "following"),
    [(["0099"], "0100"), (["A-009"], "A-010"), (["7", "9"], "10"), (["none"], ""), ([], "")],
)
def test_the_next_ticket_is_written_as_the_last_one(tickets: list[str], following: str) -> None:
    site = busy_without_loads()
    for n, ticket in enumerate(tickets):
        site.load(ticket, n)
    assert ask(site, "next_load")["tickets"]["north"] == following


def test_the_next_ticket_goes_on_from_the_shift_before() -> None:
    site = busy()
    site.write("shift-open", {}, 1440, shift=NEXT)
    said: Any = ask(site, "next_load", None, shift=NEXT)
    assert said["tickets"]["north"] == "108"
    assert said["tickets"]["south"] == ""
