"""The sun: where it stands and what a level surface gets of it.

Elevations are true ones: refraction, which lifts a sun on the horizon by half a degree and one at
10 degrees by a tenth, changes nothing that matters to heat.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from math import asin, atan2, cos, degrees, exp, hypot, radians, sin
from typing import Final, NamedTuple

from matbook.engine.cited import cited
from matbook.engine.ranges import picked, within
from matbook.errors import OutOfRange, Refused

ALMANAC: Final = (
    "Astronomical Almanac's approximate sun, as in Michalsky, Solar Energy 40 (1988) 227-235, "
    "from memory; checked against NREL's solar position algorithm"
)
COOPER: Final = "Cooper, Solar Energy 12 (1969) 333-346, from memory"
HAURWITZ: Final = "Haurwitz 1945 as in SAND2012-2389; 0.059 read in pvlib, 0.057 from memory"
CLOUD: Final = (
    "Kasten & Czeplak, Solar Energy 24 (1980) 177-189, from memory; linear to 35 %: Larson et al. "
    "2016 as in pvlib's documentation, read"
)

J2000: Final = datetime(2000, 1, 1, 12, tzinfo=UTC)
FIRST_YEAR: Final = 1950
LAST_YEAR: Final = 2050


class Sun(NamedTuple):
    """Where the sun stands."""

    elevation_deg: float
    """Above the horizon; below it, negative."""
    azimuth_deg: float
    """From north by east, 0 to 360."""


@dataclass(frozen=True, slots=True)
class ClearSky:
    """Coefficients of G = top cos(z) exp(-loss / cos(z)), z the angle from the zenith."""

    top: float
    """In W/m2."""
    loss: float
    source: str
    standing: str


CLEAR_SKIES: Final[Mapping[str, ClearSky]] = {
    "haurwitz": ClearSky(1098.0, 0.059, "Haurwitz 1945, as in pvlib and SAND2012-2389", "read"),
    "haurwitz-0.057": ClearSky(1098.0, 0.057, "Haurwitz 1945, as others print it", "from memory"),
}
"""Clear-sky laws; the two printings differ by 2.1 W/m2 at most."""


@dataclass(frozen=True, slots=True)
class CloudLaw:
    """What share of a clear sky's sun gets through a share of cloud."""

    formula: Callable[[float], float]
    source: str
    standing: str


CLOUD_LAWS: Final[Mapping[str, CloudLaw]] = {
    "kasten-czeplak": CloudLaw(
        lambda cloud: 1.0 - 0.75 * cloud**3.4,
        "Kasten & Czeplak, Solar Energy 24 (1980) 177-189",
        "from memory",
    ),
    "linear": CloudLaw(
        lambda cloud: 1.0 - 0.65 * cloud,
        "Larson et al. 2016, as in pvlib's documentation on forecasts",
        "read",
    ),
}
"""Laws for cloud before the sun."""


@cited("declination and right ascension of the sun, turned by the hour", ALMANAC)
def sun_position(latitude_deg: float, longitude_deg: float, moment: datetime) -> Sun:
    """Where the sun stands at a place and moment; right to 0.015 degrees from 1950 to 2050.

    Equation: sin h = sin(lat) sin(dec) + cos(lat) cos(dec) cos(hour angle)

    Args:
        latitude_deg: Latitude [deg], -90 to 90, north positive.
        longitude_deg: Longitude [deg], -180 to 180, east positive.
        moment: Date and time with its offset from UTC, 1950 to 2050.

    Returns:
        Elevation without refraction and azimuth from north by east [deg].

    Raises:
        OutOfRange: A place that isn't on the earth, or a year outside the range.
        Refused: The moment doesn't say its offset from UTC.

    Source: the Astronomical Almanac's approximate sun, as in Michalsky, Solar Energy 40 (1988)
    227-235, from memory; a test holds it to NREL's solar position algorithm.

    Example:
        >>> from datetime import datetime, timedelta, timezone
        >>> summer_time = timezone(timedelta(hours=-5))
        >>> sun = sun_position(45.0, -93.0, datetime(2026, 6, 21, 13, 14, tzinfo=summer_time))
        >>> round(sun.elevation_deg, 1), round(sun.azimuth_deg)
        (68.4, 180)
    """
    within("latitude_deg", latitude_deg, -90.0, 90.0)
    within("longitude_deg", longitude_deg, -180.0, 180.0)
    days = _days(moment)
    right_ascension, declination = _almanac(days)
    hour_angle = _sidereal_deg(days) + longitude_deg - right_ascension
    return _seen(latitude_deg, declination, hour_angle)


@cited("mean longitude of the sun - its right ascension", ALMANAC)
def equation_of_time(moment: datetime) -> float:
    """How far a sundial is ahead of an even clock: -14 to +17 minutes through the year.

    Equation: E = 240 (L - RA), L and RA in degrees

    Args:
        moment: Date and time with its offset from UTC, 1950 to 2050.

    Returns:
        Seconds, positive where the sundial is ahead.

    Raises:
        OutOfRange: A year outside the range.
        Refused: The moment doesn't say its offset from UTC.

    Source: the Astronomical Almanac's approximate sun, as in Michalsky, Solar Energy 40 (1988)
    227-235, from memory.

    Example:
        >>> from datetime import UTC, datetime
        >>> round(equation_of_time(datetime(2026, 11, 3, 12, tzinfo=UTC)) / 60, 1)
        16.4
    """
    days = _days(moment)
    right_ascension, _ = _almanac(days)
    ahead = (_mean_longitude(days) - right_ascension + 180.0) % 360.0 - 180.0
    return 240.0 * ahead


@cited("23.45 sin(360 (284 + day) / 365)", COOPER)
def declination(day: int) -> float:
    """Declination of the sun from the day of the year alone; right to 1.6 degrees.

    Equation: dec = 23.45 sin(360 (284 + n) / 365)

    Args:
        day: Day of the year [1], 1 to 366.

    Returns:
        Declination [deg].

    Raises:
        OutOfRange: A day that no year has.

    Source: Cooper, Solar Energy 12 (1969) 333-346, from memory.

    Example:
        >>> round(declination(172), 2)
        23.45
    """
    within("day", day, 1, 366)
    return 23.45 * sin(radians(360.0 * (284 + day) / 365.0))


@cited("sun by day of the year and hour by the sun", COOPER)
def sun_by_solar_time(latitude_deg: float, day: int, solar_hour: float) -> Sun:
    """Where the sun stands, by a sundial's time: noon is when it is highest.

    Equation: sin h = sin(lat) sin(dec) + cos(lat) cos(dec) cos(15 (hour - 12))

    Args:
        latitude_deg: Latitude [deg], -90 to 90, north positive.
        day: Day of the year [1], 1 to 366.
        solar_hour: Hour by the sun [h], 0 to 24.

    Returns:
        Elevation without refraction and azimuth from north by east [deg].

    Raises:
        OutOfRange: A value outside its range.

    Source: definition of the hour angle; declination by Cooper 1969, from memory.

    Example:
        >>> round(sun_by_solar_time(45.0, 172, 12.0).elevation_deg, 2)
        68.45
    """
    within("latitude_deg", latitude_deg, -90.0, 90.0)
    within("solar_hour", solar_hour, 0.0, 24.0)
    return _seen(latitude_deg, declination(day), 15.0 * (solar_hour - 12.0))


@cited("1098 cos(zenith) e^(-0.059 / cos(zenith))", HAURWITZ)
def clear_sky(elevation_deg: float, law: str = "haurwitz") -> float:
    """Sun and sky together on a level surface under a clear sky.

    Equation: G = 1098 sin(h) exp(-0.059 / sin(h))

    Args:
        elevation_deg: The sun's elevation [deg], -90 to 90; none comes from below the horizon.
        law: "haurwitz" or "haurwitz-0.057", the other printing of its coefficient.

    Returns:
        Short-wave radiation [W/m2].

    Raises:
        OutOfRange: An elevation that there isn't.
        Refused: The law isn't known.

    Source: Haurwitz 1945 as in SAND2012-2389; 0.059 read in pvlib, 0.057 from memory.

    Example:
        >>> round(clear_sky(68.45), 1), clear_sky(-3.0)
        (958.5, 0.0)
    """
    within("elevation_deg", elevation_deg, -90.0, 90.0)
    sky = picked("law", law, CLEAR_SKIES)
    cosine = sin(radians(elevation_deg))
    return sky.top * cosine * exp(-sky.loss / cosine) if cosine > 0.0 else 0.0


@cited("share of a clear sky's sun that cloud lets through", CLOUD)
def cloud_factor(cloud: float, law: str = "kasten-czeplak") -> float:
    """Share of a clear sky's sun that gets through cloud.

    Equation: 1 - 0.75 n^3.4 (Kasten & Czeplak); 1 - 0.65 n (linear)

    Args:
        cloud: Share of the sky under cloud [1], 0 to 1.
        law: "kasten-czeplak" or "linear".

    Returns:
        Share [1]: 1 under a clear sky, 0.25 or 0.35 under an overcast one.

    Raises:
        OutOfRange: A share of cloud outside 0 to 1.
        Refused: The law isn't known.

    Source: Kasten & Czeplak, Solar Energy 24 (1980) 177-189, from memory; linear: Larson et al.
    2016 as in pvlib's documentation, read.

    Example:
        >>> cloud_factor(1.0), round(cloud_factor(0.5), 3), cloud_factor(1.0, "linear")
        (0.25, 0.929, 0.35)
    """
    within("cloud", cloud, 0.0, 1.0)
    return picked("law", law, CLOUD_LAWS).formula(cloud)


@cited("share absorbed x clear-sky sun x share through cloud", "definition")
def absorbed_sun(
    elevation_deg: float, absorptivity: float, cloud: float = 0.0, law: str = "kasten-czeplak"
) -> float:
    """What a level mat takes up of sun and sky.

    Equation: q = a G f(n)

    Args:
        elevation_deg: The sun's elevation [deg], -90 to 90.
        absorptivity: Share that the mat absorbs [1], 0 to 1; a new mat 0.90 to 0.95.
        cloud: Share of the sky under cloud [1], 0 to 1.
        law: For the cloud, "kasten-czeplak" or "linear"; the clear sky is Haurwitz's.

    Returns:
        Absorbed short-wave radiation [W/m2].

    Raises:
        OutOfRange: A value outside its range.
        Refused: The law isn't known.

    Source: definition.

    Example:
        >>> round(absorbed_sun(30.0, 0.9, cloud=0.5), 1)
        407.9
    """
    within("absorptivity", absorptivity, 0.0, 1.0)
    return absorptivity * clear_sky(elevation_deg) * cloud_factor(cloud, law)


def _days(moment: datetime) -> float:
    """Days and parts of a day since noon UT on 1 January 2000."""
    if moment.utcoffset() is None:
        raise Refused("moment", moment.isoformat(), "it must say its offset from UTC")
    if not FIRST_YEAR <= moment.year <= LAST_YEAR:
        allowed = f"the sun is worked out for the years {FIRST_YEAR} to {LAST_YEAR}"
        raise OutOfRange("moment", moment.isoformat(), allowed)
    return (moment - J2000).total_seconds() / 86_400.0


def _mean_longitude(days: float) -> float:
    return 280.460 + 0.9856474 * days


def _sidereal_deg(days: float) -> float:
    """Greenwich's mean sidereal time [deg]."""
    universal_hour = 24.0 * (days + 0.5)
    return 15.0 * (6.697375 + 0.0657098242 * days + universal_hour)


def _almanac(days: float) -> tuple[float, float]:
    """Right ascension and declination of the sun [deg]."""
    anomaly = radians(357.528 + 0.9856003 * days)
    longitude = radians(_mean_longitude(days) + 1.915 * sin(anomaly) + 0.020 * sin(2 * anomaly))
    tilt = radians(23.439 - 0.0000004 * days)
    ascension = atan2(cos(tilt) * sin(longitude), cos(longitude))
    return degrees(ascension), degrees(asin(sin(tilt) * sin(longitude)))


def _seen(latitude_deg: float, declination_deg: float, hour_angle_deg: float) -> Sun:
    """The sun as seen from a latitude, so far past noon."""
    lat, dec, hour = radians(latitude_deg), radians(declination_deg), radians(hour_angle_deg)
    east = -cos(dec) * sin(hour)
    north = cos(lat) * sin(dec) - sin(lat) * cos(dec) * cos(hour)
    up = sin(lat) * sin(dec) + cos(lat) * cos(dec) * cos(hour)
    azimuth = degrees(atan2(east, north)) % 360.0 % 360.0  # twice: a hair below 0 gives 360
    return Sun(degrees(atan2(up, hypot(east, north))), azimuth)
