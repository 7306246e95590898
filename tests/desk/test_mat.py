"""The mat: a strip for each lane and lift, and the same observations as a table."""

import re
from functools import cache
from typing import Any
from xml.etree import ElementTree

from matbook.book.kinds import kinds
from matbook.desk.mat import OF_KIND, TRACKS
from matbook.shift.charts.drawing import CHARACTER
from matbook.shift.charts.strip import WIDTH
from matbook.words import languages
from tests.desk.asked import ask, busy, demo_book
from tests.shift.site import US_PLAN, Site, at, on

SVG = "{http://www.w3.org/2000/svg}"


def lanes(site: Site, **arguments: Any) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = ask(site, "mat", **arguments)["lanes"]
    return found


@cache
def strips() -> list[dict[str, Any]]:
    """Every strip of both invented jobs, in every language."""
    found = []
    for name in ("harrow", "kestrel"):
        book = demo_book(name)
        for shift in book.shifts():
            for language in languages():
                found += book.ask("mat", {"shift": shift, "language": language})["lanes"]
    return found


def test_every_observation_is_a_row_and_a_mark() -> None:
    (lane,) = [one for one in lanes(busy()) if one["lift"] == "binder"]
    assert lane["title"] == "Eastbound, Binder"
    marks = re.findall(r'class="mark (\w+)" data-entry="([^"]+)"', lane["svg"])
    assert sorted(marks) == sorted((row["state"], row["id"]) for row in lane["rows"])
    assert len(lane["rows"]) == 7 + 3 + 2 + 1 + 1


def test_a_row_says_where_when_what_and_its_state() -> None:
    (lane,) = [one for one in lanes(busy()) if one["lift"] == "binder"]
    row = next(r for r in lane["rows"] if r["kind"] == "Loose depth" and r["at"] == "07:45")
    assert row | {"id": ""} == {
        "station": "0+210.0", "at": "07:45", "kind": "Loose depth", "words": "75 mm · Adjusted no",
        "state": "watch", "state_words": "watch", "id": "",
    }  # fmt: skip
    states = {(r["kind"], r["at"]): r["state"] for r in lane["rows"]}
    assert states["Loose depth", "07:30"] == "fine"
    assert states["Load", "07:50"] == "act"
    assert states["Load", "08:00"] == "fine"
    assert states["Density", "08:20"] == "unknown", "nothing turns fine on missing data"


def test_an_infrared_look_at_a_load_leaves_it_not_known() -> None:
    site = Site()
    site.load("101", 0, temp="150 degC", temp_how="infrared", place=on("E", "binder", 0, 50))
    site.write("paver", {"event": "end"}, 5, place=at(50))
    (lane,) = lanes(site)
    assert lane["rows"][0]["state"] == "unknown"


def test_an_observation_without_a_lift_stands_in_the_lanes_only_one() -> None:
    site = Site()
    site.write("photo", {"file": "0" * 64}, 0, place={"lane": "W", "station": "0+100"})
    site.write("photo", {"file": "1" * 64}, 0, place={"lane": "E", "station": "0+100"})
    site.write("photo", {"file": "2" * 64}, 0, place={"lane": "X", "station": "0+100"})
    site.write("photo", {"file": "3" * 64}, 0, place={"lane": "W"})
    assert [(one["lane"], one["lift"], one["title"]) for one in lanes(site)] == [
        ("E", "", "Eastbound, —"), ("W", "binder", "Westbound, Binder"),
    ]  # fmt: skip


def test_rows_stand_in_the_direction_of_paving() -> None:
    site = Site()
    for n, station in enumerate((100, 300, 200)):
        site.write("width", {"width": "3.00 m"}, n, place=at(station, "W"))
        site.write("width", {"width": "3.50 m"}, n, place=at(station, "E"))
    east, west = lanes(site)
    assert [r["station"] for r in east["rows"]] == ["0+100.0", "0+200.0", "0+300.0"]
    assert [r["station"] for r in west["rows"]] == ["0+300.0", "0+200.0", "0+100.0"]
    assert "paving this way →" in west["svg"]


def test_nothing_laid_is_an_empty_mat_and_it_says_why_there_is_no_picture() -> None:
    site = Site()
    site.write("shift-open", {}, 0)
    assert ask(site, "mat") == {
        "lanes": [],
        "picture": {
            "words": "No picture of the shift: not forecast: the plan doesn't say where "
            "the job lies."
        },
        "orders": [],
    }


def test_every_kind_with_a_place_has_a_track() -> None:
    assert set(OF_KIND.values()) == set(TRACKS)
    assert kinds().keys() >= OF_KIND.keys()


def test_a_strip_is_sound_svg_without_styles_that_turns_with_the_page() -> None:
    for strip in strips():
        assert_sound(strip)


def assert_sound(strip: dict[str, Any]) -> None:
    root = ElementTree.fromstring(strip["svg"])
    assert float(root.attrib["viewBox"].split()[2]) == WIDTH == 360
    assert root.attrib["aria-label"] == strip["alt"]
    text = strip["svg"]
    assert "style" not in text
    assert "black" not in text
    assert "white" not in text
    colours = {e.attrib.get(a) for e in root.iter() for a in ("fill", "stroke")} - {None}
    assert colours <= {"currentColor", "none", "#b5270c"}


def test_labels_of_a_strip_stay_inside_and_do_not_collide() -> None:
    for strip in strips():
        assert_labels_apart(strip)


def assert_labels_apart(strip: dict[str, Any]) -> None:
    boxes = []
    for element in ElementTree.fromstring(strip["svg"]).iter(f"{SVG}text"):
        size, x, y = (float(element.attrib[name]) for name in ("font-size", "x", "y"))
        assert size >= 11, "as large as 11 px on a phone"
        wide = len(element.text or "") * size * CHARACTER
        left = x - {"start": 0.0, "middle": wide / 2, "end": wide}[element.attrib["text-anchor"]]
        assert left >= -0.1
        assert left + wide <= WIDTH + 0.1
        boxes.append((left, left + wide, y))
    for n, (left, right, y) in enumerate(boxes):
        for other_left, other_right, other_y in boxes[:n]:
            apart = right <= other_left or other_right <= left or abs(y - other_y) >= 11
            assert apart, strip["title"]


def test_states_differ_by_shape_not_by_colour_alone() -> None:
    shapes = {}
    for strip in strips():
        for group in ElementTree.fromstring(strip["svg"]).iter(f"{SVG}g"):
            drawn = group[1]
            corners = drawn.attrib.get("d", "").count("L") + 1
            shapes[group.attrib["class"]] = (drawn.tag.removeprefix(SVG), corners)
    assert shapes == {
        "mark fine": ("rect", 1),
        "mark unknown": ("circle", 1),
        "mark watch": ("path", 3),
        "mark act": ("path", 4),
    }


def test_what_is_typed_cannot_become_markup() -> None:
    site = Site()
    site.write("defect", {"sign": "<script>&\"'"}, 0, place=at(10))
    (lane,) = lanes(site)
    assert "<script" not in lane["svg"]
    ElementTree.fromstring(lane["svg"])


def test_one_observation_alone_is_drawn() -> None:
    site = Site(US_PLAN)
    site.write("defect", {"sign": "soft spot"}, 0, place=at(10))
    (lane,) = lanes(site)
    assert lane["alt"].startswith("Strip of Eastbound, Binder: 1 observation from 0+010.0")


def test_a_misread_station_draws_nothing_together_and_stands_in_the_table() -> None:
    site = Site()
    site.write("paver", {"event": "start"}, 0, place=at(99_999))
    (alone,) = lanes(site)
    assert len(re.findall('class="mark', alone["svg"])) == 1
    site.write("width", {"width": "3.50 m"}, 1, place=at(10))
    (lane,) = lanes(site)
    assert len(re.findall('class="mark', lane["svg"])) == 1
    assert [row["station"] for row in lane["rows"]] == ["0+010.0", "99+999.0"]


def test_of_two_labels_at_one_place_one_is_written_and_both_stand_in_the_table() -> None:
    site = Site()
    for n, depth in enumerate(("75 mm", "76 mm")):
        site.write("loose-depth", {"depth": depth}, n, place=at(500 + n))
    for station in (10, 900):
        site.write("loose-depth", {"depth": "62 mm"}, 5, place=at(station))
    (lane,) = lanes(site)
    written = re.findall(r">(7\d mm)</text>", lane["svg"])
    assert len(written) == 1
    assert [r["words"] for r in lane["rows"]][1:3] == ["75 mm", "76 mm"]


def test_a_contractor_sees_measurements_on_the_mat_and_no_notes() -> None:
    site = busy()
    site.write("note", {"text": "private"}, 83, place=at(100))
    everything = {r["kind"] for one in lanes(site) for r in one["rows"]}
    seen = {r["kind"] for one in lanes(site, role="contractor") for r in one["rows"]}
    assert everything - seen == {"Note", "Defect"}
