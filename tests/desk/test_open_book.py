"""An open book: entries one by one, the same answers as from scratch, and what it is asked."""

from itertools import combinations
from random import Random
from typing import Any

import pytest

from matbook.book.entry import Entry
from matbook.book.kinds import EXAMPLES, kind_named
from matbook.desk.open_book import QUESTIONS, OpenBook
from matbook.errors import EntryRefused, MatbookError, NotFound, Refused
from matbook.shift.figure import shown
from matbook.shift.measured import MEASURES
from tests.scribe import SHIFT, Scribe
from tests.shift.site import NEXT, Site, clock, on

DAY = 24 * 60
NOON = clock(300).isoformat()


def busy() -> Site:
    """Two days with a cold load, a correction, a notice, a late entry and readings."""
    site = Site()
    site.write("shift-open", {})
    site.lay(["21.00 t"] * 3)
    cold = site.load("104", 60, temp="101 degC", temp_how="probe", truck="T7",
                     place=on("E", "binder", end=220))  # fmt: skip
    load = site.load("105", 66, net="12.00 t", place=on("E", "binder", end=260))
    site.write("load", {**load.body, "net": "21.00 t"}, 66, place=load.place, strikes=load.id,
               why="misread", late=30)  # fmt: skip
    site.write("notice", {"to": ["cole"], "how": "spoken", "text": "Load 104 is cold.",
                          "call": f"load.temperature:{cold.id}"}, 62)  # fmt: skip
    site.write(
        "loose-depth", {"depth": "40 mm"}, 63, place={**on("E", "binder"), "station": "0+180"}
    )
    site.write("paver", {"event": "stop", "reason": "weather"}, 80,
               place={**on("E", "binder"), "station": "0+260"})  # fmt: skip
    site.load("108", DAY, place=on("E", "binder", end=300), shift=NEXT)
    return site


def opened(entries: list[Entry]) -> OpenBook:
    book = OpenBook("ridge")
    book.add((entry.hash, entry.text) for entry in entries)
    return book


def ask(book: OpenBook, question: str, **arguments: Any) -> Any:
    return book.ask(question, {"at": NOON, "shift": SHIFT, **arguments})


ASKED: dict[str, dict[str, Any]] = {
    "entry": {},
    "figure": {"name": "yield.shift/rate"},
    "judge": {"kind": "load", "body": {}, "place": {}},
}


def everything(book: OpenBook, first: str) -> dict[tuple[str, str], Any]:
    return {
        (shift, name): ask(book, name, shift=shift, **{**ASKED.get(name, {}), "id": first})
        for shift in (SHIFT, NEXT)
        for name in QUESTIONS
        if not (shift == NEXT and name == "entry")
    }  # fmt: skip


@pytest.mark.parametrize("seed", range(6))
def test_any_order_asked_in_between_answers_as_from_scratch(seed: int) -> None:
    entries = busy().entries
    random, first = Random(seed), entries[0].id
    shuffled = random.sample(entries, len(entries))
    book = OpenBook("ridge")
    for entry in shuffled:
        assert book.add([(entry.hash, entry.text)])[0]["state"] == "kept"
        for shift in book.shifts():
            ask(book, "now", shift=shift)
    assert book.shifts() == [SHIFT, NEXT]
    assert everything(book, first) == everything(opened(entries), first)


def test_what_is_taken_is_told() -> None:
    site = busy()
    pair = (site.entries[0].hash, site.entries[0].text)
    other = Scribe(job="elsewhere").write("note", {"text": "x"}, shift="")
    book = OpenBook("ridge")
    told = book.add([pair, pair, ("0" * 64, pair[1]), (other.hash, other.text)])
    assert [one["state"] for one in told] == ["kept", "had", "refused", "refused"]
    assert "changed after it was written" in told[2]["reason"]
    assert "elsewhere" in told[3]["reason"]


def test_now_says_what_is_up_with_whom_to_tell_and_a_draft() -> None:
    now = ask(opened(busy().entries), "now")
    assert (now["shift"], now["units"], now["closed"], now["sealed"]) == (
        SHIFT,
        "metric",
        False,
        False,
    )
    assert now["heading"] == {"title": "Ridge Road", "line": "Binder · E 0+260 · 12:00"}
    cold = next(call for call in now["calls"] if call["code"] == "load.temperature")
    assert cold["grade"] == "act"
    assert cold["told"]["at"] == "08:02"
    assert "The limit: at least 115 °C (4.1)" in cold["draft"]
    assert [one["name"] for one in now["answers"]] == [
        "load", "yield", "haul", "rolling", "density", "due",
    ]  # fmt: skip
    rolling = now["answers"][3]
    assert (rolling["state"], rolling["lines"]) == ("unknown", ["not computed by this version"])


def test_every_figure_opens_at_the_digits_it_is_shown_with() -> None:
    book = opened(busy().entries)
    names = [one["name"] for one in ask(book, "figures")]
    assert "yield.shift/rate" in names
    for name in names:
        found = ask(book, "figure", name=name)
        assert found["formula"]
        assert found["source"]
        assert found["inputs"]
        assert found["exact"]["value"] == shown(float(found["exact"]["value"]))
    rate = ask(book, "figure", name="yield.shift/rate")
    assert rate["value"].endswith("kg/m²")
    assert rate["range"]["is"].startswith("95 % range")
    over = ask(book, "figure", name="yield.shift/deviation")
    assert over["value"].startswith(("+", "−"))
    net = ask(book, "figure", name="net/101")
    assert net["inputs"][0]["from"]["entry"]
    with pytest.raises(NotFound, match="no figure “no/such”"):
        ask(book, "figure", name="no/such")


def test_the_number_of_every_yield_call_opens() -> None:
    site = Site()
    site.lay(["26.00 t"] * 6)
    book = opened(site.entries)
    names = {one["name"] for one in ask(book, "figures")}
    calls = [call for call in ask(book, "now")["calls"] if call["code"].startswith("yield.")]
    codes = {call["code"] for call in calls if call["figure"]}
    assert codes >= {"yield.last", "yield.lift", "yield.shift"}
    assert {call["figure"] for call in calls if call["figure"]} <= names


def test_entries_are_newest_first_and_struck_ones_are_readable() -> None:
    lines = ask(opened(busy().entries), "entries")
    assert lines[0]["kind"] == "paver"
    struck = next(one for one in lines if one["state"] == "struck")
    assert struck["struck_by"]["why"] == "misread"
    assert "12.00 t" in struck["line"]
    late = next(one for one in lines if one["strikes"] == struck["id"])
    assert late["written_later"] == "written 30 min later"


@pytest.mark.parametrize(
    ("search", "kinds"),
    [
        ("t7", {"load"}),
        ("0+180", {"loose-depth"}),
        ("weather stop", set()),
        ("0+260 binder", {"load", "paver"}),
    ],
)
def test_entries_are_found_by_truck_station_and_words(search: str, kinds: set[str]) -> None:
    found = ask(opened(busy().entries), "entries", search=search)
    assert {one["kind"] for one in found} == kinds


def test_one_entry_shows_its_fields_and_every_version() -> None:
    site = busy()
    book = opened(site.entries)
    old = next(one for one in ask(book, "entries") if one["state"] == "struck")
    whole = ask(book, "entry", id=old["id"])
    assert {"name": "net", "title": "net mass", "value": "12.00 t"} in whole["fields"]
    assert [one["state"] for one in whole["chain"]] == ["struck", "stands"]
    assert whole["raw"] == next(one.text for one in site.entries if one.id == old["id"])
    note = ask(book, "entry", id=next(e.id for e in site.entries if e.kind == "notice"))
    assert {"name": "to", "title": "To", "value": "cole"} in note["fields"]
    with pytest.raises(NotFound, match="no entry “nothing”"):
        ask(book, "entry", id="nothing")


def test_the_next_load_is_proposed_from_what_was_written() -> None:
    book = opened(busy().entries)
    proposed = ask(book, "next_load")
    assert proposed["tickets"]["north"] == "106"
    assert proposed["trucks"][:2] == ["11", "T7"]
    assert proposed["defaults"]["lane"] == "E"
    assert ask(book, "next_load", shift=NEXT)["tickets"]["north"] == "109"


def test_a_number_with_letters_and_zeros_is_counted_on() -> None:
    site = Site()
    site.load("A-0099", 5)
    assert ask(opened(site.entries), "next_load")["tickets"]["north"] == "A-0100"


def test_a_number_that_a_shift_before_passed_is_counted_on_from_there() -> None:
    site = busy()
    site.load("103", DAY + 5, place=on("E", "binder", end=320), shift=NEXT)
    site.load("x", DAY + 6, place=on("E", "binder", end=340), shift=NEXT)
    assert ask(opened(site.entries), "next_load", shift=NEXT)["tickets"]["north"] == "109"
    late = Site()
    late.load("105", 5)
    late.load("101", DAY, shift=NEXT)
    assert ask(opened(late.entries), "next_load", shift=NEXT)["tickets"]["north"] == "106"


def test_a_plant_without_numbers_has_no_next_one() -> None:
    site = Site()
    site.load("x", 5)
    assert ask(opened(site.entries), "next_load")["tickets"] == {}


@pytest.mark.parametrize("kind", sorted(MEASURES))
def test_a_reading_half_typed_is_never_too_little_to_look_at(kind: str) -> None:
    """Every subset of a form's fields, with any value, may be on the screen at some moment."""
    book = opened(busy().entries)
    typed = {
        name: EXAMPLES[field.of] if isinstance(field.of, str) else field.of[0]
        for name, field in kind_named(kind).fields.items()
        if field.type in ("quantity", "choice")
    }
    for size in range(len(typed) + 1):
        for names in combinations(typed, size):
            body = {name: typed[name] for name in names}
            for place in ({}, on("E", "binder"), {**on("W", "binder"), "station": "0+100"}):
                said = ask(book, "judge", kind=kind, body=body, place=place)
                assert {*said} == {"faults", "unusual", "says"}


def test_the_first_load_has_nothing_to_go_by() -> None:
    site = Site()
    site.write("shift-open", {})
    proposed = ask(opened(site.entries), "next_load")
    assert (proposed["tickets"], proposed["defaults"]) == ({}, {})


@pytest.mark.parametrize(
    ("body", "field", "words", "state"),
    [
        ({"temp": "112 degC", "mix": "ac16"}, "temp",
         "112 °C: 3 °C beyond the limit, at least 115 °C (4.1)", "act"),
        ({"temp": "115 degC", "mix": "ac16"}, "temp",
         "115 °C: limit at least 115 °C (4.1), met", "fine"),
        ({"ticket": "101"}, "ticket", "101 is already on a load, at 07:00", "watch"),
        ({"ticket": "109"}, "ticket", "106 to 108 not seen yet", "watch"),
    ],
)  # fmt: skip
def test_what_is_typed_is_set_against_limits_and_numbers(
    body: dict[str, str], field: str, words: str, state: str
) -> None:
    body = {"plant": "north", "decision": "taken", "temp_how": "probe", **body}
    said = ask(opened(busy().entries), "judge", kind="load", body=body, place=on("E", "binder"))
    assert said["faults"] == []
    assert {"field": field, "words": words, "state": state} in said["says"]


def test_infrared_is_not_set_against_the_limit() -> None:
    body = {"temp": "101 degC", "temp_how": "infrared", "mix": "ac16"}
    said = ask(opened(busy().entries), "judge", kind="load", body=body)
    assert said["says"] == []


def test_readings_are_judged_while_they_are_typed() -> None:
    site = Site()
    site.write("shift-open", {})
    place = {**on("E", "binder"), "station": "0+180"}
    said = ask(
        opened(site.entries), "judge", kind="loose-depth", body={"depth": "40 mm"}, place=place
    )
    assert [(one["state"], one["words"]) for one in said["says"]] == [
        ("watch", "−22.5 mm: 16.5 mm beyond the limit, within ±6 mm")
    ]
    nothing = ask(opened(site.entries), "judge", kind="loose-depth", body={}, place=place)
    assert nothing["says"] == []
    assert nothing["faults"][0]["field"] == "depth"


def test_faults_and_what_is_unusual_are_told_apart() -> None:
    body = {"plant": "north", "decision": "taken", "net": "50.00 t", "temp": "warm"}
    said = ask(opened(busy().entries), "judge", kind="load", body=body)
    assert [one["field"] for one in said["faults"]] == ["temp"]
    assert [one["field"] for one in said["unusual"]] == ["net"]


def test_the_plan_is_read_with_its_limits_and_changes() -> None:
    site = busy()
    change = {"path": "lifts/binder/spread", "old": "120 kg/m2", "new": "122 kg/m2"}
    site.write("plan", {**change, "agreed": "Cole"}, 70, why="trial strip")
    plan = ask(opened(site.entries), "plan")
    assert plan["job"]["name"] == "Ridge Road"
    assert {"id": "E", "name": "Eastbound"} in plan["lanes"]
    assert any("115" in limit["words"] for limit in plan["limits"])
    assert plan["changes"][0]["new"] == "122 kg/m2"


def test_the_mat_lists_each_lane_by_station() -> None:
    mat = ask(opened(busy().entries), "mat")
    (lane,) = mat["lanes"]
    assert (lane["lane"], lane["lift"]) == ("Eastbound", "binder")
    stations = [row["station"] for row in lane["rows"]]
    assert stations == sorted(stations)
    assert {"Loose depth 40 mm", "Paver stop"} <= {row["words"] for row in lane["rows"]}
    assert {row["kind"] for row in lane["rows"]} >= {"load", "loose-depth", "paver"}


def test_closing_names_what_is_open_and_the_devices_heard_from() -> None:
    found = ask(opened(busy().entries), "close")
    assert (found["opened"], found["closed"], found["sealed"]) == (True, False, False)
    assert any("104" in words for words in found["open"])
    assert {one["device"] for one in found["devices"]} == {"phone-ana"}


def test_a_past_shift_is_seen_as_it_stood_at_its_last_entry() -> None:
    now = opened(busy().entries).ask("now", {"at": "2026-09-01T10:00:00+00:00", "shift": SHIFT})
    assert now["at"].startswith("2026-05-12T0")


def test_the_latest_shift_is_meant_where_none_is_named() -> None:
    assert opened(busy().entries).ask("now", {"at": NOON})["shift"] == NEXT


def test_a_shift_without_a_plan_says_so() -> None:
    entry = Scribe().write("shift-open", {})
    now = ask(opened([entry]), "now")
    assert [call["code"] for call in now["calls"]] == ["plan.missing"]
    assert now["heading"]["line"] == "12:00"


@pytest.mark.parametrize(
    ("question", "arguments", "error", "words"),
    [
        ("weather", {}, NotFound, "no question “weather”"),
        ("now", {"at": "noon"}, EntryRefused, "noon"),
        ("now", {"shift": "ridge/2030-01-01/a/day"}, MatbookError, "no shift"),
        ("now", {"shift": 7}, Refused, "text"),
        ("judge", {"kind": "nonsense"}, NotFound, "nonsense"),
        ("judge", {"kind": "load", "body": "x"}, Refused, "object"),
    ],
)
def test_what_can_t_be_asked_is_said(
    question: str, arguments: dict[str, Any], error: type[Exception], words: str
) -> None:
    with pytest.raises(error, match=words):
        ask(opened(busy().entries), question, **arguments)
