"""The mat as it cools: every piece laid, when, how hot, and until when rolling makes density.

What they cool by is in `families`.
"""

from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import pairwise
from math import inf
from operator import itemgetter
from typing import Final

from matbook.engine.family import Family
from matbook.engine.forecasting import Range
from matbook.engine.weather import STRONGEST_WIND_M_S
from matbook.engine.wetness import on_base_c
from matbook.plan.model import Plan
from matbook.shift.bases import KINDS as BASE_KINDS
from matbook.shift.bases import state_at
from matbook.shift.facts import Fact, Facts
from matbook.shift.families import ends_c, family_for, warmth
from matbook.shift.laid import KINDS as LAID_KINDS
from matbook.shift.laid import Piece, Strip, pieces
from matbook.shift.pavers import KINDS as PAVER_KINDS
from matbook.shift.pavers import lines
from matbook.shift.places import metres
from matbook.shift.skies import KINDS as SKY_KINDS
from matbook.shift.skies import Sky, skies, sky_at

KINDS: Final = (*LAID_KINDS, *SKY_KINDS, *BASE_KINDS)
SAME_M: Final = 1.0
"""Stations are read to so much: a paver seen so far back stood."""
NEAR_M: Final = 120.0
"""A temperature behind the screed speaks for the mat so far around it."""


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
    starts_c: float
    """What it cools from: as laid, less what water on its base took."""
    state: str
    """Of its base: dry, damp, wet or frozen."""
    on: "Mat | None" = None
    """The lift under it, if that was laid this shift too."""

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

    def covers(self, at_m: float) -> bool:
        """Whether it lies at a station."""
        low, high = sorted((self.piece.from_m, self.piece.to_m))
        return low <= at_m <= high

    def at_station(self, at_m: float) -> datetime:
        """When a station of it was laid; where the paver stood, when it came there."""
        for (one, began), (other, ended) in pairwise(self.path):
            if one != other and min(one, other) <= at_m <= max(one, other):
                return began + (at_m - one) / (other - one) * (ended - began)
        first = abs(at_m - self.piece.from_m) < abs(at_m - self.piece.to_m)
        return self.from_at if first else self.to_at

    def station_at(self, at: datetime) -> float:
        """How far of it had been laid at a moment [m along the road]; the paver may have stood."""
        for (one, began), (other, ended) in pairwise(self.path):
            if began <= at < ended:
                return one + (at - began) / (ended - began) * (other - one)
        return self.piece.from_m if at < self.from_at else self.piece.to_m

    def reaches(self, temp_c: float, where: str = "mean") -> float:
        """When mean or surface are down to a temperature at the best guess [s]; late if never."""
        return self.family.reaches(self.starts_c, temp_c, where)

    def temps(
        self, after_s: float, weights: tuple[float, ...] | None
    ) -> tuple[Range, Range] | None:
        """Its mean and its surface so long after laying [°C]; None after hours."""
        return self.family.temps(self.starts_c, after_s, weights)

    def left(self, weights: tuple[float, ...] | None = None) -> Range | None:
        """Time from laying until rolling makes no more density [s]."""
        return self.family.time_left(self.starts_c, weights)

    def until(self, temp_c: float, weights: tuple[float, ...] | None = None) -> Range | None:
        """Time from laying until its mean comes down to a temperature [s]."""
        return self.family.time_left(self.starts_c, weights, temp_c)


Course = tuple[str, str]
"""Lane and lift."""

Laid = Mapping[Course, Sequence[Mat]]
"""What was laid so far, in its order."""


@dataclass(frozen=True)
class Misread:
    """A piece that no mix can be: laid no hotter than its base, or hotter than any mix."""

    piece: Piece
    laid_c: float
    base_c: float
    entry: str


def mats(facts: Facts, restarts: Mapping[Strip, float]) -> tuple[Mat, ...]:
    """Every piece of mat whose cooling can be forecast, in the order in which it was laid."""
    return _both(facts, restarts)[0]


def misread(facts: Facts, restarts: Mapping[Strip, float]) -> tuple[Misread, ...]:
    """Every piece whose temperature, place or time must be wrong: it is in no forecast."""
    return _both(facts, restarts)[1]


def _both(
    facts: Facts, restarts: Mapping[Strip, float]
) -> tuple[tuple[Mat, ...], tuple[Misread, ...]]:
    key = ("mats", tuple(sorted(restarts.items())))
    return facts.remembered(key, KINDS, lambda: _mats(facts, restarts))


def _mats(
    facts: Facts, restarts: Mapping[Strip, float]
) -> tuple[tuple[Mat, ...], tuple[Misread, ...]]:
    timed: list[Timed] = []
    for strip, mine in _by_strip(pieces(facts, restarts)).items():
        sense = _sense(facts, mine[0])
        track = _track(facts, strip, mine, sense)
        timed += [(_path(track, piece, sense), piece) for piece in mine]
    timed.sort(key=_laid_at)
    kept, several = _kept(facts), facts.clocks.several
    found: list[Mat] = []
    laid: dict[Course, list[Mat]] = defaultdict(list)
    wrong: list[Misread] = []
    for path, piece in timed:
        on = _under(piece, laid)
        clocks = tuple(at.utcoffset() for _, at in path) if several else ()
        key = piece.key, piece.run, path, clocks, id(on)
        if key not in kept:
            kept[key] = _mat(facts, path, piece, on)
        mat = kept[key]
        if isinstance(mat, Mat):
            found.append(mat)
            laid[piece.lane, piece.lift].append(mat)
        elif mat is not None:
            wrong.append(mat)
    return tuple(found), tuple(wrong)


def _laid_at(one: "Timed") -> datetime:
    """When the first station of a piece was laid."""
    return one[0][0][1]


Kept = dict[object, Mat | Misread | None]


def _kept(facts: Facts) -> Kept:
    """The pieces as they were made, for as long as what they are made from stays as it is.

    A reading on the mat behind the rollers changes none of it.
    """
    probed = facts.remembered("probed", ("temperature",), lambda: _probed(facts))
    made_from = skies(facts), probed, tuple(facts.stamp(kind) for kind in BASE_KINDS)
    held: list[tuple[object, Kept]] = facts.once(("mats kept",), list)
    if not held or held[0][0] != made_from:
        held[:] = [(made_from, {})]
    return held[0][1]


def _probed(facts: Facts) -> tuple[object, ...]:
    return tuple(fact.key for fact in facts.of("temperature") if fact.text("stage") == "laydown")


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


def _by_strip(laid: Sequence[Piece]) -> dict[Strip, list[Piece]]:
    found: dict[Strip, list[Piece]] = {}
    for piece in laid:
        found.setdefault(piece.strip, []).append(piece)
    return found


Timed = tuple[tuple[Step, ...], Piece]
"""A piece, and the paver's way over it."""

Track = tuple[list[float], list[datetime]]
"""Distances along the direction of paving [m], rising, and when the paver was there."""


def _track(facts: Facts, strip: Strip, mine: Sequence[Piece], sense: float) -> Track:
    """Where the paver was when: its own points, and where each load ended as it was written."""
    seen = facts.remembered(("points", strip), PAVER_KINDS, lambda: _points(facts, strip))
    ends = [
        (piece.part.fact.order[0], piece.to_m, piece.at) for piece in mine if piece.ends_as_written
    ]
    at_m: list[float] = []
    times: list[datetime] = []
    latest, reached = -inf, -inf
    for moment, where, at in sorted(
        (since, sense * to_m, at) for since, to_m, at in (*seen, *ends)
    ):
        if moment <= latest or where < reached - SAME_M:
            continue
        latest, reached = moment, max(where, reached)
        at_m.append(reached)
        times.append(facts.local(at))  # alike on every screen
    return at_m, times


def _points(facts: Facts, strip: Strip) -> list[tuple[float, float, datetime]]:
    """When a paver was where in a lane and lift: as a number too, which is soon compared."""
    lane, lift, paver = strip
    return [
        (point.at.timestamp(), point.station_m, point.at)
        for line in lines(facts)
        if line.paver == paver
        for point in line.points
        if (point.lane, point.lift) == (lane, lift)
    ]


def _path(track: Track, piece: Piece, sense: float) -> tuple[Step, ...]:
    """The paver's way over a piece; a stop is two steps at one place."""
    places, times = track
    start, end = sorted((sense * piece.from_m, sense * piece.to_m))
    first, last = bisect_right(places, start), bisect_left(places, end)
    way = [(sense * start, _when(track, start, first))]
    for n in range(first, last):
        way.append((sense * places[n], times[n]))
    way.append((sense * end, _when(track, end, last)))
    return tuple(way)


def _when(track: Track, at_m: float, n: int) -> datetime:
    """When the paver was at a place that lies between its points n - 1 and n."""
    places, times = track
    if n == 0 or (n < len(places) and places[n] == at_m):
        return times[n]
    if n == len(places) or places[n - 1] == at_m:
        return times[n - 1]
    share = (at_m - places[n - 1]) / ((places[n] - places[n - 1]) or 1.0)
    return times[n - 1] + share * (times[n] - times[n - 1])


def _mat(
    facts: Facts, path: tuple[Step, ...], piece: Piece, on: Mat | None
) -> Mat | Misread | None:
    first, plan = path[0][1], facts.plan_at(piece.at)
    sky, middle = sky_at(skies(facts), first), (piece.from_m + piece.to_m) / 2.0
    state = state_at(facts, piece.lane, middle, first, None if on is None else on.to_at)
    laid_c, by, entry = _laid(facts, plan, piece)
    if sky is None or laid_c is None:
        return None
    warm = None if on is None else warmth(on.family, on.starts_c, first - on.at_station(middle))
    family = family_for(facts, piece, first, warm, frozen=state == "frozen")
    if family is None:
        return None
    starts_c = on_base_c(laid_c, family.lift, state)
    if not family.takes(starts_c):
        return Misread(piece, laid_c, family.base_c, entry)
    return Mat(piece, path, laid_c, by, entry, family, sky, starts_c, state, on)


def _under(piece: Piece, before: Laid) -> Mat | None:
    """The mat of another lift that was laid this shift where this piece lies, the uppermost."""
    middle = (piece.from_m + piece.to_m) / 2.0
    others = (
        next((mat for mat in reversed(laid) if mat.covers(middle)), None)
        for (lane, lift), laid in before.items()
        if lane == piece.lane and lift != piece.lift
    )
    return max((mat for mat in others if mat), key=lambda mat: mat.from_at, default=None)


def _laid(facts: Facts, plan: Plan, piece: Piece) -> tuple[float | None, str, str]:
    """How hot a piece was laid: by the probe behind the screed, else its load less its loss."""
    middle = (piece.from_m + piece.to_m) / 2.0
    probed = _nearest(*_behind_the_screed(facts, piece.lane, piece.lift), middle)
    if probed is not None:
        return probed.si("temp"), "screed", probed.id
    load = piece.part.load
    looked = load.looked_at
    if looked is not None and looked.text("temp_how") != "infrared" and plan.site is not None:
        temp = looked.si("temp")
        return (None if temp is None else temp - plan.site.laydown_loss_k), "load", looked.id
    return None, "", ""


def _nearest(places: Sequence[float], probed: Sequence[Fact], at_m: float) -> Fact | None:
    """The reading nearest to a place; of those as near the first, and none that is too far."""
    after = bisect_left(places, at_m)
    before = bisect_left(places, places[after - 1]) if after else after
    near = [(abs(places[n] - at_m), n) for n in {before, after} if n < len(places)]
    far, n = min(near, default=(inf, 0))
    return probed[n] if far <= NEAR_M else None


def _behind_the_screed(facts: Facts, lane: str, lift: str) -> tuple[list[float], list[Fact]]:
    """Where a lift was probed as it came from the screed [m], and the readings."""

    def found() -> tuple[list[float], list[Fact]]:
        probed = [
            (at_m, fact)
            for fact in facts.of("temperature")
            if fact.text("stage") == "laydown"
            and fact.text("how") != "infrared"
            and fact.place("lane") == lane
            and fact.place("lift") in ("", lift)
            and (at_m := metres(facts.plan_at(fact.at), fact)) is not None
        ]
        probed.sort(key=itemgetter(0))
        return [at_m for at_m, _ in probed], [fact for _, fact in probed]

    return facts.remembered(("behind-the-screed", lane, lift), ("temperature",), found)
