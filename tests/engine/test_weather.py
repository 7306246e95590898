"""Weather, sun and water: what is refused, and how the results run."""

from collections.abc import Callable
from datetime import UTC, datetime, timedelta, timezone
from math import inf, nan
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from matbook.engine.moisture import boiling_heat, thawing_heat
from matbook.engine.sun import CLEAR_SKIES, CLOUD_LAWS
from matbook.engine.weather import (
    FILM_LAWS,
    SKY_LAWS,
    absorbed_sun,
    beyond_reach,
    clear_sky,
    cloud_factor,
    declination,
    dew_point,
    equation_of_time,
    film_coefficient,
    sky_temperature,
    sun_by_solar_time,
    sun_position,
    wind_at,
)
from matbook.errors import OutOfRange, Refused

NOON = datetime(2026, 6, 21, 12, tzinfo=UTC)
winds = st.floats(0.0, 30.0)
shares = st.floats(0.0, 1.0)
airs = st.floats(-20.0, 40.0)
moments = st.datetimes(datetime(1950, 1, 2), datetime(2050, 12, 30), timezones=st.just(UTC))

FILM = {"wind_m_s": 3.0, "law": "vehrencamp", "surface_c": 100.0, "air_c": 15.0}
PROFILE = {"height_m": 1.5, "wind_m_s": 3.0, "measured_at_m": 10.0, "roughness_m": 0.03}
SKY = {"air_c": 15.0, "law": "berdahl-martin", "dew_point_c": 5.0, "hour": 9.0, "cloud": 0.5}
PLACE = {"latitude_deg": 45.0, "longitude_deg": -93.0, "moment": NOON}
SOLAR = {"latitude_deg": 45.0, "day": 172, "solar_hour": 9.0}
ABSORBED = {"elevation_deg": 30.0, "absorptivity": 0.9, "cloud": 0.5}

REFUSED: list[tuple[Callable[..., Any], dict[str, Any], str, list[float]]] = [
    (film_coefficient, FILM, "wind_m_s", [-0.1, 30.1, 80.0]),
    (film_coefficient, FILM, "surface_c", [-51.0, 301.0]),
    (film_coefficient, FILM, "air_c", [-51.0, 61.0]),
    (beyond_reach, {"wind_m_s": 3.0, "law": "alford"}, "wind_m_s", [-0.1, 80.0]),
    (wind_at, PROFILE, "wind_m_s", [-0.1, 80.0]),
    (wind_at, PROFILE, "height_m", [0.03, 0.0, -1.0, 100.1]),
    (wind_at, PROFILE, "measured_at_m", [0.03, 0.0, 101.0]),
    (wind_at, PROFILE, "roughness_m", [0.0, -0.1]),
    (sky_temperature, SKY, "air_c", [-41.0, 51.0]),
    (sky_temperature, SKY, "dew_point_c", [-20.1, 15.1, 31.0]),
    (sky_temperature, SKY, "hour", [-0.1, 24.1]),
    (sky_temperature, SKY, "cloud", [-0.1, 1.1, 50.0]),
    (dew_point, {"air_c": 15.0, "humidity": 0.5}, "air_c", [-45.1, 60.1]),
    (dew_point, {"air_c": 15.0, "humidity": 0.5}, "humidity", [0.0, 0.001, 1.01, 65.0]),
    (sun_position, PLACE, "latitude_deg", [-90.1, 90.1]),
    (sun_position, PLACE, "longitude_deg", [-180.1, 180.1]),
    (sun_by_solar_time, SOLAR, "latitude_deg", [-90.1, 90.1]),
    (sun_by_solar_time, SOLAR, "day", [0, 367]),
    (sun_by_solar_time, SOLAR, "solar_hour", [-0.1, 24.1]),
    (declination, {"day": 1}, "day", [0, 367]),
    (clear_sky, {"elevation_deg": 30.0}, "elevation_deg", [-90.1, 90.1]),
    (cloud_factor, {"cloud": 0.5}, "cloud", [-0.1, 1.1, 8.0]),
    (absorbed_sun, ABSORBED, "elevation_deg", [-90.1, 90.1]),
    (absorbed_sun, ABSORBED, "absorptivity", [-0.1, 1.1]),
    (absorbed_sun, ABSORBED, "cloud", [-0.1, 1.1]),
    (boiling_heat, {"water_m": 0.0001, "water_c": 15.0}, "water_m", [-0.1, 0.011]),
    (boiling_heat, {"water_m": 0.0001, "water_c": 15.0}, "water_c", [-0.1, 100.1]),
    (thawing_heat, {"moisture": 0.06, "dry_density_kg_m3": 1900.0}, "moisture", [-0.1, 6.0]),
    (thawing_heat, {"moisture": 0.06, "dry_density_kg_m3": 1900.0}, "dry_density_kg_m3", [0.0]),
]


@pytest.mark.parametrize(
    ("function", "good", "name", "bad"),
    REFUSED,
    ids=lambda value: getattr(value, "__name__", None),
)
def test_refused(
    function: Callable[..., Any], good: dict[str, Any], name: str, bad: list[float]
) -> None:
    """Each argument on its own: what is good is taken, bad values, nan and inf are refused."""
    function(**good)
    for value in (*bad, nan, inf):
        with pytest.raises(OutOfRange) as refusal:
            function(**{**good, name: value})
        assert refusal.value.field == name


@pytest.mark.parametrize(
    ("function", "good"),
    [
        (film_coefficient, FILM),
        (beyond_reach, {"wind_m_s": 3.0}),
        (sky_temperature, SKY),
        (clear_sky, {"elevation_deg": 30.0}),
        (cloud_factor, {"cloud": 0.5}),
        (absorbed_sun, ABSORBED),
    ],
    ids=lambda value: getattr(value, "__name__", None),
)
def test_a_law_that_nobody_wrote(function: Callable[..., Any], good: dict[str, Any]) -> None:
    with pytest.raises(Refused, match=r"law is .*nobody.*; it must be .* or ") as refusal:
        function(**{**good, "law": "nobody"})
    assert refusal.value.field == "law"


@pytest.mark.parametrize(
    ("function", "good", "lacks"),
    [
        (film_coefficient, FILM, "surface_c"),
        (film_coefficient, FILM, "air_c"),
        (sky_temperature, SKY, "dew_point_c"),
        (sky_temperature, SKY, "hour"),
        (sky_temperature, {**SKY, "law": "bliss"}, "dew_point_c"),
    ],
)
def test_what_a_law_needs(function: Callable[..., Any], good: dict[str, Any], lacks: str) -> None:
    with pytest.raises(Refused, match=f"{lacks} is .*missing.*; the law of .* needs it"):
        function(**{**good, lacks: None})


@pytest.mark.parametrize("law", SKY_LAWS)
def test_what_a_law_doesnt_need(law: str) -> None:
    row = SKY_LAWS[law]
    dew = 5.0 if "dew_point_c" in row.asks else None
    hour = 9.0 if "hour" in row.asks else None
    assert sky_temperature(15.0, law, dew, hour) <= 15.0


def test_a_storm_is_refused_in_words() -> None:
    with pytest.raises(OutOfRange, match=r"^wind_m_s is 80\.0; it must be 0 to 30\.$"):
        film_coefficient(80.0, "alford")
    with pytest.raises(OutOfRange, match="the law of watmuff holds from 0 to 7 m/s"):
        film_coefficient(7.5, "watmuff")


@pytest.mark.parametrize(
    "moment", [datetime(1949, 12, 31, tzinfo=UTC), datetime(2051, 1, 1, tzinfo=UTC)]
)
def test_years_without_a_sun(moment: datetime) -> None:
    with pytest.raises(OutOfRange, match="1950 to 2050"):
        sun_position(45.0, -93.0, moment)
    with pytest.raises(OutOfRange, match="1950 to 2050"):
        equation_of_time(moment)


def test_a_moment_says_its_offset() -> None:
    with pytest.raises(Refused, match="it must say its offset from UTC"):
        sun_position(45.0, -93.0, datetime(2026, 6, 21, 12))
    here = NOON.astimezone(timezone(timedelta(hours=-5)))
    assert sun_position(45.0, -93.0, here) == sun_position(45.0, -93.0, NOON)


@pytest.mark.parametrize("law", FILM_LAWS)
@given(winds, winds)
def test_more_wind_takes_more(law: str, a: float, b: float) -> None:
    def film(wind: float) -> float:
        return film_coefficient(wind, law, surface_c=100.0, air_c=15.0, extrapolate=True)

    low, high = sorted((a, b))
    assert 0.0 < film(low) <= film(high) < 130.0


@pytest.mark.parametrize("law", FILM_LAWS)
@given(winds)
def test_nothing_is_extrapolated_unasked(law: str, wind: float) -> None:
    beyond = beyond_reach(wind, law)
    assert beyond == (wind > FILM_LAWS[law].reach_m_s)
    asked = film_coefficient(wind, law, 100.0, 15.0, extrapolate=True)
    if beyond:
        with pytest.raises(OutOfRange):
            film_coefficient(wind, law, 100.0, 15.0)
    else:
        assert film_coefficient(wind, law, 100.0, 15.0) == asked


@given(winds, st.floats(-20.0, 40.0), st.floats(0.0, 150.0))
def test_a_hotter_surface_loses_more(wind: float, air: float, warmer: float) -> None:
    def film(surface: float) -> float:
        return film_coefficient(wind, "vehrencamp", surface, air)

    assert film(air) <= film(air + warmer) <= film(air + warmer + 10.0)


@given(st.floats(0.1, 50.0), st.floats(0.1, 50.0), winds, st.floats(0.001, 0.09))
def test_wind_up_and_down_again(low: float, high: float, wind: float, rough: float) -> None:
    there = wind_at(low, wind, high, rough)
    assert (there <= wind) == (low <= high) or there == pytest.approx(wind)
    if there <= 30.0:
        assert wind_at(high, there, low, rough) == pytest.approx(wind, abs=1e-9)


@pytest.mark.parametrize("law", SKY_LAWS)
@given(airs, shares, st.floats(0.0, 30.0), st.floats(0.0, 24.0))
def test_the_sky_is_no_warmer_than_the_air(
    law: str, air: float, cloud: float, drier: float, hour: float
) -> None:
    dew = min(30.0, max(-20.0, air - drier))
    clear = sky_temperature(air, law, dew, hour)
    found = sky_temperature(air, law, dew, hour, cloud)
    assert clear - 1e-9 <= found <= air + 1e-9
    assert found == pytest.approx(clear + cloud * (air - clear))
    assert sky_temperature(air, law, dew, hour, 1.0) == pytest.approx(air)


@given(st.floats(-15.0, 30.0), st.floats(0.0, 24.0))
def test_a_damper_sky_is_warmer(dew: float, hour: float) -> None:
    for law in ("bliss", "berdahl-martin"):
        drier = sky_temperature(30.0, law, dew - 5.0, hour)
        assert drier < sky_temperature(30.0, law, dew, hour)


@given(st.floats(-20.0, 60.0), st.floats(0.15, 1.0))
def test_dew_point_runs_with_humidity(air: float, humidity: float) -> None:
    found = dew_point(air, humidity)
    assert -45.0 <= found <= air
    assert dew_point(air, humidity * 0.99) < found
    assert dew_point(air, 1.0) == pytest.approx(air, abs=1e-9)


@given(st.floats(-90.0, 90.0), st.floats(-180.0, 180.0), moments)
def test_the_sun_is_somewhere(latitude: float, longitude: float, moment: datetime) -> None:
    sun = sun_position(latitude, longitude, moment)
    assert -90.0 <= sun.elevation_deg <= 90.0
    assert 0.0 <= sun.azimuth_deg < 360.0
    assert abs(sun.elevation_deg) <= 90.0 - abs(latitude) + 23.45
    assert -15 * 60 < equation_of_time(moment) < 17 * 60


@given(st.floats(-89.0, 89.0), st.floats(-179.0, 179.0), moments)
def test_the_sun_of_the_almanac_and_of_a_sundial(
    latitude: float, longitude: float, moment: datetime
) -> None:
    """Two ways to the same sun: the sundial's declination, Cooper's, is right to 1.6 degrees."""
    utc_hour = moment.hour + moment.minute / 60 + moment.second / 3600
    hour = (utc_hour + longitude / 15 + equation_of_time(moment) / 3600) % 24
    day = moment.timetuple().tm_yday
    found = sun_by_solar_time(latitude, day, hour).elevation_deg
    assert found == pytest.approx(sun_position(latitude, longitude, moment).elevation_deg, abs=1.6)


@given(st.floats(-66.0, 66.0), st.integers(1, 366), st.floats(0.0, 12.0))
def test_morning_mirrors_afternoon(latitude: float, day: int, off: float) -> None:
    morning = sun_by_solar_time(latitude, day, 12.0 - off)
    afternoon = sun_by_solar_time(latitude, day, 12.0 + off)
    assert morning.elevation_deg == pytest.approx(afternoon.elevation_deg, abs=1e-9)
    turned = (morning.azimuth_deg + afternoon.azimuth_deg) % 360.0
    assert min(turned, 360.0 - turned) == pytest.approx(0.0, abs=1e-6)


@pytest.mark.parametrize("law", CLEAR_SKIES)
@given(st.floats(-90.0, 90.0), st.floats(-90.0, 90.0))
def test_a_higher_sun_gives_more(law: str, a: float, b: float) -> None:
    low, high = sorted((a, b))
    assert 0.0 <= clear_sky(low, law) <= clear_sky(high, law) < 1_098.0
    assert (clear_sky(high, law) > 0.0) == (high > 0.0) or 0.0 < high < 0.01


@pytest.mark.parametrize("law", CLOUD_LAWS)
@given(shares, shares)
def test_more_cloud_lets_less_through(law: str, a: float, b: float) -> None:
    low, high = sorted((a, b))
    assert 1.0 >= cloud_factor(low, law) >= cloud_factor(high, law) >= 0.25
    assert cloud_factor(0.0, law) == 1.0


@given(st.floats(-90.0, 90.0), shares, shares)
def test_no_more_is_absorbed_than_comes(
    elevation: float, absorptivity: float, cloud: float
) -> None:
    for law in CLOUD_LAWS:
        found = absorbed_sun(elevation, absorptivity, cloud, law)
        assert 0.0 <= found <= clear_sky(elevation)
    assert absorbed_sun(elevation, 1.0) == clear_sky(elevation)


@given(st.floats(0.0, 0.005), st.floats(0.0, 100.0))
def test_twice_the_water_takes_twice_the_heat(depth: float, temp: float) -> None:
    assert boiling_heat(2 * depth, temp) == pytest.approx(2 * boiling_heat(depth, temp))
    assert boiling_heat(depth, 100.0) <= boiling_heat(depth, temp)


def test_every_row_names_its_source_and_whether_it_was_read() -> None:
    tables: list[Any] = [FILM_LAWS, SKY_LAWS, CLEAR_SKIES, CLOUD_LAWS]
    for row in (row for table in tables for row in table.values()):
        assert row.source
        assert any(word in row.standing for word in ("read", "from memory", "definition"))
