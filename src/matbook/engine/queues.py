"""Queues: trucks that go round and wait at one place, in the long run.

The sources are few and known (the trucks), so one that waits is one less on its way. With fixed
times nothing ever bunches; with times that vary as much as their mean the queue is at its most
usual worst. A real haul lies between the two.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from math import exp, fsum, log
from typing import Final

from matbook.engine.cited import cited
from matbook.engine.ranges import above_zero, from_zero, picked, within

MOST_TRUCKS: Final = 2_000
HARDLY: Final = 1e-9
QUEUE: Final = (
    "finite-source queue, Anderson et al., An Introduction to Management Science, p. 477; "
    "limited-population tables"
)


@dataclass(frozen=True, slots=True)
class FiniteSource:
    """What a paver, or a loader, and its trucks do in the long run."""

    idle: float
    """Share of the time in which no truck is there: the paver stands."""
    throughput_per_s: float
    """Loads in a second."""
    waiting: float
    """Trucks that wait, on average; the one being served doesn't."""
    wait_s: float
    """How long a truck waits, on average; being served doesn't count."""
    waits: float
    """Share of trucks that have to wait at all, as they arrive."""


@cited(
    "trucks away and here in balance; fixed times: min(trucks / cycle, servers / service)", QUEUE
)
def finite_source(
    trucks: int, away_s: float, service_s: float, servers: int = 1, times: str = "random"
) -> FiniteSource:
    """Trucks that go away and come back to be served, in the long run.

    Equation: P(n) = P(0) N! / (N - n)! r^n / n! for n up to c, then with c! c^(n - c); r = S / Z.
    Fixed times: X = min(N / (Z + S), c / S), trucks evenly spread.

    Args:
        trucks: Trucks in all [1], from 1 to 2,000.
        away_s: Mean time from the end of service until a truck is back [s], from 0.
        service_s: Mean time of service: to lay a load, or to load a truck [s], above 0.
        servers: Pavers, or loaders, that share one queue [1], 1 to 20.
        times: "random" (exponential times) or "fixed" (no scatter at all).

    Returns:
        Idle share, throughput, trucks waiting and their wait. What is between fixed and random
        in truth is between the two here.

    Raises:
        OutOfRange: A value outside its range.
        Refused: Times that aren't known.

    Source: Anderson et al., An Introduction to Management Science, p. 477 (finite calling
    population); checked against its printed answers, from memory, and a limited-population table.

    Example:
        >>> found = finite_source(12, 75 * 60.0, 6 * 60.0)
        >>> (
        ...     round(found.idle, 5),
        ...     round(3600 * found.throughput_per_s, 4),
        ...     round(found.wait_s / 60, 2),
        ... )
        (0.21815, 7.8185, 11.09)
        >>> round(3600 * finite_source(12, 75 * 60.0, 6 * 60.0, times="fixed").throughput_per_s, 3)
        8.889
    """
    within("trucks", trucks, 1, MOST_TRUCKS)
    from_zero("away_s", away_s)
    above_zero("service_s", service_s)
    within("servers", servers, 1, 20)
    return picked("times", times, TIMES)(trucks, away_s, service_s, servers)


def _random(trucks: int, away_s: float, service_s: float, servers: int) -> FiniteSource:
    """Exponential times: the balance of the states, by logarithms so that none overflows."""
    if away_s <= HARDLY * service_s:
        return _fixed(trucks, away_s, service_s, servers)  # nobody is ever away
    steps = [0.0]
    for n in range(1, trucks + 1):
        steps.append(steps[-1] + log((trucks - n + 1) * service_s / (min(n, servers) * away_s)))
    top = max(steps)
    weights = [exp(step - top) for step in steps]
    whole = fsum(weights)
    shares = [weight / whole for weight in weights]
    served = fsum(min(n, servers) * share for n, share in enumerate(shares))
    waiting = fsum(max(0, n - servers) * share for n, share in enumerate(shares))
    rate = served / service_s
    away = [(trucks - n) * share for n, share in enumerate(shares)]
    return FiniteSource(
        idle=shares[0],
        throughput_per_s=rate,
        waiting=waiting,
        wait_s=waiting / rate,
        waits=fsum(away[servers:]) / fsum(away),
    )


def _fixed(trucks: int, away_s: float, service_s: float, servers: int) -> FiniteSource:
    """Times without scatter: the most that so many trucks or servers can do."""
    rate = min(trucks / (away_s + service_s), servers / service_s)
    wait = max(0.0, trucks / rate - away_s - service_s)
    return FiniteSource(
        idle=max(0.0, 1.0 - rate * service_s),
        throughput_per_s=rate,
        waiting=rate * wait,
        wait_s=wait,
        waits=1.0 if wait > 1e-9 * service_s else 0.0,
    )


TIMES: Final[Mapping[str, Callable[[int, float, float, int], FiniteSource]]] = {
    "random": _random,
    "fixed": _fixed,
}
"""How times vary: exponentially, or not at all."""
