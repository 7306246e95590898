"""The picture of the shift: what it draws, in both sizes, and the table that says the same."""

import re
from collections.abc import Callable
from xml.etree import ElementTree

import pytest

from matbook.shift.charts.drawing import CHARACTER
from matbook.shift.charts.picture import chart, picture
from matbook.shift.charts.piecewise import columns, table
from matbook.shift.charts.sheet import sheet_of
from matbook.words import languages
from tests.shift.cooled import cooling, laid, roller, troubled
from tests.shift.site import PLAN, US_PLAN, Site, at, clock, on

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
    assert "likely end of density rolling" in said
    assert "paver, a tick where each load ended" in said
    assert "<title>stood 6 min at 0+300.0: waiting for mix</title>" in made.svg
    assert "stood 07:51–07:57" in said
    assert re.search(r"\d (m|ft) still warm enough to roll,", said)
    assert "paver stood" in said
    assert "now 07:57" in said
    sheet = sheet_of(view, "E", "binder", width)
    assert sheet is not None
    [one] = view.behind
    for end in (one.middle.from_m, one.middle.to_m):  # the measure hangs from these stations
        assert f'x1="{sheet.x(end):.1f}" y1="{sheet.down(view.now):.1f}"' in made.svg
    assert "93.1 %" in said
    assert "Forecast of cooling not yet checked on this mat" in said
    assert "6 pieces of mat" in made.alt
    marks = ElementTree.fromstring(made.svg).findall(f".//{SVG}g[@data-entry]")
    assert len(marks) == 6  # behind the screed, density, defect, a roller and how late, the stop


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
    assert all(len(row) == len(columns(laid().view(57), "E", "binder")) for row in rows)
    station, load, when, temp, mean, surface, until, ends = rows[0]
    assert (station, load, when, temp) == ("0+000", "101", "06:50", "145 °C")
    assert (mean, surface) == ("under 80 °C", "")  # its time is over by the late end too
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
    [one] = site.view(57).checked.readings
    off = f"{abs(one.read_c - one.expected_c):.0f} °C off on average"
    title = f"Forecast of cooling checked by 1 reading on this mat, {off}"
    assert title in texts(made.svg)
    assert made.caption.endswith(f" {title}.")
    small = chart(site.view(57), "E", "binder", 360.0)
    assert small is not None
    assert title.partition(",")[0] in texts(small.svg)
    assert "framed: counts as a check of the forecast" in texts(small.svg)
    assert small.svg.count('width="11.0" height="11.0"') == 2, "the reading, and in the legend"
    assert troubled(PLAN).view(55).checked.agreeing == 0


PHASES = """
[[phases]]
id = "breakdown"
name = "Breakdown"
starts = "140 degC"
ends = "120 degC"
[[phases]]
id = "intermediate"
name = "Intermediate"
ends = "80 degC"
[[phases]]
id = "finish"
name = "Finish"
starts = "75 degC"
ends = "60 degC"
density = "no"
[[phases]]
id = "other"
name = "Of the other mix"
ends = "70 degC"
mix = "ac8"
"""


def phased() -> str:
    return cooling(PLAN).replace("[[roads]]", f"{PHASES}[[roads]]", 1)


def test_each_phase_has_its_own_start_and_end_told_apart_by_dash() -> None:
    view = laid(phased()).view(57)
    made = chart(view, "E", "binder", 360.0)
    assert made is not None
    root = ElementTree.fromstring(made.svg)
    dashes = [one.get("stroke-dasharray") for one in root.iter(f"{SVG}path")]
    assert dashes.count("2 2") == 2  # breakdown begins under its own start, and ends
    assert dashes.count("6 2 1.5 2") == 2  # finish, too
    assert dashes.count("6 2") == 0  # intermediate ends with density rolling: the thick line
    assert {"Breakdown, 140 to 120 °C", "Finish, 75 to 60 °C"} < set(texts(made.svg))
    assert "likely end of density rolling (Intermediate, 80 °C)" in texts(made.svg)
    assert "mat, mean over 125 °C to 60 °C; line at 80 °C" in texts(made.svg)
    assert not any("other mix" in said for said in texts(made.svg))


def test_the_table_has_the_phases_with_their_times() -> None:
    view = laid(phased()).view(57)
    heads, row = columns(view, "E", "binder"), table(view, "E", "binder")[-1]
    assert heads[6:9] == ["Breakdown", "Intermediate", "Finish"]
    breakdown, intermediate, finish, until = row[6:10]
    assert intermediate == f"–{until}"
    assert breakdown.partition("–")[2] < until < finish.partition("–")[0] < finish[-5:]
    assert columns(view, "W", "binder")[6:] == ["Density rolling done by", "Early to late"]


def test_a_piece_with_time_left_says_mean_and_surface_now_with_their_ranges() -> None:
    row = table(laid().view(57), "E", "binder")[-1]
    mean, surface = row[4:6]
    found = re.fullmatch(r"(\d+) °C \((\d+) to (\d+)\)", mean)
    assert found is not None
    middle, low, high = map(int, found.groups())
    assert 80 < low < middle < high < 145
    assert int(surface.partition(" ")[0]) < middle


def hot(plan: str) -> Site:
    """A day so hot that a mat stays above 40 °C for hours."""
    site = laid(plan)
    weather = {"air": "45 degC", "wind": "1 m/s", "sky": "clear", "surface": "60 degC"}
    site.write("weather", weather, -15)
    return site


def test_no_end_is_said_of_what_lasts_for_hours() -> None:
    site = hot(cooling(PLAN).replace('"80 degC"', '"40 degC"'))
    assert table(site.view(57), "E", "binder")[0][-2:] == ("", "")
    assert chart_of(site).count('stroke-width="2.0"') == 2, "in the legend alone"
    site = hot(phased().replace('"60 degC"', '"40 degC"'))
    assert table(site.view(57), "E", "binder")[0][8].endswith("–")


def test_a_tender_zone_is_hatched_between_its_surface_temperatures() -> None:
    ends = 'rolling_ends = "80 degC"'
    plan = cooling(PLAN).replace(ends, f'{ends}\ntender_from = "115 degC"\ntender_to = "93 degC"')
    with_zone, without = (chart(laid(p).view(57), "E", "binder") for p in (plan, cooling(PLAN)))
    assert with_zone is not None
    assert without is not None
    assert "tender zone, surface 115 to 93 °C" in texts(with_zone.svg)
    hatches = [len(re.findall(r'stroke-width="0.9"', one.svg)) for one in (with_zone, without)]
    assert hatches[0] > hatches[1] + 50
    mat = laid(plan).view(57).mats[0]
    hot, cold = (mat.family.reaches(mat.laid_c, temp, "surface") for temp in (115.0, 93.0))
    assert 0.0 < hot < cold < mat.family.reaches(mat.laid_c, 93.0)


def test_a_load_nobody_measured_leaves_the_mat_blank_and_the_line_whole() -> None:
    site = laid(loads=4)
    site.load("105", 40, place=on("E", "binder", 200, 250))
    site.load("106", 50, temp="150 degC", place=on("E", "binder", 250, 300))
    made = chart(site.view(53), "E", "binder")
    assert made is not None
    none = "no forecast, no temperature taken"
    assert none in texts(made.svg)
    assert made.svg.count('stroke-width="0.6"/>') > chart_of(laid()).count('stroke-width="0.6"/>')
    assert none not in texts(chart_of(laid()))
    shades = re.findall(r'<path d="M ([\d.]+) [^"]*Z" fill="#6b1d0a"', made.svg)
    assert len(shades) == 2
    assert {"102", "104", "106"} <= set(texts(made.svg))


def chart_of(site: Site) -> str:
    made = chart(site.view(57), "E", "binder")
    assert made is not None
    return made.svg


def test_depth_checks_are_dots_unless_they_are_beyond_a_limit() -> None:
    site = laid()
    site.write("loose-depth", {"depth": "62 mm"}, 12, place=at(105))
    site.write("loose-depth", {"depth": "75 mm"}, 25, place=at(170))
    svg = chart_of(site)
    assert svg.count('class="pinhole" data-entry="0') == 1
    assert '<title>07:25 75 mm</title><path d="M' in svg  # a triangle
    assert {"loose depth 75 mm", "depth checked", "watch"} <= set(texts(svg))
    assert "62 mm" not in " ".join(texts(svg))
    assert "Loose depth: 2 checked, 1 beyond the limit" in texts(svg)
    assert "Loose depth: none checked" in texts(chart_of(laid()))


def test_a_sample_out_of_a_truck_stands_where_its_load_was_laid() -> None:
    site = laid(loads=5)
    load = site.load("106", 50, temp="150 degC", place=on("E", "binder", 250, 300))
    needs = {"of": "mix", "from": "truck", "chosen": "drawn"}
    site.write("sample", {"sample": "S-1", "load": load.id, **needs}, 52, place={})
    site.write("sample", {"sample": "S-2", "load": "0" * 8, **needs}, 52, place={})
    site.write("sample", {"sample": "S-3", **needs}, 53, place={})
    titles = re.findall(r"<title>([^<]*)</title>", chart_of(site))
    assert "07:52 sample S-1" in titles
    assert not any("S-2" in said or "S-3" in said for said in titles)


def test_hours_later_the_picture_ends_with_the_mat() -> None:
    made = chart(laid().view(400), "E", "binder")
    assert made is not None
    assert not any(said.startswith("now") for said in texts(made.svg))
    assert "to roll" not in " ".join(texts(made.svg))


def test_a_load_of_another_month_leaves_a_picture_whose_clock_counts_days() -> None:
    site = laid()
    site.load("999", 60 * 24 * 165, temp="150 degC", place=on("E", "binder", 300, 350))
    made = chart(site.view(60 * 24 * 165 + 1), "E", "binder")
    assert made is not None
    assert len([one for one in texts(made.svg) if re.fullmatch(r"\d\d-\d\d", one)]) >= 5


def test_rolling_for_density_is_a_box_and_finish_rolling_a_bar() -> None:
    site = laid(phased())
    roller(site, 40, 150)
    roller(site, 45, 160, phase="finish")
    svg = chart_of(site)
    shapes = re.findall(r'class="rolled".*?<title>([^<]*)</title><path d="([^"]*)" (\S+)', svg)
    assert [(said, path.endswith("Z"), fill) for said, path, fill in shapes] == [
        ("07:40 · Breakdown", True, 'fill="none"'),
        ("07:45 · Finish", False, 'fill="none"'),
    ], "an outline, so that no line is hidden"
    assert {"rolled for density", "finish rolling"} < set(texts(svg))
    without = laid()  # a plan that has no phases
    roller(without, 45, 160, phase="finish")
    assert "rolled for density" not in texts(chart_of(without))
    assert "finish rolling" in texts(chart_of(without))


def test_what_lies_off_the_sheet_is_not_drawn() -> None:
    site = laid()
    site.write("roller", {"roller": "R9", "event": "rolling", "phase": "?"}, 30, place=at(60))
    site.write("density", {"percent": "99 %"}, 30, place=at(1900))
    site.write("density", {"percent": "98 %"}, 30, place={"lane": "E"})
    site.write("temperature", {"stage": "base", "temp": "15 degC"}, 30, place=at(60))
    site.write("paver", {"event": "stop", "reason": "break"}, 52, place={"lane": "E"})
    site.write("paver", {"event": "start"}, 56, place={"lane": "E"})
    site.write("paver", {"event": "stop", "reason": "break"}, 56.5, place=at(300, "W"))
    site.write("paver", {"event": "start"}, 60, place=at(300, "W"))
    site.write("paver", {"event": "stop", "reason": "break"}, 70, place=at(300))
    svg = chart_of(site)
    assert 'class="rolled"' not in svg
    assert "rolled for density" not in svg
    assert not {"99 %", "98 %", "15 °C"} & set(texts(svg))
    assert "stood" not in svg


@pytest.mark.parametrize("language", languages())
@pytest.mark.parametrize("width", [360.0, 720.0])
@pytest.mark.parametrize("site", [busy, lambda: laid(phased())], ids=["busy", "phased"])
def test_words_stay_inside_and_run_into_nothing(
    site: Callable[[], Site], width: float, language: str
) -> None:
    made = chart(site().view(57), "E", "binder", width, language)
    assert made is not None
    boxes: list[tuple[float, float, float, str]] = []
    for one in ElementTree.fromstring(made.svg).iter(f"{SVG}text"):
        size, x, y = (float(one.attrib[name]) for name in ("font-size", "x", "y"))
        assert size >= 11, "as large as 11 px on a phone"
        wide = len(one.text or "") * size * CHARACTER
        left = x - {"start": 0.0, "middle": wide / 2, "end": wide}[one.attrib["text-anchor"]]
        assert left >= -0.1
        assert left + wide <= width + 0.1, one.text
        boxes.append((left, left + wide, y, one.text or ""))
    for n, (left, right, y, said) in enumerate(boxes):
        for other_left, other_right, other_y, other in boxes[:n]:
            apart = right <= other_left or other_right <= left or abs(y - other_y) >= 11
            assert apart, (said, other)


def test_rolling_after_its_time_is_said_and_shown_and_so_is_that_there_was_none() -> None:
    site = laid()
    view = site.view(57)
    first = view.mats[0]
    left = first.left(view.checked.weights)
    assert left is not None
    laid_at = (first.from_at - clock(0)).total_seconds() / 60.0
    done = laid_at + left.middle / 60.0
    assert "Rolled late: can't be told, no rolling noted" in texts(chart_of(site))
    in_time, late = laid(), laid()
    roller(in_time, done - 1, 20)
    roller(late, done - 1, 20)
    roller(late, done + 9, 20)
    roller(late, done + 9, 20, phase="finish")
    assert "Rolled late: none seen (rolling noted 1 time)" in texts(chart_of(in_time))
    assert "min late" not in chart_of(in_time)
    svg = chart_of(late)
    assert "Rolled late: 1 of 2 times that rolling was noted" in texts(svg)
    assert "up to 9 min late" in texts(svg)
    assert len(re.findall(r'class="mark watch" [^>]*><title>[^<]* late</title>', svg)) == 1


def test_rolling_where_nothing_is_forecast_is_not_judged() -> None:
    site = laid()
    site.write(
        "roller",
        {"roller": "R1", "event": "rolling", "phase": "breakdown"},
        50,
        place={"lane": "E", "lift": "binder", "from": "0+302.0", "to": "0+306.0"},
    )
    svg = chart_of(site)
    assert 'class="rolled"' in svg
    assert "Rolled late: can't be told, no rolling noted" in texts(svg)


def test_depth_checks_without_a_limit_say_so() -> None:
    plan = re.sub(r'\[\[limits\]\]\nid = "depth"\n.*?(?=\[\[)', "", cooling(), flags=re.DOTALL)
    site = laid(plan)
    site.write("loose-depth", {"depth": "62 mm"}, 12, place=at(105))
    assert "Loose depth: 1 checked, no limit to judge by" in texts(chart_of(site))


def test_marks_of_one_place_stand_apart_and_a_kind_has_one_shape() -> None:
    site = laid()
    needs = {"basis": "maximum", "method": "gauge", "purpose": "process"}
    for n in range(7):
        site.write("density", {"percent": f"93.{n} %", **needs}, 40, by="tess", place=at(60))
    body = {"stage": "mat", "temp": "99 degC", "how": "probe", "settled": "yes"}
    site.write("temperature", body, 46, place=at(210))
    svg = chart_of(site)
    spots = re.findall(
        r'class="mark unknown" [^>]*><title>07:30 93[^<]*</title><path d="M ([\d.]+)', svg
    ) or re.findall(r"<title>07:40 93[^<]*</title><path d=\"M ([\d.]+)", svg)
    assert len(spots) == 7
    assert len(set(spots)) == 5, "there are so many places beside one"
    assert {"density", "temperature", "filled: fine"} <= set(texts(svg))
    assert len([said for said in texts(svg) if said.startswith("density 93.")]) == 1
