"""The mat behind the paver: when it was laid, how long it can be rolled, what is said of it."""

from dataclasses import replace
from datetime import timedelta
from itertools import pairwise

import pytest

from matbook.engine.cooling import forecast
from matbook.engine.materials import material
from matbook.shift.mats import Mat, missing
from matbook.shift.skies import skies
from tests.shift.cooled import close, cooling, laid, roller, troubled
from tests.shift.site import PLAN, Site, at, clock, on


def mats(site: Site, minute: float = 60) -> tuple[Mat, ...]:
    return site.view(minute).mats


def test_a_load_was_laid_from_where_the_one_before_ended_to_where_it_ended() -> None:
    found = mats(laid())
    assert [(m.piece.from_m, m.piece.to_m) for m in found[:2]] == [(0.0, 50.0), (50.0, 100.0)]
    assert (found[0].from_at, found[0].to_at) == (clock(-10), clock(0))
    assert found[1].at_station(75.0) == clock(5)
    assert all(a.to_at <= b.from_at for a, b in pairwise(found))


def test_where_the_paver_had_come_to_is_the_way_back_from_when_it_was_there() -> None:
    for mat in mats(laid()):
        for at_m in (mat.piece.from_m, mat.piece.from_m + 12.5, mat.piece.to_m):
            assert mat.station_at(mat.at_station(at_m)) == pytest.approx(at_m)
    first, last = mats(laid())[0], mats(laid())[-1]
    assert first.station_at(clock(-60)) == first.piece.from_m
    assert last.station_at(clock(999)) == last.piece.to_m


def test_a_piece_is_as_hot_as_the_probe_behind_the_screed_said_else_as_its_load_less_the_loss() -> (
    None
):
    found = mats(laid())
    assert (found[0].laid_c, found[0].laid_by) == (145.0, "screed")
    assert (found[-1].laid_c, found[-1].laid_by) == (145.0, "load")
    assert found[-1].laid_entry == found[-1].piece.part.load.id


def test_its_time_is_that_of_a_forecast_made_for_it_alone() -> None:
    mat = mats(laid())[-1]
    sky = mat.family.weather
    lift = material("dense-mix").layer(0.050, 145.0)
    base = [
        material(name).layer(thick, 15.0)
        for name, thick in (("dense-mix", 0.1), ("crushed-damp", 0.3), ("subgrade", 0.7))
    ]
    lift = type(lift)(0.050, lift.conductivity_w_mk, 2400.0, lift.heat_j_kgk, 145.0)
    alone = forecast([lift, *base], sky, 80.0).time_to(80.0)
    together = mat.left()
    assert alone is not None
    assert together is not None
    for one, other in zip(
        (alone.early, alone.middle, alone.late),
        (together.early, together.middle, together.late),
        strict=True,
    ):
        assert abs(one - other) < 10.0  # what interpolating in the shift's forecasts may cost


def test_at_the_edge_of_the_workable_length_the_minutes_are_zero() -> None:
    view = laid().view(56)
    (one,) = view.behind
    edge = next(m for m in view.mats if m.piece.from_m <= one.early.from_m <= m.piece.to_m)
    since = (view.now - edge.at_station(one.early.from_m)).total_seconds()
    left = edge.left()
    assert left is not None
    assert one.early.to_m == 300.0
    assert 0.0 <= left.early - since < 30.0  # two metres of mat, the step it is looked at with
    assert one.middle.length_m > one.early.length_m > 50.0


def test_unrolled_mat_past_its_time_leads_everything_else() -> None:
    site = troubled(PLAN)
    calls = site.view(55).calls
    assert calls[0].code == "mat.late"
    assert calls[0].grade == "act"
    assert calls[0].says["metres"] == pytest.approx(90.0, abs=40.0)
    assert calls[0].tell == ("cole",)
    assert not laid().calls("mat.late", 55), "nobody noted a roller, so nobody knows"


def test_rollers_are_taken_to_keep_their_distance_and_only_for_a_while() -> None:
    site = laid(loads=8)
    roller(site, 30, 170)
    view = site.view(40)
    (one,) = view.behind
    assert one.front_m == pytest.approx(220.0)  # the paver went on from 200 m to 250 m
    assert one.fresh(view.now)
    assert not site.view(51).behind[0].fresh(clock(51))
    assert not site.calls("mat.late", 75)


def test_little_time_is_said_and_the_finish_phase_has_none() -> None:
    (call,) = close(PLAN).calls("mat.soon", 52)
    assert call.grade == "watch"
    site = laid()
    roller(site, 49, 185, phase="finish")
    assert site.view(52).behind[0].front is None


def test_a_reading_at_odds_is_shown_and_narrows_nothing() -> None:
    view = troubled(PLAN).view(55)
    (odd,) = view.checked.odd
    assert odd.read_c == 31.0
    assert odd.expected_c > 80.0
    assert view.checked.weights is None
    (call,) = troubled(PLAN).calls("mat.odd", 55)
    assert call.entries == (odd.fact.id,)
    assert not troubled(PLAN).calls("mat.odd", 49 + 61)


@pytest.mark.parametrize(
    ("body", "state"),
    [
        ({"how": "probe", "settled": "yes"}, "agrees"),
        ({"how": "probe"}, "unnoted"),
        ({"how": "infrared"}, "unnoted"),
        ({"how": "infrared", "water": "steam"}, "unnoted"),
    ],
)
def test_a_reading_counts_once_its_conditions_are_noted(body: dict[str, str], state: str) -> None:
    site = laid()
    temp = {"stage": "mat", "temp": "99 degC", **body}
    site.write("temperature", temp, 46, place=at(210))
    (one,) = site.view(55).checked.readings
    assert one.state == state


def test_an_infrared_reading_is_held_against_the_skin() -> None:
    skin, core = laid(), laid()
    for site, how in (
        (skin, {"how": "infrared", "water": "none"}),
        (core, {"how": "probe", "settled": "yes"}),
    ):
        site.write("temperature", {"stage": "mat", "temp": "95 degC", **how}, 46, place=at(210))
    by_skin, by_core = (site.view(55).checked.readings[0] for site in (skin, core))
    assert by_skin.expected_c < by_core.expected_c - 5.0


def test_agreeing_readings_narrow_the_range_from_then_on_and_say_by_how_much() -> None:
    site = laid()
    expected = site.view(55)
    mat = expected.mats[4]
    middle = expected.checked
    assert middle.agreeing == 0
    for minute, station in ((46, 210), (50, 230)):
        body = {"stage": "mat", "temp": "98 degC", "how": "probe", "settled": "yes"}
        site.write("temperature", body, minute, place=at(station))
    seen = site.view(55).checked
    assert seen.agreeing == 2
    assert 0.1 < seen.narrower(mat) < 0.8
    (answer,) = [a for a in site.view(55).figures() if a[0] == "cooling/E/binder"]
    assert answer[1].low is not None


@pytest.mark.parametrize(
    ("plan", "weather", "why"),
    [
        (PLAN, {"air": "15 degC", "wind": "3 m/s"}, "cooling.no-site"),
        (cooling().replace('rolling_ends = "80 degC"', ""), {}, "cooling.no-end"),
        (cooling(), {"sky": "clear"}, "cooling.no-weather"),
        (cooling(), {"air": "15 degC", "wind": "3 m/s"}, ""),
        (cooling(), {"air": "15 degC", "wind": "45 m/s"}, "cooling.odd-weather"),
    ],
)
def test_what_is_missing_for_a_forecast_is_said(
    plan: str, weather: dict[str, str], why: str
) -> None:
    site = Site(plan)
    site.write("weather", weather or {"air": "5 degC", "wind": "0 m/s"}, 0)
    facts = site.facts
    assert missing(facts.plan_at(clock(5)), facts) == why
    assert site.view(5).behind == ()


def test_the_weather_carries_on_what_nobody_changed() -> None:
    site = laid()
    site.write("weather", {"wind": "8 m/s"}, 20)
    site.write("surface", {"fit": "yes", "state": "damp", "temp": "12 degC"}, 30)
    first, second, third = skies(site.facts)
    assert (second.air_c, second.wind_m_s, second.base_c) == (15.0, 8.0, 15.0)
    assert (third.wind_m_s, third.base_c) == (8.0, 12.0)
    plan = site.facts.plan_at(clock(0))
    assert plan.site is not None
    calm, windy = (one.over(plan.site, clock(0)) for one in (first, second))
    assert calm is not None
    assert windy is not None
    assert windy.film_w_m2k > calm.film_w_m2k + 5.0
    assert first.since - second.since == timedelta(minutes=-40)


def test_mat_colder_than_the_end_of_rolling_has_no_time() -> None:
    site = laid(loads=1)
    site.load("108", 20, temp="70 degC", place={"lane": "E", "lift": "binder", "paver": "P1",
              "from": "0+050.0", "to": "0+400.0"})  # fmt: skip
    left = site.view(30).mats[-1].left()
    assert left is not None
    assert (left.early, left.middle, left.late) == (0.0, 0.0, 0.0)


def test_a_load_nobody_took_the_temperature_of_is_in_no_forecast() -> None:
    site = laid(loads=1)
    place = {"lane": "E", "lift": "binder", "paver": "P1", "from": "0+050.0", "to": "0+400.0"}
    site.load("108", 20, place=place)
    assert [mat.piece.part.load.number for mat in mats(site)] == ["101"]


def test_a_mix_without_an_end_of_rolling_and_a_lift_without_thickness() -> None:
    site = laid(loads=1)
    place = {"lane": "E", "lift": "surface", "paver": "P2", "from": "0+000.0", "to": "0+050.0"}
    site.load("108", 20, mix="ac8", temp="150 degC", place=place)
    assert {mat.piece.lift for mat in mats(site)} == {"binder"}
    thin = cooling().replace('thickness = "50 mm"\n', "", 1)
    (mat,) = mats(laid(thin, loads=1))
    assert mat.family.lift.thickness_m == pytest.approx(0.050)  # 120 kg/m2 at 2400 kg/m3


def test_phases_say_where_rolling_ends_where_the_mix_does_not() -> None:
    phases = """
[[phases]]
id = "breakdown"
name = "Breakdown"
ends = "110 degC"
[[phases]]
id = "finish"
name = "Finish"
ends = "60 degC"
density = "no"
[[roads]]"""
    plan = cooling().replace('rolling_ends = "80 degC"\n', "").replace("[[roads]]", phases, 1)
    (mat,) = mats(laid(plan, loads=1))
    assert mat.family.ends_c == 110.0


def test_the_ground_of_the_plan_lies_under_the_mat() -> None:
    ground = '[[ground]]\nid = "slab"\nmaterial = "concrete"\nthickness = "2 m"\n[[roads]]'
    (mat,) = mats(laid(cooling().replace("[[roads]]", ground, 1), loads=1))
    assert [layer.thickness_m for layer in mat.family.under] == [2.0]


def test_rollers_in_another_lane_or_standing_say_nothing_of_this_one() -> None:
    site = laid()
    site.write("roller", {"roller": "R1", "event": "standing"}, 50, place=at(200))
    other = {"lane": "W", "lift": "binder", "from": "1+900.0", "to": "1+950.0"}
    site.write("roller", {"roller": "R2", "event": "rolling"}, 51, place=other)
    assert site.view(52).behind[0].front is None


def test_what_was_laid_before_a_stop_was_not_laid_while_the_paver_stood() -> None:
    site = laid(loads=1)
    site.write("paver", {"event": "stop", "reason": "truck change"}, 4, place=at(70))
    site.write("paver", {"event": "start"}, 14, place=at(70))
    site.load("102", 20, temp="150 degC", place=on("E", "binder", 50, 100))
    mat = site.view(30).mats[-1]
    assert (mat.from_at, mat.to_at) == (clock(0), clock(20))
    assert mat.at_station(60.0) == clock(2)
    assert mat.at_station(70.0) == clock(4)
    assert mat.at_station(85.0) == clock(17)
    assert mat.at_station(40.0) == mat.from_at
    assert mat.at_station(140.0) == mat.to_at


@pytest.mark.parametrize("laid_c", [142.0, 150.0, 157.0])
def test_its_temperatures_are_those_of_a_forecast_made_for_it_alone(laid_c: float) -> None:
    family = laid().view(57).mats[0].family
    lift = replace(family.lift, start_c=laid_c)
    alone = forecast([lift, *family.under], family.weather, 80.0, lasting_s=7200.0)
    for after_s in (120.0, 600.0, 1800.0):
        found = family.temps(laid_c, after_s)
        assert found is not None
        for ours, own in zip(found, (alone.mean_c(after_s), alone.surface_c(after_s)), strict=True):
            for end in ("early", "middle", "late"):
                assert abs(getattr(ours, end) - getattr(own, end)) < 0.3  # [K]
    assert family.temps(laid_c, 4.0 * 3600.0) is None


def test_a_place_parted_by_mass_says_nothing_of_when_the_paver_was_there() -> None:
    """6 loads end at 300 m at minute 50; 100 m more at minute 70: a quarter of the way 5 min on."""
    site = laid()
    for ticket, minute, net, end in (("107", 60, "10.50 t", None), ("108", 70, "31.50 t", 400)):
        site.load(ticket, minute, net=net, temp="150 degC", place=on("E", "binder", end=end))
    parted = mats(site, 90)[-2]
    assert (parted.piece.to_m, parted.from_at, parted.to_at) == (325.0, clock(50), clock(55))
