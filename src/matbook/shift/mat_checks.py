"""Forecasts held against readings taken behind this screed: those that agree narrow the range."""

from bisect import bisect_right
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import partial
from typing import Final

from matbook.engine.calibration import ODD_AT, OWN_K, contradict, foreseen, reweighed
from matbook.engine.reading import READ_BY, Reading
from matbook.shift.calls import Call
from matbook.shift.facts import Fact, Facts
from matbook.shift.laid import Strip
from matbook.shift.mats import KINDS, Mat, mats, misread
from matbook.shift.places import label, metres

PLACE_M: Final = 2.0
"""Readings nearer than this are of one place; stations are read to a metre or so."""
LATELY: Final = timedelta(hours=1)
"""A contradiction is said for so long."""
STAGES: Final = ("mat", "breakdown", "intermediate", "finish")


@dataclass(frozen=True)
class Compared:
    """One reading on the mat beside what was expected there."""

    fact: Fact
    mat: Mat
    expected_c: float
    spread_k: float
    """Standard deviation of what was expected, the reading's own error included [K]."""
    state: str
    """agrees, odd, contradicts (another, see `against`), or unnoted: its conditions were not noted,
    so that it can't count."""
    against: Fact | None = None

    @property
    def read_c(self) -> float:
        return self.fact.si("temp") or 0.0


@dataclass(frozen=True)
class Checked:
    """Every reading of the mat, and the members' weights after them; None before the first."""

    readings: tuple[Compared, ...]
    weights: tuple[float, ...] | None

    @property
    def agreeing(self) -> int:
        return len([one for one in self.readings if one.state == "agrees"])

    @property
    def odd(self) -> tuple[Compared, ...]:
        return tuple(one for one in self.readings if one.state == "odd")

    @property
    def contradicting(self) -> tuple[Compared, ...]:
        """The later one of each two that contradict each other."""
        return tuple(
            one
            for one in self.readings
            if one.against is not None and one.against.order < one.fact.order
        )

    def narrower(self, mat: Mat) -> float:
        """By what share the range of a mat's time became narrower [1]; below 0 it became wider."""
        before, after = mat.left(), mat.left(self.weights)
        if before is None or after is None or before.late <= before.early:
            return 0.0
        return 1.0 - (after.late - after.early) / (before.late - before.early)


def checked(facts: Facts, now: datetime, restarts: Mapping[Strip, float]) -> Checked:
    """The readings up to a moment, in their order."""
    taken = facts.of("temperature")
    count = bisect_right(taken, now.timestamp(), key=lambda fact: fact.order[0])
    last = taken[count - 1].at if count else now
    key = ("mat-checks", last, tuple(sorted(restarts.items())))
    return facts.remembered(key, KINDS, lambda: _checked(facts, last, mats(facts, restarts)))


def _checked(facts: Facts, last: datetime, laid: Sequence[Mat]) -> Checked:
    taken = list(_taken(facts, last, laid))
    against = _contradicting(taken)
    found: list[Compared] = []
    weights: tuple[float, ...] | None = None
    used: tuple[object, ...] = ()
    for one in taken:
        fact, mat, reading, members = one.fact, one.mat, one.reading, one.members
        if reading is None:
            found.append(Compared(fact, mat, 0.0, 0.0, "unnoted"))
            continue
        # by the same readings the same objects: what was worked out by them is found again
        step = (*used, fact.id, id(mat.family), mat.starts_c, reading)
        held = weights or (1.0,) * len(members)
        middle, spread, after = facts.once(("weighed", step), partial(_weigh, held, one))
        other = against.get(fact.id)
        state = "contradicts" if other else "odd" if after is None else "agrees"
        found.append(Compared(fact, mat, middle, spread, state, other))
        if state == "agrees":
            used, weights = step, after
    return Checked(tuple(found), weights)


def _weigh(held: tuple[float, ...], one: "_Taken") -> tuple[float, float, tuple[float, ...] | None]:
    """What a reading should be, its spread, and the members' weights after it if it agrees."""
    assert one.reading is not None
    middle, spread = foreseen(one.members, held, one.reading.how)
    if abs(one.reading.temp_c - middle) > ODD_AT * spread:
        return middle, spread, None
    return middle, spread, reweighed(held, one.members, one.reading, OWN_K)


@dataclass(frozen=True)
class _Taken:
    """A reading on a piece, and what each member would have read; none where it can't count."""

    fact: Fact
    mat: Mat
    at_m: float
    reading: Reading | None
    members: list[float]


def _taken(facts: Facts, last: datetime, laid: Sequence[Mat]) -> Iterator[_Taken]:
    for fact in facts.of("temperature"):
        if fact.at > last or fact.text("stage") not in STAGES:
            continue
        mat = _mat_of(facts, fact, laid)
        if mat is None:
            continue
        at_m = metres(facts.plan_at(fact.at), fact) or 0.0
        reading = _reading(fact, mat, at_m)
        if reading is None or reading.at_s <= mat.family.lasting_s:
            members = [] if reading is None else mat.family.expected(mat.starts_c, reading)
            yield _Taken(fact, mat, at_m, reading, members)


def _contradicting(taken: Sequence[_Taken]) -> dict[str, Fact]:
    """Of each reading that another, soon after it in one place, contradicts: that other."""
    found: dict[str, Fact] = {}
    for n, one in enumerate(taken):
        for other in taken[n + 1 :]:
            a, b = one.reading, other.reading
            here = one.mat is other.mat and abs(one.at_m - other.at_m) <= PLACE_M
            if not here or a is None or b is None:
                continue
            if contradict(a, b, (one.members, other.members), (1.0,) * len(one.members)):
                found.setdefault(one.fact.id, other.fact)
                found.setdefault(other.fact.id, one.fact)
    return found


def _mat_of(facts: Facts, fact: Fact, laid: Sequence[Mat]) -> Mat | None:
    """The piece that a reading was taken on, the uppermost; None where it lies on none."""
    at_m, lift = metres(facts.plan_at(fact.at), fact), fact.place("lift")
    for mat in reversed(laid):
        low, high = sorted((mat.piece.from_m, mat.piece.to_m))
        here = at_m is not None and low <= at_m <= high and lift in ("", mat.piece.lift)
        if here and mat.lane == fact.place("lane") and mat.from_at <= fact.at:
            return mat
    return None


def _reading(fact: Fact, mat: Mat, at_m: float) -> Reading | None:
    """A reading whose conditions were noted: a settled probe, or a skin without water or steam."""
    temp, how = fact.si("temp"), fact.text("how")
    noted = fact.text("settled") == "yes" if how == "probe" else fact.text("water") == "none"
    if temp is None or how not in READ_BY or not noted:
        return None
    since = max(0.0, (fact.at - mat.at_station(at_m)).total_seconds())
    depth = fact.si("depth") if how == "probe" else None
    deep = depth if depth is not None and depth <= mat.family.lift.thickness_m else None
    return Reading(since, temp, "probe" if how == "probe" else "infrared", deep)


def calls(facts: Facts, now: datetime, restarts: Mapping[Strip, float]) -> Iterator[Call]:
    """Readings that contradict each other, and pieces laid as no mix can be."""
    for one in checked(facts, now, restarts).contradicting:
        if one.against is not None and now - one.fact.at <= LATELY:
            says: dict[str, object] = {
                "read": one.read_c,
                "other": one.against.si("temp"),
                "station": one.fact.place("station"),
            }
            ids = one.against.id, one.fact.id
            yield Call("mat.contradict", one.fact.id, "watch", one.fact.at, says, None, (), ids)
    for wrong in misread(facts, restarts):
        piece = wrong.piece
        plan = facts.plan_at(piece.at)
        says = {
            "read": wrong.laid_c,
            "base": wrong.base_c,
            "station": label(plan, piece.lane, piece.from_m),
        }
        name = piece.part.fact.id
        yield Call("mat.misread", name, "watch", piece.at, says, None, (), (name, wrong.entry))
