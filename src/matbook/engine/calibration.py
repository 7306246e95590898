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


OWN_K: Final = 3.0
"""What one place of a mat differs from the next, beside a reading's own error [K]; assumed. Without
it a few readings would seem to say more of the rest of the mat than they can."""


@cited(
    "mean and spread of what the members would read, the reading's own error included",
    "definition; the errors assumed, see READ_BY",
)
def foreseen(members_c: Sequence[float], weights: Sequence[float], how: str) -> tuple[float, float]:
    """What a reading should be before it is used, and its standard deviation [°C, K].

    Args:
        members_c: What each member would read [°C].
        weights: Of the members.
        how: How it is read, as in `READ_BY`.

    Source: definition.

    Example:
        >>> foreseen([98.0, 102.0], [1.0, 1.0], "probe")
        (100.0, 2.8284271247461903)
    """
    middle, spread = _weighed(members_c, weights)
    return middle, sqrt(spread + READ_BY[how][0] ** 2)


@cited(
    "members that agree with a reading count for more",
    "Bayes' rule with normal errors of reading (definition); the errors assumed, see READ_BY",
)
def reweighed(
    weights: Sequence[float], members_c: Sequence[float], reading: Reading, own_k: float = 0.0
) -> tuple[float, ...]:
    """The members' weights after a reading.

    Equation: weight = weight x exp(-((read - expected) / (s + own))^2 / 2)

    Args:
        weights: Of the members before it.
        members_c: What each would have read [°C].
        reading: What was read.
        own_k: What the place differs from where the forecast is wanted [K]; `OWN_K` elsewhere.

    Returns:
        The weights.

    Source: Bayes' rule (definition).

    Example:
        >>> first, second = reweighed([1.0, 1.0], [98.0, 104.0], Reading(60.0, 98.0, "probe"))
        >>> first, round(second, 3)
        (1.0, 0.011)
    """
    read, error = reading.temp_c, READ_BY[reading.how][0] + own_k
    agreeing = [exp(-0.5 * ((read - expected) / error) ** 2) for expected in members_c]
    return tuple(map(mul, weights, agreeing))


@cited(
    "how the mat changed between two readings, against what any mat would",
    "normal errors of reading (definition); assumed, see READ_BY and SOON_S",
)
def contradict(
    earlier: Reading,
    later: Reading,
    members_c: tuple[Sequence[float], Sequence[float]],
    weights: Sequence[float],
) -> bool:
    """Whether two readings in one place, soon after each other, are such as no mat can give.

    Args:
        earlier: The one.
        later: The other.
        members_c: What each member would have read at the one and at the other [°C].
        weights: Of the members.

    Source: normal errors of reading (definition); how soon is soon, `SOON_S`, assumed.

    Example:
        >>> one, other = Reading(600.0, 112.0, "probe"), Reading(630.0, 84.0, "probe")
        >>> contradict(one, other, ([110.0, 106.0], [109.0, 105.0]), [1.0, 1.0])
        True
    """
    alike = (earlier.how, earlier.depth_m) == (later.how, later.depth_m)
    if not alike or later.at_s - earlier.at_s > SOON_S:
        return False
    middle, spread = _weighed(list(map(sub, members_c[1], members_c[0])), weights)
    error = READ_BY[earlier.how][0]
    allowed = ODD_AT * sqrt(spread + 2.0 * error * error)
    return abs(later.temp_c - earlier.temp_c - middle) > allowed


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
    ordered = [(one, made.expected(one)) for one in sorted(observations, key=lambda one: one.at_s)]
    return tuple(
        (a, b)
        for (a, first), (b, second) in combinations(ordered, 2)
        if contradict(a, b, (first, second), made.weights)
    )


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
    weights = made.weights
    used, odd = list(made.used), list(made.odd)
    for reading in sorted(observations, key=lambda one: one.at_s):
        expected = made.expected(reading)
        middle, spread = foreseen(expected, weights, reading.how)
        if abs(reading.temp_c - middle) > ODD_AT * spread:
            odd.append(reading)
            continue
        used.append(reading)
        weights = reweighed(weights, expected, reading)
    return replace(made, weights=weights, used=tuple(used), odd=tuple(odd))


def _weighed(values: Sequence[float], weights: Sequence[float]) -> tuple[float, float]:
    """Mean and variance of what the members say, each by its weight."""
    total = fsum(weights)
    middle = fsum(map(mul, weights, values)) / total
    squares = [(value - middle) ** 2 for value in values]
    spread = fsum(map(mul, weights, squares)) / total
    return middle, spread
