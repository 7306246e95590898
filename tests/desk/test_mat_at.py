"""The cursor of the picture: what it says of a station and a moment, and what it refuses."""

from typing import Any

import pytest

from matbook.desk.open_book import OpenBook
from matbook.errors import MatbookError
from matbook.shift.charts.sheet import sheet_of
from matbook.words import languages
from tests.desk.asked import ask, opened
from tests.shift.cooled import cooling, laid, roller
from tests.shift.site import PLAN, Site, at, clock, on
from tests.shift.test_picture import hot, phased

HERE = {"lane": "E", "lift": "binder"}


def at_place(site: Site, minute: float = 57, **arguments: Any) -> dict[str, Any]:
    found: dict[str, Any] = ask(site, "mat_at", minute, **HERE, **arguments)
    return found


def test_it_says_everything_at_a_station_and_a_moment() -> None:
    site = laid(phased())
    said = at_place(site, station="0+275", time="07:47")
    assert said["head"] == "0+275 at 07:47"
    laid_then, temps, phase, left, checked = said["lines"]
    load = "Laid at 07:45 by load 106, at about 145 °C: its load less the loss to the screed."
    assert laid_then == load
    assert temps.startswith("Then mean 12")
    assert "surface 1" in temps
    assert temps.endswith(": 10 to 90 %.")
    assert phase == "By its mean in the phase: Breakdown."
    assert left.startswith("Rolling makes density for ")
    assert checked == "Not yet checked on this mat."


def test_its_minutes_are_those_of_the_mat_less_the_time_since() -> None:
    site = laid()
    mat = site.view(57).mats[-1]
    left = mat.left()
    assert left is not None
    line = at_place(site, station="0+300", time="07:57")["lines"][2]
    low, middle, high = ((end - 420.0) / 60.0 for end in (left.early, left.middle, left.late))
    wanted = f"{middle:.0f} min more ({low:.0f} to {high:.0f}, 10 to 90 %)"
    assert line == f"Rolling makes density for {wanted}."


def test_near_the_end_it_is_not_sure_and_after_it_says_since_when() -> None:
    site = laid()
    left = site.view(57).mats[-1].left()
    assert left is not None
    unsure = clock(50 + left.middle / 60.0).isoformat()
    line = at_place(site, station="0+300", time=unsure)["lines"][2]
    assert line.startswith("Rolling may already make no more density; it does for ")
    over = at_place(site, station="0+300", time="08:50")["lines"][2]
    assert over.startswith("Rolling has made no more density since 08:")
    much = at_place(site, station="0+300", time="12:30")["lines"]
    assert len(much) == 3, "so long after nobody asks for its temperature"


def test_it_says_no_minutes_of_what_lasts_for_hours_and_how_often_it_was_checked() -> None:
    forever = hot(cooling(PLAN).replace('"80 degC"', '"40 degC"'))
    assert len(at_place(forever, station="0+275", time="07:50")["lines"]) == 3
    site = laid()
    body = {"stage": "mat", "temp": "99 degC", "how": "probe", "settled": "yes"}
    site.write("temperature", body, 46, place=at(210))
    last = at_place(site, station="0+275", time="07:50")["lines"][-1]
    assert last == "Checked by 1 reading on this mat."


def test_a_point_of_the_drawing_is_the_same_station_and_moment() -> None:
    site = laid()
    sheet = sheet_of(site.view(57), "E", "binder", 720.0)
    assert sheet is not None
    point: dict[str, Any] = {"x": sheet.x(275.0), "y": sheet.down(clock(50)), "size": "laptop"}
    found = at_place(site, **point)
    assert found == at_place(site, station="0+275", time="07:50", size="laptop")
    assert (found["x"], found["y"]) == (round(point["x"], 1), round(point["y"], 1))
    corner = at_place(site, x=-50, y=99999)
    assert (corner["x"], corner["station"]) == (46.0, "-0+010")  # the edge of the drawing


def test_where_nothing_is_forecast_it_says_why() -> None:
    site = laid(loads=4)
    site.load("105", 40, place=on("E", "binder", 200, 250))
    site.load("106", 50, temp="150 degC", place=on("E", "binder", 250, 300))
    lines = at_place(site, station="0+240")["lines"]
    assert lines == ["Load 105 lies here; nobody took its temperature, so nothing is forecast."]
    assert at_place(site, station="1+500")["lines"] == ["Nothing was laid here."]
    (early,) = at_place(site, station="0+299", time="07:30")["lines"]
    assert early.startswith("Not laid yet then. Laid at 07:49")


def test_a_place_laid_twice_is_that_of_the_later_piece() -> None:
    site = laid(loads=2)
    site.load("103", 20, temp="140 degC", place=on("E", "binder", 90, 150))
    assert "load 103" in at_place(site, minute=25, station="0+095", time="07:25")["lines"][0]


def test_what_was_seen_around_it_is_listed_the_nearest_first_and_opens() -> None:
    site = laid()
    first = site.write("defect", {"sign": "streaks"}, 49, place=at(280))
    other = site.write("defect", {"sign": "shoving"}, 51, place=at(295))
    site.write("defect", {"sign": "far"}, 49, place=at(120))
    site.write("defect", {"sign": "elsewhere"}, 49, place=at(280, "W"))
    roller(site, 50, 290)
    found = at_place(site, station="0+280", time="07:49")["entries"]
    assert [one["id"] for one in found[:1]] == [first.id]
    assert "07:49 Defect: streaks" in found[0]["words"]
    assert other.id in [one["id"] for one in found]
    assert any("Roller" in one["words"] for one in found)
    assert not any("far" in one["words"] or "elsewhere" in one["words"] for one in found)


def test_a_time_is_the_nearest_to_now_on_either_side_of_midnight() -> None:
    site = laid()
    assert at_place(site, station="0+100", time="19:30")["at"] == "19:30"
    late, early = (
        opened(site).ask(
            "mat_at", {**HERE, "station": "0+100", "time": time, "at": clock(57).isoformat()}
        )
        for time in ("23:50", "05:00")
    )
    assert "Not laid yet" in late["lines"][0]  # the evening before
    assert "Not laid yet" in early["lines"][0]
    night = ask(site, "mat_at", 11 * 60, **HERE, station="0+100", time="03:00")
    assert "Not laid yet" not in night["lines"][0]  # the next morning


@pytest.mark.parametrize(
    ("wrong", "said"),
    [
        ({}, "station"),
        ({"x": 20.0}, "station"),
        ({"x": "much", "y": 1}, "it must be a number"),
        ({"x": float("nan"), "y": 1}, "it must be a number"),
        ({"x": True, "y": 1}, "it must be a number"),
        ({"station": "far"}, "far"),
        ({"station": "0+100", "time": "26:10"}, "hours and minutes as 12:45"),
        ({"station": "0+100", "time": "noon"}, "hours and minutes as 12:45"),
        ({"station": "0+100", "time": "yesterday"}, "yesterday"),
        ({"lane": "Q"}, "no picture of the shift"),
        ({"lift": "surface"}, "no picture of the shift"),
        ({"lane": 7}, "it must be text"),
    ],
)
def test_what_cannot_be_read_is_refused_with_a_sentence(wrong: dict[str, Any], said: str) -> None:
    given = {"station": "0+100", **HERE, **wrong} if "lane" in wrong or "lift" in wrong else wrong
    with pytest.raises(MatbookError, match=said):
        ask(laid(), "mat_at", 57, **{**HERE, **given})


@pytest.mark.parametrize("role", ["inspector", "contractor", "plant"])
@pytest.mark.parametrize("language", languages())
def test_every_role_that_sees_the_mat_may_ask_in_every_language(role: str, language: str) -> None:
    book = OpenBook("ridge")
    site = laid(cooling(PLAN))
    needs = {"basis": "maximum", "method": "gauge", "purpose": "verification"}
    secret = site.write("density", {"percent": "93.9 %", **needs}, 50, by="tess", place=at(280))
    book.add((one.hash, one.text) for one in site.entries)
    given = {**HERE, "at": clock(57).isoformat(), "role": role, "language": language}
    found = book.ask("mat_at", {**given, "station": "0+280", "time": "07:50"})
    assert len(found["lines"]) == 4
    assert (secret.id in [one["id"] for one in found["entries"]]) == (role == "inspector")
