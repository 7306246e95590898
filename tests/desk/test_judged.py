"""What is said while a body is being typed; nothing is refused, and nothing is kept."""

from typing import Any

import pytest

from matbook.shift.measured import MEASURES
from tests.desk.asked import ask, busy, opened
from tests.shift.site import NEXT, US_PLAN, Site, at, moment, on

LOAD = {"plant": "north", "ticket": "108", "decision": "taken", "mix": "ac16", "truck": "11"}


TONNES = "a number with its unit (t, kg), from 0 t to 80 t"


def judged(kind: str, body: dict[str, Any], place: Any = None, **more: Any) -> dict[str, Any]:
    site = more.pop("site", None) or busy()
    found: dict[str, Any] = ask(site, "judge", kind=kind, body=body, place=place or {}, **more)
    return found


def says(body: dict[str, Any], place: Any = None, **more: Any) -> list[tuple[str, str, str]]:
    said = judged("load", {**LOAD, **body}, place, **more)["says"]
    return [(one["field"], one["state"], one["words"]) for one in said]


def test_a_cold_load_is_said_with_its_limit_while_it_is_typed() -> None:
    assert says({"temp": "112 degC"}) == [
        ("temp", "act", "112 °C: 3 °C below the limit, at least 115 °C (4.1)"),
        ("temp", "watch", "112 °C: 13 °C below the limit, at least 125 °C"),
    ]


def test_a_load_in_order_is_said_to_be_within_every_limit() -> None:
    assert [(f, s) for f, s, _ in says({"temp": "140 degC"})] == [("temp", "fine")] * 3


def test_a_skin_temperature_is_not_judged() -> None:
    assert says({"temp": "100 degC", "temp_how": "infrared"}) == [
        ("temp", "unknown", "infrared sees the skin; not judged by the limit")
    ]


@pytest.mark.parametrize(
    ("body", "place", "field", "state", "words"),
    [
        ({"gross": "37 t", "tare": "12 t"}, {}, "gross", "act", "1.00 t overweight. Load 108,"),
        ({"gross": "10 t", "tare": "12 t"}, {}, "tare", "watch", "Gross below tare."),
        ({"gross": "33 t", "tare": "12 t", "net": "20 t"}, {}, "net", "watch", "1.00 t apart."),
        ({"mix": "ac99"}, {}, "mix", "act", "Unknown mix."),
        ({"mix": "ac8"}, on("E", "binder"), "mix", "act", "Wrong mix."),
        ({"mix": "ac99", "decision": "turned away"}, {}, "mix", "unknown", "Unknown mix."),
        ({"job_on_ticket": "X"}, {}, "job_on_ticket", "act", "Wrong job."),
        ({"loaded": moment(-30)}, {}, "loaded", "act", "120 min old"),
        ({"ticket": "106"}, {}, "ticket", "act", "Number 106 is in this book already, at 07:50."),
        ({"ticket": "109"}, {}, "ticket", "watch", "1 number before this is not in"),
        ({"ticket": "112"}, {}, "ticket", "watch",
         "4 numbers before this are not in this book: 108–111."),
        ({}, {"lane": "E", "to": "9x"}, "place.to", "watch", "“9x” is no station of this road:"),
    ],
)  # fmt: skip
def test_what_is_up_with_a_load_is_said_beside_its_field(
    body: dict[str, Any], place: dict[str, str], field: str, state: str, words: str
) -> None:
    (said,) = says(body, place, at=moment(90)) if "loaded" in body else says(body, place)
    assert said[:2] == (field, state)
    assert said[2].startswith(words)


def test_a_ticket_is_set_against_its_own_plants_numbers() -> None:
    assert says({"plant": "south", "ticket": "900"}) == []
    assert says({"plant": "mobile", "ticket": "106"}) == []
    assert says({"plant": "unknown", "ticket": "106"}) == []
    assert says({"ticket": "void"}) == []
    site = busy()
    own = next(e for e in site.entries if e.body.get("ticket") == "106")
    assert says({"ticket": "106"}, site=site, strikes=own.id) == []


def test_a_ticket_goes_on_from_the_shift_before() -> None:
    site = busy()
    site.write("shift-open", {}, 1440, shift=NEXT)
    said = opened(site).ask(
        "judge", {"shift": NEXT, "kind": "load", "body": {**LOAD, "ticket": "110"}}
    )
    assert [one["field"] for one in said["says"]] == ["ticket"]
    assert opened(Site()).ask("judge", {"kind": "load", "body": LOAD})["says"] == []


@pytest.mark.parametrize(
    ("kind", "body", "field", "state", "words"),
    [
        ("loose-depth", {"depth": "70 mm"}, "depth", "watch",
         "70 mm: 2 mm beyond the limit, within ±6 mm"),
        ("loose-depth", {"depth": "64 mm"}, "depth", "fine", "64 mm: within the limit,"),
        ("straightedge", {"length": "3 m", "gap": "6.5 mm"}, "gap", "watch", "6 mm: 2 mm beyond"),
        ("ramp", {"step": "50 mm", "length": "0.5 m"}, "step", "act", "10:1: 10 below the limit"),
        ("temperature", {"stage": "mat", "temp": "80 degC", "how": "infrared"}, "temp", "unknown",
         "infrared sees the skin"),
        ("slope", {"reading": "24 mm", "board": "1.2 m", "planned": "2.8 %"}, "reading", "watch",
         "2.0 %: 0.3 % beyond"),
    ],
)  # fmt: skip
def test_readings_are_judged_by_the_plan(
    kind: str, body: dict[str, Any], field: str, state: str, words: str
) -> None:
    said = judged(kind, body, at(20))["says"][0]
    assert (said["field"], said["state"]) == (field, state)
    assert said["words"].startswith(words)


def test_a_part_is_no_heavier_than_its_load() -> None:
    site = busy()
    load = next(one for one in site.entries if one.body.get("ticket") == "106")
    for mass, found in (("35 t", True), ("21 t", False)):
        said = judged("placed", {"load": load.id, "to": "waste", "mass": mass}, site=site)["says"]
        assert [one["words"] for one in said] == ["More than this load brought, 21.00 t"] * found
    assert judged("placed", {"load": "unknown", "to": "waste", "mass": "35 t"})["says"] == []


def test_a_kind_without_limits_has_nothing_said() -> None:
    assert judged("note", {"text": "x"}) == {"faults": [], "unusual": [], "says": []}


@pytest.mark.parametrize(
    ("kind", "body", "place", "field", "allowed"),
    [
        ("load", {"plant": "north"}, {}, "decision", "it must be given"),
        ("load", {**LOAD, "net": "22"}, {}, "net", TONNES),
        ("load", {**LOAD, "net": "220 t"}, {}, "net", TONNES),
        ("load", {**LOAD, "colour": "red"}, {}, "colour", "this form has no such field"),
        ("load", {**LOAD, "decision": "maybe"}, {}, "decision", "one of the choices"),
        ("load", {**LOAD, "loaded": "7:15"}, {}, "loaded", "a date and time with its offset"),
        ("load", {**LOAD, "truck": "x" * 30}, {}, "truck", "text of 1 to 24 characters"),
        ("crew", {"craft": "raker", "count": "many"}, {}, "count", "a whole number from 0 to 200"),
        ("quantity", {"item": "1", "amount": "x", "basis": "y"}, {}, "amount",
         "an amount with its unit: t, kg, m, m², m³, L, %, °C, h"),
        ("note", {"text": "x"}, {"station": ""}, "place.station",
         "text of 1 to 64 characters, or for an offset a length with its unit"),
        ("placed", {"load": "x" * 65, "to": "waste"}, {}, "load", "an entry's id"),
        ("photo", {"file": "x"}, {}, "file", "the SHA-256 of the original"),
        ("handover", {"to": 5, "step": "given"}, {}, "to", "a person of the plan, or a name"),
    ],
)  # fmt: skip
def test_a_fault_names_field_value_and_what_is_allowed(
    kind: str, body: dict[str, Any], place: dict[str, str], field: str, allowed: str
) -> None:
    (fault,) = judged(kind, body, place)["faults"]
    assert (fault["field"], fault["allowed"]) == (field, allowed)


def test_what_is_unusual_is_said_in_the_units_of_the_job() -> None:
    said = judged("load", {**LOAD, "net": "50 t"})["unusual"]
    assert said == [{"field": "net", "given": "50 t", "allowed": "usually 2 t to 45 t"}]
    us = judged("load", {**LOAD, "temp": "150 degF"}, site=busy(US_PLAN))["unusual"]
    assert us[0]["allowed"] == "usually 194 °F to 374 °F"


def test_faulty_fields_do_not_keep_the_others_from_being_judged() -> None:
    said = judged("load", {**LOAD, "temp": "112 degC", "net": "x"})
    assert [one["field"] for one in said["faults"]] == ["net"]
    assert said["says"][0]["state"] == "act"


def test_judging_writes_nothing() -> None:
    book = opened(busy())
    before = book.ask("now", {})
    typed = {"kind": "load", "body": LOAD, "at": "2026-05-12T10:00:00Z"}
    assert book.ask("judge", typed)["says"] == []
    assert book.ask("now", {}) == before


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"old": "120 kg/m2", "new": "118 kg/m2"}, ""),
        ({"old": "119 kg/m2", "new": "118 kg/m2"}, "the plan has “120 kg/m2” there"),
        ({"old": "120 kg/m2", "new": "118 mm"}, "118 mm"),
        ({"old": "120 kg/m2", "new": "much"}, "much"),
    ],
)
def test_a_change_of_the_plan_is_tried_before_it_is_kept(change: dict[str, str], why: str) -> None:
    said = judged("plan", {"path": "lifts/binder/spread", **change})["faults"]
    assert [one["field"] for one in said] == (["new"] if why else [])
    assert all(why in one["allowed"] for one in said)


@pytest.mark.parametrize("kind", sorted(MEASURES))
def test_half_a_form_is_judged_by_what_is_typed_so_far(kind: str) -> None:
    assert judged(kind, {})["says"] == []


@pytest.mark.parametrize(
    ("path", "old", "new", "allowed"),
    [
        ("limits/depth/number", "6", "60", "usually 1 mm to 40 mm"),
        ("limits/depth/number", "6", "8", ""),
        ("lifts/binder/budget", "1700 t", "1700000 t", "usually 10 t to 200000 t"),
        ("lifts/binder/budget", "1700 t", "2 ton", "usually 11 ton to 220\u202f462 ton"),
        ("mixes/ac16/temperatures/delivery/low", "115 degC", "15 degC", "usually 90 °C to 195 °C"),
        ("people/cole/phone", None, "999999999", ""),
    ],
)
def test_a_change_of_the_plan_far_from_the_usual_is_asked_about(
    path: str, old: str | None, new: str, allowed: str
) -> None:
    body = {"path": path, "new": new, "agreed": "cole", **({"old": old} if old else {})}
    said = judged("plan", body)
    assert said["faults"] == []
    assert [one["allowed"] for one in said["unusual"]] == ([allowed] if allowed else [])
