"""The quarter-car that a profile is driven over: one wheel, its spring, the body's spring above.

The reference car of ASTM E1926 at 80 km/h. Over one step of the profile its four states go from
where they are to where they will be by a matrix, worked out here and nowhere stored.
"""

from collections.abc import Sequence
from functools import lru_cache
from math import fsum
from typing import Final

from matbook.engine.cited import cited
from matbook.engine.ranges import within

E1926: Final = (
    "ASTM E1926, International Roughness Index by the reference quarter-car at 80 km/h; "
    "Sayers 1995, Transportation Research Record 1501; from memory"
)
BODY_SPRING: Final = 63.3
"""Stiffness of the body's spring over the body's mass [1/s2]."""
TYRE_SPRING: Final = 653.0
"""Stiffness of the tyre over the body's mass [1/s2]."""
DAMPING: Final = 6.0
"""Damper of the body's spring over the body's mass [1/s]."""
WHEEL: Final = 0.15
"""Mass of the wheel over the body's mass [1]."""
SPEED_M_S: Final = 80.0 / 3.6
LEAST_M: Final = 0.005
MOST_M: Final = 0.3
"""Spacings of a profile that the index is good for [m]."""

Matrix = tuple[tuple[float, ...], ...]

MOTION: Final[Matrix] = (
    # rates of body's slope, its rate, wheel's slope, its rate; then of the input
    (0.0, 1.0, 0.0, 0.0, 0.0),
    (-BODY_SPRING, -DAMPING, BODY_SPRING, DAMPING, 0.0),
    (0.0, 0.0, 0.0, 1.0, 0.0),
    (
        BODY_SPRING / WHEEL,
        DAMPING / WHEEL,
        -(TYRE_SPRING + BODY_SPRING) / WHEEL,
        -DAMPING / WHEEL,
        TYRE_SPRING / WHEEL,
    ),
    (0.0, 0.0, 0.0, 0.0, 0.0),  # the profile's slope is the same over a step
)
"""The equations of motion [1/s, 1/s2]."""
HALVINGS: Final = 12
TERMS: Final = 12
"""Exponential by its series on a 4096th of the step, squared twelve times: to the last digits."""


@cited("e^(motion x step / speed), split into what carries on and what the profile adds", E1926)
@lru_cache(maxsize=8)
def quarter_car(spacing_m: float) -> tuple[Matrix, tuple[float, ...]]:
    """How the states of the quarter-car go over one step of a profile.

    The states are the slope of the body, its rate, the slope of the wheel, its rate; the input is
    the profile's slope, the same all over the step.

    Equation: x' = S x + p y, [S p; 0 1] = exp([A b; 0 0] dx / v)

    Args:
        spacing_m: Spacing of the profile [m], 0.005 to 0.3.

    Returns:
        The transition S [4x4] and the input p [4].

    Raises:
        OutOfRange: A value outside its range.

    Source: ASTM E1926; Sayers 1995, Transportation Research Record 1501; from memory.

    Example:
        >>> transition, entering = quarter_car(0.25)
        >>> round(transition[0][0], 7), round(entering[2], 7)
        (0.9966071, 0.2275969)
    """
    within("spacing_m", spacing_m, LEAST_M, MOST_M)
    step_s = spacing_m / SPEED_M_S / 2**HALVINGS
    small = [[rate * step_s for rate in row] for row in MOTION]
    unit = [[float(a == b) for b in range(5)] for a in range(5)]
    whole = unit
    for term in range(TERMS, 0, -1):
        whole = [
            [unit[a][b] + cell / term for b, cell in enumerate(row)]
            for a, row in enumerate(_product(small, whole))
        ]
    for _ in range(HALVINGS):
        whole = _product(whole, whole)
    return tuple(tuple(row[:4]) for row in whole[:4]), tuple(row[4] for row in whole[:4])


def _product(a: Sequence[Sequence[float]], b: Sequence[Sequence[float]]) -> list[list[float]]:
    columns = list(zip(*b, strict=True))
    return [[fsum(x * y for x, y in zip(r, c, strict=True)) for c in columns] for r in a]
