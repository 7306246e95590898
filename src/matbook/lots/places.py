"""The drawn places of a lot: where each lies as laid so far, what was told, what was tested.

Nothing here tells anybody: a seed comes from whoever holds it, and what is still far ahead is
handed on as a number without a place.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Final

from matbook.engine.sampling import Drawn, Piece, Strip, draw, pieces
from matbook.lots.along import MM, Along, Spot, whole_of
from matbook.plan.rules import LotRule

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


def sited(lot: str, seed: str, along: Along, over: bool = False) -> list[Sited]:
    """Every place of a lot with its spares, in order.

    Args:
        lot: Its name.
        seed: Of the draws, as both numbers make it.
        along: How its lift was laid.
        over: Whether the lot is over: a place beyond its end is then drawn anew, or gone, as the
            plan's rule for a short last sublot has it.

    Raises:
        Refused: A lot without a number.
        OutOfRange: Margins that leave nothing of the mat.
    """
    rule, start = along.rule, along.start_of(lot)
    rows = []
    for index, (one, made) in enumerate(_drawn(lot, seed, along, over)):
        at = float(start + one.at)
        ahead, spot = at - along.total, along.spot(at)
        offset_m = 0.0
        if spot is not None:
            strip = Strip(spot.width_m, rule.left_margin_m, rule.right_margin_m)
            again = draw(seed, lot, made, strip, rule.tests, rule.spares)
            offset_m = again[index].offset_m or 0.0
        place = 1 + index // (1 + rule.spares) % rule.tests
        near = spot is not None and ahead <= near_by(rule)
        rows.append(Sited(one, number_for(one, place), at, ahead, spot, offset_m, near))
    return rows


def _drawn(
    lot: str, seed: str, along: Along, over: bool
) -> Iterator[tuple[Drawn, tuple[Piece, ...]]]:
    """Each place with the sublots that it was drawn by: those planned, or those there are."""
    rule = along.rule
    whole, each = whole_of(rule)
    planned = pieces(whole, each, "join")
    found = draw(seed, lot, planned, each=rule.tests, spares=rule.spares)
    total = along.laid_of(lot)
    if not over or not 0 < total < whole:
        yield from ((one, planned) for one in found)
        return
    short = pieces(total, each, rule.short)
    anew = draw(seed, lot, short, each=rule.tests, spares=rule.spares)
    for one, instead in zip(found, anew, strict=False):
        yield (one, planned) if one.at < total else (instead, short)
