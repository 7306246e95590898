"""The mat as it cools: every piece laid, when, how hot, and until when rolling makes density.

Pieces of one shift share forecasts: a family for each state of the weather (see `engine.family`).
"""

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from math import fsum, log
from typing import Final

from matbook.engine.family import HOTTEST_C, Family
from matbook.engine.forecasting import Range
from matbook.engine.layers import Layer
from matbook.engine.materials import material
from matbook.engine.warm import warmed
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
UNDER: Final = (("dense-mix", 0.10), ("crushed-damp", 0.30), ("subgrade", 0.70))
"""What is taken to lie under the mat where the plan doesn't say."""
DEEP_M: Final = 1.1
THINNEST_M: Final = 0.01
YOUNGEST_S: Final = 60.0
AGED: Final = 1.25
"""Ages of a lift as a base are told apart by this factor."""
WARM_K: Final = 10.0
"""And its laying temperatures by this."""
NEAR_M: Final = 120.0
"""A temperature behind the screed speaks for the mat so far around it."""


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
    on: "Mat | None" = None
    """The lift under it, if that was laid this shift too."""

    @property
    def lane(self) -> str:
        return self.piece.lane

    def at_station(self, at_m: float) -> datetime:
        """When a station of it was laid."""
        length = self.piece.to_m - self.piece.from_m
        share = (at_m - self.piece.from_m) / length if length else 0.0
        return self.from_at + min(1.0, max(0.0, share)) * (self.to_at - self.from_at)

    def reaches(self, temp_c: float) -> float:
        """When its mean comes down to a temperature at the best guess [s]; late if never."""
        return self.family.reaches(self.laid_c, temp_c)

    def left(self, weights: tuple[float, ...] | None = None) -> Range | None:
        """Time from laying until rolling makes no more density [s]."""
        return self.family.time_left(self.laid_c, weights)


def mats(facts: Facts, restarts: Mapping[Strip, float]) -> tuple[Mat, ...]:
    """Every piece of mat whose cooling can be forecast, in the order in which it was laid."""
    key = ("mats", tuple(sorted(restarts.items())))
    return facts.remembered(key, KINDS, lambda: _mats(facts, restarts))


def _mats(facts: Facts, restarts: Mapping[Strip, float]) -> tuple[Mat, ...]:
    timed: list[Timed] = []
    for strip, mine in _by_strip(pieces(facts, restarts)).items():
        track = _track(facts, strip, mine)
        for piece in mine:
            ends = [_when(track, _sense(facts, piece) * at) for at in (piece.from_m, piece.to_m)]
            if ends[0] is not None and ends[1] is not None:
                timed.append((ends[0], ends[1], piece))
    found: list[Mat] = []
    for one in sorted(timed, key=lambda one: one[0]):
        mat = _mat(facts, one, found)
        if mat is not None:
            found.append(mat)
    return tuple(found)


def _sense(facts: Facts, piece: Piece) -> float:
    """The direction of paving against that of the stations."""
    lane = facts.plan_at(piece.at).lanes[piece.lane]
    return -1.0 if lane.to_m < lane.from_m else 1.0


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


Timed = tuple[datetime, datetime, Piece]
"""When a piece's first and last station were laid."""

Warm = tuple[Family, float, float]
"""A lift laid this shift as a base: what it cools by, as laid [°C], and how old it is [s]."""

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


def _mat(facts: Facts, timed: Timed, before: Sequence[Mat]) -> Mat | None:
    first, last, piece = timed
    plan = facts.plan_at(piece.at)
    lift, mix = plan.lifts.get(piece.lift), plan.mixes.get(piece.mix)
    sky = sky_at(skies(facts), first)
    if plan.site is None or lift is None or mix is None or sky is None:
        return None
    on = _under(piece, before)
    warm = None if on is None else _warm(on, first)
    family = _family(facts, plan, lift, mix, sky, warm)
    laid_c, by, entry = _laid(facts, plan, piece)
    if family is None or laid_c is None or not family.takes(laid_c):
        return None
    return Mat(piece, first, last, laid_c, by, entry, family, sky, on)


def _under(piece: Piece, before: Sequence[Mat]) -> Mat | None:
    """The mat of another lift that was laid this shift where this piece lies."""
    middle = (piece.from_m + piece.to_m) / 2.0
    for mat in reversed(before):
        low, high = sorted((mat.piece.from_m, mat.piece.to_m))
        if mat.lane == piece.lane and mat.piece.lift != piece.lift and low <= middle <= high:
            return mat
    return None


def _warm(on: Mat, at: datetime) -> Warm:
    """The lift below by what cools alike: its temperature to 10 K, its age in steps of a fourth."""
    middle = on.at_station((on.piece.from_m + on.piece.to_m) / 2.0)
    age_s = max(YOUNGEST_S, (at - middle).total_seconds())
    steps = round(log(age_s / YOUNGEST_S) / log(AGED))
    return on.family, WARM_K * round(on.laid_c / WARM_K), YOUNGEST_S * AGED**steps


def _family(
    facts: Facts, plan: Plan, lift: Lift, mix: Mix, sky: Sky, warm: Warm | None
) -> Family | None:
    """The forecasts for a lift under a sky; kept while the plan stays."""
    key = ("cooling", lift.id, mix.id, sky, warm, id(plan))
    return facts.once(key, lambda: _made(facts, plan, lift, mix, sky, warm))


def _made(
    facts: Facts, plan: Plan, lift: Lift, mix: Mix, sky: Sky, warm: Warm | None
) -> Family | None:
    assert plan.site is not None
    thick = lift.thickness_m
    stuff = material("dense-mix")
    density = mix.density_kg_m3 or stuff.density_kg_m3
    if thick is None and lift.spread_kg_m2 is not None:
        thick = lift.spread_kg_m2 / density
    end, over = ends_c(plan, mix), sky.over(plan.site, sky.since)
    if thick is None or end is None or over is None:
        return None
    try:
        own = Layer(thick, stuff.conductivity_w_mk, density, stuff.heat_j_kgk, HOTTEST_C)
        return Family(own, _ground(plan, sky) if warm is None else _warmed(facts, warm), over, end)
    except OutOfRange:
        return None


def _ground(plan: Plan, sky: Sky) -> tuple[Layer, ...]:
    """What lay there before this shift, all of it as warm as its surface was."""
    base = sky.base_c if sky.base_c is not None else sky.air_c
    under = [(one.material, one.thickness_m) for one in plan.ground] or list(UNDER)
    deep = DEEP_M - fsum(thickness for _, thickness in under)
    if deep > THINNEST_M:
        under.append(("subgrade", deep))
    return tuple(material(name).layer(thickness, base or 0.0) for name, thickness in under)


def _warmed(facts: Facts, warm: Warm) -> tuple[Layer, ...]:
    family, laid_c, age_s = warm
    layers = (replace(family.lift, start_c=laid_c), *family.below)
    return facts.once(("warmed", *warm), lambda: warmed(layers, family.weather, age_s))


def _laid(facts: Facts, plan: Plan, piece: Piece) -> tuple[float | None, str, str]:
    """How hot a piece was laid: by the probe behind the screed, else its load less its loss."""
    middle = (piece.from_m + piece.to_m) / 2.0
    near = [
        (abs(at_m - middle), fact)
        for fact in facts.of("temperature")
        if fact.text("stage") == "laydown"
        and fact.text("how") != "infrared"
        and fact.place("lane") == piece.lane
        and fact.place("lift") in ("", piece.lift)
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
