"""The weather over the mat, as it was written down: each state holds until the next one."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final

from matbook.engine.layers import OpenSky
from matbook.engine.sun import absorbed_sun, sun_position
from matbook.engine.weather import (
    STRONGEST_WIND_M_S,
    film_coefficient,
    sky_temperature,
    wind_at,
)
from matbook.plan.model import Site
from matbook.shift.facts import Facts

KINDS: Final = ("weather", "surface", "temperature")
FILM_LAW: Final = "vehrencamp"
SKY_LAW: Final = "swinbank"
ABSORBS: Final = 0.92
"""Share of the sun that a new mat takes up; the middle of 0.90 to 0.95."""
MAT_C: Final = 100.0
"""The film law asks for the surface: the middle of what a mat goes through."""
AT_MAT_M: Final = 1.5
"""Height of the wind that cools a mat; the plan says where it is read."""
ALIKE: Final = 0.15
"""Weather that takes so nearly the same from a mat of `MAT_C` is one: pieces share forecasts."""
CHANGES_S: Final = (0.0, 1200.0, 2400.0, 3600.0, 5400.0)
"""A change is taken to come so long after laying, the nearest of these."""
HOURS: Final = 24
"""The sun is followed by the hour for so long."""
CLOUD: Final = {"clear": 0.1, "part cloud": 0.5, "overcast": 1.0, "fog": 1.0}
"""Share of the sky under cloud, by the word that was chosen; assumed."""


@dataclass(frozen=True, slots=True)
class Sky:
    """What the weather was from a moment on; what nobody wrote down is None."""

    since: datetime
    air_c: float | None
    wind_m_s: float | None
    cloud: float | None
    base_c: float | None
    """What the mat is laid on."""
    entries: tuple[str, ...]
    """The entries it was taken from."""

    def over(self, site: Site, at: datetime) -> OpenSky | None:
        """What the surface of a mat meets at a moment; None while air or wind isn't known."""
        if self.air_c is None or self.wind_m_s is None or self.wind_m_s > STRONGEST_WIND_M_S:
            return None
        cloud = 0.5 if self.cloud is None else self.cloud
        wind = wind_at(AT_MAT_M, self.wind_m_s, site.wind_height_m)
        sun = sun_position(site.latitude_deg, site.longitude_deg, at)
        return OpenSky(
            film_coefficient(min(wind, STRONGEST_WIND_M_S), FILM_LAW, MAT_C, self.air_c),
            self.air_c,
            sky_temperature(self.air_c, SKY_LAW, cloud=cloud),
            absorbed_sun(sun.elevation_deg, ABSORBS, cloud),
        )


def skies(facts: Facts) -> tuple[Sky, ...]:
    """Every state of the weather, in order of time; fields nobody changed are carried on."""
    return facts.remembered("skies", KINDS, lambda: _skies(facts))


def sky_at(states: Sequence[Sky], at: datetime) -> Sky | None:
    """The state that held at a moment; before the first one, the first."""
    held = [state for state in states if state.since <= at]
    return held[-1] if held else next(iter(states), None)


def weather_from(
    met: Sequence[tuple[datetime, OpenSky]], at: datetime, for_s: float
) -> tuple[tuple[float, OpenSky], ...]:
    """What a mat laid at a moment meets while it cools; empty while air or wind isn't known.

    The weather at laying, then every change, each with the moment after laying from which it
    holds [s].

    Args:
        met: What surfaces met, as `followed` gives it.
        at: When the mat was laid.
        for_s: How long it cools [s]; what changes later is left out.
    """
    since = [((begins - at).total_seconds(), sky) for begins, sky in met]
    held = [sky for begins, sky in since if begins <= 0.0] or [sky for _, sky in since[:1]]
    found = [(0.0, sky) for sky in held[-1:]]
    for begins, sky in since:
        if 0.0 < begins <= for_s:
            nearest = min(CHANGES_S, key=lambda one: abs(one - begins))
            if nearest <= found[-1][0]:
                found.pop()
            found.append((nearest, sky))
    return tuple(found)


def followed(states: Sequence[Sky], site: Site) -> tuple[tuple[datetime, OpenSky], ...]:
    """What surfaces met through the shift: the weather as written, the sun by the hour.

    The sun is that of the middle of the hour. Only what differs from the one before by
    `ALIKE` of the heat that a mat loses.
    """
    found: list[tuple[datetime, OpenSky]] = []
    moments = {state.since for state in states}
    for first in states[:1]:
        moments |= {_hour(first.since) + timedelta(hours=n) for n in range(1, HOURS)}
    for at in sorted(moments):
        state = sky_at(states, at)
        over = None if state is None else state.over(site, _hour(at) + timedelta(minutes=30))
        if over is not None and not (found and _alike(found[-1][1], over)):
            found.append((at, over))
    return tuple(found)


def _alike(one: OpenSky, other: OpenSky) -> bool:
    """Whether a mat loses about as much heat to the one as to the other."""
    first, second = one.loss_w_m2(MAT_C), other.loss_w_m2(MAT_C)
    return abs(second - first) < ALIKE * abs(first)


def _hour(at: datetime) -> datetime:
    return at.replace(minute=0, second=0, microsecond=0)


def _skies(facts: Facts) -> tuple[Sky, ...]:
    found: list[Sky] = []
    said = [*facts.of("weather"), *facts.of("surface")]
    said += [one for one in facts.of("temperature") if one.text("stage") == "base"]
    for fact in sorted(said, key=lambda one: one.order):
        last = found[-1] if found else Sky(fact.at, None, None, None, None, ())
        kind = fact.entry.kind
        base = fact.si("surface" if kind == "weather" else "temp")
        air, wind = (fact.si("air"), fact.si("wind")) if kind == "weather" else (None, None)
        cloud = CLOUD.get(fact.text("sky")) if kind == "weather" else None
        found.append(
            Sky(
                fact.at,
                last.air_c if air is None else air,
                last.wind_m_s if wind is None else wind,
                last.cloud if cloud is None else cloud,
                last.base_c if base is None else base,
                (*last.entries, fact.id)[-6:],
            )
        )
    return tuple(found)
