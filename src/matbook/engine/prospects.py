"""What a lot will be paid when it is complete, and what the next result would do to it.

The lot's own mean and spread are known only as well as its results so far say. What is still to
come is drawn from what they may be, a thousand times and always the same way, and then paid by the
schedule.
"""

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import accumulate, pairwise
from math import exp, fsum, sqrt
from statistics import NormalDist
from typing import Final

from matbook.engine.cited import cited
from matbook.engine.paying import Terms, checked, rated
from matbook.engine.quality_range import likelihood
from matbook.engine.ranges import up_to, within
from matbook.engine.samples import joined, sample, spread_out
from matbook.engine.schedules import PERCENT, PaySchedule
from matbook.engine.seeds import normals
from matbook.errors import OutOfRange

PREDICTED: Final = (
    "own method: normal results, mean and spread as uncertain as the results leave them"
)
SEED: Final = "0" * 64
MEMBERS: Final = 1000
"""Ways that the rest of the lot may go."""
MOST_PLANNED: Final = 100
STEPS: Final = 400
"""Next results that are looked at between the least and the most."""


@dataclass(frozen=True, slots=True)
class PayForecast:
    """Pay factor of a lot at its end: 10, 50 and 90 % of the ways it may go, and their mean."""

    low_factor: float
    middle_factor: float
    high_factor: float
    expected: float
    full: float
    """Chance of a factor of 1 or more."""
    rejected: float
    """Chance of being rejected."""


@cited("the factors of a thousand ways that the rest of the lot may go", PREDICTED)
def forecast_pay(
    schedule: PaySchedule,
    values: Sequence[float],
    planned: int,
    lower: float | None = None,
    upper: float | None = None,
    target: float | None = None,
    known_sd: float | None = None,
) -> PayForecast:
    """What a lot will be paid when all its results are in, as a range.

    It supposes normal results and work that goes on as before: it knows nothing of a roller that
    came back.

    Equation: s / y for the lot's spread, mean + z s / (y sqrt(n)) for its mean, results from there

    Args:
        schedule: How the lot is paid.
        values: Results so far, 2 or more that aren't all the same; 1 where the spread is known.
        planned: How many results the lot will have, as many as there are to 100.
        lower: Lower limit, where the schedule brings none; None for none.
        upper: Upper limit, where the schedule brings none; None for none.
        target: What deviations are taken from, where the schedule brings none.
        known_sd: Standard deviation of this work from earlier lots, above 0; None to judge it by
            these results alone, which few results do badly.

    Returns:
        The factor's range, its mean, and the chances of full pay and of being rejected.

    Raises:
        OutOfRange: Too few results, results all the same, or a value outside its range.
        Refused: Limits or target that don't fit the schedule.

    Source: own method, no published source.

    Example:
        >>> from matbook.engine.schedule_reader import pay_schedule
        >>> mine = pay_schedule("florida-percent")
        >>> found = forecast_pay(mine, [93.1, 92.4, 93.6], 5, lower=92.0)
        >>> round(found.low_factor, 2), round(found.middle_factor, 2), round(found.high_factor, 2)
        (0.91, 1.05, 1.05)
    """
    terms = checked(schedule, Terms(lower, upper, target))
    within("planned", planned, max(1, len(values)), MOST_PLANNED)
    if known_sd is not None:
        up_to("known_sd", known_sd, 1e9)
    of = sample(values) if known_sd is not None or len(values) == planned else spread_out(values)
    if planned == of.n:
        factor, rejected, *_ = rated(schedule, of, terms)
        return PayForecast(factor, factor, factor, factor, float(factor >= 1.0), float(rejected))
    found = []
    for member, y in zip(_members(planned - of.n), _spreads(of.n), strict=True):
        sd = of.sd / y if known_sd is None else known_sd
        mean = of.mean + member[0] * sd / sqrt(of.n)
        rest = [mean + z * sd for z in member[1:]]
        found.append(rated(schedule, joined(of, rest), terms))
    factors = sorted(one.factor for one in found)
    low, middle, high = (factors[int(share * MEMBERS)] for share in (0.1, 0.5, 0.9))
    return PayForecast(
        low,
        middle,
        high,
        expected=fsum(factors) / MEMBERS,
        full=len([f for f in factors if f >= 1.0]) / MEMBERS,
        rejected=len([one for one in found if one.rejected]) / MEMBERS,
    )


@cited("results at which the factor is reached, found by halves", "definition")
def next_results(
    schedule: PaySchedule,
    values: Sequence[float],
    factor: float,
    least: float,
    most: float,
    lower: float | None = None,
    upper: float | None = None,
    target: float | None = None,
) -> tuple[tuple[float, float], ...]:
    """The next results with which a lot would have at least a factor.

    A result far from the rest spreads them more than it lifts their mean, so there can be an upper
    end as well as a lower one.

    Args:
        schedule: How the lot is paid.
        values: Results so far, 1 or more.
        factor: The factor that is wanted [1], 0 to 2.
        least: The least result that is thought possible.
        most: The largest result that is thought possible.
        lower: Lower limit, where the schedule brings none; None for none.
        upper: Upper limit, where the schedule brings none; None for none.
        target: What deviations are taken from, where the schedule brings none.

    Returns:
        Runs of results from where to where, found to a hundredth of a 400th of what is possible;
        empty where no next result brings the factor.

    Raises:
        OutOfRange: Too few results for the schedule, or a value outside its range.
        Refused: Limits or target that don't fit the schedule.

    Source: definition.

    Example:
        >>> from matbook.engine.schedule_reader import pay_schedule
        >>> mine = pay_schedule("florida-percent")
        >>> found = next_results(mine, [93.1, 92.4, 93.6], 1.0, 88.0, 98.0, lower=92.0)
        >>> [(round(a, 1), round(b, 1)) for a, b in found]
        [(92.1, 95.7)]
    """
    terms = checked(schedule, Terms(lower, upper, target))
    within("factor", factor, 0.0, 2.0)
    so_far = sample(values)
    if not -1e9 <= least < most <= 1e9:
        raise OutOfRange("least", least, f"it must be below the most, {most:g}")

    def brings(result: float) -> bool:
        of = joined(so_far, [result])
        if schedule.measure == PERCENT and not of.spreads:
            return False  # the same result once more says nothing of the spread
        return rated(schedule, of, terms).factor >= factor

    def edge(no: float, yes: float) -> float:
        for _ in range(7):
            middle = 0.5 * (no + yes)
            no, yes = (no, middle) if brings(middle) else (middle, yes)
        return yes

    results = [least + (most - least) * k / STEPS for k in range(STEPS + 1)]
    good = [brings(result) for result in results]
    starts = [least] if good[0] else []
    stops = []
    for (a, was), (b, now) in pairwise(zip(results, good, strict=True)):
        if now and not was:
            starts.append(edge(a, b))
        elif was and not now:
            stops.append(edge(b, a))
    return tuple(zip(starts, [*stops, most] if good[-1] else stops, strict=True))


@lru_cache(maxsize=16)
def _members(rest: int) -> list[list[float]]:
    """For each member the standard normals of the mean and of each result to come.

    A Latin hypercube: each of them takes every thousandth of its distribution once.
    """
    even = [NormalDist().inv_cdf((k + 0.5) / MEMBERS) for k in range(MEMBERS)]
    columns = []
    for column in range(rest + 1):
        drawn = normals(SEED, f"forecast {column}", MEMBERS)
        places = sorted(range(MEMBERS), key=drawn.__getitem__)
        columns.append([z for _, z in sorted(zip(places, even, strict=True))])
    return [list(member) for member in zip(*columns, strict=True)]


@lru_cache(maxsize=64)
def _spreads(n: int) -> list[float]:
    """Equally likely values of y, the results' spread over the lot's; 1 each for one result."""
    if n == 1:
        return [1.0] * MEMBERS
    density = likelihood(n)
    steps = 20 * STEPS
    step = (density.end - density.start) / steps
    reached = list(accumulate(density.at(density.start + (k + 0.5) * step) for k in range(steps)))
    wanted = [reached[-1] * (k + 0.5) / MEMBERS for k in range(MEMBERS)]
    return [exp(density.start + (bisect_left(reached, share) + 0.5) * step) for share in wanted]
