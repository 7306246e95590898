"""Charts: sound XML, whatever was typed; nothing outside its drawing, no label over another."""

import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from datetime import datetime, timedelta
from itertools import combinations, pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from matbook.shift.charts.drawing import BLUE, CHARACTER, VERMILION, Apart, Drawing, Scale, ticks
from matbook.shift.charts.frame import Chart, frame, hours, padded
from matbook.shift.charts.spread_along import spread_along
from matbook.shift.charts.temperature_by_load import temperature_by_load
from matbook.shift.charts.tonnes_in_time import tonnes_in_time
from tests.shift.site import PLAN, US_PLAN, Site, at, on

SVG = "{http://www.w3.org/2000/svg}"
COURSE = ("E", "binder")
UNITS = pytest.mark.parametrize("plan", [PLAN, US_PLAN], ids=["metric", "us"])


def day(plan: str = PLAN) -> Site:
    """Forty loads with everything on them that a chart marks."""
    site = Site(plan)
    nets = ["27.90 t" if n in (20, 21, 22, 23) else "21.00 t" for n in range(40)]
    site.lay(nets, step=50)
    for n in range(40):
        temp = "108 degC" if n in (5, 6, 7, 30) else "141 degC" if n % 2 else "158 degC"
        how = "infrared" if n % 9 == 0 else "probe"
        entry = site.entries[1 + n]
        body = {**entry.body, "temp": temp, "temp_how": how}
        site.write("load", body, 10 * n, place=dict(entry.place), strikes=entry.id, why="temp")
    for minute, lasted in ((30, 12), (100, 14), (118, 5), (300, 45)):
        site.write("paver", {"event": "stop"}, minute, place=at(100))
        site.write("paver", {"event": "start"}, minute + lasted, place=at(100))
    return site


def all_charts(site: Site, minute: float = 420) -> list[Chart]:
    seen = site.view(minute)
    found = [spread_along(seen, course) for course in seen.by_course]
    found += [temperature_by_load(seen), tonnes_in_time(seen)]
    return [chart for chart in found if chart is not None]


def drawn(chart: Chart) -> ET.Element:
    """The drawing as XML, every shape inside it and no label over another."""
    root = ET.fromstring(chart.svg)
    assert root.tag == f"{SVG}svg"
    _, _, width, height = (float(n) for n in root.attrib["viewBox"].split())
    for x, y in places(root):
        assert -1 <= x <= width + 1, chart.name
        assert -1 <= y <= height + 1, chart.name
    boxes = [(box(text), text.text) for text in root.iter(f"{SVG}text")]
    for (one, words), (other, others) in combinations(boxes, 2):
        apart = one[0] >= other[2] or other[0] >= one[2] or one[1] >= other[3] or other[1] >= one[3]
        assert apart, f"{chart.name}: “{words}” lies over “{others}”"
    return root


def places(root: ET.Element) -> Iterator[tuple[float, float]]:
    """Every point that a shape touches."""
    for shape in root:
        got = {name: float(v) for name, v in shape.attrib.items() if re.fullmatch(r"-?[\d.]+", v)}
        kind = shape.tag.removeprefix(SVG)
        if kind == "line":
            yield got["x1"], got["y1"]
            yield got["x2"], got["y2"]
        elif kind == "rect":
            yield got["x"], got["y"]
            yield got["x"] + got["width"], got["y"] + got["height"]
        elif kind == "circle":
            yield got["cx"], got["cy"]
        elif kind == "path":
            numbers = [float(n) for n in re.findall(r"-?[\d.]+", shape.attrib["d"])]
            yield from zip(numbers[::2], numbers[1::2], strict=True)
        else:
            assert kind == "text"
            left, top, right, bottom = box(shape)
            yield left, top
            yield right, bottom


def box(text: ET.Element) -> tuple[float, float, float, float]:
    """Where a label lies, by the average width of a character."""
    size = float(text.attrib["font-size"])
    wide = len(text.text or "") * size * CHARACTER
    x, y = float(text.attrib["x"]), float(text.attrib["y"])
    left = x - {"start": 0.0, "middle": wide / 2, "end": wide}[text.attrib["text-anchor"]]
    return left, y - 0.75 * size, left + wide, y


def labels(root: ET.Element) -> list[str]:
    return [text.text or "" for text in root.iter(f"{SVG}text")]


def bars(root: ET.Element, fill: str) -> list[ET.Element]:
    return [rect for rect in root.iter(f"{SVG}rect") if rect.attrib["fill"] == fill]


# All of them


@UNITS
def test_a_days_charts_are_sound_and_keep_their_labels_apart(plan: str) -> None:
    charts = all_charts(day(plan))
    assert [chart.name for chart in charts] == ["spread-E-binder", "temperatures", "tonnes"]
    for chart in charts:
        drawn(chart)
        assert len(chart.alt) > 40
        assert len(chart.caption) > 40


@UNITS
def test_axes_carry_the_units_of_the_job(plan: str) -> None:
    units = {
        PLAN: ("spread, kg/m²", "on delivery, °C", "taken, t"),
        US_PLAN: ("spread, lb/yd²", "on delivery, °F", "taken, ton"),
    }[plan]
    for chart, title in zip(all_charts(day(plan)), units, strict=True):
        assert title in labels(drawn(chart))


@UNITS
def test_one_load_is_enough_for_every_chart(plan: str) -> None:
    site = Site(plan)
    site.load("101", temp="141 degC", place=on("E", "binder", 0, 50))
    charts = all_charts(site)
    assert len(charts) == 3
    for chart in charts:
        drawn(chart)


def test_without_anything_to_draw_there_is_no_chart() -> None:
    site = Site()
    site.load("101", net=None, place=on("E", "binder", 0, 50))
    site.load("102", 5, decision="turned away")
    seen = site.view()
    assert temperature_by_load(seen) is None
    assert tonnes_in_time(seen) is None
    assert spread_along(seen, COURSE) is None


def test_levelling_by_station_has_no_planned_spread_to_draw() -> None:
    site = Site()
    site.load("101", place=on("E", "level", 0, 50))
    assert spread_along(site.view(), ("E", "level")) is None


NASTY = '<b onload="x">&amp;\'" ]]>'


def test_what_people_type_stays_text() -> None:
    """A ticket number and names full of markup, drawn as they are and nothing more."""
    name = NASTY.replace("\\", "\\\\").replace('"', '\\"')
    site = Site(PLAN.replace('name = "Eastbound"', f'name = "{name}"'))
    site.lay(["21.00 t"])
    number = '<i>&"1</i>'
    place = on("E", "binder", 50, 100)
    site.load(number, 10, net="28.00 t", temp="101 degC", place=place)
    for chart in all_charts(site):
        root = drawn(chart)
        assert {shape.tag.removeprefix(SVG) for shape in root} <= {
            "line", "path", "rect", "circle", "text",
        }  # fmt: skip
    temperatures = next(c for c in all_charts(site) if c.name == "temperatures")
    assert number in labels(drawn(temperatures))


# Spread along the road


def chart_of(site: Site) -> ET.Element:
    chart = spread_along(site.view(420), COURSE)
    assert chart is not None
    return drawn(chart)


def diamonds(root: ET.Element) -> list[ET.Element]:
    return [path for path in root.iter(f"{SVG}path") if path.attrib["fill"] == VERMILION]


def test_every_load_is_a_segment_and_a_running_mean_beyond_its_limit_stands_out() -> None:
    """27.9 t are 32.9 % over: one in five is 6.6 % of five, so eight windows are beyond."""
    root = chart_of(day())
    assert len(bars(root, BLUE)) == 40
    assert len(diamonds(root)) == 8


def test_the_plan_steps_where_it_was_changed() -> None:
    site = Site()
    change = {"path": "lifts/binder/spread", "old": "120 kg/m2", "new": "110 kg/m2"}
    site.write("plan", change, 15, why="agreed", by="greta")
    site.lay(["21.00 t"] * 4)
    lines = chart_of(site).iter(f"{SVG}line")
    planned = [float(line.attrib["y1"]) for line in lines if line.attrib["stroke-width"] == "1.4"]
    assert len(planned) == 4
    assert planned[0] == planned[1] < planned[2] == planned[3]


def test_segments_lie_from_station_to_station() -> None:
    """300 m on 614 units: 50 m are 102.3 wide, less the gap of 0.8."""
    site = Site()
    site.lay(["21.00 t"] * 6)
    widths = [float(bar.attrib["width"]) for bar in bars(chart_of(site), BLUE)]
    assert widths == pytest.approx([614 / 6 - 0.8] * 6, abs=0.06)


def test_the_running_line_breaks_where_the_window_begins_again() -> None:
    site = Site()
    site.lay(["21.00 t"] * 7)
    for n in range(7):
        site.load(str(201 + n), 100 + n, place=on("E", "binder", 500 + 50 * n, 550 + 50 * n))
    paths = [path for path in chart_of(site).iter(f"{SVG}path") if path.attrib["fill"] == "none"]
    assert [path.attrib["d"].count("L") for path in paths] == [2, 2]


def test_paving_against_the_stations_is_drawn_in_the_direction_of_paving() -> None:
    site = Site()
    for n in range(6):
        place = on("W", "binder", 1900 - 50 * n, 1850 - 50 * n)
        site.load(str(101 + n), n, net="24.00 t", place=place)
    chart = spread_along(site.view(), ("W", "binder"))
    assert chart is not None
    shown = [text for text in labels(drawn(chart)) if re.fullmatch(r"\d\+\d{3}", text)]
    assert shown == sorted(shown), "labels are written in order of station"
    marks = {t.text: float(t.attrib["x"]) for t in ET.fromstring(chart.svg).iter(f"{SVG}text")}
    assert marks["1+850"] < marks["1+650"]


def test_without_a_limit_nothing_stands_out() -> None:
    plan = re.sub(r'\[\[limits\]\]\nid = "yield-last".*?(?=\[\[)', "", PLAN, flags=re.DOTALL)
    site = Site(plan)
    site.lay(["27.90 t"] * 5)
    root = chart_of(site)
    assert diamonds(root) == []
    assert not [line for line in root.iter(f"{SVG}line") if "stroke-dasharray" in line.attrib]


def test_words_for_who_cannot_see_it() -> None:
    chart = spread_along(day().view(420), COURSE)
    assert chart is not None
    assert chart.alt == (
        "Spread along Eastbound, Binder: 40 loads from 120.0 kg/m² to 159.4 kg/m², "
        "planned 120.0 kg/m²."
    )


# Temperatures


def test_loads_beyond_a_limit_are_diamonds_and_infrared_is_hollow() -> None:
    chart = temperature_by_load(day().view(420))
    assert chart is not None
    root = drawn(chart)
    circles = [c.attrib["fill"] for c in root.iter(f"{SVG}circle")]
    assert (circles.count("white"), circles.count(BLUE), len(diamonds(root))) == (5, 31, 4)
    assert "4 beyond a limit" in chart.alt
    assert {"115", "125", "180"} <= set(labels(root))


# Mass against time


def test_a_stop_of_the_paver_stands_under_the_delivery() -> None:
    chart = tonnes_in_time(day().view(420))
    assert chart is not None
    root = drawn(chart)
    assert len(bars(root, VERMILION)) == 4
    assert "45 min" in labels(root)
    assert "4 stops, 76 min in all" in chart.alt


def test_a_stop_before_the_first_load_or_long_after_the_last_stays_in_the_frame() -> None:
    site = Site()
    site.write("paver", {"event": "stop"}, -50, place=at(0))
    site.write("paver", {"event": "start"}, -40, place=at(0))
    site.lay(["21.00 t"] * 3, minute=0)
    site.write("paver", {"event": "stop"}, 15, place=at(100))
    site.write("paver", {"event": "start"}, 18, place=at(100))
    site.write("paver", {"event": "stop"}, 90, place=at(150))
    chart = tonnes_in_time(site.view(600))
    assert chart is not None
    root = drawn(chart)
    assert len(bars(root, VERMILION)) == 1
    assert labels(root).count("3 min") == 1


def test_loads_written_late_are_drawn_when_they_came() -> None:
    site = Site()
    site.load("101", 60)
    site.load("102", 0)
    chart = tonnes_in_time(site.view())
    assert chart is not None
    assert "07:00 to 08:00" in chart.alt
    (path,) = drawn(chart).iter(f"{SVG}path")
    xs = [float(n) for n in re.findall(r"([\d.]+) [\d.]+", path.attrib["d"])]
    assert xs == sorted(xs)


# The means


@given(st.floats(-1e5, 1e5), st.floats(1e-3, 1e5), st.integers(1, 12))
def test_ticks_are_round_and_inside(low: float, span: float, wanted: int) -> None:
    found = ticks(low, low + span, wanted)
    assert found == sorted(found)
    slack = span * 1e-6
    assert all(low - slack <= value <= low + span + slack for value in found)
    steps = {round((b - a) / span, 6) for a, b in pairwise(found)}
    assert len(steps) <= 2, "even steps, but for the last digit"
    assert len(found) <= 2 * wanted + 2


def test_ticks_of_nothing_are_its_value() -> None:
    assert ticks(5.0, 5.0, 4) == [5.0]


def test_a_scale_maps_its_ends_and_a_single_value_to_the_middle() -> None:
    scale = Scale(0.0, 10.0, 100.0, 0.0)
    assert [scale(v) for v in (0.0, 2.5, 10.0)] == [100.0, 75.0, 0.0]
    assert Scale(3.0, 3.0, 0.0, 10.0)(3.0) == 5.0


def test_a_label_is_left_out_where_it_would_cover_another() -> None:
    apart = Apart()
    assert apart.room(50, 50, "1042", 10)
    assert not apart.room(60, 52, "1043", 10)
    assert apart.room(90, 50, "1044", 10)
    assert apart.room(50, 70, "1045", 10, "start")
    made = frame((0.0, 1.0), (0.0, 1.0), str, [], "y", "x")
    assert made.label(100, 100, "one")
    assert not made.label(101, 101, "two")
    assert "one" in made.drawing.svg()
    assert "two" not in made.drawing.svg()
    dense = frame((0.0, 100.0), (0.0, 1.0), lambda n: f"{n:.0f}", range(100), "y", "x")
    shown = [text for text in labels(ET.fromstring(dense.drawing.svg())) if text.isdigit()]
    assert 20 < len(shown) < 60


def test_a_path_needs_two_points_and_a_bar_is_never_thinner_than_a_hair() -> None:
    drawing = Drawing(10, 10)
    drawing.path([(1.0, 1.0)])
    assert drawing.shapes == []
    drawing.bar(1, 1, 0, 0)
    assert 'width="0.8" height="0.8"' in drawing.svg()


@pytest.mark.parametrize(
    ("values", "span"), [([10.0, 20.0], (9.0, 21.0)), ([20.0], (18.0, 22.0)), ([0.0], (-1.0, 1.0))]
)
def test_a_margin_about_the_values(values: list[float], span: tuple[float, float]) -> None:
    assert padded(values) == span


def test_whole_hours_or_half_hours_on_the_clock() -> None:
    start = datetime.fromisoformat("2026-05-12T07:10:00-03:00")
    short = hours(start, start + timedelta(minutes=75))
    assert [f"{at:%H:%M}" for at in short] == ["07:30", "08:00"]
    long = hours(start, start + timedelta(hours=4))
    assert [f"{at:%H:%M}" for at in long] == ["08:00", "09:00", "10:00", "11:00"]
