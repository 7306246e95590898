"""The six standing answers: a number that leads, and never “fine” on missing data."""

from typing import Any

import pytest

from matbook.desk.answers import Answer, answers
from matbook.shift.view import view
from tests.shift.hauled import bursts, morning
from tests.shift.site import PLAN, US_PLAN, Site, at, clock, moment, on

NAMES = ["load", "yield", "haul", "rolling", "density", "due"]


def answer(site: Site, name: str, minute: float = 240) -> Answer:
    found = {one.name: one for one in answers(view(site.facts, clock(minute)))}
    assert list(found) == NAMES
    return found[name]


def test_on_an_empty_shift_nothing_is_fine() -> None:
    site = Site()
    assert {answer(site, name).state for name in NAMES} == {"unknown"}
    assert {answer(site, name).number for name in NAMES} == {"—"}
    assert all(answer(site, name).lines for name in NAMES)


# This load


def load(**body: Any) -> Answer:
    site = Site()
    site.load("101", 60, place=on("E", "binder", 0, 50), **body)
    return answer(site, "load")


def test_the_load_leads_with_its_temperature_as_typed() -> None:
    found = load(temp="141.5 degC", loaded=moment(0))
    assert (found.number, found.state) == ("141.5 °C", "fine")
    assert found.lines == ("No. 101 · truck 11 · 21.00 t · 60 min old", "Taken")


@pytest.mark.parametrize(
    ("body", "state"),
    [
        ({"temp": "120 degC"}, "watch"),
        ({"temp": "101 degC"}, "act"),
        ({"temp": "101 degC", "decision": "turned away"}, "fine"),
        ({}, "unknown"),
        ({"temp": "141 degC", "temp_how": "infrared"}, "unknown"),
        ({"gross": "40 t"}, "act"),
    ],
    ids=["cool", "cold", "turned away", "not measured", "infrared", "overweight and not measured"],
)
def test_the_state_of_the_load(body: dict[str, str], state: str) -> None:
    assert load(**body).state == state


def test_a_load_that_was_not_measured_says_so() -> None:
    found = load(net=None, truck=None)
    assert found.number == "not measured"
    assert found.lines[0] == "No. 101 · truck —"


def test_a_repeated_number_is_this_loads_matter_too() -> None:
    site = Site()
    for n in range(2):
        place = on("E", "binder", 50 * n, 50 * n + 50)
        site.load("101", n, temp="141 degC", place=place)
    assert answer(site, "load").state == "act"


# Yield


def test_yield_leads_with_its_deviation() -> None:
    """22 t on 175 m2 is 125.7 kg/m2, 4.8 % over; the paver may hold 6 t of the 110 t still:
    (107 ± 3.41) t on 875 m2 are 118.4 to 126.2 kg/m2."""
    site = Site()
    site.lay(["22.00 t"] * 5)
    found = answer(site, "yield")
    assert (found.number, found.state) == ("+4.8 %", "act")
    assert found.lines[0] == "110.0 t laid · 95 % range −1.3 to +5.2 %"
    assert found.lines[1:] == (
        "Binder: short by 45.0 t at the planned spread",
        "Surface: 0.0 t over at the planned spread",
    )


def test_yield_in_order_is_fine() -> None:
    site = Site()
    site.lay(["21.00 t"] * 5)
    site.write("paver", {"event": "end"}, 60, place=at(250))
    assert (answer(site, "yield").number, answer(site, "yield").state) == ("0.0 %", "fine")


def test_a_lift_that_is_finished_is_not_spoken_of() -> None:
    site = Site()
    site.load("101", mix="ac8", net="16.80 t", place=on("E", "surface", 0, 2000))
    assert [line for line in answer(site, "yield").lines if line.startswith("Surface")] == []


def test_mix_laid_where_nothing_was_planned_is_not_called_nothing() -> None:
    site = Site()
    site.load("101", place=on("E", "level", 700, 750))
    found = answer(site, "yield")
    assert (found.number, found.state) == ("120.0 kg/m²", "unknown")
    assert found.lines == ("21.0 t laid where the plan has none",)


# Haul: the pavers, and whether trucks will keep them moving


def pavers(*events: tuple[float, str, dict[str, str], str], plan: str = PLAN) -> Site:
    site = Site(plan)
    for minute, event, place, reason in events:
        body = {"event": event, **({"reason": reason} if reason else {})}
        site.write("paver", body, minute, place=place)
    return site


def test_a_paver_that_moves_leads_with_its_pace() -> None:
    events = (0, "start", at(0), ""), (10, "at", at(50), "")
    found = answer(pavers(*events), "haul")
    assert (found.number, found.state) == ("5.0 m/min", "unknown")
    assert found.lines[0] == "First paver moves at 5.0 m/min"
    us = answer(pavers(*events, plan=US_PLAN), "haul")
    assert us.number == "16.4 ft/min"


def test_a_paver_that_stands_leads_with_how_long_and_why() -> None:
    found = answer(pavers((0, "stop", at(50), "waiting for mix")), "haul", 14)
    assert (found.number, found.state) == ("14 min", "watch")
    assert found.lines[0] == "First paver stands: waiting for mix"


def test_of_two_pavers_the_one_that_stands_leads() -> None:
    site = pavers(
        (0, "stop", at(50), "screed"),
        (0, "start", at(0, "W", paver="P9"), ""),
        (10, "at", at(50, "W", paver="P9"), ""),
    )
    found = answer(site, "haul", 14)
    assert (found.number, found.state) == ("14 min", "watch")
    assert found.lines[:2] == ("First paver stands: screed", "P9 moves at 5.0 m/min")


def test_a_paver_that_ended_moves_no_more() -> None:
    site = pavers((0, "start", at(0), ""), (10, "at", at(50), ""), (20, "end", at(100), ""))
    found = answer(site, "haul")
    assert (found.number, found.lines) == ("—", ("no paver has started yet",))


def test_trucks_that_keep_it_moving() -> None:
    found = answer(morning(), "haul", 106)
    assert (found.state, found.figure) == ("fine", "haul/P1")
    assert found.lines == (
        "First paver moves at 6.2 m/min",
        "within the hour it stands still in 0 of a hundred cases (0 to 4)",
        "trucks waiting, on average: 0",
    )


def test_trucks_that_do_not() -> None:
    """What would keep it moving, and what stop-and-go costs, in words. By hand: it stands from 9.3
    min on until the next is there at 27, and again from 51 on: 26.7 of 60 min, at 6.25 m/min."""
    found = answer(bursts(), "haul", 105)
    assert (found.state, found.figure) == ("watch", "haul/P1")
    assert found.lines[1:] == (
        "within the hour it stands still in 100 of a hundred cases (96 to 100)",
        "one in ten: from 9 min on",
        "trucks waiting, on average: 0",
        "1.9 m/min would keep it moving",
        "as it is, it stands some 27 min of the hour; 3.5 m/min gets as far without a stop, and "
        "each stop is a cold place and may be a bump",
    )


def test_too_little_of_the_trucks_is_said() -> None:
    found = answer(morning(3), "haul", 17)
    assert found.state == "unknown"
    assert found.lines[-1] == "no forecast of the haul yet: it needs a few loads more"
    assert found.figure is None


# Density, and what is due


@pytest.mark.parametrize(
    ("body", "number"),
    [
        ({"percent": "93.2 %"}, "93.2 %"),
        ({"density": "2352 kg/m3"}, "2352 kg/m³"),
        ({}, "—"),
    ],
)
def test_the_last_density_with_all_that_it_needs(body: dict[str, str], number: str) -> None:
    site = Site()
    needs = {"basis": "maximum", "method": "gauge", "purpose": "acceptance"}
    site.write("density", {"percent": "90.0 %", **needs}, 10, by="tess", place=at(10))
    site.write("density", {**body, **needs}, 75, by="tess", place=at(20))
    found = answer(site, "density")
    assert (found.number, found.state) == (number, "unknown")
    assert found.lines[0] == "% of maximum, gauge, acceptance, 08:15"


def only(check: str) -> str:
    """The plan with one check alone."""
    head, *checks = PLAN.partition("[[plants]]")[0].split("[[checks]]")
    kept = next(one for one in checks if f'id = "{check}"' in one)
    return f"{head}[[checks]]{kept}[[plants]]{PLAN.partition('[[plants]]')[2]}"


@pytest.mark.parametrize(
    ("check", "minute", "number", "state"),
    [
        ("delivery", 30, "2 loads", "fine"),
        ("depth", 30, "50 m", "fine"),
        ("slope", 30, "79 t", "fine"),
        ("weather", 30, "30 min", "fine"),
        ("weather", 60, "now", "fine"),
        ("weather", 61, "now", "watch"),
        ("edge", 30, "now", "fine"),
    ],
)
def test_what_is_due_next(check: str, minute: float, number: str, state: str) -> None:
    site = Site(only(check).replace("first = 3", "first = 3" if check != "delivery" else ""))
    site.load("101", 0, temp="141 degC", place=on("E", "binder", 0, 50))
    if check == "delivery":
        for n in range(3):
            site.load(str(102 + n), 1 + n)
    found = answer(site, "due", minute)
    assert (found.number, found.state) == (number, state)
    assert len(found.lines) == 1
