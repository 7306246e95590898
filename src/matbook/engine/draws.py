"""Places drawn at random: one stratum after another, with spares for a place that is blocked.

Whole kilograms and whole millimetres are drawn, so that anybody who has the seed gets the same
places. What is to be done where a place is blocked is fixed beforehand: take the next spare of the
same sublot, in order, and write down why.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from matbook.engine.cited import cited
from matbook.engine.ranges import within
from matbook.engine.seeds import drawn
from matbook.engine.sublots import MOST, Piece
from matbook.errors import OutOfRange, Refused

D3665: Final = "ASTM D3665, stratified random sampling"
MM: Final = 1000.0
MOST_SPARES: Final = 20


@dataclass(frozen=True, slots=True)
class Strip:
    """What places are drawn across: the width of the mat, and how far to keep from its edges [m].

    A published example keeps 0.5 m from an unsupported and 0.1 m from a supported edge.
    """

    width_m: float
    left_margin_m: float = 0.0
    right_margin_m: float = 0.0

    def __post_init__(self) -> None:
        within("width_m", self.width_m, 0.1, 100.0)
        within("left_margin_m", self.left_margin_m, 0.0, 100.0)
        within("right_margin_m", self.right_margin_m, 0.0, 100.0)
        left = self.width_m - self.left_margin_m - self.right_margin_m
        if left < 1.0 / MM:
            margins = self.left_margin_m + self.right_margin_m
            raise OutOfRange("width_m", self.width_m, f"the margins, {margins:g}, leave nothing")


@dataclass(frozen=True, slots=True)
class Drawn:
    """A drawn place: of which sublot, the first or a spare, and where."""

    sublot: int
    spare: int
    """0 for the place itself; 1, 2 ... for what takes its place where it is blocked."""
    at: int
    """How far along: kg of the mass laid, or mm of the length."""
    offset_m: float | None
    """From the left edge; None where only mass was drawn."""
    weight: float
    """The sublot's share of the lot."""


@cited("one place at random in each sublot", D3665)
def draw(
    seed: str,
    lot: str,
    sublots: Sequence[Piece],
    strip: Strip | None = None,
    each: int = 1,
    spares: int = 3,
) -> tuple[Drawn, ...]:
    """Random places of a lot, stratified: so many in each sublot, by mass or by place.

    Equation: along = start + (u x size) / 2^64, across = margin + (u x usable width) / 2^64, cut to
    whole kg or mm; u by `drawn` with the label "lot sublot place spare along" or "... across"

    Args:
        seed: The seed of the draws, as `reveal` gives it.
        lot: The lot's name, printable ASCII without blanks.
        sublots: The lot's sublots, in kg of mass laid or in mm of length.
        strip: Width and edge margins, where places are drawn across as well; None for mass alone.
        each: Places in each sublot, 1 to 100.
        spares: Spares for each, 0 to 20.

    Returns:
        The places and their spares in order; every one may be worked out again from the seed.

    Raises:
        OutOfRange: No sublots, or a value outside its range.
        Refused: The seed or the lot's name has another form.

    Source: ASTM D3665, stratified random sampling; edge margins: Saskatchewan STP 107.

    Example:
        >>> from matbook.engine.seeds import combined
        >>> from matbook.engine.sublots import pieces
        >>> seed = combined("00112233445566778899aabbccddeeff", "4711")
        >>> places = draw(seed, "7", pieces(1_000_000, 250_000), spares=0)
        >>> [(one.sublot, one.at) for one in places]
        [(1, 3652), (2, 450368), (3, 681543), (4, 855372)]
    """
    if not sublots:
        raise OutOfRange("sublots", 0, "there must be at least one")
    if not lot or " " in lot:
        raise Refused("lot", lot, "it must be a name without blanks")
    within("each", each, 1, 100)
    within("spares", spares, 0, MOST_SPARES)
    return tuple(
        Drawn(
            sublot=one.number,
            spare=spare,
            at=one.start + drawn(seed, f"{lot} {one.number} {place} {spare} along", one.size),
            offset_m=_offset(seed, f"{lot} {one.number} {place} {spare} across", strip),
            weight=one.weight,
        )
        for one in sublots
        for place in range(1, each + 1)
        for spare in range(spares + 1)
    )


@cited("start + random number x size", D3665)
def along(start: float, size: float, random: float) -> float:
    """How far along a place lies, by a number out of a printed table of random numbers.

    Equation: T = start + R size

    Args:
        start: Where the sublot begins, 0 to 10^9, in tonnes, metres or minutes.
        size: How much there is of it, 0 to 10^9, in the same.
        random: The number from the table [1], 0 to 1.

    Returns:
        The place, in the same unit.

    Raises:
        OutOfRange: A value outside its range.

    Source: ASTM D3665, stratified random sampling.

    Example:
        >>> along(250.0, 250.0, 0.022)
        255.5
    """
    within("start", start, 0.0, MOST)
    within("size", size, 0.0, MOST)
    within("random", random, 0.0, 1.0)
    return start + random * size


@cited("margin + random number x usable width", D3665)
def across(strip: Strip, random: float) -> float:
    """How far from the left edge a place lies, by a number out of a printed table.

    Equation: offset = left margin + R (width - both margins)

    Args:
        strip: Width and margins.
        random: The number from the table [1], 0 to 1.

    Returns:
        Distance from the left edge [m].

    Raises:
        OutOfRange: A number that isn't 0 to 1.

    Source: ASTM D3665, stratified random sampling; edge margins: Saskatchewan STP 107.

    Example:
        >>> round(across(Strip(3.6, 0.3, 0.3), 0.5), 3)
        1.8
    """
    within("random", random, 0.0, 1.0)
    usable_m = strip.width_m - strip.left_margin_m - strip.right_margin_m
    return strip.left_margin_m + random * usable_m


@cited("mass / (width x thickness x density)", "definition")
def sublot_length(
    mass_kg: float, width_m: float, thickness_m: float, density_kg_m3: float
) -> float:
    """Length of mat that a sublot's mass makes.

    Equation: L = m / (b t d)

    Args:
        mass_kg: Mass of the sublot [kg], 1 to 10^9.
        width_m: Width of the mat [m], 0.1 to 100.
        thickness_m: Compacted thickness [m], 0.005 to 1.
        density_kg_m3: Density in place [kg/m3], 500 to 4000.

    Returns:
        Length [m].

    Raises:
        OutOfRange: A value outside its range.

    Source: definition.

    Example:
        >>> round(sublot_length(90_718.474, 3.6576, 0.04572, 2432.4))
        223
    """
    within("mass_kg", mass_kg, 1.0, MOST)
    within("width_m", width_m, 0.1, 100.0)
    within("thickness_m", thickness_m, 0.005, 1.0)
    within("density_kg_m3", density_kg_m3, 500.0, 4000.0)
    return mass_kg / (width_m * thickness_m * density_kg_m3)


def _offset(seed: str, label: str, strip: Strip | None) -> float | None:
    """A whole number of millimetres from the left edge, as metres."""
    if strip is None:
        return None
    width, left, right = (
        round(length * MM) for length in (strip.width_m, strip.left_margin_m, strip.right_margin_m)
    )
    return (left + drawn(seed, label, width - left - right)) / MM
