"""The mat as it cools: every piece laid, when, how hot, and until when rolling makes density.

Pieces of one shift share forecasts: one for each state of the weather and a few laying
temperatures, between which the times are interpolated.
"""

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cached_property
from math import floor, fsum
from typing import Final

from matbook.engine.forecasting import Forecast, Range, forecast
from matbook.engine.layers import Layer, OpenSky
from matbook.engine.reading import Reading
from matbook.engine.weather import STRONGEST_WIND_M_S
from matbook.errors import OutOfRange
from matbook.plan.model import Lift, Mix, Plan
from matbook.shift.facts import Facts
from matbook.shift.ground import beneath, lift_layer
from matbook.shift.laid import KINDS as LAID_KINDS
from matbook.shift.laid import Piece, Strip, pieces
from matbook.shift.pavers import lines
from matbook.shift.places import metres
from matbook.shift.skies import KINDS as SKY_KINDS
from matbook.shift.skies import Sky, skies, sky_at

KINDS: Final = (*LAID_KINDS, *SKY_KINDS)
APART_K: Final = 15.0
"""Forecasts are made at laying temperatures so far apart."""
NEAR_M: Final = 120.0
"""A temperature behind the screed speaks for the mat so far around it."""
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
    def _times(self) -> dict[tuple[float, float, tuple[float, ...] | None], Range | None]:
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

    def time_left(
        self, laid_c: float, weights: tuple[float, ...] | None, ends_c: float | None = None
    ) -> Range | None:
        """How long after laying rolling makes density, or its mean stays above a temperature [s].

        None if it does for hours.
        """
        end = self.ends_c if ends_c is None else ends_c
        key = laid_c, end, weights
        if key not in self._times:
            self._times[key] = self._time_left(laid_c, weights, end)
        return self._times[key]

    def _time_left(
        self, laid_c: float, weights: tuple[float, ...] | None, ends_c: float
    ) -> Range | None:
        if laid_c <= ends_c:
            return Range(0.0, 0.0, 0.0)
        found = []
        for number, weight in self.around(laid_c):
            one = _weighed(self.node(number), weights).time_to(ends_c)
            if one is None:
                return None
            found.append((one, weight))
        return Range(
            max(0.0, fsum(weight * one.early for one, weight in found)),
            max(0.0, fsum(weight * one.middle for one, weight in found)),
            max(0.0, fsum(weight * one.late for one, weight in found)),
        )

    def expected(self, laid_c: float, reading: Reading) -> list[float]:
        """What each member would have read [°C]."""
        (one, _), (other, _) = self.around(laid_c)[:2]
        share = laid_c / APART_K - one
        first, second = (self.node(n).expected(reading) for n in (one, other))
        return [a + share * (b - a) for a, b in zip(first, second, strict=True)]

    def reaches(self, laid_c: float, temp_c: float) -> float:
        """When the mean comes down to a temperature at the best guess [s]; late if never."""
        if laid_c <= temp_c:
            return 0.0
        key = laid_c, temp_c
        if key not in self._reached:
            (one, _), (other, _) = self.around(laid_c)[:2]
            share = laid_c / APART_K - one
            ends = [
                LONG_S if (found := self.node(n).curve.time_to(temp_c)) is None else found
                for n in (one, other)
            ]
            self._reached[key] = max(0.0, ends[0] + share * (ends[1] - ends[0]))
        return self._reached[key]

    @cached_property
    def _reached(self) -> dict[tuple[float, float], float]:
        return {}


def _weighed(made: Forecast, weights: tuple[float, ...] | None) -> Forecast:
    if weights is None:
        return made
    return replace(made, weights=weights)


@dataclass(frozen=True)
class Mat:
    """One piece of mat: where, when and how hot it was laid, and what it cools by."""

    piece: Piece
    from_at: datetime
    """When its first station was laid."""
    to_at: datetime
    laid_c: float
    laid_by: str
    """screed, load or limit: what its laying temperature was taken from."""
    laid_entry: str
    family: Family
    sky: Sky

    @property
    def lane(self) -> str:
        return self.piece.lane

    def at_station(self, at_m: float) -> datetime:
        """When a station of it was laid."""
        length = self.piece.to_m - self.piece.from_m
        share = (at_m - self.piece.from_m) / length if length else 0.0
        return self.from_at + min(1.0, max(0.0, share)) * (self.to_at - self.from_at)

    def left(self, weights: tuple[float, ...] | None = None) -> Range | None:
        """Time from laying until rolling makes no more density [s]."""
        return self.family.time_left(self.laid_c, weights)

    def until(self, temp_c: float, weights: tuple[float, ...] | None = None) -> Range | None:
        """Time from laying until its mean comes down to a temperature [s]."""
        return self.family.time_left(self.laid_c, weights, temp_c)


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
        if at_m and (where <= at_m[-1] or at <= times[-1]):
            if where < at_m[-1] - 1.0 or at <= times[-1]:
                continue
            times[-1] = at  # it stood there until now
            continue
        at_m.append(where)
        times.append(at)
    return at_m, times


def _when(track: Track, at_m: float) -> datetime | None:
    places, times = track
    if not places:
        return None
    n = bisect_right(places, at_m)
    if n == 0:
        return times[0]
    if n == len(places):
        return times[-1]
    share = (at_m - places[n - 1]) / (places[n] - places[n - 1])
    return times[n - 1] + share * (times[n] - times[n - 1])


def _mat(facts: Facts, piece: Piece, track: Track) -> Mat | None:
    plan = facts.plan_at(piece.at)
    lane, lift, mix = plan.lanes[piece.lane], plan.lifts.get(piece.lift), plan.mixes.get(piece.mix)
    if plan.site is None or lift is None or mix is None:
        return None
    sense = -1.0 if lane.to_m < lane.from_m else 1.0
    first, last = (_when(track, sense * at_m) for at_m in (piece.from_m, piece.to_m))
    if first is None or last is None:
        return None
    sky = sky_at(skies(facts), first)
    family = None if sky is None else _family(facts, plan, lift, mix, sky)
    if sky is None or family is None:
        return None
    laid_c, by, entry = _laid(facts, plan, piece)
    if laid_c is None:
        return None
    return Mat(piece, first, last, laid_c, by, entry, family, sky)


def _family(facts: Facts, plan: Plan, lift: Lift, mix: Mix, sky: Sky) -> Family | None:
    """The forecasts for a lift under a sky; kept while the plan stays."""
    key = ("cooling", lift.id, mix.id, sky, id(plan))
    return facts.once(key, lambda: _made(plan, lift, mix, sky))


def _made(plan: Plan, lift: Lift, mix: Mix, sky: Sky) -> Family | None:
    assert plan.site is not None
    thick = lift.thickness_m
    if thick is None and lift.spread_kg_m2 is not None:
        thick = lift.spread_kg_m2 / lift_layer(1.0, mix).density_kg_m3
    end, over = ends_c(plan, mix), sky.over(plan.site, sky.since)
    if thick is None or end is None or over is None:
        return None
    base = sky.base_c if sky.base_c is not None else sky.air_c
    try:
        return Family(lift_layer(thick, mix), beneath(plan.ground, base or 0.0), over, end)
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
