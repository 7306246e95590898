"""How a lift was laid, in the order it was laid: at which tonne or metre the mat had come where."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from math import fsum
from typing import Final

from matbook.engine.widths import width_at
from matbook.plan.model import LotRule, Plan
from matbook.shift.laid import Piece

LAST: Final = 5
"""Pieces whose mass a metre says where what isn't laid yet will lie."""
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
class Course:
    """What was laid of one lift so far, summed up: kg where lots go by mass, mm by length."""

    plan: Plan
    by: str
    """mass or distance."""
    pieces: tuple[Piece, ...]
    ends: tuple[float, ...]
    """How much was laid at the end of each piece."""

    @property
    def total(self) -> float:
        """How much was laid in all."""
        return self.ends[-1] if self.ends else 0.0

    def when(self, amount: float) -> datetime | None:
        """When the mix was laid of which so much lies before it; None where it isn't laid."""
        for piece, end in zip(self.pieces, self.ends, strict=True):
            if amount < end:
                return piece.at
        return None

    def laid_by(self, at: datetime) -> float:
        """How much had been laid at a moment."""
        return fsum(self._amount(one) for one in self.pieces if one.at <= at)

    def spot(self, amount: float) -> Spot | None:
        """Where so much had been laid; where it will be, by the pace so far; None where unknown."""
        start = 0.0
        for piece, end in zip(self.pieces, self.ends, strict=True):
            if amount < end:
                share = (amount - start) / (end - start)
                at_m = piece.from_m + share * (piece.to_m - piece.from_m)
                return self._spot(piece, at_m, piece.part.load.label)
            start = end
        return self._ahead(amount - self.total)

    def _ahead(self, more: float) -> Spot | None:
        """So much beyond what is laid, in the lane that was paved last."""
        if not self.pieces:
            return None
        last = self.pieces[-1]
        lane = self.plan.lanes.get(last.lane)
        way_m = last.to_m - last.from_m
        if lane is None or way_m == 0.0:
            return None
        recent = [one for one in self.pieces[-LAST:] if one.lane == last.lane]
        per_m = fsum(self._amount(one) for one in recent) / fsum(one.length_m for one in recent)
        at_m = last.to_m + more / per_m * (1.0 if way_m > 0.0 else -1.0)
        low, high = sorted((lane.from_m, lane.to_m))
        return self._spot(last, at_m, "") if low <= at_m <= high else None

    def _spot(self, piece: Piece, at_m: float, load: str) -> Spot:
        lane = self.plan.lanes.get(piece.lane)
        width_m = width_at(lane.widths, at_m) if lane is not None else 0.0
        return Spot(piece.lane, piece.lift, at_m, width_m, load, piece.length_m)

    def _amount(self, piece: Piece) -> float:
        return amount_of(self.by, piece)


def amount_of(by: str, piece: Piece) -> float:
    """How much a piece counts: kg where lots go by mass, mm by length."""
    return piece.mass_kg if by == "mass" else MM * piece.length_m


def course(plan: Plan, rule: LotRule, laid: Iterable[Sequence[Piece]]) -> Course:
    """What was laid of a rule's lift, shift after shift.

    Only what lies in a lane counts: not waste, and not what was laid outside the lanes.

    Args:
        plan: The plan in force.
        rule: Its lots have a size, by mass or by length.
        laid: The pieces of each shift in order.
    """
    assert rule.size is not None
    own = tuple(_own(rule, laid))
    ends, so_far = [], 0.0
    for piece in own:
        so_far += amount_of(rule.size[1], piece)
        ends.append(so_far)
    return Course(plan, rule.size[1], own, tuple(ends))


def _own(rule: LotRule, laid: Iterable[Sequence[Piece]]) -> Iterator[Piece]:
    by = rule.size[1] if rule.size is not None else ""
    for pieces in laid:
        for piece in pieces:
            if piece.lift == rule.lift and amount_of(by, piece) > 0.0:
                yield piece
