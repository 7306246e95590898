"""Mats drawn at random from the spreads, each solved by itself: what a forecast is held to."""

import random
from collections.abc import Iterator, Mapping, Sequence
from math import inf
from statistics import quantiles

from matbook.engine.cooling import Curve, Forecast, Layer, OpenSky, Range
from matbook.engine.curve import periods, solved
from matbook.engine.spreads import SPREADS, moved


def drawn(layers: Sequence[Layer], sky: OpenSky, duration_s: float, count: int,
          seed: int) -> Iterator[Curve]:  # fmt: skip
    """Curves of mats drawn at random."""
    draw = random.Random(seed)
    for _ in range(count):
        by = {name: draw.gauss(0.0, row[0]) for name, row in SPREADS.items()}
        yield solved(*moved(layers, periods(sky), by), duration_s, 1)


def three(curves: Iterator[Curve], temp_c: float) -> Range:
    """10, 50 and 90 % of the times to a temperature [s]; a mat too slow for its curve is last."""
    times = [inf if (found := one.time_to(temp_c)) is None else found for one in curves]
    cuts = quantiles(times, n=10)
    return Range(cuts[0], cuts[4], cuts[8])


def off(made: Range, truth: Range) -> float:
    """The largest of the three quantiles' relative errors [1]."""
    pairs = ((made.early, truth.early), (made.middle, truth.middle), (made.late, truth.late))
    return max(abs(a / b - 1.0) for a, b in pairs)


def ranged(made: Forecast, temp_c: float) -> Range:
    found = made.time_to(temp_c)
    assert found is not None
    return found


GROUND: Mapping[str, tuple[float, float, float]] = {
    "asphalt": (1.6, 2243.0, 921.0),
    "dry stone": (0.57, 1900.0, 840.0),
    "wet stone": (1.83, 1900.0, 1491.0),
    "concrete": (1.4, 2300.0, 880.0),
}
