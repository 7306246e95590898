"""What a mat is made of and what its surface meets: layers, film, sky and sun."""

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import inf
from typing import Final

from matbook.engine.ranges import within
from matbook.errors import OutOfRange

STEFAN_BOLTZMANN: Final = 5.670374419e-8
"""Radiation constant [W/m2K4]; CODATA 2018, exact."""
ZERO_C: Final = 273.15
"""0 °C in kelvin; definition."""


@dataclass(frozen=True, slots=True)
class Layer:
    """One layer, as compacted.

    Args:
        thickness_m: Thickness [m], above 0 to 10.
        conductivity_w_mk: Conductivity [W/mK], 0.02 to 10.
        density_kg_m3: Density [kg/m3], 200 to 4000.
        heat_j_kgk: Specific heat [J/kgK], 200 to 5000.
        start_c: Temperature at the start [°C], -100 (ice, see `wetness.frozen`) to 250; or as pairs
            of (depth in the layer [m], temperature [°C]) from its top to its bottom, straight
            between them, none deeper than the layer is thick.
        contact_m2k_w: Resistance between this layer and the one below [m2K/W], 0 to 1.

    Raises:
        OutOfRange: A value outside its range.

    Source: definition.

    Example:
        >>> Layer(0.05, 1.21, 2243.0, 921.0, 150.0).heat_j_m3k
        2065803.0
    """

    thickness_m: float
    conductivity_w_mk: float
    density_kg_m3: float
    heat_j_kgk: float
    start_c: float | tuple[tuple[float, float], ...]
    contact_m2k_w: float = 0.0

    def __post_init__(self) -> None:
        within("thickness_m", self.thickness_m, 0.001, 10.0)
        within("conductivity_w_mk", self.conductivity_w_mk, 0.02, 10.0)
        within("density_kg_m3", self.density_kg_m3, 200.0, 4000.0)
        within("heat_j_kgk", self.heat_j_kgk, 200.0, 5000.0)
        within("contact_m2k_w", self.contact_m2k_w, 0.0, 1.0)
        temps = self.profile
        if not temps or not all(a < b for (a, _), (b, _) in pairwise(temps)):
            raise OutOfRange("start_c", temps, "one temperature, or pairs whose depths increase")
        for depth, temp in temps:
            within("start_c", depth, 0.0, self.thickness_m)
            within("start_c", temp, -100.0, 250.0)

    @property
    def profile(self) -> tuple[tuple[float, float], ...]:
        """The start as pairs of depth [m] and temperature [°C]; one pair where it is even."""
        return self.start_c if isinstance(self.start_c, tuple) else ((0.0, self.start_c),)

    @property
    def hottest_c(self) -> float:
        """The highest temperature at the start [°C]."""
        return max(temp for _, temp in self.profile)

    @property
    def heat_j_m3k(self) -> float:
        """Heat that warms a cubic metre by one kelvin [J/m3K]."""
        return self.density_kg_m3 * self.heat_j_kgk

    @property
    def diffusivity_m2_s(self) -> float:
        """How fast a change of temperature spreads [m2/s]."""
        return self.conductivity_w_mk / self.heat_j_m3k

    def start_at(self, depth_m: float) -> float:
        """Temperature at the start, at a depth below the layer's own top [°C]."""
        if not isinstance(self.start_c, tuple):
            return self.start_c
        pairs = self.start_c
        place = bisect_right(pairs, (depth_m, inf))
        if place in (0, len(pairs)):
            return pairs[max(0, place - 1)][1]
        (x0, t0), (x1, t1) = pairs[place - 1 : place + 1]
        return t0 + (t1 - t0) * (depth_m - x0) / (x1 - x0)


@dataclass(frozen=True, slots=True)
class FixedFilm:
    """A surface with one film coefficient, as the analytic solutions have it.

    Args:
        film_w_m2k: Film coefficient [W/m2K], 0 to 1000.
        air_c: Air [°C], -40 to 60.
        absorbed_w_m2: Sun absorbed, less what evaporates [W/m2], -20000 to 1400.

    Raises:
        OutOfRange: A value outside its range.

    Source: definition.

    Example:
        >>> FixedFilm(20.0, 15.0).loss_w_m2(115.0)
        2000.0
    """

    film_w_m2k: float
    air_c: float
    absorbed_w_m2: float = 0.0

    def __post_init__(self) -> None:
        within("film_w_m2k", self.film_w_m2k, 0.0, 1000.0)
        within("air_c", self.air_c, -40.0, 60.0)
        within("absorbed_w_m2", self.absorbed_w_m2, -20_000.0, 1400.0)

    def loss_w_m2(self, surface_c: float) -> float:
        """Heat that leaves the surface at its temperature [W/m2]."""
        film, fourth, constant = self.terms
        kelvin = surface_c + ZERO_C
        return film * surface_c + fourth * kelvin**4 - constant

    @property
    def terms(self) -> tuple[float, float, float]:
        """The loss as film x T + fourth x (T + 273.15)^4 - constant."""
        return self.film_w_m2k, 0.0, self.film_w_m2k * self.air_c + self.absorbed_w_m2


@dataclass(frozen=True, slots=True)
class OpenSky:
    """A surface under the sky: film to the air, radiation by the fourth power, sun.

    Args:
        film_w_m2k: Film coefficient of the wind alone, no radiation in it [W/m2K], 0 to 200.
        air_c: Air [°C], -40 to 60.
        sky_c: Temperature of the sky as it radiates [°C], -100 to 60.
        absorbed_w_m2: Sun absorbed, less what evaporates [W/m2], -20000 to 1400.
        emissivity: Emissivity of the surface [1], 0 to 1.

    Raises:
        OutOfRange: A value outside its range.

    Source: definition.

    Example:
        >>> round(OpenSky(20.0, 15.0, 15.0).loss_w_m2(150.0))
        4013
    """

    film_w_m2k: float
    air_c: float
    sky_c: float
    absorbed_w_m2: float = 0.0
    emissivity: float = 0.92

    def __post_init__(self) -> None:
        within("film_w_m2k", self.film_w_m2k, 0.0, 200.0)
        within("air_c", self.air_c, -40.0, 60.0)
        within("sky_c", self.sky_c, -100.0, 60.0)
        within("absorbed_w_m2", self.absorbed_w_m2, -20_000.0, 1400.0)
        within("emissivity", self.emissivity, 0.0, 1.0)

    def loss_w_m2(self, surface_c: float) -> float:
        """Heat that leaves the surface at its temperature [W/m2]."""
        film, fourth, constant = self.terms
        return film * surface_c + fourth * (surface_c + ZERO_C) ** 4 - constant

    @property
    def terms(self) -> tuple[float, float, float]:
        """The loss as film x T + fourth x (T + 273.15)^4 - constant."""
        fourth = self.emissivity * STEFAN_BOLTZMANN
        radiated = fourth * (self.sky_c + ZERO_C) ** 4
        return self.film_w_m2k, fourth, self.film_w_m2k * self.air_c + self.absorbed_w_m2 + radiated


Surroundings = FixedFilm | OpenSky
Weather = Surroundings | Sequence[tuple[float, Surroundings]]
"""One state of the surroundings; or each with the moment from which it holds [s], the first 0."""
