"""A family of forecasts: one lift under one weather, laid at any temperature.

Forecasts are made at a few laying temperatures, where they are asked for, and between them every
member is interpolated by itself, in the root of time, before the range is read. Near the end of
rolling, where the times bend to zero, a forecast is made for that temperature alone.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import floor, fsum, sqrt
from typing import Final

from matbook.engine.curve import check_layers, periods
from matbook.engine.forecasting import (
    LONGEST_S,
    Forecast,
    Ordered,
    Range,
    forecast,
    ordered,
    ranged,
)
from matbook.engine.layers import Layer, Weather
from matbook.engine.ranges import within
from matbook.engine.reading import Reading
from matbook.engine.spreads import check_movable
from matbook.errors import OutOfRange

APART_K: Final = 10.0
"""Forecasts are made at laying temperatures so far apart: their times are then within 10 s."""
NEAR_K: Final = 30.0
"""So near to the end of rolling, or to the heat of the base, nothing is interpolated."""
CLOSE_K: Final = 20.0
"""Nor so near to any other temperature, whose times may be some seconds further off."""
HOTTEST_C: Final = 210.0
"""No mix is laid hotter; what was read so hot was misread."""

Roots = list[float]
"""Of every member the square root of its time [√s]."""


@dataclass(frozen=True)
class Family:
    """The forecasts of one lift in one place under one weather.

    Args:
        lift: The lift; its own temperature plays no part.
        under: What lies below it, from above.
        weather: What the surface meets; or pairs, as in `cool`.
        ends_c: Mean temperature of the mat at which rolling makes no more density [°C], -20 to 200.
        lasting_s: Temperatures can be asked for as long after laying as this [s], 0 to 36000.

    Raises:
        OutOfRange: A lift, a base or weather that no forecast takes.

    Source: interpolation by polynomials (definition); checked against forecasts made one by one.

    Example:
        >>> from matbook.engine.layers import OpenSky
        >>> lift = Layer(0.050, 1.6, 2243.0, 921.0, 150.0)
        >>> base = Layer(1.0, 1.6, 2243.0, 921.0, 15.0)
        >>> family = Family(lift, (base,), OpenSky(15.0, 15.0, 0.0, 200.0), 80.0)
        >>> alone = forecast([lift, base], OpenSky(15.0, 15.0, 0.0, 200.0)).time_to(80.0)
        >>> abs(family.time_left(150.0).middle - alone.middle) < 10.0
        True
    """

    lift: Layer
    under: tuple[Layer, ...]
    weather: Weather
    ends_c: float
    lasting_s: float = 10_800.0

    def __post_init__(self) -> None:
        within("ends_c", self.ends_c, -20.0, 200.0)
        within("lasting_s", self.lasting_s, 0.0, LONGEST_S)
        layers = self._laid(HOTTEST_C)
        check_layers(layers)
        check_movable(layers, periods(self.weather))

    @cached_property
    def base_c(self) -> float:
        """The hottest below the lift [°C]; a mix must be hotter than this."""
        return max(layer.hottest_c for layer in self.under)

    def takes(self, laid_c: float) -> bool:
        """Whether a mat laid at a temperature can be forecast: it is hotter than its base."""
        return self.base_c < laid_c <= HOTTEST_C

    def time_left(
        self,
        laid_c: float,
        weights: tuple[float, ...] | None = None,
        temp_c: float | None = None,
    ) -> Range | None:
        """How long after laying the mean stays above a temperature [s]; None if it does for hours.

        Args:
            laid_c: Temperature at which the mat was laid [°C], above the base and to `HOTTEST_C`.
            weights: Of the members, as readings weighed them; alike if left out.
            temp_c: The temperature [°C]; where rolling makes no more density if left out.
        """
        end = self.ends_c if temp_c is None else temp_c
        key = laid_c, end, id(weights)
        if key not in self._times:
            times = self._members(laid_c, end)
            found = None if times is None else ranged(times, weights)
            self._times[key] = found, weights  # while they are held, nothing else has their id
        return self._times[key][0]

    def temps(
        self, laid_c: float, t_s: float, weights: tuple[float, ...] | None = None
    ) -> tuple[Range, Range] | None:
        """Mean of the lift and its surface, so long after laying [°C]; None beyond `lasting_s`.

        Args:
            laid_c: Temperature at which the mat was laid [°C], above the base and to `HOTTEST_C`.
            t_s: How long after laying [s], 0 or more.
            weights: Of the members, as readings weighed them; alike if left out.
        """
        if t_s > self.lasting_s:
            return None
        nodes = self._around(laid_c, self.base_c)
        made = [self._made_at(temp) for temp, _ in nodes]
        means = _mixed([one.means(t_s) for one in made], nodes)
        surfaces = _mixed([one.surfaces(t_s) for one in made], nodes)
        return ranged(means, weights), ranged(surfaces, weights)

    def expected(self, laid_c: float, reading: Reading) -> list[float]:
        """What each member of a mat laid at a temperature would have read [°C]."""
        within("at_s", reading.at_s, 0.0, self.lasting_s)
        key = laid_c, reading
        if key not in self._expected:
            nodes = self._around(laid_c, self.base_c)
            found = [self._made_at(temp).expected(reading) for temp, _ in nodes]
            self._expected[key] = _mixed(found, nodes)
        return self._expected[key]

    def reaches(self, laid_c: float, temp_c: float, where: str = "mean") -> float:
        """When mean or surface is down to a temperature at the best guess [s]; late if never."""
        key = laid_c, temp_c, where
        if key not in self._reached:
            found = [
                (self._made_at(node).curve.time_to(temp_c, where), weight)
                for node, weight in self._around(laid_c, self.base_c)
            ]
            roots = [
                weight * sqrt(self.lasting_s if time is None else time) for time, weight in found
            ]
            self._reached[key] = max(0.0, fsum(roots)) ** 2 if laid_c > temp_c else 0.0
        return self._reached[key]

    def _laid(self, laid_c: float) -> list[Layer]:
        return [replace(self.lift, start_c=laid_c), *self.under]

    def _around(self, laid_c: float, end: float) -> "Nodes":
        """The laying temperatures that are solved, each with its weight: three, or its own."""
        if not self.takes(laid_c):
            allowed = f"above the base, which is at {self.base_c:g} °C, to {HOTTEST_C:g} °C"
            raise OutOfRange("laid_c", laid_c, allowed)
        near = CLOSE_K if end > self.ends_c else NEAR_K
        if laid_c - end < near or laid_c - self.base_c < NEAR_K:
            return ((laid_c, 1.0),)
        first = min(floor(laid_c / APART_K - 0.5), floor(HOTTEST_C / APART_K) - 2)
        x = laid_c / APART_K - first
        shares = (x - 1.0) * (x - 2.0) / 2.0, -x * (x - 2.0), x * (x - 1.0) / 2.0
        return tuple(((first + n) * APART_K, share) for n, share in enumerate(shares))

    def _made_at(self, laid_c: float) -> Forecast:
        if laid_c not in self._made:
            self._made[laid_c] = forecast(
                self._laid(laid_c), self.weather, self.ends_c, lasting_s=self.lasting_s
            )
        return self._made[laid_c]

    def _members(self, laid_c: float, end: float) -> Ordered | None:
        """The time of every member [s], in order; weights change neither."""
        key = laid_c, end
        if key not in self._ordered:
            roots = self._roots(laid_c, end)
            times = [max(0.0, root) ** 2 for root in roots or []]
            self._ordered[key] = ordered(times) if times else None
        return self._ordered[key]

    def _roots(self, laid_c: float, end: float) -> Roots | None:
        if laid_c <= end:
            return [0.0]
        nodes = self._around(laid_c, end)
        found = []
        for temp, _ in nodes:
            if (temp, end) not in self._ended:
                self._ended[temp, end] = self._made_at(temp).roots(end)
            roots = self._ended[temp, end]
            if roots is None:
                return None
            found.append(roots)
        return _mixed(found, nodes)

    @cached_property
    def _made(self) -> dict[float, Forecast]:
        return {}

    @cached_property
    def _ended(self) -> dict[tuple[float, float], Roots | None]:
        return {}

    @cached_property
    def _ordered(self) -> dict[tuple[float, float], Ordered | None]:
        return {}

    @cached_property
    def _times(self) -> dict[tuple[float, float, int], tuple[Range | None, object]]:
        return {}

    @cached_property
    def _expected(self) -> dict[tuple[float, Reading], list[float]]:
        return {}

    @cached_property
    def _reached(self) -> dict[tuple[float, float, str], float]:
        return {}


Nodes = tuple[tuple[float, float], ...]


def _mixed(values: Sequence[list[float]], nodes: Nodes) -> list[float]:
    """What each member has between the nodes."""
    if len(nodes) == 1:
        return values[0]
    (_, p), (_, q), (_, r) = nodes
    return [p * a + q * b + r * c for a, b, c in zip(*values, strict=True)]
