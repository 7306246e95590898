"""The book as people read it: words, corrections, search."""

from datetime import UTC
from typing import Any

import pytest

from matbook.errors import NotFound
from tests.desk.asked import ask, busy
from tests.shift.site import Site, at, on


def rows(site: Site, **arguments: Any) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = ask(site, "entries", **arguments)
    return found


def test_the_newest_stands_first() -> None:
    times = [row["at"] for row in rows(busy())]
    assert times == sorted(times, reverse=True)


def test_an_entry_in_one_line() -> None:
    row = next(r for r in rows(busy()) if r["title"] == "Load 106")
    assert row[
        "line"
    ] == "North plant · Taken · Truck 11 · AC 16 binder · 21.00 t net · 109 °C".replace(
        "Taken", "taken"
    )
    assert row["place"] == "Eastbound, Binder, First paver, to 0+300.0"
    assert (row["by"], row["device"], row["state"]) == ("Ana Vale", "phone-ana", "stands")
    assert (row["struck_by"], row["strikes"], row["trouble"]) == (None, None, None)
    assert row["can_strike"] is True


def test_yes_and_no_say_what_they_answer() -> None:
    (row,) = [r for r in rows(busy()) if r["kind"] == "loose-depth" and "no" in r["line"]]
    assert row["line"] == "75 mm · Adjusted no"
    (spanish,) = [
        r for r in rows(busy(), language="es") if r["kind"] == "loose-depth" and "no" in r["line"]
    ]
    assert (spanish["title"], spanish["line"]) == ("Espesor suelto", "75 mm · Ajustado no")


def test_every_number_says_what_it_is_a_number_of() -> None:
    site = Site()
    lines = {}
    for kind, body in (
        ("load", {"plant": "north", "decision": "taken", "gross": "33.40 t", "tare": "12.00 t"}),
        ("weather", {"air": "11 degC", "surface": "14 degC", "humidity": "70 %"}),
        ("roller", {"roller": "R1", "event": "rolling", "passes": 4, "speed": "5 km/h"}),
        ("loose-depth", {"depth": "62 mm"}),
    ):
        site.write(kind, body, 10, place=on("E", "binder", 120, 158))
        lines[kind] = rows(site, kind=kind)[0]["line"]
    assert lines["load"] == "North plant · taken · 33.40 t gross · 12.00 t tare"
    assert lines["weather"] == "11 °C air · 14 °C surface · 70 % humidity"
    assert lines["roller"] == "Rolling · 4 passes · 5 km/h".replace("Rolling", "rolling")
    assert lines["loose-depth"] == "62 mm"
    assert rows(site)[0]["place"] == "Eastbound, Binder, First paver, 0+120.0 to 0+158.0"
    site.write("note", {"text": "x"}, 11, place=on("E", start=120))
    assert rows(site)[0]["place"].endswith("from 0+120.0")
    (spanish,) = rows(site, kind="weather", language="es")
    assert spanish["line"] == "aire 11 °C · superficie 14 °C · humedad 70 %"


def test_times_are_shown_on_the_shifts_clock_and_another_clock_is_named() -> None:
    site = Site()
    site.load("101", 0)
    site.load("102", 10)
    body = {"plant": "north", "decision": "taken", "ticket": "103"}
    site.write("load", {**body, "loaded": "2026-05-12T10:15:00+00:00"}, 20, zone=UTC)
    found = rows(site, kind="load")
    assert [(row["at"], row["clock"]) for row in found] == [
        ("07:20", "10:20 +00:00 by the writer's clock"), ("07:10", None), ("07:00", None),
    ]  # fmt: skip
    fields = {f["name"]: f["value"] for f in ask(site, "entry", id=found[0]["id"])["fields"]}
    assert fields["loaded"] == "07:15"
    assert ask(site, "now", None, at="2026-05-12T10:40:00Z")["at"] == "2026-05-12T07:40:00-03:00"


def test_a_moment_that_cannot_be_read_is_shown_as_it_was_written() -> None:
    site = Site()
    site.write("load", {"plant": "north", "decision": "taken", "loaded": "at seven"}, 0)
    (row,) = rows(site, kind="load")
    fields = {f["name"]: f["value"] for f in ask(site, "entry", id=row["id"])["fields"]}
    assert (row["state"], fields["loaded"]) == ("quarantine", "at seven")


def test_a_struck_entry_says_by_whom_and_why() -> None:
    wrong, right = (r for r in reversed(rows(busy())) if r["title"] == "Load 107")
    if wrong["state"] != "struck":
        wrong, right = right, wrong
    assert wrong["state_words"] == "struck"
    assert wrong["struck_by"] == {
        "id": right["id"], "why": "read the ticket wrong", "by": "Ana Vale", "at": "08:40",
    }  # fmt: skip
    assert wrong["can_strike"] is False
    assert right["strikes"] == wrong["id"]
    assert right["written_later"] == "written 40 min later"


@pytest.mark.parametrize(
    ("by", "may"), [("", True), ("ana", True), ("greta", True), ("tess", False), ("nobody", False)]
)
def test_only_the_writer_and_a_supervisor_may_strike(by: str, may: bool) -> None:
    row = next(r for r in rows(busy(), by=by) if r["title"] == "Load 106")
    assert row["can_strike"] is may


def test_an_entry_opens_field_by_field_with_its_versions() -> None:
    site = busy()
    wrong = next(r for r in rows(site) if r["state"] == "struck")
    opened = ask(site, "entry", id=wrong["id"])
    fields = {f["name"]: (f["title"], f["value"]) for f in opened["fields"]}
    assert fields["net"] == ("Net", "12.00 t")
    assert fields["plant"] == ("Plant", "North plant")
    assert fields["place"][0] == "Where"
    assert [one["state"] for one in opened["chain"]] == ["struck", "stands"]
    assert opened["raw"] == next(e.text for e in site.entries if e.id == wrong["id"])
    right = ask(site, "entry", id=opened["stands"])
    assert {f["name"] for f in right["fields"]} >= {"why"}
    assert ask(site, "entry", id=opened["hash"])["id"] == wrong["id"]


def test_an_entry_has_the_photos_that_are_about_it_or_about_what_it_replaced() -> None:
    site = busy()
    wrong = next(r for r in rows(site) if r["state"] == "struck")["id"]
    before, after = "ab" * 32, "cd" * 32
    site.write("photo", {"file": before, "about": [wrong], "caption": "The ticket"}, 61)
    right = ask(site, "entry", id=wrong)["stands"]
    kept = site.write("photo", {"file": after, "about": [right]}, 62)
    site.write("photo", {"file": "ef" * 32}, 63)
    for one in (wrong, right):
        shown = ask(site, "entry", id=one)["photos"]
        assert [(p["file"], p["line"]) for p in shown] == [(before, "The ticket"), (after, "")]
    site.write("note", {"text": "Out of focus."}, 64, strikes=kept.id, why="out of focus")
    assert [p["file"] for p in ask(site, "entry", id=right)["photos"]] == [before]
    other = next(r for r in rows(site) if r["title"] == "Load 106")
    assert ask(site, "entry", id=other["id"])["photos"] == []


def test_instrument_person_entry_and_moment_are_named() -> None:
    site = busy()
    load = next(e for e in site.entries if e.body.get("ticket") == "106")
    site.write("temperature", {"stage": "delivery", "temp": "110 degC", "load": load.id}, 51,
               place={**at(300), "offset": "1.2 m"}, instrument="probe-1")  # fmt: skip
    site.write("note", {"text": "x" * 300, "about": [load.id, "gone"]}, 52, instrument="own")
    heat, note = rows(site, search="110"), rows(site, search="xxx")
    fields = {f["name"]: f["value"] for f in ask(site, "entry", id=heat[0]["id"])["fields"]}
    assert (fields["load"], fields["instrument"]) == ("Load 106", "Probe 1")
    assert fields["place"].endswith("0+300.0, 1.2 m offset")
    assert len(note[0]["line"]) == 160
    told = {f["name"]: f["value"] for f in ask(site, "entry", id=note[0]["id"])["fields"]}
    assert (told["about"], told["instrument"]) == ("Load 106, gone", "own")
    body = {"plant": "north", "decision": "taken", "loaded": "2026-05-12T07:15:00-03:00"}
    site.write("load", {**body, "mix": "own"}, 90, place={"area": "drive-7", "paver": "P9"})
    load_row = rows(site, kind="load")[0]
    assert load_row["place"] == "P9, Driveway of no. 7"
    said = {f["name"]: f["value"] for f in ask(site, "entry", id=load_row["id"])["fields"]}
    assert (said["loaded"], said["mix"]) == ("07:15", "own")


def test_what_rests_in_quarantine_is_there_with_its_reason() -> None:
    site = busy()
    site.write("from-tomorrow", {"x": "y"}, 90)
    row = rows(site)[0]
    assert (row["title"], row["line"], row["state"]) == ("From-tomorrow", "", "quarantine")
    assert "not known here" in row["trouble"]
    fields = ask(site, "entry", id=row["id"])["fields"]
    assert fields == [{"name": "x", "title": "x", "value": "y"}]


def test_a_plan_is_said_in_a_word() -> None:
    assert [r["line"] for r in rows(busy(), kind="plan")] == ["the plan as imported"]


# Search


def found(search: str, site: Site | None = None) -> set[str]:
    return {row["title"] for row in rows(site or busy(), search=search)}


@pytest.mark.parametrize(
    ("search", "titles"),
    [
        ("106", {"Load 106", "Notice"}),
        ("07:50", {"Load 106"}),
        ("0+275", {"Load 106"}),
        ("streaks", {"Defect"}),
        ("cold", {"Notice"}),
        ("LOAD 105", {"Load 105"}),
        ("waiting mix", {"Paver"}),
        ("first paver 0+350.0", {"Paver", "Load 107"}),
        ("never written", set()),
    ],
)
def test_entries_are_found_by_station_time_ticket_and_words(search: str, titles: set[str]) -> None:
    assert found(search) == titles


def test_a_station_is_found_as_it_is_typed_in_any_length() -> None:
    assert "Loose depth" in found("0+210")
    assert "Load 105" in found("0+210")
    assert found("0+1999") == set()


def test_a_truck_is_a_whole_word() -> None:
    site = Site()
    site.load("112", 0, truck="14", place=on("E", "binder", 0, 50))
    site.load("201", 5, truck="12", place=on("E", "binder", 50, 100))
    assert found("12", site) == {"Load 201"}


def test_an_entry_without_a_road_lies_at_no_station() -> None:
    site = Site("")
    site.write("note", {"text": "somewhere"}, 0)
    assert found("0+100", site) == set()


def test_rows_of_one_kind() -> None:
    assert {row["kind"] for row in rows(busy(), kind="paver")} == {"paver"}


def test_a_notice_of_the_shift_before_opens_from_the_call_about_it() -> None:
    site = busy()
    site.write("shift-open", {}, 24 * 60, shift="ridge/2026-05-13/a/day")
    now = 24 * 60 + 30
    (call,) = [c for c in ask(site, "calls", now) if c["code"].startswith("notice.")]
    (told,) = call["entries"]
    opened = ask(site, "entry", now, id=told)
    assert opened["title"] == "Notice"
    assert opened["date"] == "2026-05-12"
    with pytest.raises(NotFound, match="no entry “nothing”"):
        ask(site, "entry", now, id="nothing")
