"""How sure a cooling time is: a forecast is a range, and readings narrow it.

Nobody knows a mat's conductivity or the wind over it exactly. The curve is solved at the best
guess, with each input moved up and down by itself, and with all moved together the way that matters
most; between those 19 curves the answer is a quadratic. A fixed set of evenly spread members then
gives the three quantiles, and readings weigh the members.
"""

from bisect import bisect_left
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import accumulate
from math import fsum, sqrt
from operator import itemgetter
from typing import Final, NamedTuple

from matbook.engine.cited import cited
from matbook.engine.curve import Curve, Periods, check_layers, periods, solved
from matbook.engine.layers import Layer, Weather
from matbook.engine.ranges import within
from matbook.engine.reading import Reading
from matbook.engine.spreads import MEMBERS, SPREADS, check_movable, members, moved, spreads_of

AT: Final = 1.5
"""Each input is moved by so many standard deviations, up and down."""
ALONE: Final = 0.98
"""Where one input has so much of the way that matters most, there are no products to speak of."""
LONGEST_S: Final = 36_000.0
"""No curve of a forecast goes on for longer [s]."""
ROOM: Final = 2.5
"""The curves go on for so many times as long as the best guess takes: slower mats are in them."""


@dataclass(frozen=True, slots=True)
class Range:
    """Early, middle and late: one in ten comes before the first, one in ten after the last."""

    early: float
    middle: float
    late: float


@dataclass(frozen=True)
class Forecast:
    """Curves at the best guess and around it, and the members with their weights."""

    curve: Curve
    """At the best guess."""
    around: tuple[tuple[Curve, Curve], ...]
    """For each input: moved down, and moved up."""
    along: tuple[Curve, Curve]
    """All inputs moved together the way that matters most: down, and up."""
    way: tuple[float, ...]
    """How much of each input that is: a direction of length 1."""
    weights: tuple[float, ...]
    used: tuple[Reading, ...] = ()
    odd: tuple[Reading, ...] = ()
    """Readings at odds with the forecast: kept and shown, they narrow nothing."""

    def time_to(self, temp_c: float) -> Range | None:
        """When the mean of the lift comes down to a temperature [s]; None if not within hours."""
        roots = self.roots(temp_c)
        return None if roots is None else self._range([max(0.0, root) ** 2 for root in roots])

    def roots(self, temp_c: float) -> list[float] | None:
        """Of each member the square root of its time to a temperature [√s]; None as `time_to`."""
        if self.curve.time_to(temp_c) is None:
            return None
        last = self.curve.duration_s
        return self._spread(lambda one: _root(one.time_to(temp_c), last))

    def mean_c(self, t_s: float) -> Range:
        """Mean temperature of the lift at a time [°C]."""
        return self._range(self.means(t_s))

    def surface_c(self, t_s: float) -> Range:
        """Temperature of the surface at a time [°C]."""
        return self._range(self.surfaces(t_s))

    def means(self, t_s: float) -> list[float]:
        """Of each member the mean temperature of the lift at a time [°C]."""
        return self._spread(lambda one: one.mean_c(t_s))

    def surfaces(self, t_s: float) -> list[float]:
        """Of each member the temperature of the surface at a time [°C]."""
        return self._spread(lambda one: one.surface_c(t_s))

    def expected(self, reading: Reading) -> list[float]:
        """What each member would have read [°C]."""
        return self._spread(reading.on)

    def _spread(self, quantity: Callable[[Curve], float]) -> list[float]:
        """A quantity for every member, from its values on the curves.

        A quadratic in each input; and what all inputs moved together add to that: their products
        by twos, in the shares of the way that matters most, and the cube of how far along it.
        """
        middle = quantity(self.curve)
        found = [middle] * MEMBERS
        added = [quantity(one) - middle for one in self.along]
        for pair, part, steps in zip(self.around, self.way, members(), strict=True):
            down, up = quantity(pair[0]), quantity(pair[1])
            slope = (up - down) / (2.0 * AT)
            bend = (up + down - 2.0 * middle) / (2.0 * AT * AT)
            found = [value + z * (slope + bend * z) for value, z in zip(found, steps, strict=True)]
            for side, z in enumerate((-AT * part, AT * part)):
                added[side] -= z * (slope + bend * z)
        alike = fsum(part**4 for part in self.way)
        product = (added[1] + added[0]) / (2.0 * AT**2 * (1.0 - alike)) if alike < ALONE else 0.0
        cube = (added[1] - added[0]) / (2.0 * AT**3)
        return [
            value + product * twos + cube * threes
            for value, (twos, threes) in zip(found, self._together, strict=True)
        ]

    @cached_property
    def _together(self) -> list[tuple[float, float]]:
        """Of each member: the products by twos of its way along, and the cube of all of it."""
        far, squares = [0.0] * MEMBERS, [0.0] * MEMBERS
        for part, steps in zip(self.way, members(), strict=True):
            far = [s + part * z for s, z in zip(far, steps, strict=True)]
            squares = [q + (part * z) ** 2 for q, z in zip(squares, steps, strict=True)]
        return [(s * s - q, s * s * s) for s, q in zip(far, squares, strict=True)]

    def _range(self, values: list[float]) -> Range:
        return ranged(values, self.weights)

    @cached_property
    def worth(self) -> float:
        """How many equal members the weighted ones are worth, as a share of all of them [1]."""
        squares = fsum(weight * weight for weight in self.weights)
        return fsum(self.weights) ** 2 / (squares * MEMBERS)


class Ordered(NamedTuple):
    """What members have, from the least to the greatest."""

    of_members: list[float]
    order: Callable[[Sequence[float]], tuple[float, ...]]
    """Puts the members' weights into the same order."""


def ordered(of_members: Sequence[float]) -> Ordered:
    """What members have, put in order once, to be ranged by other weights again and again.

    Args:
        of_members: What is ranged, of each.

    Returns:
        The same from the least to the greatest.

    Source: definition.

    Example:
        >>> ordered([3.0, 1.0, 2.0]).order(("third", "first", "second"))
        ('first', 'second', 'third')
    """
    rising = sorted(range(len(of_members)), key=of_members.__getitem__)
    order = itemgetter(*rising) if len(rising) > 1 else tuple
    return Ordered([of_members[member] for member in rising], order)


def ranged(of_members: Sequence[float] | Ordered, weights: Sequence[float] | None = None) -> Range:
    """The range of what members have: 10, 50 and 90 % of their weight lie below.

    Args:
        of_members: What is ranged, of each.
        weights: Of each member; alike if left out.

    Returns:
        The range.

    Source: definition.

    Example:
        >>> ranged([float(n) for n in range(1, 11)])
        Range(early=1.0, middle=5.0, late=9.0)
    """
    rising, order = of_members if isinstance(of_members, Ordered) else ordered(of_members)
    count = len(rising)
    reached = range(1, count + 1) if weights is None else list(accumulate(order(weights)))
    early, middle, late = (
        rising[min(count - 1, bisect_left(reached, share * reached[-1]))]
        for share in (0.1, 0.5, 0.9)
    )
    return Range(early, middle, late)


def _root(time_s: float | None, last_s: float) -> float:
    return sqrt(last_s if time_s is None else time_s)


@cited(
    "the cooling curve, solved at the best guess and with each input moved by itself",
    "response surface with one-at-a-time moves (definition); spreads assumed, see SPREADS",
)
def forecast(
    layers: Sequence[Layer],
    surroundings: Weather,
    temp_c: float = 80.0,
    spreads: Mapping[str, float] | None = None,
    lasting_s: float = 0.0,
) -> Forecast:
    """The range of a lift's cooling.

    Equation: root(t) = root(t0) + sum over inputs of (a z + b z^2) + c (s^2 - sum (u z)^2) + d s^3,
        z standard normal, s = sum u z the part of it along the way u that matters most

    Args:
        layers: The lift first, then what lies below; see `cool`.
        surroundings: What the surface meets, or pairs as in `cool`.
        temp_c: The coldest mean temperature that will be asked for [°C], -20 to 200.
        spreads: Standard deviations of inputs that are better or worse known than usual; names
            and units are those of `SPREADS`.
        lasting_s: The curves reach at least this time [s], 0 to 36000.

    Returns:
        The forecast, with 10, 50 and 90 % of any time or temperature.

    Raises:
        OutOfRange: A value outside its range, a name that is no input.

    Source: definition; checked against ensembles of 10,000 members.

    Example:
        >>> from matbook.engine.layers import OpenSky
        >>> lift = Layer(0.050, 1.6, 2243.0, 921.0, 150.0)
        >>> base = Layer(1.0, 1.6, 2243.0, 921.0, 15.0)
        >>> found = forecast([lift, base], OpenSky(15.0, 15.0, 0.0, 200.0)).time_to(80.0)
        >>> found is not None and found.early < found.middle < found.late
        True
    """
    within("temp_c", temp_c, -20.0, 200.0)
    within("lasting_s", lasting_s, 0.0, LONGEST_S)
    weather = periods(surroundings)
    check_layers(layers)
    check_movable(layers, weather)
    spread = spreads_of(spreads or {})
    best = _long_enough(layers, weather, temp_c, lasting_s)

    def away(z: Mapping[str, float]) -> Curve:
        by = {name: z[name] * spread[name] for name in z}
        return solved(*moved(layers, weather, by), best.duration_s, 1)

    around = tuple((away({name: -AT}), away({name: AT})) for name in SPREADS)
    way = _way(around, best, temp_c)
    together = dict(zip(SPREADS, way, strict=True))
    along = tuple(away({name: z * part for name, part in together.items()}) for z in (-AT, AT))
    return Forecast(best, around, (along[0], along[1]), way, (1.0,) * MEMBERS)


def _way(around: Sequence[tuple[Curve, Curve]], best: Curve, temp_c: float) -> tuple[float, ...]:
    """The direction of length 1 in which the time to a temperature grows the fastest."""
    last = best.duration_s
    slopes = [
        _root(up.time_to(temp_c), last) - _root(down.time_to(temp_c), last) for down, up in around
    ]
    length = sqrt(fsum(slope * slope for slope in slopes)) or 1.0
    return tuple(slope / length for slope in slopes)


def _long_enough(
    layers: Sequence[Layer], weather: Periods, temp_c: float, lasting_s: float
) -> Curve:
    """The curve at the best guess, for so long that slow mats come down to a temperature too."""
    tried = max(600.0, 4.0e5 * layers[0].thickness_m ** 1.5)
    while True:
        curve = solved(layers, weather, min(LONGEST_S, max(tried, lasting_s)), 1)
        found = curve.time_to(temp_c)
        if tried >= LONGEST_S or (found is not None and ROOM * found <= tried):
            return curve
        tried = 4.0 * tried if found is None else ROOM * found * (1.0 + 1e-9)
