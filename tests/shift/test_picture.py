"""The picture of the shift: what it draws, in both sizes, and the table that says the same."""

from xml.etree import ElementTree

import pytest

from matbook.shift.charts.picture import chart, picture, table
from tests.shift.cooled import cooling, laid, roller, troubled
from tests.shift.site import PLAN, US_PLAN, Site, at, on

SVG = "{http://www.w3.org/2000/svg}"


def texts(svg: str) -> list[str]:
    return [one.text or "" for one in ElementTree.fromstring(svg).iter(f"{SVG}text")]


def busy(plan: str = PLAN) -> Site:
    site = laid(cooling(plan))
    roller(site, 49, 228)
    site.write("paver", {"event": "stop", "reason": "waiting for mix"}, 51, place=at(300))
    needs = {"basis": "maximum", "method": "gauge", "purpose": "process"}
    site.write("density", {"percent": "93.1 %", **needs}, 40, by="tess", place=at(60))
    site.write("defect", {"sign": "streaks"}, 41, place=at(90))
    return site


@pytest.mark.parametrize("width", [360.0, 720.0])
@pytest.mark.parametrize("plan", [PLAN, US_PLAN], ids=["metric", "us"])
def test_it_shows_the_line_the_deadline_the_stop_and_what_is_left(plan: str, width: float) -> None:
    view = busy(plan).view(57)
    made = chart(view, "E", "binder", width)
    assert made is not None
    said = " ".join(texts(made.svg))
    assert "density rolling done by" in said
    assert "stood 6 min: waiting for mix" in said
    assert "left to roll (early end" in said
    assert "now 07:57" in said
    assert "93.1 %" in said
    assert "not yet checked on this mat" in said
    assert "6 pieces of mat" in made.alt
    marks = ElementTree.fromstring(made.svg).findall(f".//{SVG}g[@data-entry]")
    assert len(marks) == 3  # the temperature behind the screed, the density, the defect


def test_every_shade_is_lighter_than_the_one_before_and_each_lies_below_it() -> None:
    view = laid().view(57)
    drawn = picture(view, "E", "binder")
    assert drawn is not None
    fills = [one.get("fill", "") for one in ElementTree.fromstring(drawn.svg()).iter(f"{SVG}path")]
    shades = [fill for fill in fills if fill.startswith("#")][:8]
    light = [sum(int(shade[n : n + 2], 16) for n in (1, 3, 5)) for shade in shades]
    assert light == sorted(light)
    assert len(set(light)) == 8


def test_the_table_says_the_same_piece_by_piece() -> None:
    view = laid().view(57)
    rows = table(view, "E", "binder")
    assert len(rows) == 6
    station, when, temp, until, ends = rows[0]
    assert (station, when, temp) == ("0+000", "06:50", "145 °C")
    early, _, late = ends.partition("–")
    assert "06:50" < early < until < late


def test_against_the_stations_paving_still_runs_from_left_to_right() -> None:
    site = laid(loads=0)
    for n in range(3):
        place = on("W", "binder", 2000 - 50 * n, 1950 - 50 * n)
        site.load(str(201 + n), 10 * n + 5, temp="150 degC", place=place)
    drawn = picture(site.view(40), "W", "binder")
    assert drawn is not None
    assert "2+000" in " ".join(texts(drawn.svg())) or "1+9" in " ".join(texts(drawn.svg()))


def test_without_a_forecast_there_is_no_picture() -> None:
    assert chart(Site().view(10), "E", "binder") is None
    assert chart(laid().view(57), "W", "binder") is None


def test_a_reading_that_agrees_takes_the_warning_away() -> None:
    site = laid()
    body = {"stage": "mat", "temp": "99 degC", "how": "probe", "settled": "yes"}
    site.write("temperature", body, 46, place=at(210))
    made = chart(site.view(57), "E", "binder")
    assert made is not None
    assert "not yet checked" not in " ".join(texts(made.svg))
    assert "Checked by 1 reading on this mat" in made.caption
    assert troubled(PLAN).view(55).checked.agreeing == 0
