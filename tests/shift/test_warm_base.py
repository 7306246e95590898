"""What a mat is laid on: a lift of the same shift that is still warm, a damp or a frozen base."""

import pytest

from tests.shift.cooled import cooling, laid, read_on
from tests.shift.site import PLAN, Site, at, clock, on

ENDS = 'name = "AC 8 surface"\nrolling_ends = "80 degC"'
TWO_LIFTS = cooling().replace('name = "AC 8 surface"', ENDS, 1)

THIN = TWO_LIFTS.replace('"50 mm"', '"5 mm"').replace('"120 kg/m2"', '"12 kg/m2"')


def second(minute: float, loads: int = 3) -> Site:
    """The surface course on the binder of the same shift, from a minute on."""
    site = laid(TWO_LIFTS, loads=3)
    for n in range(loads):
        place = on("E", "surface", n * 50, (n + 1) * 50, "P2")
        site.load(str(201 + n), minute + 10 * n, mix="ac8", temp="150 degC", place=place)
    return site


def middles(site: Site, lift: str, minute: float = 400) -> list[float]:
    """The middle times from laying of a lift's pieces [s]."""
    laid_mats = [mat for mat in site.view(minute).mats if mat.piece.lift == lift]
    return [left.middle for mat in laid_mats if (left := mat.left()) is not None]


def alone() -> Site:
    """The surface course where nothing else was laid this shift."""
    site = laid(TWO_LIFTS, loads=0)
    place = on("E", "surface", 0, 50, "P2")
    site.load("201", 60, mix="ac8", temp="150 degC", place=place)
    return site


def test_a_lift_on_a_warm_one_has_longer_than_on_a_cold_base() -> None:
    (cold,) = middles(alone(), "surface")
    soon, later = middles(second(60), "surface"), middles(second(180), "surface")
    assert all(time > 1.1 * cold for time in soon)
    assert soon[0] > later[0] > cold
    assert middles(second(60), "binder") == middles(laid(TWO_LIFTS, loads=3), "binder")


def test_it_lies_on_the_mat_that_was_laid_where_it_lies() -> None:
    mats = {m.piece.part.load.number: m for m in second(60, loads=4).view(400).mats}
    assert mats["202"].on is mats["102"]
    assert mats["204"].on is None  # beyond the end of the binder
    assert mats["101"].on is None


def test_lifts_that_are_about_as_old_and_as_hot_share_forecasts() -> None:
    """Loads come evenly: every piece lies on one that is about as old."""
    uppers = [mat for mat in second(60).view(400).mats if mat.piece.lift == "surface"]
    assert len({id(mat.family) for mat in uppers[1:]}) == 1


def test_a_lift_is_never_laid_on_one_that_is_hotter() -> None:
    """A binder minutes old is no base for colder mix: somebody misread a place or a time."""
    site = laid(TWO_LIFTS, loads=3)
    place = on("E", "surface", 100, 150, "P2")
    site.load("201", 20, mix="ac8", temp="100 degC", place=place)
    assert "201" not in {mat.piece.part.load.number for mat in site.view(400).mats}
    call = site.call("mat.misread", 30)
    assert call.says["read"] == 95.0
    assert call.says["station"] == "0+100"


def test_mix_hotter_than_any_is_misread() -> None:
    site = laid(loads=1)
    site.load("108", 20, temp="230 degC", place=on("E", "binder", 150, 200))
    assert [mat.piece.part.load.number for mat in site.view(60).mats] == ["101"]
    assert site.call("mat.misread", 60).says["base"] == 15.0


def test_a_reading_is_of_the_lift_it_names_or_of_the_uppermost() -> None:
    site = second(60)
    read_on(site, 66, 20, "120 degC")  # on the binder, as its place says
    read_on(site, 66, 20, "120 degC", place={"lane": "E", "station": "0+020.0"})
    lifts = [one.mat.piece.lift for one in site.view(400).checked.readings]
    assert lifts == ["binder", "surface"]
    assert site.view(66).now == clock(66)


def look(site: Site, minute: float, state: str, place: dict[str, str] | None = None) -> None:
    """Somebody looked at the base."""
    site.write("surface", {"fit": "yes", "state": state}, minute, place=place or {"lane": "E"})


def starts(site: Site) -> list[float]:
    """What each piece of the binder cools from [°C]."""
    return [round(mat.starts_c, 1) for mat in site.view(400).mats]


def test_a_damp_base_takes_its_share_where_it_was_seen() -> None:
    site = laid(loads=3)
    look(site, -15, "wet", on("E", "binder", 50, 100))
    assert [mat.state for mat in site.view(400).mats] == ["dry", "wet", "dry"]
    first, second, third = starts(site)
    assert first == third == 145.0
    assert 130.0 < second < 134.0  # half a litre boiled off by 50 mm, 12 K
    dry, wet, _ = middles(site, "binder")
    assert wet < 0.85 * dry
    bases = {mat.family.under for mat in site.view(400).mats}
    assert len(bases) == 1  # the ground itself is no colder


def test_a_look_holds_until_the_next_one_there() -> None:
    site = laid(loads=3)
    look(site, -15, "damp")
    look(site, -3, "dry", at(75))
    assert [mat.state for mat in site.view(400).mats] == ["damp", "dry", "dry"]
    assert middles(site, "binder")[0] < middles(laid(loads=3), "binder")[0]


def test_a_frozen_base_is_colder_all_the_way_down() -> None:
    site, dry = laid(loads=1), laid(loads=1)
    look(site, -15, "frozen")
    (mat,), (other,) = site.view(400).mats, dry.view(400).mats
    temps = [layer.hottest_c for layer in mat.family.under]
    assert temps[0] == temps[2] == 0.0
    assert temps[1] < -20.0  # what the ice in damp crushed stone takes to thaw
    assert [layer.hottest_c for layer in other.family.under] == [15.0, 15.0, 15.0]
    assert middles(site, "binder")[0] < middles(dry, "binder")[0]


def test_a_lift_on_a_lift_of_this_shift_is_wet_only_if_somebody_saw_that() -> None:
    site = second(60)
    look(site, -15, "wet")
    uppers = [mat for mat in site.view(400).mats if mat.piece.lift == "surface"]
    assert [mat.state for mat in uppers] == ["dry", "dry", "dry"]
    look(site, 55, "damp")
    uppers = [mat for mat in site.view(400).mats if mat.piece.lift == "surface"]
    assert [mat.state for mat in uppers] == ["damp", "damp", "damp"]


def test_a_wet_base_is_said_until_somebody_looks_there_again() -> None:
    site = laid(loads=1)
    look(site, -15, "wet", on("E", "binder", 50, 100))
    call = site.call("base.wet", 20)
    assert (call.grade, call.tell) == ("watch", ("cole",))
    assert call.says == {"state": "wet", "station": "Eastbound 0+050.0 – 0+100.0"}
    look(site, 5, "dry", {"lane": "W"})
    look(site, 6, "dry", at(75))  # from 25 m to 125 m
    assert site.calls("base.wet", 5)
    assert not site.calls("base.wet", 20)


def test_a_wet_base_is_said_until_it_is_laid_over() -> None:
    """Its last load, to 100 m, ended at ten minutes; a look at all of the lane is never over."""
    site = laid(loads=3)
    look(site, -15, "damp")
    look(site, -14, "wet", on("E", "binder", 20, 100))
    assert [call.says["state"] for call in site.calls("base.wet", 9)] == ["wet", "damp"]
    assert [call.says["state"] for call in site.calls("base.wet", 10)] == ["damp"]


def test_a_look_at_all_of_the_job_is_mended_by_another_of_all() -> None:
    site = laid(loads=1)
    look(site, -15, "frozen", {"road": "ridge-road"})
    assert site.view(30).mats[0].state == "frozen"
    look(site, 1, "dry")
    assert site.call("base.frozen", 20).says["station"] == ""
    look(site, 2, "dry", {"road": "ridge-road"})
    assert not site.calls("base.frozen", 20)


def gusts(minute: float, wind: str = "9 m/s", loads: int = 2) -> Site:
    site = laid(loads=loads)
    site.write("weather", {"wind": wind}, minute)
    return site


def test_a_change_of_the_weather_is_met_by_what_still_cools() -> None:
    """The first piece was laid ten minutes before the gusts, the second at the time."""
    still, gusty = middles(laid(loads=2), "binder"), middles(gusts(1), "binder")
    assert gusty[0] < still[0] - 20.0
    assert gusty[1] < gusty[0]
    assert middles(gusts(300), "binder") == still  # it is cold long since


def test_small_changes_and_changes_minutes_apart_share_forecasts() -> None:
    calm = middles(laid(loads=2), "binder")
    assert middles(gusts(1, "4 m/s"), "binder")[0] == calm[0]
    one, other = gusts(1).view(400).mats[0], gusts(3).view(400).mats[0]
    assert one.family.weather == other.family.weather
    assert [start for start, _ in one.family.weather] == [0.0, 1200.0]  # type: ignore[union-attr]
    soon = gusts(-8).view(400).mats[0]
    assert soon.family.weather == gusts(-10).view(400).mats[0].family.weather


def test_rollers_water_is_reckoned_with_where_the_plan_gives_it() -> None:
    wet = cooling().replace("[site]\n", '[site]\nroller_water = "0.2 L/m2"\n', 1)
    dry, watered = middles(laid(loads=1), "binder"), middles(laid(wet, loads=1), "binder")
    assert dry[0] - 240.0 < watered[0] < dry[0] - 30.0
    assert [start for start, _ in laid(wet, loads=1).view(60).mats[0].family.weather] == [  # type: ignore[union-attr]
        0.0,
        120.0,
        1020.0,
    ]


@pytest.mark.parametrize(
    "plan",
    [
        PLAN,  # no site
        cooling().replace('rolling_ends = "80 degC"', ""),
        THIN,  # no forecast takes it
    ],
)
def test_what_a_forecast_lacks(plan: str) -> None:
    view = laid(plan, loads=2).view(60)
    assert len(view.pieces) == 2
    assert view.mats == ()


def test_weather_without_air_or_wind_is_none_to_cool_by() -> None:
    site = Site(cooling())
    site.write("weather", {"sky": "clear"}, -20)
    site.load("101", 0, temp="150 degC", place=on("E", "binder", 0, 50))
    view = site.view(60)
    assert len(view.pieces) == 1
    assert view.mats == ()


def test_levelling_has_no_thickness_to_forecast() -> None:
    site = laid(loads=1)
    site.load("108", 20, temp="150 degC", place=on("E", "level", 200, 250))
    assert [mat.piece.lift for mat in site.view(60).mats] == ["binder"]


def test_ground_that_ends_is_taken_to_lie_on_soil() -> None:
    ground = '[[ground]]\nid = "slab"\nmaterial = "concrete"\nthickness = "20 cm"\n[[roads]]'
    (mat,) = laid(cooling().replace("[[roads]]", ground, 1), loads=1).view(60).mats
    assert [layer.thickness_m for layer in mat.family.under] == pytest.approx([0.2, 0.9])


def test_a_look_that_says_nothing_of_water_is_no_look_at_it() -> None:
    site = laid(loads=1)
    site.write("surface", {"fit": "yes"}, -12, place={"lane": "E"})
    look(site, -15, "damp")
    assert site.view(60).mats[0].state == "damp"


def test_a_place_with_a_gap_in_the_mat_is_not_laid_over() -> None:
    site = laid(loads=0)
    look(site, -15, "wet", on("E", "binder", 0, 100))
    site.load("102", 5, temp="150 degC", place=on("E", "binder", 50, 100))
    assert site.calls("base.wet", 20)
