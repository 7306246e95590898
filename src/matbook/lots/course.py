"""How a lift was laid, in the order it was laid: at which tonne or metre the mat had come where."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime
from itertools import accumulate
from math import fsum
from typing import Final

from matbook.engine.widths import width_at
from matbook.plan.model import LotRule, Plan
from matbook.shift.facts import Fact
from matbook.shift.laid import Piece
from matbook.shift.parts import Part

LAST: Final = 5
"""Pieces whose mass a metre says where what isn't laid yet will lie."""
MM: Final = 1000.0

Laid = Piece | Part
"""What was laid in a lane: a piece of mat, or a part of a load whose stations aren't known."""


@dataclass(frozen=True, slots=True)
class Spot:
    """A place on the mat: laid, or where it is expected."""

    lane: str
    lift: str
    at_m: float
    width_m: float
    """Planned width there."""
    load: str
    """Label of the load that lies there; empty where it is only expected."""
    length_m: float
    """How far that load reaches: so well is the station known."""


@dataclass(frozen=True, slots=True)
class Course:
    """What was laid of one lift so far, summed up: kg where lots go by mass, mm by length."""

    plan: Plan
    by: str
    """mass or distance."""
    laid: tuple[Laid, ...]
    ends: tuple[float, ...]
    """How much was laid at the end of each."""

    @property
    def total(self) -> float:
        """How much was laid in all."""
        return self.ends[-1] if self.ends else 0.0

    def when(self, amount: float) -> datetime | None:
        """When the mix was laid of which so much lies before it; None where it isn't laid."""
        ends = zip(self.laid, self.ends, strict=True)
        return next((_fact(one).at for one, end in ends if amount < end), None)

    def laid_by(self, at: datetime) -> float:
        """How much had been laid at a moment."""
        return fsum(amount_of(self.by, one) for one in self.laid if _fact(one).at <= at)

    def spot(self, amount: float) -> Spot | None:
        """Where so much had been laid, or will have been by the pace so far; None if unknown."""
        start = 0.0
        for one, end in zip(self.laid, self.ends, strict=True):
            if amount < end:
                if not isinstance(one, Piece):
                    return None
                share = (amount - start) / (end - start)
                at_m = one.from_m + share * (one.to_m - one.from_m)
                return self._spot(one, at_m, one.part.load.label)
            start = end
        return self._ahead(amount - self.total)

    def _ahead(self, more: float) -> Spot | None:
        """So much beyond what is laid, in the lane that was paved last."""
        last = self.laid[-1] if self.laid else None
        if not isinstance(last, Piece) or last.lane not in self.plan.lanes:
            return None
        lane = self.plan.lanes[last.lane]
        recent = [
            one for one in self.laid[-LAST:] if isinstance(one, Piece) and one.lane == last.lane
        ]
        amount = fsum(amount_of(self.by, one) for one in recent)
        per_m = amount / fsum(one.length_m for one in recent)
        at_m = last.to_m + more / per_m * (1.0 if last.to_m > last.from_m else -1.0)
        low, high = sorted((lane.from_m, lane.to_m))
        return self._spot(last, at_m, "") if low <= at_m <= high else None

    def _spot(self, piece: Piece, at_m: float, load: str) -> Spot:
        width_m = width_at(self.plan.lanes[piece.lane].widths, at_m)
        return Spot(piece.lane, piece.lift, at_m, width_m, load, piece.length_m)


def amount_of(by: str, one: Laid) -> float:
    """How much it counts: kg where lots go by mass, mm by length."""
    if by == "mass":
        return one.mass_kg
    return MM * one.length_m if isinstance(one, Piece) else 0.0


def course(plan: Plan, rule: LotRule, laid: Iterable[Laid]) -> Course:
    """What was laid of a rule's lift, shift after shift.

    Only what went into a lane counts: not waste, and not what was laid outside the lanes.

    Args:
        plan: The plan in force.
        rule: Its lots have a size, by mass or by length.
        laid: What was laid, in order.
    """
    assert rule.size is not None
    by = rule.size[1]
    own = tuple(one for one in laid if _lift(one) == rule.lift and amount_of(by, one) > 0.0)
    return Course(plan, by, own, tuple(accumulate(amount_of(by, one) for one in own)))


def _fact(one: Laid) -> Fact:
    return one.part.fact if isinstance(one, Piece) else one.fact


def _lift(one: Laid) -> str:
    return one.lift if isinstance(one, Piece) else one.strip[1]
