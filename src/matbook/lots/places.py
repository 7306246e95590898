"""The drawn places of a lot: where each lies as laid so far, what was told, what was tested.

Nothing here tells anybody: a seed comes from whoever holds it, and what is still far ahead is
handed on as a number without a place.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from matbook.engine.sampling import Drawn, Strip, draw, pieces
from matbook.errors import Refused
from matbook.lots.course import MM, Course, Spot
from matbook.lots.work import number_of
from matbook.plan.model import LotRule

NEAR: Final[Mapping[str, float]] = {"mass": 40_000.0, "distance": 60.0}
"""How near a place is told where the plan doesn't say [kg, or m]: own rule."""


@dataclass(frozen=True, slots=True)
class Sited:
    """A drawn place, on the mat as far as that is known."""

    drawn: Drawn
    number: str
    """As entries name it: 2; its first spare 2/1; a sublot's second place 2/p2."""
    at: float
    """How much of the lift had been laid there: kg, or mm."""
    ahead: float
    """How much is still to be laid before it comes; below 0 where it was passed."""
    spot: Spot | None
    offset_m: float
    """From the left edge; 0 while its station, and so the width there, isn't known."""
    near: bool
    """Whether it may be told: it is near, or was passed, and it is known where it lies."""


def whole_of(rule: LotRule) -> tuple[int, int]:
    """The size of a lot and of a sublot, in whole kg or mm.

    Args:
        rule: Of lots that have a size: of a lot by the day none is known beforehand.
    """
    assert rule.size is not None
    size, per = rule.size
    whole = round(size if per == "mass" else MM * size)
    return whole, max(1, whole // rule.sublots)


def start_of(rule: LotRule, lot: str) -> int:
    """Where a lot begins along its lift, in kg or mm: lots follow each other without a gap.

    Raises:
        Refused: The lot isn't named by the rule's id and a number.
    """
    number, rest = number_of(rule, lot)
    if rest or number < 1:
        raise Refused("lot", lot, f"it must be named {rule.id}-1, {rule.id}-2 and so on")
    return (number - 1) * whole_of(rule)[0]


def near_by(rule: LotRule) -> float:
    """How near a place is told, in kg or mm."""
    assert rule.size is not None
    per = rule.size[1]
    near = rule.near[0] if rule.near is not None else NEAR[per]
    return near if per == "mass" else MM * near


def number_for(drawn: Drawn, place: int) -> str:
    """What entries name a place by.

    Args:
        drawn: The place.
        place: Which of its sublot's places it is, from 1.
    """
    second = f"/p{place}" if place > 1 else ""
    return f"{drawn.sublot}{second}" + (f"/{drawn.spare}" if drawn.spare else "")


def sited(rule: LotRule, lot: str, seed: str, along: Course, over: bool = False) -> list[Sited]:
    """Every place of a lot with its spares, in order.

    Args:
        rule: The lot's.
        lot: Its name.
        seed: Of the draws, as both numbers make it.
        along: How its lift was laid.
        over: Whether the lot is over: what was laid of it is then all there will be, and a short
            last sublot goes by the plan's rule.

    Raises:
        Refused: A lot without a number.
        OutOfRange: Margins that leave nothing of the mat.
    """
    whole, each = whole_of(rule)
    start = start_of(rule, lot)
    total = whole
    if over:
        total = max(1, min(whole, round(along.total - start)))
    made = pieces(total, each, rule.short if total < whole else "join")
    found = draw(seed, lot, made, each=rule.tests, spares=rule.spares)
    rows = []
    for index, one in enumerate(found):
        at = float(start + one.at)
        ahead, spot = at - along.total, along.spot(at)
        offset_m = 0.0
        if spot is not None:
            strip = Strip(spot.width_m, rule.left_margin_m, rule.right_margin_m)
            offset_m = draw(seed, lot, made, strip, rule.tests, rule.spares)[index].offset_m or 0.0
        place = 1 + index // (1 + rule.spares) % rule.tests
        near = spot is not None and ahead <= near_by(rule)
        rows.append(Sited(one, number_for(one, place), at, ahead, spot, offset_m, near))
    return rows
