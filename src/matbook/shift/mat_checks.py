"""Forecasts held against readings taken behind this screed: those that agree narrow the range."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from math import exp, fsum, sqrt
from typing import Final

from matbook.engine.calibration import ODD_AT
from matbook.engine.reading import READ_BY, Reading
from matbook.errors import OutOfRange
from matbook.shift.facts import Fact, Facts
from matbook.shift.laid import Strip
from matbook.shift.mats import KINDS, LONG_S, Mat, mats
from matbook.shift.places import metres

STAGES: Final = ("mat", "breakdown", "intermediate", "finish")
OWN_K: Final = 3.0
"""What one place of a mat differs from the next, beside a reading's own error [K]; assumed. Without
it a few readings would seem to say more of the rest of the mat than they can."""


@dataclass(frozen=True)
class Compared:
    """One reading on the mat beside what was expected there."""

    fact: Fact
    mat: Mat
    expected_c: float
    spread_k: float
    """Standard deviation of what was expected, the reading's own error included [K]."""
    state: str
    """agrees, odd, or unnoted: its conditions were not noted, so that it can't count."""

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

    def narrower(self, mat: Mat) -> float:
        """By what share the range of a mat's time became narrower [1]; below 0 it became wider."""
        before, after = mat.left(), mat.left(self.weights)
        if before is None or after is None or before.late <= before.early:
            return 0.0
        return 1.0 - (after.late - after.early) / (before.late - before.early)


def checked(facts: Facts, now: datetime, restarts: Mapping[Strip, float]) -> Checked:
    """The readings up to a moment, in their order."""
    last = max((fact.at for fact in facts.of("temperature") if fact.at <= now), default=now)
    key = ("mat-checks", last, tuple(sorted(restarts.items())))
    return facts.remembered(key, KINDS, lambda: _checked(facts, last, mats(facts, restarts)))


def _checked(facts: Facts, last: datetime, laid: Sequence[Mat]) -> Checked:
    found: list[Compared] = []
    weights: list[float] | None = None
    for fact in facts.of("temperature"):
        if fact.at > last or fact.text("stage") not in STAGES:
            continue
        mat = _mat_of(facts, fact, laid)
        if mat is None:
            continue
        reading = _reading(facts, fact, mat)
        if reading is None:
            found.append(Compared(fact, mat, 0.0, 0.0, "unnoted"))
            continue
        try:
            members = mat.family.expected(mat.laid_c, reading)
        except OutOfRange:
            continue
        held = weights or [1.0] * len(members)
        total = fsum(held)
        middle = fsum(w * e for w, e in zip(held, members, strict=True)) / total
        error = READ_BY[reading.how][0]
        square = fsum(w * (e - middle) ** 2 for w, e in zip(held, members, strict=True)) / total
        spread = sqrt(square + error * error)
        agrees = abs(reading.temp_c - middle) <= ODD_AT * spread
        found.append(Compared(fact, mat, middle, spread, "agrees" if agrees else "odd"))
        if agrees:
            weights = [
                w * exp(-0.5 * ((reading.temp_c - e) / (error + OWN_K)) ** 2)
                for w, e in zip(held, members, strict=True)
            ]
    return Checked(tuple(found), None if weights is None else tuple(weights))


def _mat_of(facts: Facts, fact: Fact, laid: Sequence[Mat]) -> Mat | None:
    """The piece that a reading was taken on; None where it lies on none."""
    at_m = metres(facts.plan_at(fact.at), fact)
    for mat in laid:
        low, high = sorted((mat.piece.from_m, mat.piece.to_m))
        here = at_m is not None and low <= at_m <= high
        if here and mat.lane == fact.place("lane") and mat.from_at <= fact.at:
            return mat
    return None


def _reading(facts: Facts, fact: Fact, mat: Mat) -> Reading | None:
    """A reading whose conditions were noted: a settled probe, or a skin without water or steam."""
    at_m, temp = metres(facts.plan_at(fact.at), fact), fact.si("temp")
    how = fact.text("how")
    noted = fact.text("settled") == "yes" if how == "probe" else fact.text("water") == "none"
    if at_m is None or temp is None or how not in READ_BY or not noted:
        return None
    since = max(0.0, (fact.at - mat.at_station(at_m)).total_seconds())
    if since > LONG_S:
        return None
    depth = fact.si("depth") if how == "probe" else None
    deep = depth if depth is not None and depth <= mat.family.lift.thickness_m else None
    return Reading(since, temp, "probe" if how == "probe" else "infrared", deep)
