"""Sun, clear sky and dew point against pvlib and the years of weather data that come with it.

pvlib (BSD) carries NREL's solar position algorithm, which is right to 0.0003 degrees, and typical
years of two airports (NREL, TMY3): Sand Point, Alaska (55° N) and Greensboro, North Carolina.
"""

import csv
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta, timezone
from functools import cache
from itertools import pairwise
from math import fsum, radians, sin
from pathlib import Path
from statistics import mean

import numpy as np
import pandas as pd
import pvlib
import pytest

from matbook.engine.weather import clear_sky, dew_point, equation_of_time, sun_position

PLACES = [(-75.0, 100.0), (-33.9, 151.2), (0.5, 0.0), (40.7, -74.0), (52.0, 13.4), (69.0, 19.0)]
CLOCK_CORRECTION_S = {1950: 29.1, 2026: 69.2, 2050: 93.0}
"""Terrestrial time less UT; the last is a forecast, and a second of it moves nothing here."""

STATIONS = {"Sand Point": "703165TY.csv", "Greensboro": "723170TYA.CSV"}


def through_the_year(year: int) -> list[datetime]:
    """Every 5 h 22 min: the hours of the day shift through the year."""
    start = datetime(year, 1, 1, tzinfo=UTC)
    return [start + timedelta(minutes=322 * step) for step in range(1630)]


def nrel(year: int, latitude: float, longitude: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """True elevation [deg], azimuth [deg] and equation of time [min] by NREL's algorithm."""
    seconds = np.array([moment.timestamp() for moment in through_the_year(year)])
    found = pvlib.spa.solar_position(
        seconds, latitude, longitude, 0, 1013, 12, CLOCK_CORRECTION_S[year], 0.5667
    )
    return found[3], found[4], found[5]


@pytest.mark.parametrize("year", CLOCK_CORRECTION_S)
@pytest.mark.parametrize(("latitude", "longitude"), PLACES)
def test_the_sun_is_where_nrel_has_it(latitude: float, longitude: float, year: int) -> None:
    """To 0.015 degrees across the sky, as the docstring promises."""
    elevations, azimuths, _ = nrel(year, latitude, longitude)
    for moment, elevation, azimuth in zip(
        through_the_year(year), elevations, azimuths, strict=True
    ):
        sun = sun_position(latitude, longitude, moment)
        across = abs((sun.azimuth_deg - azimuth + 180) % 360 - 180) * np.cos(radians(elevation))
        assert sun.elevation_deg == pytest.approx(elevation, abs=0.015)
        assert across < 0.015


@pytest.mark.parametrize("year", CLOCK_CORRECTION_S)
def test_the_equation_of_time_is_nrels(year: int) -> None:
    """To 4 seconds of 16 minutes."""
    _, _, minutes = nrel(year, 0.0, 0.0)
    for moment, expected in zip(through_the_year(year), minutes, strict=True):
        assert equation_of_time(moment) == pytest.approx(60 * expected, abs=4.0)


def test_haurwitz_is_pvlibs() -> None:
    """The same formula in both, so to the last digits of a float."""
    elevations = pd.Series(np.linspace(0.1, 90.0, 900))
    expected = pvlib.clearsky.haurwitz(90.0 - elevations)["ghi"]
    ours = [clear_sky(elevation) for elevation in elevations]
    assert ours == pytest.approx(list(expected), rel=1e-9)


@pytest.mark.parametrize("air", [-30.0, 0.0, 15.0, 40.0])
def test_dew_point_is_pvlibs(air: float) -> None:
    for percent in (25.0, 55.0, 99.0):
        expected = pvlib.atmosphere.tdew_from_rh(air, percent)
        assert dew_point(air, percent / 100) == pytest.approx(expected, abs=1e-9)


class Hour:
    """One hour of a typical year, with the sun's elevation every five minutes by our own sum."""

    def __init__(self, row: dict[str, str], latitude: float, longitude: float, zone: float) -> None:
        day = datetime.strptime(row["Date (MM/DD/YYYY)"], "%m/%d/%Y")
        day = day.replace(tzinfo=timezone(timedelta(hours=zone)))
        end = day + timedelta(hours=int(row["Time (HH:MM)"][:2]))
        self.level, self.normal = float(row["ETR (W/m^2)"]), float(row["ETRN (W/m^2)"])
        self.sun = float(row["GHI (W/m^2)"])
        self.cloudless = row["TotCld (tenths)"] == "0"
        self.air, self.dew = float(row["Dry-bulb (C)"]), float(row["Dew-point (C)"])
        self.humidity = float(row["RHum (%)"])
        self.elevations = [
            sun_position(latitude, longitude, end - timedelta(minutes=m)).elevation_deg
            for m in (2.5, 7.5, 12.5, 17.5, 22.5, 27.5, 32.5, 37.5, 42.5, 47.5, 52.5, 57.5)
        ]


@cache
def year_at(station: str) -> tuple[Hour, ...]:
    return tuple(_hours(Path(pvlib.__file__).parent / "data" / STATIONS[station]))


def _hours(path: Path) -> Iterator[Hour]:
    with path.open(encoding="utf-8", newline="") as file:
        *_, zone, latitude, longitude, _ = next(csv.reader(file))
        for row in csv.DictReader(file):
            yield Hour(row, float(latitude), float(longitude), float(zone))


@pytest.mark.parametrize("station", STATIONS)
def test_hours_outside_the_air(station: str) -> None:
    """TMY3's sun on a level surface outside the air, over that on one that faces it, is the hour's
    mean of sin(elevation). Whole watts, by another algorithm: 6 of 1414 W/m2; a clock one minute
    out would show."""
    apart = [
        hour.normal * fsum(sin(radians(h)) for h in hour.elevations) / 12 - hour.level
        for hour in year_at(station)
        if min(hour.elevations) > 1.0
    ]
    assert len(apart) > 3_500
    assert max(map(abs, apart)) < 6.0
    assert abs(mean(apart)) < 1.5


@pytest.mark.parametrize("station", STATIONS)
def test_cloudless_hours(station: str) -> None:
    """A comparison, not a proof: TMY3's sun in cloudless hours is mostly a model's. Haurwitz's is
    2 to 4 % above it in the mean."""
    hours = [h for h in year_at(station) if h.cloudless and min(h.elevations) > 10.0]
    ours = [mean(clear_sky(e) for e in hour.elevations) for hour in hours]
    assert len(hours) > 250
    assert 1.0 < mean(ours) / mean(hour.sun for hour in hours) < 1.05


def test_dew_points_of_a_year() -> None:
    """Greensboro prints the dew point to 0.1 °C and humidity to 1 %: nine hours of ten agree to
    0.15 °C once both roundings are allowed for. The rest are joints between months of different
    years, where the file itself is smoothed."""
    apart = []
    for hour in year_at("Greensboro"):
        low = dew_point(hour.air, max(hour.humidity - 0.5, 0.5) / 100)
        high = dew_point(hour.air, min(hour.humidity + 0.5, 100.0) / 100)
        apart.append(max(low - hour.dew, hour.dew - high, 0.0))
    apart.sort()
    assert len(apart) == 8_760
    assert apart[len(apart) * 9 // 10] <= 0.15


def test_hours_follow_each_other() -> None:
    """The reading of the files: through the day the sun climbs, then sinks."""
    day = [mean(hour.elevations) for hour in year_at("Greensboro")[:24]]
    top = day.index(max(day))
    assert 11 <= top <= 13
    assert all(a < b for a, b in pairwise(day[6 : top + 1]))
