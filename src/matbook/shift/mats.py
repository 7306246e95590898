"""The mat as it cools: every piece laid, when, how hot, and until when rolling makes density.

Pieces of one shift share forecasts: one for each state of the weather and a few laying
temperatures, between which the times are interpolated.
"""

from bisect import bisect_left, bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cached_property
from itertools import pairwise
from math import floor, fsum
from typing import Final

from matbook.engine.forecasting import Forecast, Range, forecast
from matbook.engine.layers import Layer, OpenSky
from matbook.engine.materials import material
from matbook.engine.reading import Reading
from matbook.engine.weather import STRONGEST_WIND_M_S
from matbook.errors import OutOfRange
from matbook.plan.model import Lift, Mix, Plan
from matbook.shift.facts import Facts
from matbook.shift.laid import KINDS as LAID_KINDS
from matbook.shift.laid import Piece, Strip, pieces
from matbook.shift.pavers import lines
from matbook.shift.places import metres
from matbook.shift.skies import KINDS as SKY_KINDS
from matbook.shift.skies import Sky, skies, sky_at

KINDS: Final = (*LAID_KINDS, *SKY_KINDS)
APART_K: Final = 15.0
"""Forecasts are made at laying temperatures so far apart."""
UNDER: Final = (("dense-mix", 0.10), ("crushed-damp", 0.30), ("subgrade", 0.70))
"""What is taken to lie under the mat where the plan doesn't say."""
DEEP_M: Final = 1.1
THINNEST_M: Final = 0.01
NEAR_M: Final = 120.0
"""A temperature behind the screed speaks for the mat so far around it."""
SAME_M: Final = 1.0
"""Stations are read to so much: a paver seen so far back stood."""
LONG_S: Final = 10_800.0
"""Temperatures are asked for as long after laying as this."""


@dataclass(frozen=True)
class Family:
    """The forecasts of one lift under one state of the weather, made where they are asked for."""

    lift: Layer
    below: tuple[Layer, ...]
    sky: OpenSky
    ends_c: float
    """Mean temperature of the mat at which rolling makes no more density."""

    @cached_property
    def _made(self) -> dict[int, Forecast]:
        return {}

    @cached_property
    def _times(
        self,
    ) -> dict[tuple[float, float, int], tuple[Range | None, tuple[float, ...] | None]]:
        return {}

    def node(self, number: int) -> Forecast:
        """The forecast at a multiple of `APART_K`."""
        if number not in self._made:
            lift = Layer(
                self.lift.thickness_m,
                self.lift.conductivity_w_mk,
                self.lift.density_kg_m3,
                self.lift.heat_j_kgk,
                number * APART_K,
            )
            self._made[number] = forecast(
                [lift, *self.below], self.sky, self.ends_c, lasting_s=LONG_S
            )
        return self._made[number]

    def around(self, laid_c: float) -> tuple[tuple[int, float], ...]:
        """Three forecasts around a laying temperature, each with its weight."""
        least = floor(self.ends_c / APART_K) + 1
        first = max(least, floor(laid_c / APART_K - 0.5))
        x = laid_c / APART_K - first
        return (
            (first, (x - 1.0) * (x - 2.0) / 2.0),
            (first + 1, -x * (x - 2.0)),
            (first + 2, x * (x - 1.0) / 2.0),
        )

    def time_left(self, laid_c: float, weights: tuple[float, ...] | None) -> Range | None:
        """How long after laying rolling makes density [s]; None if it does for hours."""
        return self.time_to(laid_c, self.ends_c, weights)

    def time_to(
        self, laid_c: float, temp_c: float, weights: tuple[float, ...] | None
    ) -> Range | None:
        """When the mean comes down to a temperature [s]; None if it doesn't for hours."""
        key = laid_c, temp_c, id(weights)
        if key not in self._times:
            # with the weights, so that nothing else gets their id
            self._times[key] = self._time_to(laid_c, temp_c, weights), weights
        return self._times[key][0]

    def _time_to(
        self, laid_c: float, temp_c: float, weights: tuple[float, ...] | None
    ) -> Range | None:
        if laid_c <= temp_c:
            return Range(0.0, 0.0, 0.0)
        found = []
        for number, weight in self.around(laid_c):
            one = self._node_time(number, temp_c, weights)
            if one is None:
                return None
            found.append((one, weight))
        return Range(
            max(0.0, fsum(weight * one.early for one, weight in found)),
            max(0.0, fsum(weight * one.middle for one, weight in found)),
            max(0.0, fsum(weight * one.late for one, weight in found)),
        )

    def _node_time(
        self, number: int, temp_c: float, weights: tuple[float, ...] | None
    ) -> Range | None:
        key = -float(number), temp_c, id(weights)
        if key not in self._times:
            found = _weighed(self.node(number), weights).time_to(temp_c)
            self._times[key] = found, weights
        return self._times[key][0]

    def temps(
        self, laid_c: float, after_s: float, weights: tuple[float, ...] | None
    ) -> tuple[Range, Range] | None:
        """Mean and surface so long after laying [°C]; None later than anybody asks for."""
        if after_s > LONG_S:
            return None
        first = floor(laid_c / APART_K)
        share = laid_c / APART_K - first
        one, other = (_weighed(self.node(n), weights) for n in (first, first + 1))
        return (
            _between(one.mean_c(after_s), other.mean_c(after_s), share),
            _between(one.surface_c(after_s), other.surface_c(after_s), share),
        )

    def expected(self, laid_c: float, reading: Reading) -> list[float]:
        """What each member would have read [°C]."""
        (one, _), (other, _) = self.around(laid_c)[:2]
        share = laid_c / APART_K - one
        first, second = (self.node(n).expected(reading) for n in (one, other))
        return [a + share * (b - a) for a, b in zip(first, second, strict=True)]

    def reaches(self, laid_c: float, temp_c: float, where: str = "mean") -> float:
        """When mean or surface come down to a temperature at the best guess [s]; late if never."""
        if laid_c <= temp_c:
            return 0.0
        key = laid_c, temp_c, where
        if key not in self._reached:
            (one, _), (other, _) = self.around(laid_c)[:2]
            share = laid_c / APART_K - one
            ends = [
                LONG_S if (found := self.node(n).curve.time_to(temp_c, where)) is None else found
                for n in (one, other)
            ]
            self._reached[key] = max(0.0, ends[0] + share * (ends[1] - ends[0]))
        return self._reached[key]

    @cached_property
    def _reached(self) -> dict[tuple[float, float, str], float]:
        return {}


def _between(one: Range, other: Range, share: float) -> Range:
    return Range(
        one.early + share * (other.early - one.early),
        one.middle + share * (other.middle - one.middle),
        one.late + share * (other.late - one.late),
    )


def _weighed(made: Forecast, weights: tuple[float, ...] | None) -> Forecast:
    if weights is None:
        return made
    return replace(made, weights=weights)


Step = tuple[float, datetime]
"""A station [m], and when the paver was there."""


@dataclass(frozen=True)
class Mat:
    """One piece of mat: where, when and how hot it was laid, and what it cools by."""

    piece: Piece
    path: tuple[Step, ...]
    """Where the paver was when, from its first station to its last; a stop is two steps."""
    laid_c: float
    laid_by: str
    """screed, load or limit: what its laying temperature was taken from."""
    laid_entry: str
    family: Family
    sky: Sky

    @property
    def lane(self) -> str:
        return self.piece.lane

    @property
    def from_at(self) -> datetime:
        """When its first station was laid."""
        return self.path[0][1]

    @property
    def to_at(self) -> datetime:
        """When its last station was laid."""
        return self.path[-1][1]

    def at_station(self, at_m: float) -> datetime:
        """When a station of it was laid; where the paver stood, when it came there."""
        for (one, began), (other, ended) in pairwise(self.path):
            if one != other and min(one, other) <= at_m <= max(one, other):
                return began + (at_m - one) / (other - one) * (ended - began)
        return (
            self.from_at
            if abs(at_m - self.piece.from_m) < abs(at_m - self.piece.to_m)
            else self.to_at
        )

    def left(self, weights: tuple[float, ...] | None = None) -> Range | None:
        """Time from laying until rolling makes no more density [s]."""
        return self.family.time_left(self.laid_c, weights)


def mats(facts: Facts, restarts: Mapping[Strip, float]) -> tuple[Mat, ...]:
    """Every piece of mat whose cooling can be forecast, in the order in which it was laid."""
    key = ("mats", tuple(sorted(restarts.items())))
    return facts.remembered(key, KINDS, lambda: _mats(facts, restarts))


def _mats(facts: Facts, restarts: Mapping[Strip, float]) -> tuple[Mat, ...]:
    found = []
    for strip, mine in _by_strip(pieces(facts, restarts)).items():
        track = _track(facts, strip, mine)
        for piece in mine:
            one = _mat(facts, piece, track)
            if one is not None:
                found.append(one)
    return tuple(sorted(found, key=lambda mat: mat.from_at))


def missing(plan: Plan, facts: Facts) -> str:
    """Why nothing can be forecast, as the code of a sentence; empty if it can."""
    if plan.site is None:
        return "cooling.no-site"
    if all(ends_c(plan, mix) is None for mix in plan.mixes.values()):
        return "cooling.no-end"
    states = skies(facts)
    if not any(one.air_c is not None and one.wind_m_s is not None for one in states):
        return "cooling.no-weather"
    if (states[-1].wind_m_s or 0.0) > STRONGEST_WIND_M_S:
        return "cooling.odd-weather"
    return ""


def ends_c(plan: Plan, mix: Mix) -> float | None:
    """Mean temperature at which rolling makes no more density, by the mix or by its phases."""
    if mix.rolling_ends_c is not None:
        return mix.rolling_ends_c
    mine = [one.ends_c for one in plan.phases if one.mix in ("", mix.id) and one.makes_density]
    return min(mine, default=None)


def _by_strip(laid: Sequence[Piece]) -> dict[Strip, list[Piece]]:
    found: dict[Strip, list[Piece]] = {}
    for piece in laid:
        found.setdefault(piece.strip, []).append(piece)
    return found


Track = tuple[list[float], list[datetime]]
"""Distances along the direction of paving [m], rising, and when the paver was there."""


def _track(facts: Facts, strip: Strip, mine: Sequence[Piece]) -> Track:
    """Where the paver was when: its own points, and where each load ended as it was written."""
    lane, lift, paver = strip
    plan = facts.plan_at(mine[0].at)
    sense = -1.0 if plan.lanes[lane].to_m < plan.lanes[lane].from_m else 1.0
    points = [
        (point.at, sense * point.station_m)
        for line in lines(facts)
        if line.paver == paver
        for point in line.points
        if (point.lane, point.lift) == (lane, lift)
    ]
    points += [(piece.at, sense * piece.to_m) for piece in mine]
    at_m: list[float] = []
    times: list[datetime] = []
    for at, where in sorted(points):
        if times and (at <= times[-1] or where < at_m[-1] - SAME_M):
            continue
        at_m.append(max(where, at_m[-1]) if at_m else where)
        times.append(at)
    return at_m, times


def _path(track: Track, from_m: float, to_m: float) -> list[tuple[float, datetime]]:
    """The paver's way from one place to another [m along its direction]; a stop is two steps."""
    places, times = track
    first, last = bisect_right(places, from_m), bisect_left(places, to_m)
    between = zip(places[first:last], times[first:last], strict=True)
    return [(from_m, _when(track, from_m, first)), *between, (to_m, _when(track, to_m, last))]


def _when(track: Track, at_m: float, n: int) -> datetime:
    """When the paver was at a place that lies between its points n - 1 and n."""
    places, times = track
    if n == 0:
        return times[0]
    if n == len(places):
        return times[-1]
    share = (at_m - places[n - 1]) / ((places[n] - places[n - 1]) or 1.0)
    return times[n - 1] + share * (times[n] - times[n - 1])


def _mat(facts: Facts, piece: Piece, track: Track) -> Mat | None:
    plan = facts.plan_at(piece.at)
    lane, lift, mix = plan.lanes[piece.lane], plan.lifts.get(piece.lift), plan.mixes.get(piece.mix)
    if plan.site is None or lift is None or mix is None:
        return None
    sense = -1.0 if lane.to_m < lane.from_m else 1.0
    path = tuple(
        (sense * at_m, at)
        for at_m, at in _path(track, *sorted((sense * piece.from_m, sense * piece.to_m)))
    )
    sky = sky_at(skies(facts), path[0][1])
    family = None if sky is None else _family(facts, plan, lift, mix, sky)
    if sky is None or family is None:
        return None
    laid_c, by, entry = _laid(facts, plan, piece)
    if laid_c is None:
        return None
    return Mat(piece, path, laid_c, by, entry, family, sky)


def _family(facts: Facts, plan: Plan, lift: Lift, mix: Mix, sky: Sky) -> Family | None:
    """The forecasts for a lift under a sky; kept while the plan stays."""
    key = ("cooling", lift.id, mix.id, sky, id(plan))
    return facts.once(key, lambda: _made(plan, lift, mix, sky))


def _made(plan: Plan, lift: Lift, mix: Mix, sky: Sky) -> Family | None:
    assert plan.site is not None
    thick = lift.thickness_m
    density = mix.density_kg_m3 or material("dense-mix").density_kg_m3
    if thick is None and lift.spread_kg_m2 is not None:
        thick = lift.spread_kg_m2 / density
    end, over = ends_c(plan, mix), sky.over(plan.site, sky.since)
    if thick is None or end is None or over is None:
        return None
    stuff = material("dense-mix")
    base = sky.base_c if sky.base_c is not None else sky.air_c
    under = [(one.material, one.thickness_m) for one in plan.ground] or list(UNDER)
    deep = DEEP_M - fsum(thickness for _, thickness in under)
    if deep > THINNEST_M:
        under.append(("subgrade", deep))
    try:
        return Family(
            Layer(thick, stuff.conductivity_w_mk, density, stuff.heat_j_kgk, 150.0),
            tuple(material(name).layer(thickness, base or 0.0) for name, thickness in under),
            over,
            end,
        )
    except OutOfRange:
        return None


def _laid(facts: Facts, plan: Plan, piece: Piece) -> tuple[float | None, str, str]:
    """How hot a piece was laid: by the probe behind the screed, else its load less its loss."""
    middle = (piece.from_m + piece.to_m) / 2.0
    near = [
        (abs(at_m - middle), fact)
        for fact in facts.of("temperature")
        if fact.text("stage") == "laydown"
        and fact.text("how") != "infrared"
        and fact.place("lane") == piece.lane
        and (at_m := metres(plan, fact)) is not None
        and abs(at_m - middle) <= NEAR_M
    ]
    if near:
        fact = min(near, key=lambda pair: pair[0])[1]
        return fact.si("temp"), "screed", fact.id
    load = piece.part.load
    looked = load.looked_at
    if looked is not None and looked.text("temp_how") != "infrared" and plan.site is not None:
        temp = looked.si("temp")
        return (None if temp is None else temp - plan.site.laydown_loss_k), "load", looked.id
    return None, "", ""
