"""How well each input of a cooling forecast is known, and mats whose inputs are moved."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import lru_cache
from math import exp
from statistics import NormalDist
from typing import Final

from matbook.engine.cited import cited
from matbook.engine.curve import Periods
from matbook.engine.layers import Layer, Surroundings
from matbook.engine.ranges import within
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

MEMBERS: Final = 1500
"""Members of the spread-out set."""
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


@cited("an additive recurrence, evenly spread", "Roberts 2018, from memory")
@lru_cache(maxsize=1)
def members() -> tuple[list[float], ...]:
    """For each input its standard normal value in every member.

    An additive recurrence by the powers of the root of x^(d+1) = x + 1, evenly spread in d
    dimensions: the same members every time, no random numbers.

    Source: Roberts 2018, “The unreasonable effectiveness of quasirandom sequences”, from memory.

    Example:
        >>> len(members()) == len(SPREADS)
        True
    """
    root = 2.0
    for _ in range(60):
        root = (1.0 + root) ** (1.0 / (len(SPREADS) + 1))
    inverse = NormalDist().inv_cdf
    return tuple(
        [inverse((0.5 + n * root**-power) % 1.0 or 0.5) for n in range(1, MEMBERS + 1)]
        for power in range(1, len(SPREADS) + 1)
    )


def check_movable(layers: Sequence[Layer], weather: Periods) -> None:
    """Refuse a mat whose inputs, moved, would leave what layers and weather may be.

    Args:
        layers: The lift first, then what lies below.
        weather: What the surface meets, each state with the moment from which it holds [s].

    Raises:
        OutOfRange: A value outside `MOVABLE`; a temperature at the start outside -70 to 220 °C; a
            film coefficient above `FILM_MOST`.

    Source: definition.

    Example:
        >>> check_movable([Layer(0.050, 1.6, 2243.0, 921.0, 150.0)], [])
    """
    for layer in layers:
        for name, (low, high) in MOVABLE.items():
            if name != "thickness_m" or layer is layers[0]:
                within(name, getattr(layer, name), low, high)
        for _, temp in layer.profile:
            within("start_c", temp, -70.0, 220.0)
    for _, state in weather:
        within("film_w_m2k", state.film_w_m2k, 0.0, FILM_MOST)


@cited("the usual spreads, and what is given instead", "assumed, see SPREADS")
def spreads_of(given: Mapping[str, float]) -> dict[str, float]:
    """The spread of every input: the usual one where none is given.

    Args:
        given: Input -> its standard deviation, in the unit that `SPREADS` gives.

    Raises:
        OutOfRange: A name that is no input, a spread outside 0 to `SPREAD_MOST`.

    Source: assumed, see `SPREADS`.

    Example:
        >>> spreads_of({"laying": 2.0})["laying"]
        2.0
    """
    for name, value in given.items():
        if name not in SPREADS:
            raise OutOfRange("spreads", name, f"names of inputs: {', '.join(SPREADS)}")
        within(f"spreads {name}", value, 0.0, SPREAD_MOST[SPREADS[name][1]])
    return {name: row[0] for name, row in SPREADS.items()} | dict(given)


def moved(
    layers: Sequence[Layer], weather: Periods, by: Mapping[str, float]
) -> tuple[list[Layer], Periods]:
    """The same mat with inputs moved: shares and kelvins are added, logs multiply.

    Args:
        layers: The lift first, then what lies below.
        weather: What the surface meets, each state with the moment from which it holds [s].
        by: Input -> by how much, in the unit that `SPREADS` gives.

    Returns:
        Layers and weather, moved.

    Raises:
        OutOfRange: A value beyond what layers or weather may be.

    Source: definition.

    Example:
        >>> lift = Layer(0.050, 1.6, 2243.0, 921.0, 150.0)
        >>> base = Layer(1.0, 1.6, 2243.0, 921.0, 15.0)
        >>> moved([lift, base], [], {"laying": 4.0})[0][0].hottest_c
        154.0
    """
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
