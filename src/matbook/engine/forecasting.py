"""How sure a cooling time is: a forecast is a range, and readings narrow it.

Nobody knows a mat's conductivity or the wind over it exactly. The curve is solved at the best
guess, with each input moved up and down by itself, and with all moved together the way that matters
most; between those 19 curves the answer is a quadratic. A fixed set of evenly spread members then
gives the three quantiles, and readings weigh the members.
"""

from bisect import bisect_left
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from itertools import accumulate, combinations
from math import exp, fsum, inf, sqrt
from statistics import NormalDist
from typing import Final, Literal

from matbook.engine.cited import cited
from matbook.engine.curve import Curve, check_layers, periods, solved
from matbook.engine.layers import Layer, Surroundings, Weather
from matbook.engine.ranges import from_zero, within
from matbook.errors import OutOfRange

SPREADS: Final[Mapping[str, tuple[float, str, str]]] = {
    # input -> its standard deviation, in what, and where that comes from
    "film": (0.30, "log", "assumed: 0.20 for the law, 0.9 m/s of wind"),
    "thickness": (0.06, "share", "assumed"),
    "conductivity": (0.22, "log", "assumed; field cores range from 1.0 to 3.0 W/mK"),
    "base_conductivity": (0.25, "log", "assumed"),
    "heat": (0.05, "share", "assumed"),
    "laying": (4.0, "K", "assumed: a probe behind the screed, and what differs along the mat"),
    "base": (1.5, "K", "assumed"),
    "sun": (80.0, "W/m2", "assumed"),
}
"""How well each input is known."""

AT: Final = 1.5
"""Each input is moved by so many standard deviations, up and down."""
MEMBERS: Final = 1500
"""Members of the spread-out set."""
ODD_AT: Final = 3.0
"""A reading further off than so many standard deviations of what was expected is at odds."""
SOON_S: Final = 180.0
"""Readings so soon after each other must agree about how the mat changed meanwhile [s]."""
SPREAD_MOST: Final = {"log": 0.6, "share": 0.2, "K": 20.0, "W/m2": 250.0}
"""A larger spread than this says that the input isn't known at all."""
MOVABLE: Final = {
    # what is forecast must lie in these ranges, so that what is moved stays in those of the layers
    "thickness_m": (0.010, 0.500),
    "conductivity_w_mk": (0.05, 4.0),
    "heat_j_kgk": (300.0, 3500.0),
}
FILM_MOST: Final = 80.0
"""Film coefficient beyond which nothing is forecast [W/m2K]: a wind of some 90 km/h."""
LONGEST_S: Final = 36_000.0
"""No curve of a forecast goes on for longer [s]."""
ROOM: Final = 2.5
"""The curves go on for so many times as long as the best guess takes: slower mats are in them."""

Periods = Sequence[tuple[float, Surroundings]]
"""The surroundings, each with the moment from which it holds [s]."""

READ_BY: Final[Mapping[str, tuple[float, str]]] = {
    # how it was read -> standard deviation of one reading [K], and why
    "probe": (2.0, "assumed: the probe's own error and where its tip is"),
    "infrared": (4.0, "assumed: emissivity, steam and the spot's own scatter"),
}


@dataclass(frozen=True, slots=True)
class Reading:
    """One temperature read on the mat.

    Args:
        at_s: When, since the piece was laid [s], from 0.
        temp_c: What was read [°C], -40 to 250.
        how: `probe` or `infrared`; an infrared reading is of the surface alone.
        depth_m: Depth of the probe's tip [m]; the middle of the lift if left out.

    Raises:
        OutOfRange: A value outside its range; a reading from before the piece was laid.

    Source: definition.

    Example:
        >>> Reading(600.0, 112.0, "probe").how
        'probe'
    """

    at_s: float
    temp_c: float
    how: Literal["probe", "infrared"]
    depth_m: float | None = None

    def __post_init__(self) -> None:
        if not 0.0 <= self.at_s < inf:
            raise OutOfRange("at_s", self.at_s, "0 or more: before that the piece wasn't laid")
        within("temp_c", self.temp_c, -40.0, 250.0)
        if self.how not in READ_BY:
            raise OutOfRange("how", self.how, f"one of {', '.join(READ_BY)}")
        if self.depth_m is not None:
            from_zero("depth_m", self.depth_m)
            if self.how == "infrared":
                raise OutOfRange("depth_m", self.depth_m, "none: infrared sees the surface alone")


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
        middle = self.curve.time_to(temp_c)
        if middle is None:
            return None
        last = self.curve.duration_s
        roots = self._spread(lambda one: _root(one.time_to(temp_c), last))
        return self._range([max(0.0, root) ** 2 for root in roots])

    def mean_c(self, t_s: float) -> Range:
        """Mean temperature of the lift at a time [°C]."""
        return self._range(self._spread(lambda one: one.mean_c(t_s)))

    def surface_c(self, t_s: float) -> Range:
        """Temperature of the surface at a time [°C]."""
        return self._range(self._spread(lambda one: one.surface_c(t_s)))

    def expected(self, reading: Reading) -> list[float]:
        """What each member would have read [°C]."""
        return self._spread(lambda one: _read(one, reading))

    def _spread(self, quantity: Callable[[Curve], float]) -> list[float]:
        """A quantity for every member, from its values on the curves.

        A quadratic in each input; and what all inputs together add to that, along the way that
        matters most, as the square of how far a member lies along it.
        """
        middle = quantity(self.curve)
        found = [middle] * MEMBERS
        alone = [middle, middle]
        for pair, part, steps in zip(self.around, self.way, members(), strict=True):
            down, up = quantity(pair[0]), quantity(pair[1])
            slope = (up - down) / (2.0 * AT)
            bend = (up + down - 2.0 * middle) / (2.0 * AT * AT)
            found = [value + z * (slope + bend * z) for value, z in zip(found, steps, strict=True)]
            for side, z in enumerate((-AT * part, AT * part)):
                alone[side] += z * (slope + bend * z)
        low, high = (
            (quantity(curve) - without) / (AT * AT)
            for curve, without in zip(self.along, alone, strict=True)
        )
        return [
            value + s * s * (low if s < 0.0 else high)
            for value, s in zip(found, self._how_far, strict=True)
        ]

    @cached_property
    def _how_far(self) -> list[float]:
        """How far each member lies along the way that matters most."""
        found = [0.0] * MEMBERS
        for part, steps in zip(self.way, members(), strict=True):
            found = [s + part * z for s, z in zip(found, steps, strict=True)]
        return found

    def _range(self, values: list[float]) -> Range:
        order = sorted(range(MEMBERS), key=values.__getitem__)
        reached = list(accumulate(self.weights[n] for n in order))
        early, middle, late = (
            values[order[min(MEMBERS - 1, bisect_left(reached, share * reached[-1]))]]
            for share in (0.1, 0.5, 0.9)
        )
        return Range(early, middle, late)

    @cached_property
    def worth(self) -> float:
        """How many equal members the weighted ones are worth, as a share of all of them [1]."""
        squares = fsum(weight * weight for weight in self.weights)
        return fsum(self.weights) ** 2 / (squares * MEMBERS)


def _root(time_s: float | None, last_s: float) -> float:
    return sqrt(last_s if time_s is None else time_s)


def _read(curve: Curve, reading: Reading) -> float:
    if reading.how == "infrared":
        return curve.surface_c(reading.at_s)
    depth = curve.thickness_m / 2.0 if reading.depth_m is None else reading.depth_m
    return curve.at(depth, reading.at_s)


@lru_cache(maxsize=1)
def members() -> tuple[list[float], ...]:
    """For each input its standard normal value in every member.

    An additive recurrence by the powers of the root of x^(d+1) = x + 1, evenly spread in d
    dimensions (Roberts 2018, “The unreasonable effectiveness of quasirandom sequences”, from
    memory): the same members every time, no random numbers.
    """
    root = 2.0
    for _ in range(60):
        root = (1.0 + root) ** (1.0 / (len(SPREADS) + 1))
    inverse = NormalDist().inv_cdf
    return tuple(
        [inverse((0.5 + n * root**-power) % 1.0 or 0.5) for n in range(1, MEMBERS + 1)]
        for power in range(1, len(SPREADS) + 1)
    )


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

    Equation: root(t) = root(t0) + sum over inputs of (a z + b z^2) + c s^2, z standard normal, s
        the part of all z along the way that matters most

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
    _check_movable(layers, weather)
    spread = _spreads(spreads or {})
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


def _check_movable(layers: Sequence[Layer], weather: Periods) -> None:
    for layer in layers:
        for name, (low, high) in MOVABLE.items():
            if name != "thickness_m" or layer is layers[0]:
                within(name, getattr(layer, name), low, high)
        for _, temp in layer.profile:
            within("start_c", temp, -70.0, 220.0)
    for _, state in weather:
        within("film_w_m2k", state.film_w_m2k, 0.0, FILM_MOST)


def _spreads(given: Mapping[str, float]) -> dict[str, float]:
    """The spread of every input: the usual one where none is given."""
    for name, value in given.items():
        if name not in SPREADS:
            raise OutOfRange("spreads", name, f"names of inputs: {', '.join(SPREADS)}")
        within(f"spreads {name}", value, 0.0, SPREAD_MOST[SPREADS[name][1]])
    return {name: row[0] for name, row in SPREADS.items()} | dict(given)


def _long_enough(
    layers: Sequence[Layer], weather: Periods, temp_c: float, lasting_s: float
) -> Curve:
    """The curve at the best guess, for so long that slow mats come down to a temperature too."""
    tried = max(600.0, 4.0e5 * layers[0].thickness_m ** 1.5)
    while True:
        curve = solved(layers, weather, min(LONGEST_S, max(tried, lasting_s)), 1)
        found = curve.time_to(temp_c)
        if curve.duration_s >= LONGEST_S or (found is not None and ROOM * found <= tried):
            return curve
        tried = 4.0 * tried if found is None else ROOM * found * (1.0 + 1e-9)


def moved(
    layers: Sequence[Layer], weather: Periods, by: Mapping[str, float]
) -> tuple[list[Layer], Periods]:
    """The same mat with inputs moved: shares and kelvins are added, logs multiply."""
    lift, *below = layers
    share = 1.0 + by.get("thickness", 0.0)
    new = replace(
        lift,
        thickness_m=lift.thickness_m * share,
        conductivity_w_mk=lift.conductivity_w_mk * exp(by.get("conductivity", 0.0)),
        heat_j_kgk=lift.heat_j_kgk * (1.0 + by.get("heat", 0.0)),
        start_c=tuple((x * share, temp + by.get("laying", 0.0)) for x, temp in lift.profile),
    )
    under = [
        replace(
            one,
            conductivity_w_mk=one.conductivity_w_mk * exp(by.get("base_conductivity", 0.0)),
            start_c=tuple((x, temp + by.get("base", 0.0)) for x, temp in one.profile),
        )
        for one in below
    ]
    film, sun = exp(by.get("film", 0.0)), by.get("sun", 0.0)
    return [new, *under], [(start, _weather(state, film, sun)) for start, state in weather]


def _weather(surroundings: Surroundings, film: float, sun: float) -> Surroundings:
    absorbed = surroundings.absorbed_w_m2
    more = max(0.0, absorbed + sun) if absorbed >= 0.0 else absorbed
    return replace(surroundings, film_w_m2k=surroundings.film_w_m2k * film, absorbed_w_m2=more)


def at_odds(made: Forecast, observations: Sequence[Reading]) -> tuple[tuple[Reading, Reading], ...]:
    """Pairs of readings, soon after each other in one place, that no mat can give.

    Between them the mat changes by what the curve says, whatever else isn't known; if the readings
    differ from that by more than `ODD_AT` of their own errors, one of them is wrong.

    Args:
        made: The forecast.
        observations: Readings of one piece of mat.

    Returns:
        The pairs, the earlier reading first; it is for a person with a probe to say which is right.

    Raises:
        OutOfRange: A reading beyond the end of the curve or below the lift.

    Source: normal errors of reading (definition); how soon is soon, `SOON_S`, assumed.

    Example:
        >>> from matbook.engine.layers import OpenSky
        >>> lift = Layer(0.050, 1.6, 2243.0, 921.0, 150.0)
        >>> base = Layer(1.0, 1.6, 2243.0, 921.0, 15.0)
        >>> made = forecast([lift, base], OpenSky(15.0, 15.0, 0.0, 200.0))
        >>> readings = [Reading(600.0, 112.0, "probe"), Reading(630.0, 84.0, "probe")]
        >>> len(at_odds(made, readings))
        1
    """
    for reading in observations:
        within("at_s", reading.at_s, 0.0, made.curve.duration_s)
        if reading.depth_m is not None:
            within("depth_m", reading.depth_m, 0.0, made.curve.thickness_m)
    found = []
    for a, b in combinations(sorted(observations, key=lambda one: one.at_s), 2):
        if (a.how, a.depth_m) == (b.how, b.depth_m) and b.at_s - a.at_s <= SOON_S:
            change = _read(made.curve, b) - _read(made.curve, a)
            if abs(b.temp_c - a.temp_c - change) > ODD_AT * sqrt(2.0) * READ_BY[a.how][0]:
                found.append((a, b))
    return tuple(found)


@cited(
    "members that agree with the readings count for more",
    "Bayes' rule with normal errors of reading (definition); the errors assumed, see READ_BY",
)
def calibrate(made: Forecast, observations: Sequence[Reading]) -> Forecast:
    """A forecast that has seen readings of its own mat: narrower, and where they say.

    Equation: weight = product over readings of exp(-((read - expected) / s)^2 / 2)

    Args:
        made: The forecast.
        observations: Readings, each with when it was read since the piece was laid.

    Returns:
        The forecast with the members weighed; readings that no member could explain are in `odd`
        and weigh nothing: they ask for a look with the probe.

    Raises:
        OutOfRange: A reading beyond the end of the curve or below the lift; readings at odds with
            each other (see `at_odds`).

    Source: Bayes' rule (definition).

    Example:
        >>> from matbook.engine.layers import OpenSky
        >>> lift = Layer(0.050, 1.6, 2243.0, 921.0, 150.0)
        >>> base = Layer(1.0, 1.6, 2243.0, 921.0, 15.0)
        >>> made = forecast([lift, base], OpenSky(15.0, 15.0, 0.0, 200.0))
        >>> seen = calibrate(made, [Reading(600.0, made.curve.at(0.025, 600.0), "probe")])
        >>> seen.worth < made.worth
        True
    """
    for a, b in at_odds(made, observations):
        given = f"{a.temp_c:g} °C at {a.at_s:g} s and {b.temp_c:g} °C at {b.at_s:g} s by {a.how}"
        raise OutOfRange("observations", given, "readings that the same mat can give")
    weights = list(made.weights)
    used, odd = list(made.used), list(made.odd)
    for reading in sorted(observations, key=lambda one: one.at_s):
        error = READ_BY[reading.how][0]
        expected = made.expected(reading)
        total = fsum(weights)
        middle = fsum(w * e for w, e in zip(weights, expected, strict=True)) / total
        spread = fsum(w * (e - middle) ** 2 for w, e in zip(weights, expected, strict=True)) / total
        if abs(reading.temp_c - middle) > ODD_AT * sqrt(spread + error * error):
            odd.append(reading)
            continue
        used.append(reading)
        weights = [
            w * exp(-0.5 * ((reading.temp_c - e) / error) ** 2)
            for w, e in zip(weights, expected, strict=True)
        ]
    return replace(made, weights=tuple(weights), used=tuple(used), odd=tuple(odd))
