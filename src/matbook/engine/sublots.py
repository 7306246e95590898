"""Lots and sublots: where one ends and the next begins, and what each weighs in the result.

All in whole kilograms or whole millimetres, so that anybody gets the same ends.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from itertools import accumulate
from typing import Final

from matbook.engine.cited import cited
from matbook.engine.ranges import above_zero, picked, within
from matbook.errors import OutOfRange

D3665: Final = "ASTM D3665, stratified random sampling; what is short: own rule"
MOST: Final = 10**9
"""The largest lot: 10^9 kg, or 10^6 m in millimetres."""


@dataclass(frozen=True, slots=True)
class Piece:
    """A lot or a sublot: from where to where, and its share of the whole."""

    number: int
    """From 1."""
    start: int
    end: int
    weight: float
    """Its share of the whole, which its result counts with."""

    @property
    def size(self) -> int:
        """How much there is of it."""
        return self.end - self.start


SHORT: Final[Mapping[str, Callable[[int, int], bool]]] = {
    "own": lambda rest, size: True,
    "join": lambda rest, size: False,
    "half": lambda rest, size: 2 * rest >= size,
}
"""Whether a short last piece stands on its own: always, never, or from half a piece on."""

AT: Final[Mapping[str, Callable[[int, Sequence[int]], int]]] = {
    "mass": lambda end, loads: end,
    # of two loads as near, the earlier
    "load": lambda end, loads: min(loads, key=lambda mark: (abs(mark - end), mark)),
}
"""Where a lot is cut: at the kilogram, or at the end of the load that is nearest."""


@cited("equal pieces, and what becomes of a short last one", D3665)
def pieces(total: int, size: int, short: str = "own", start: int = 0) -> tuple[Piece, ...]:
    """Equal pieces of a whole, with a rule for the last where it is short.

    The rule is fixed before the draw, so that nobody can choose it by what it brings.

    Args:
        total: The whole, 1 to 10^9, in kg or mm.
        size: A piece, 1 to 10^9, in the same.
        short: own: a short last piece stands on its own, with the weight it has; join: it joins
            the piece before; half: it stands on its own from half a piece on.
        start: Where the first begins, 0 to 10^9, in the same.

    Returns:
        The pieces in order; a whole shorter than one piece is one piece.

    Raises:
        OutOfRange: A value outside its range.
        Refused: No such rule.

    Source: ASTM D3665, stratified random sampling; what is short: own rule.

    Example:
        >>> [(one.start, one.end) for one in pieces(1_100_000, 250_000, "half")]
        [(0, 250000), (250000, 500000), (500000, 750000), (750000, 1100000)]
    """
    within("total", total, 1, MOST)
    within("size", size, 1, MOST)
    within("start", start, 0, MOST)
    alone = picked("short", short, SHORT)
    ends = list(range(size, total + 1, size)) or [total]
    rest = total - ends[-1]
    if rest and alone(rest, size):
        ends.append(total)
    elif rest:
        ends[-1] = total
    return _between([start, *(start + end for end in ends)])


@cited("every so many kilograms, at the kilogram or at the nearest load", D3665)
def cut_lots(loads_kg: Sequence[int], lot_kg: int, at: str = "mass") -> tuple[Piece, ...]:
    """Lots of so much mix each, out of the loads as they came.

    A last lot that isn't full is still open: whether it stands on its own is for `pieces` or the
    specification.

    Args:
        loads_kg: Net mass of every load in order [kg], each above 0.
        lot_kg: Mass of a lot [kg], from the heaviest load to 10^9.
        at: mass: lots end at the kilogram, within a load; load: at the end of the nearest load.

    Returns:
        The lots in order, with where they begin and end in the mass laid so far [kg].

    Raises:
        OutOfRange: No loads, or a mass outside its range.
        Refused: No such way to cut.

    Source: ASTM D3665, stratified random sampling; the nearest load: own rule.

    Example:
        >>> [(one.start, one.end) for one in cut_lots([22_000] * 5, 50_000, "load")]
        [(0, 44000), (44000, 110000)]
    """
    way = picked("at", at, AT)
    for load in loads_kg:
        above_zero("loads_kg", load)
    if not loads_kg:
        raise OutOfRange("loads_kg", 0, "there must be at least one load")
    within("lot_kg", lot_kg, max(loads_kg), MOST)
    marks = list(accumulate(loads_kg))
    ends = [way(end, marks) for end in range(lot_kg, marks[-1] + 1, lot_kg)]
    if not ends or ends[-1] < marks[-1]:
        ends.append(marks[-1])
    return _between([0, *ends])


def _between(ends: Sequence[int]) -> tuple[Piece, ...]:
    whole = ends[-1] - ends[0]
    return tuple(
        Piece(k + 1, ends[k], ends[k + 1], (ends[k + 1] - ends[k]) / whole)
        for k in range(len(ends) - 1)
    )
