"""Chance that anybody can repeat: draws that come out of a name, the same on every machine.

SHA-256 of the name and a counter gives bytes; a byte picks one of 256 equally likely values of a
time. So a forecast gives the same digits on the phone and in the office, and another future only
needs another name.
"""

from collections.abc import Callable, Iterator, Mapping
from functools import lru_cache
from hashlib import sha256
from itertools import chain, count, pairwise
from math import erfc, exp, inf, log, log1p, sqrt
from statistics import NormalDist
from typing import Final

from matbook.engine.cited import cited
from matbook.engine.ranges import from_zero, picked

NORMAL: Final = NormalDist()
VALUES: Final = 256
EDGES: Final = (-inf, *(NORMAL.inv_cdf(n / VALUES) for n in range(1, VALUES)), inf)
"""Where a standard normal is cut into equally likely parts."""
ROOT_HALF: Final = sqrt(0.5)


def stream(name: str) -> Iterator[int]:
    """Bytes without end, one as likely as another.

    Source: SHA-256 (FIPS 180-4) of the name and a counter, by Python's own library.

    Example:
        >>> first = stream("a load")
        >>> [next(first) for _ in range(4)]
        [133, 188, 142, 234]
    """
    return chain(_block(name), chain.from_iterable(_digest(name, block) for block in count(1)))


@lru_cache(maxsize=4096)
def _block(name: str) -> bytes:
    """The first bytes of a stream: few need more, and the same futures are asked again."""
    return _digest(name, 0)


def _digest(name: str, block: int) -> bytes:
    return sha256(f"{name} {block}".encode()).digest()


@cited("256 equally likely values, each the mean of its part of the law", "definition")
@lru_cache(maxsize=256)
def likely_values(mean_s: float, scatter_s: float, law: str = "lognormal") -> tuple[float, ...]:
    """A time as 256 equally likely values, rising; their mean is exactly the mean.

    Args:
        mean_s: Mean of the time [s], from 0.
        scatter_s: Standard deviation [s], from 0; of an exponential time it is the mean.
        law: "lognormal" (never below zero; late is further off than early), "exponential" or
            "fixed".

    Returns:
        The values [s].

    Raises:
        OutOfRange: A value below zero.
        Refused: A law that isn't known.

    Source: definition of the laws.

    Example:
        >>> values = likely_values(600.0, 120.0)
        >>> round(values[25]), round(values[230])
        (456, 759)
    """
    from_zero("mean_s", mean_s)
    from_zero("scatter_s", scatter_s)
    return picked("law", law, LAWS)(mean_s, scatter_s)


@cited("256 equally likely values of what is left of a time that isn't over yet", "definition")
@lru_cache(maxsize=256)
def likely_rest(
    gone_s: float, mean_s: float, scatter_s: float, law: str = "lognormal"
) -> tuple[float, ...]:
    """What is left of a time that has lasted so long already and isn't over, rising.

    A fixed time that is overdue may be over at any moment. A log-normal one that is very late
    (beyond one in a million million) is taken as late as that, and as much later as it is.

    Args:
        gone_s: How long it has lasted [s], from 0.
        mean_s: Mean of the whole time [s], from 0.
        scatter_s: Its standard deviation [s], from 0.
        law: As for `likely_values`.

    Returns:
        The values [s].

    Raises:
        OutOfRange: A value below zero.
        Refused: A law that isn't known.

    Source: definition of the laws, given that the time is longer than what is gone.

    Example:
        >>> [round(likely_rest(gone, 600.0, 120.0)[128]) for gone in (0.0, 600.0, 900.0)]
        [589, 81, 49]
    """
    from_zero("gone_s", gone_s)
    from_zero("mean_s", mean_s)
    from_zero("scatter_s", scatter_s)
    return picked("law", law, RESTS)(gone_s, mean_s, scatter_s)


def _fixed(mean_s: float, scatter_s: float) -> tuple[float, ...]:
    return (mean_s,) * VALUES


def _lognormal(mean_s: float, scatter_s: float) -> tuple[float, ...]:
    if mean_s == 0.0 or scatter_s <= HARDLY * mean_s:
        return _fixed(mean_s, scatter_s)
    sigma = _sigma(mean_s, scatter_s)
    shares = [0.5 * erfc((sigma - edge) * ROOT_HALF) for edge in EDGES]
    return tuple(mean_s * VALUES * (b - a) for a, b in pairwise(shares))


def _exponential(mean_s: float, scatter_s: float) -> tuple[float, ...]:
    left = [1.0 - n / VALUES for n in range(VALUES + 1)]
    beyond = [share * (1.0 - log(share)) if share else 0.0 for share in left]
    return tuple(mean_s * VALUES * (a - b) for a, b in pairwise(beyond))


LAWS: Final[Mapping[str, Callable[[float, float], tuple[float, ...]]]] = {
    "lognormal": _lognormal,
    "exponential": _exponential,
    "fixed": _fixed,
}
"""How times vary about their mean."""


def _fixed_rest(gone_s: float, mean_s: float, scatter_s: float) -> tuple[float, ...]:
    return (max(0.0, mean_s - gone_s),) * VALUES


def _lognormal_rest(gone_s: float, mean_s: float, scatter_s: float) -> tuple[float, ...]:
    if mean_s == 0.0 or scatter_s <= HARDLY * mean_s:
        return _fixed_rest(gone_s, mean_s, scatter_s)
    if gone_s == 0.0:
        return _lognormal(mean_s, scatter_s)
    sigma = _sigma(mean_s, scatter_s)
    median = mean_s * exp(-0.5 * sigma * sigma)
    late = (log(gone_s) - log(median)) / sigma
    if late > LATEST:
        late, median = LATEST, gone_s / exp(sigma * LATEST)
    left = NORMAL.cdf(-late)
    parts = (left * (VALUES - n - 0.5) / VALUES for n in range(VALUES))
    times = (median * exp(-sigma * NORMAL.inv_cdf(part)) for part in parts)
    return tuple(max(0.0, time - gone_s) for time in times)


def _exponential_rest(gone_s: float, mean_s: float, scatter_s: float) -> tuple[float, ...]:
    return _exponential(mean_s, scatter_s)  # it doesn't age


def _sigma(mean_s: float, scatter_s: float) -> float:
    """Standard deviation of the logarithm of a log-normal time."""
    return sqrt(log1p((scatter_s / mean_s) ** 2))


RESTS: Final[Mapping[str, Callable[[float, float, float], tuple[float, ...]]]] = {
    "lognormal": _lognormal_rest,
    "exponential": _exponential_rest,
    "fixed": _fixed_rest,
}
"""What is left of a time, for each of `LAWS`."""
HARDLY: Final = 1e-6
"""A time that scatters by no more than this share is as good as fixed."""
LATEST: Final = 7.0
"""Nothing is taken as later than so many standard deviations of its logarithm."""
