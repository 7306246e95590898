"""A lift that still cools is the base of the next one: warm, with a profile of its own."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import pairwise
from typing import Final

from matbook.engine.cited import cited
from matbook.engine.curve import cool
from matbook.engine.layers import Layer, Weather
from matbook.engine.ranges import within

PARTS: Final = 4
"""Between two depths at which the layers were solved lie so many parts of a profile."""

INSIDE: Final = 1.0 - 1e-9
"""The bottom of a layer, a hair above what lies below it."""


@cited(
    "the temperatures in all layers after they have cooled for a time",
    "heat conduction, see `cool`; straight between close points",
)
def warmed(layers: Sequence[Layer], surroundings: Weather, age_s: float) -> tuple[Layer, ...]:
    """A lift and what lies below it, as they are some time after the lift was laid.

    Args:
        layers: The lift first, then what lies below; see `cool`.
        surroundings: What the surface meets, or pairs as in `cool`.
        age_s: Time since the lift was laid [s], 1 to 172800.

    Returns:
        The same layers with their temperatures then: what lies below a lift that is laid on them.

    Raises:
        OutOfRange: A value outside its range.

    Source: the heat equation; see `cool`.

    Example:
        >>> from matbook.engine.layers import FixedFilm
        >>> lift = Layer(0.050, 1.21, 2243.0, 921.0, 150.0)
        >>> base = Layer(1.0, 1.21, 2243.0, 921.0, 15.0)
        >>> warm, _ = warmed([lift, base], FixedFilm(29.5, 15.0), 3600.0)
        >>> round(warm.hottest_c)
        52
    """
    within("age_s", age_s, 1.0, 172_800.0)
    curve = cool(layers, surroundings, age_s)
    found = []
    for place, layer in enumerate(layers):
        thick = layer.thickness_m
        top, *_ = nodes = curve.nodes(place)
        close = [
            upper - top + (lower - upper) * n / PARTS
            for upper, lower in pairwise(nodes)
            for n in range(PARTS)
        ]
        depths = [depth for depth in close if depth < thick * INSIDE] + [thick * INSIDE]
        temps = tuple((depth, curve.at(top + depth, age_s)) for depth in depths)
        found.append(replace(layer, start_c=temps))
    return tuple(found)
