"""Roughness of a profile: the index of the whole, of its sections, and the sections that matter.

The reference car is driven over the profile once, so a section begins with the car as the road
before has left it. Where the profile has a gap nothing is known, and the drive begins anew.
"""

from collections.abc import Sequence
from itertools import accumulate
from math import fsum, isfinite
from operator import sub
from typing import Final, NamedTuple

from matbook.engine.cited import cited
from matbook.engine.quarter_car import E1926, quarter_car
from matbook.engine.ranges import above_zero, within
from matbook.errors import OutOfRange

SMOOTHED_M: Final = 0.25
"""A tyre bridges what is shorter: the profile is averaged over so much."""
SETTLING_M: Final = 11.0
"""The car begins on the mean slope of so much: half a second at 80 km/h."""


class Section(NamedTuple):
    """A section of a profile and its roughness."""

    from_m: float
    to_m: float
    iri_m_km: float


class Piece(NamedTuple):
    """Points of a profile that lie one after the other with no gap."""

    from_m: float
    profile_m: Sequence[float]


@cited("mean of |slope of body - slope of wheel| of the reference car", E1926)
def iri(profile_m: Sequence[float], spacing_m: float) -> float:
    """International Roughness Index of a profile.

    Equation: IRI = 1000 mean(|z_wheel' - z_body'|)

    Args:
        profile_m: Heights of one wheel path at equal spacing [m]; at least 11 m of it, no gaps
            (see `pieces`).
        spacing_m: Their spacing [m], 0.005 to 0.3.

    Returns:
        Index [m/km].

    Raises:
        OutOfRange: A spacing outside its range, a profile that is too short, or one with a gap:
            the sentence says where.

    Source: ASTM E1926; Sayers 1995, Transportation Research Record 1501; from memory.

    Example:
        >>> from math import sin, tau
        >>> waves = [0.002 * sin(tau * n * 0.1 / 15.0) for n in range(5000)]
        >>> round(iri(waves, 0.1), 2)
        0.81
    """
    strokes = _strokes(profile_m, spacing_m)
    return 1000.0 * fsum(strokes) / len(strokes)


@cited("the index of each length, the car driven over all of it once", E1926)
def iri_sections(
    profile_m: Sequence[float], spacing_m: float, length_m: float = 100.0
) -> list[Section]:
    """The index of a profile section by section, the last one as long as it is.

    Args:
        profile_m: Heights as for `iri`.
        spacing_m: Their spacing [m], 0.005 to 0.3.
        length_m: Length of a section [m], at least 1.

    Returns:
        Sections in order, from the profile's first point.

    Raises:
        OutOfRange: As for `iri`, or sections shorter than 1 m.

    Source: ASTM E1926; from memory.

    Example:
        >>> flat = [0.0] * 3000
        >>> [round(section.to_m, 1) for section in iri_sections(flat, 0.1)]
        [100.0, 200.0, 299.9]
    """
    if not length_m >= 1.0:
        raise OutOfRange("length_m", length_m, "it must be at least 1")
    strokes = _strokes(profile_m, spacing_m)
    count = max(1, round(length_m / spacing_m))
    end_m = (len(profile_m) - 1) * spacing_m
    return [
        Section(
            first * spacing_m,
            min((first + count) * spacing_m, end_m),
            1000.0 * fsum(strokes[first : first + count]) / len(strokes[first : first + count]),
        )
        for first in range(0, len(strokes), count)
    ]


@cited("the roughest stretches of a length that don't overlap", E1926)
def roughest(
    profile_m: Sequence[float], spacing_m: float, length_m: float = 20.0, most: int = 5
) -> list[Section]:
    """The stretches that matter: the roughest first, wherever they begin.

    A bump counts in full wherever it lies, which it doesn't where fixed sections cut it in two.

    Args:
        profile_m: Heights as for `iri`.
        spacing_m: Their spacing [m], 0.005 to 0.3.
        length_m: Length of a stretch [m], at least 1.
        most: How many [1], 1 to 100.

    Returns:
        Stretches, the roughest first; fewer where no more fit.

    Raises:
        OutOfRange: As for `iri_sections`.

    Source: ASTM E1926, from memory; picking them: own method.

    Example:
        >>> bump = [0.0] * 500 + [0.01] * 5 + [0.0] * 500
        >>> round(roughest(bump, 0.1, most=1)[0].from_m)
        50
    """
    if not length_m >= 1.0:
        raise OutOfRange("length_m", length_m, "it must be at least 1")
    within("most", most, 1, 100)
    strokes = _strokes(profile_m, spacing_m)
    count = min(max(1, round(length_m / spacing_m)), len(strokes))
    upto = [0.0, *accumulate(strokes)]
    means = [after - before for before, after in zip(upto, upto[count:], strict=False)]
    found: list[Section] = []
    taken: list[int] = []
    for first in sorted(range(len(means)), key=lambda n: (-means[n], n)):
        if all(abs(first - other) >= count for other in taken):
            taken.append(first)
            rough = 1000.0 * means[first] / count
            found.append(Section(first * spacing_m, (first + count) * spacing_m, rough))
            if len(found) == most:
                break
    return found


def pieces(profile: Sequence[float | None], spacing_m: float) -> list[Piece]:
    """The stretches of a profile between its gaps, each with where it begins.

    Args:
        profile: Heights at equal spacing [m]; None, or no number, where there is a gap.
        spacing_m: Their spacing [m], above 0.

    Returns:
        Pieces in order, short ones too.

    Raises:
        OutOfRange: A spacing not above 0.

    Source: definition.

    Example:
        >>> [(p.from_m, len(p.profile_m)) for p in pieces([0.1, 0.2, None, 0.3], 0.5)]
        [(0.0, 2), (1.5, 1)]
    """
    above_zero("spacing_m", spacing_m)
    found: list[Piece] = []
    running: list[float] = []
    for place, height in enumerate(profile):
        if height is None or not isfinite(height):
            running = []
            continue
        if not running:
            found.append(Piece(place * spacing_m, running))
        running.append(height)
    return found


def _strokes(profile_m: Sequence[float], spacing_m: float) -> list[float]:
    """How far the body's spring is worked on each step of the profile, over the step [1]."""
    transition, entering = quarter_car(spacing_m)
    settling = round(SETTLING_M / spacing_m)
    base = max(1, round(SMOOTHED_M / spacing_m))
    if len(profile_m) <= settling:
        short = f"at {spacing_m:g} m there must be more than {settling} points, {SETTLING_M:g} m"
        raise OutOfRange("profile_m", f"{len(profile_m)} points", short)
    if not isfinite(fsum(map(abs, profile_m))):
        place = next(n for n, height in enumerate(profile_m) if not isfinite(height))
        gap = f"there is a gap at {place * spacing_m:g} m: take the pieces apart"
        raise OutOfRange("profile_m", profile_m[place], gap)
    over_m = base * spacing_m
    slopes = [rise / over_m for rise in map(sub, profile_m[base:], profile_m)]
    (a, b, c, d), (e, f, g, h), (i, j, k, m), (n, o, p, q) = transition
    r, s, t, u = entering
    # states and matrix by letters: the time of a long profile is spent in this loop
    x = z = (profile_m[settling] - profile_m[0]) / (settling * spacing_m)
    y = w = 0.0
    strokes = []
    for slope in slopes:
        x, y, z, w = (
            a * x + b * y + c * z + d * w + r * slope,
            e * x + f * y + g * z + h * w + s * slope,
            i * x + j * y + k * z + m * w + t * slope,
            n * x + o * y + p * z + q * w + u * slope,
        )
        strokes.append(abs(z - x))
    return strokes
