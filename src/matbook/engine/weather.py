"""Weather on a mat: how fast wind takes heat away, and how cold the sky is.

The wind that counts blows over the mat; `wind_at` brings one that was measured higher down to it.
Where the sun stands and what comes of it is in `sun`, and is had from here too.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import cos, log, pi
from typing import Final

from matbook.engine.cited import cited
from matbook.engine.ranges import above_zero, picked, within
from matbook.engine.sun import CLEAR_SKIES as CLEAR_SKIES
from matbook.engine.sun import CLOUD_LAWS as CLOUD_LAWS
from matbook.engine.sun import Sun as Sun
from matbook.engine.sun import absorbed_sun as absorbed_sun
from matbook.engine.sun import clear_sky as clear_sky
from matbook.engine.sun import cloud_factor as cloud_factor
from matbook.engine.sun import declination as declination
from matbook.engine.sun import equation_of_time as equation_of_time
from matbook.engine.sun import sun_by_solar_time as sun_by_solar_time
from matbook.engine.sun import sun_position as sun_position
from matbook.errors import OutOfRange, Refused

FILM: Final = "the law chosen: Alford, Jürges, Watmuff or Vehrencamp; from memory where marked"
PROFILE: Final = "logarithmic wind profile over level ground, neutral air; from memory"
SKY: Final = "the law chosen: Swinbank, Berdahl & Martin or Bliss; from memory where marked"
MAGNUS: Final = (
    "Magnus form of Sonntag 1990, recommended in WMO No. 8 (2008); constants read in the "
    "documentation of pvlib and of R's bigleaf"
)

ZERO_C_K: Final = 273.15
STRONGEST_WIND_M_S: Final = 30.0
"""Nobody paves in a storm: above this a wind is refused, whatever the law."""


@dataclass(frozen=True, slots=True)
class FilmLaw:
    """A published law for the film coefficient of a surface in the wind."""

    formula: Callable[[float, float, float], float]
    """Wind [m/s], mean of surface and air [K], their difference [K] -> W/m2K."""
    reach_m_s: float
    """The strongest wind it was published for; ours where its authors name none."""
    source: str
    standing: str
    by_surface: bool = False
    """Whether it asks for the temperatures of surface and air."""


FILM_LAWS: Final[Mapping[str, FilmLaw]] = {
    # Its 7.4 W/m2K in still air holds about 5 of radiation: with sky or air temperature beside
    # it, that much is counted twice, as the older cooling charts did.
    "alford": FilmLaw(
        lambda wind, mean, difference: 7.4 + 6.39 * wind**0.75,
        STRONGEST_WIND_M_S,
        "Alford, Ryan & Urban 1939; Barber, HRB Bulletin 168 (1957); Corlew & Dickson, AAPT 37",
        "from memory",
    ),
    "jurges": FilmLaw(
        lambda wind, mean, difference: 5.7 + 3.8 * wind if wind <= 5.0 else 7.1 * wind**0.78,
        STRONGEST_WIND_M_S,
        "Jürges 1924, McAdams 1954; above 5 m/s as read in the IDEAS library's ExteriorConvection",
        "from memory up to 5 m/s, read above",
    ),
    "watmuff": FilmLaw(
        lambda wind, mean, difference: 2.8 + 3.0 * wind,
        7.0,
        "Watmuff, Charters & Proctor 1977 (COMPLES), also its range",
        "from memory",
    ),
    "vehrencamp": FilmLaw(
        lambda wind, mean, difference: (
            698.24 * (0.00144 * mean**0.3 * wind**0.7 + 0.00097 * difference**0.3)
        ),
        STRONGEST_WIND_M_S,
        "Vehrencamp 1953 as in NAP 14410, eq. 19, read but for the exponent 0.7 of the wind",
        "read; the exponent from memory",
        by_surface=True,
    ),
}
"""Film coefficients by wind; Watmuff's and Vehrencamp's hold no radiation."""


@dataclass(frozen=True, slots=True)
class SkyLaw:
    """A published law for the temperature of a clear sky."""

    formula: Callable[[float, float, float], float]
    """Air [K], dew point [degC], hours from midnight -> sky [K]."""
    source: str
    standing: str
    asks: tuple[str, ...] = ()
    """What it needs besides the temperature of the air."""


SKY_LAWS: Final[Mapping[str, SkyLaw]] = {
    "air": SkyLaw(lambda air, dew, hour: air, "sky taken as warm as air: definition", "definition"),
    "swinbank": SkyLaw(
        lambda air, dew, hour: 0.0552 * air**1.5,
        "Swinbank, Quarterly Journal of the RMS 89 (1963) 339-348",
        "from memory",
    ),
    "bliss": SkyLaw(
        lambda air, dew, hour: air * (0.8 + 0.004 * dew) ** 0.25,
        "Bliss, Solar Energy 5 (1961) 103-120",
        "read; title from memory",
        ("dew_point_c",),
    ),
    "berdahl-martin": SkyLaw(
        lambda air, dew, hour: (
            air * (0.711 + 0.0056 * dew + 0.000073 * dew**2 + 0.013 * cos(pi * hour / 12.0)) ** 0.25
        ),
        "Berdahl & Martin, Solar Energy 32 (1984) 663-664; hours counted from midnight",
        "read; title and the start of the hours from memory",
        ("dew_point_c", "hour"),
    ),
}
"""Temperatures of a clear sky."""

COLDEST_DEW_C: Final = -20.0
WARMEST_DEW_C: Final = 30.0
"""Dew points that the sky laws are taken for; from memory, the papers' own were not in hand."""

MAGNUS_B: Final = 17.62
MAGNUS_C: Final = 243.12
MAGNUS_FROM_C: Final = -45.0
MAGNUS_TO_C: Final = 60.0
"""Over water, with the range that WMO gives it."""


@cited("film coefficient by wind, by the law chosen", FILM)
def film_coefficient(
    wind_m_s: float,
    law: str,
    surface_c: float | None = None,
    air_c: float | None = None,
    extrapolate: bool = False,
) -> float:
    """Heat that wind takes from a surface, for each degree that it is warmer than the air.

    Equation: 7.4 + 6.39 v^0.75 (Alford); 5.7 + 3.8 v to 5 m/s, 7.1 v^0.78 above (Jürges);
    2.8 + 3.0 v (Watmuff); 698.24 (0.00144 Tm^0.3 v^0.7 + 0.00097 |Ts - Ta|^0.3) (Vehrencamp)

    Args:
        wind_m_s: Wind over the mat [m/s], 0 to 30, for "watmuff" to 7.
        law: "alford", "jurges", "watmuff" or "vehrencamp".
        surface_c: Temperature of the surface [degC], -50 to 300; Vehrencamp needs it.
        air_c: Temperature of the air [degC], -50 to 60; Vehrencamp needs it.
        extrapolate: Take the law beyond its own range, up to 30 m/s; `beyond_reach` says whether
            that happens.

    Returns:
        Film coefficient [W/m2K].

    Raises:
        OutOfRange: A value outside its range.
        Refused: The law isn't known, or lacks a temperature.

    Source: Alford, Ryan & Urban 1939; Jürges 1924 and McAdams; Watmuff et al. 1977; Vehrencamp
    1953 as in NAP 14410, eq. 19; each row of FILM_LAWS says what was read and what is from memory.

    Example:
        >>> round(film_coefficient(10 / 3.6, "alford"), 2)
        21.15
        >>> round(film_coefficient(10 / 3.6, "vehrencamp", surface_c=100.0, air_c=15.0), 2)
        14.28
    """
    row = picked("law", law, FILM_LAWS)
    if beyond_reach(wind_m_s, law) and not extrapolate:
        allowed = f"the law of {law} holds from 0 to {row.reach_m_s:g} m/s"
        raise OutOfRange("wind_m_s", wind_m_s, allowed)
    if not row.by_surface:
        return row.formula(wind_m_s, ZERO_C_K, 0.0)
    surface = _asked("surface_c", surface_c, law, -50.0, 300.0)
    air = _asked("air_c", air_c, law, -50.0, 60.0)
    return row.formula(wind_m_s, (surface + air) / 2.0 + ZERO_C_K, abs(surface - air))


def beyond_reach(wind_m_s: float, law: str) -> bool:
    """Whether a wind is stronger than a law was published for: say so beside the result.

    Args:
        wind_m_s: Wind over the mat [m/s], 0 to 30.
        law: A row of FILM_LAWS.

    Returns:
        True if `film_coefficient` must extrapolate.

    Raises:
        OutOfRange: A wind outside 0 to 30 m/s.
        Refused: The law isn't known.

    Source: definition.

    Example:
        >>> beyond_reach(8.0, "watmuff"), beyond_reach(8.0, "vehrencamp")
        (True, False)
    """
    within("wind_m_s", wind_m_s, 0.0, STRONGEST_WIND_M_S)
    return wind_m_s > picked("law", law, FILM_LAWS).reach_m_s


@cited("wind x ln(height / roughness) / ln(height measured at / roughness)", PROFILE)
def wind_at(
    height_m: float, wind_m_s: float, measured_at_m: float = 10.0, roughness_m: float = 0.03
) -> float:
    """Wind at a height, from wind measured at another: weather stations measure at 10 m.

    Equation: u = u_r ln(z / z0) / ln(z_r / z0)

    Args:
        height_m: Height over the ground that it is wanted at [m], above the roughness, to 100.
        wind_m_s: Wind as measured [m/s], 0 to 30.
        measured_at_m: Height that it was measured at [m], above the roughness, to 100.
        roughness_m: Roughness length of the ground [m], above 0; short grass 0.03.

    Returns:
        Wind [m/s].

    Raises:
        OutOfRange: A value outside its range.

    Source: logarithmic wind profile over level ground, neutral air; from memory.

    Example:
        >>> round(wind_at(1.5, 1.0), 3)
        0.673
    """
    within("wind_m_s", wind_m_s, 0.0, STRONGEST_WIND_M_S)
    above_zero("roughness_m", roughness_m)
    for name, height in (("height_m", height_m), ("measured_at_m", measured_at_m)):
        if not roughness_m < height <= 100.0:
            allowed = f"it must be above the roughness, {roughness_m:g} m, and at most 100 m"
            raise OutOfRange(name, height, allowed)
    return wind_m_s * log(height_m / roughness_m) / log(measured_at_m / roughness_m)


@cited("temperature of the clear sky by the law chosen, moved to the air's by cloud", SKY)
def sky_temperature(
    air_c: float,
    law: str,
    dew_point_c: float | None = None,
    hour: float | None = None,
    cloud: float = 0.0,
) -> float:
    """The temperature that a surface sees above it; cloud moves it in proportion to the air's.

    Equation: 0.0552 Ta^1.5 (Swinbank); Ta (0.8 + 0.004 Td)^0.25 (Bliss);
    Ta (0.711 + 0.0056 Td + 0.000073 Td^2 + 0.013 cos(pi t / 12))^0.25 (Berdahl & Martin)

    Args:
        air_c: Temperature of the air [degC], -40 to 50.
        law: "air", "swinbank", "bliss" or "berdahl-martin".
        dew_point_c: Dew point [degC], -20 to 30 and not above the air's temperature; Bliss and
            Berdahl & Martin need it.
        hour: Hour of the day by the sun [h], 0 to 24; Berdahl & Martin need it.
        cloud: Share of the sky under cloud [1], 0 to 1.

    Returns:
        Temperature of the sky [degC].

    Raises:
        OutOfRange: A value outside its range.
        Refused: The law isn't known, or lacks something it asks for.

    Source: Swinbank 1963, from memory; Bliss 1961; Berdahl & Martin, Solar Energy 32 (1984)
    663-664; each row of SKY_LAWS says what was read and what is from memory.

    Example:
        >>> round(sky_temperature(15.0, "swinbank"), 2)
        -3.15
        >>> round(sky_temperature(15.0, "berdahl-martin", dew_point_c=5.0, hour=12.0), 1)
        -7.0
    """
    row = picked("law", law, SKY_LAWS)
    within("air_c", air_c, -40.0, 50.0)
    within("cloud", cloud, 0.0, 1.0)
    dew = moment = 0.0
    if "dew_point_c" in row.asks:
        dew = _asked("dew_point_c", dew_point_c, law, COLDEST_DEW_C, WARMEST_DEW_C)
        within("dew_point_c", dew, COLDEST_DEW_C, air_c)
    if "hour" in row.asks:
        moment = _asked("hour", hour, law, 0.0, 24.0)
    clear = row.formula(air_c + ZERO_C_K, dew, moment) - ZERO_C_K
    return clear + cloud * (air_c - clear)


@cited("the temperature at which the moisture in the air would begin to condense", MAGNUS)
def dew_point(air_c: float, humidity: float) -> float:
    """Dew point of air.

    Equation: x = ln(RH) + 17.62 T / (243.12 + T); Td = 243.12 x / (17.62 - x)

    Args:
        air_c: Temperature of the air [degC], -45 to 60.
        humidity: Relative humidity [1], above 0 to 1.

    Returns:
        Dew point [degC], never above the air's temperature.

    Raises:
        OutOfRange: A value outside its range, or air so dry that its dew point is below -45 degC.

    Source: Magnus form of Sonntag 1990, recommended in WMO No. 8 (2008) for -45 to 60 degC;
    constants read in the documentation of pvlib and of R's bigleaf.

    Example:
        >>> round(dew_point(20.0, 0.5), 2)
        9.26
    """
    within("air_c", air_c, MAGNUS_FROM_C, MAGNUS_TO_C)
    if not 0.0 < humidity <= 1.0:
        raise OutOfRange("humidity", humidity, "it must be a share above 0 and at most 1")
    moist = _exponent(air_c) + log(humidity)
    if moist < _exponent(MAGNUS_FROM_C):
        allowed = f"in air of {air_c:g} °C that is a dew point below {MAGNUS_FROM_C:g} °C"
        raise OutOfRange("humidity", humidity, allowed)
    return min(air_c, MAGNUS_C * moist / (MAGNUS_B - moist))


def _exponent(temp_c: float) -> float:
    return MAGNUS_B * temp_c / (MAGNUS_C + temp_c)


def _asked(name: str, value: float | None, law: str, low: float, high: float) -> float:
    """A value that a law can't do without."""
    if value is None:
        raise Refused(name, "missing", f"the law of {law} needs it")
    within(name, value, low, high)
    return value
