"""Along a lift as it was laid: at which tonne or metre the mat came where, or will come."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from math import fsum
from typing import Final

from matbook.engine.widths import width_at
from matbook.errors import Refused
from matbook.lots.extent import Course, Stretch
from matbook.lots.work import number_of
from matbook.plan.model import Plan
from matbook.plan.rules import LotRule
from matbook.shift.laid import Piece

LAST: Final = 5
"""Stretches whose amount a metre says where what isn't laid yet will lie."""
MM: Final = 1000.0


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
class Along:
    """What was laid of a rule's lift: kg where its lots go by mass, mm by length."""

    plan: Plan
    course: Course

    @property
    def rule(self) -> LotRule:
        return self.course.rule

    @property
    def total(self) -> int:
        """How much was laid in all."""
        return self.course.stretches[-1].end if self.course.stretches else 0

    def start_of(self, lot: str) -> int:
        """Where a lot begins, or will begin: lots follow each other without a gap.

        Raises:
            Refused: The lot isn't named by the rule's id and a number.
        """
        number, rest = number_of(self.rule, lot)
        if rest or number < 1:
            raise Refused(
                "lot", lot, f"it must be named {self.rule.id}-1, {self.rule.id}-2 and so on"
            )
        cut = self.course.lots
        if lot in cut:
            return cut[lot].start
        begun = list(cut.values())[-1].start if cut else 0
        return begun + (number - max(1, len(cut))) * whole_of(self.rule)[0]

    def laid_of(self, lot: str) -> int:
        """How much of a lot was laid."""
        found = self.course.lots.get(lot)
        return 0 if found is None else found.laid

    def when(self, amount: float) -> datetime | None:
        """When the mix was laid of which so much lies before it; None where it isn't laid."""
        found = (one.part.fact.at for one in self.course.stretches if amount < one.end)
        return next(found, None)

    def laid_by(self, at: datetime) -> int:
        """How much had been laid at a moment."""
        sizes = [one.end - one.start for one in self.course.stretches if one.part.fact.at <= at]
        return sum(sizes)  # whole numbers

    def spot(self, amount: float) -> Spot | None:
        """Where so much had been laid, or will have been by the pace so far; None if unknown."""
        for one in self.course.stretches:
            if amount < one.end:
                if one.piece is None:
                    return None
                share = (amount - one.start) / (one.end - one.start)
                at_m = one.piece.from_m + share * (one.piece.to_m - one.piece.from_m)
                return self._spot(one.piece, at_m, one.part.load.label)
        return self._ahead(amount - self.total)

    def _ahead(self, more: float) -> Spot | None:
        """So much beyond what is laid, in the lane that was paved last."""
        last = self.course.stretches[-1].piece if self.course.stretches else None
        if last is None or last.lane not in self.plan.lanes:
            return None
        lane = self.plan.lanes[last.lane]
        per_m = _per_metre(self.course.stretches[-LAST:], last.lane)
        at_m = last.to_m + more / per_m * (1.0 if last.to_m > last.from_m else -1.0)
        low, high = sorted((lane.from_m, lane.to_m))
        return self._spot(last, at_m, "") if low <= at_m <= high else None

    def _spot(self, piece: Piece, at_m: float, load: str) -> Spot:
        width_m = width_at(self.plan.lanes[piece.lane].widths, at_m)
        return Spot(piece.lane, piece.lift, at_m, width_m, load, piece.length_m)


def whole_of(rule: LotRule) -> tuple[int, int]:
    """The size of a lot and of a sublot, in whole kg or mm.

    Args:
        rule: Of lots that have a size: of a lot by the day none is known beforehand.
    """
    assert rule.size is not None
    size, per = rule.size
    whole = round(size if per == "mass" else MM * size)
    return whole, max(1, whole // rule.sublots)


def _per_metre(recent: Sequence[Stretch], lane: str) -> float:
    """How much the last stretches of a lane made of a metre."""
    own = [
        (one.end - one.start, one.piece.length_m)
        for one in recent
        if one.piece is not None and one.piece.lane == lane
    ]
    return fsum(size for size, _ in own) / fsum(length for _, length in own)
