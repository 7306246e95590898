"""Readings narrow a forecast of their own mat, unless they contradict it or each other."""

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations
from math import exp, fsum, sqrt
from operator import mul, sub
from typing import Final

from matbook.engine.cited import cited
from matbook.engine.forecasting import Forecast
from matbook.engine.ranges import within
from matbook.engine.reading import READ_BY, Reading
from matbook.errors import OutOfRange

ODD_AT: Final = 3.0
"""A reading further off than so many standard deviations of what was expected is at odds."""
SOON_S: Final = 180.0
"""Readings so soon after each other must agree about how the mat changed meanwhile [s]."""


def at_odds(made: Forecast, observations: Sequence[Reading]) -> tuple[tuple[Reading, Reading], ...]:
    """Pairs of readings, soon after each other in one place, that no mat can give.

    How a mat changes within minutes is well known, whatever else isn't; if the readings differ from
    that by more than `ODD_AT` standard deviations, one of them is wrong.

    Args:
        made: The forecast.
        observations: Readings of one piece of mat.

    Returns:
        The pairs, the earlier reading first; it is for a person with a probe to say which is right.

    Raises:
        OutOfRange: A reading beyond the end of the curve or below the lift.

    Source: normal errors of reading (definition); how soon is soon, `SOON_S`, assumed.

    Example:
        >>> from matbook.engine.forecasting import forecast
        >>> from matbook.engine.layers import Layer, OpenSky
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
            changes = map(sub, made.expected(b), made.expected(a))
            middle, spread = _weighed(list(changes), made.weights)
            error = READ_BY[a.how][0]
            if abs(b.temp_c - a.temp_c - middle) > ODD_AT * sqrt(spread + 2.0 * error * error):
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
        >>> from matbook.engine.forecasting import forecast
        >>> from matbook.engine.layers import Layer, OpenSky
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
        middle, spread = _weighed(expected, weights)
        if abs(reading.temp_c - middle) > ODD_AT * sqrt(spread + error * error):
            odd.append(reading)
            continue
        used.append(reading)
        weights = [
            w * exp(-0.5 * ((reading.temp_c - e) / error) ** 2)
            for w, e in zip(weights, expected, strict=True)
        ]
    return replace(made, weights=tuple(weights), used=tuple(used), odd=tuple(odd))


def _weighed(values: Sequence[float], weights: Sequence[float]) -> tuple[float, float]:
    """Mean and variance of what the members say, each by its weight."""
    total = fsum(weights)
    middle = fsum(map(mul, weights, values)) / total
    spread = fsum(w * (e - middle) ** 2 for w, e in zip(weights, values, strict=True)) / total
    return middle, spread
