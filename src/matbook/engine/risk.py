"""What a schedule pays for work of every quality: the risk that each side carries with it.

Lots are drawn from a normal distribution with a true mean and spread, and paid as real ones. The
same random numbers serve every mean, so that a curve is smooth and points can be compared.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import fsum
from statistics import NormalDist
from typing import Final

from matbook.engine.cited import cited
from matbook.engine.paying import Rated, Terms, checked, rated
from matbook.engine.quality import check_limits
from matbook.engine.quality_range import true_percent
from matbook.engine.ranges import up_to, within
from matbook.engine.samples import Sample, sample
from matbook.engine.schedules import PaySchedule
from matbook.engine.seeds import normals
from matbook.errors import OutOfRange

SIMULATED: Final = "simulation of normal lots, definition"
SEED: Final = "1" * 64
LOTS: Final = 2000

Progress = Callable[[int, int], bool]
"""Told how many points are done of how many; False stops."""


@dataclass(frozen=True, slots=True)
class RiskPoint:
    """What lots of one true mean are paid."""

    mean: float
    within_pct: float | None
    """What such work truly has within its limits [%]; None where there are none."""
    expected: float
    low_factor: float
    """A tenth of the lots are paid less."""
    high_factor: float
    """A tenth of the lots are paid more."""
    full: float
    """Chance of a factor of 1 or more."""
    rejected: float
    """Chance of being rejected."""


@dataclass(frozen=True, slots=True)
class RiskCurve:
    """What a schedule pays along a line of true means."""

    points: tuple[RiskPoint, ...]
    finished: bool
    """Whether it wasn't stopped before its end."""


@cited("mean factor, and chances of full pay and of rejection, of simulated lots", SIMULATED)
def pay_curve(
    schedule: PaySchedule,
    n: int,
    means: Sequence[float],
    sd: float,
    lower: float | None = None,
    upper: float | None = None,
    target: float | None = None,
    lots: int = LOTS,
    seed: str = SEED,
    progress: Progress | None = None,
) -> RiskCurve:
    """Expected pay and operating characteristic of a schedule, over the true mean of the work.

    Args:
        schedule: How lots are paid.
        n: Results of a lot, 1 to 1,000.
        means: True means to look at, at least one, in the results' unit.
        sd: True standard deviation of the work, above 0.
        lower: Lower limit, where the schedule brings none; None for none.
        upper: Upper limit, where the schedule brings none; None for none.
        target: What deviations are taken from, where the schedule brings none.
        lots: Lots simulated for each mean, 100 to 100,000. With 2,000 the mean factor is known to a
            44th of the factor's spread.
        seed: 64 hexadecimal digits; another seed, other lots.
        progress: Told after each point how many are done of how many; returning False stops.

    Returns:
        The points so far, and whether they are all.

    Raises:
        OutOfRange: A value outside its range, or an n that the schedule isn't for.
        Refused: Limits or target that don't fit the schedule.

    Source: simulation of normal lots, definition.

    Example:
        >>> from matbook.engine.schedule_reader import pay_schedule
        >>> mine = pay_schedule("florida-percent")
        >>> good, poor = pay_curve(mine, 5, [94.0, 92.0], 1.0, lower=92.0).points
        >>> round(good.within_pct), round(good.expected, 2), round(poor.expected, 2)
        (98, 1.04, 0.8)
    """
    terms = checked(schedule, Terms(lower, upper, target))
    within("n", n, 1, 1000)
    up_to("sd", sd, 1e9)
    within("lots", lots, 100, 100_000)
    within("means", len(means), 1, 10_000)
    for mean in means:
        within("means", mean, -1e9, 1e9)
    drawn = normals(seed, f"risk {n}", lots * n)
    standard = [sample(drawn[k * n : (k + 1) * n]) for k in range(lots)]
    points: list[RiskPoint] = []
    for mean in means:
        points.append(_point(schedule, mean, sd, standard, terms))
        if progress is not None and not progress(len(points), len(means)):
            break
    return RiskCurve(tuple(points), len(points) == len(means))


@cited("the mean at which so much of a normal lot is within its limits", "definition")
def mean_within(within_pct: float, sd: float, lower: float | None, upper: float | None) -> float:
    """True mean of work of which so much is truly within its limits.

    Args:
        within_pct: Percentage [%], 0.1 to 99.9.
        sd: True standard deviation of the work, above 0.
        lower: Lower limit; None for none.
        upper: Upper limit; None for none.

    Returns:
        The mean, in the limits' unit; with both limits the lower of the two that there are.

    Raises:
        OutOfRange: A value outside its range, limits the wrong way round, or a spread with which no
            mean has so much within both limits.
        Refused: No limit at all.

    Source: definition.

    Example:
        >>> round(mean_within(90.0, 0.8, 92.0, None), 4)
        93.0252
    """
    check_limits(lower, upper)
    up_to("sd", sd, 1e9)
    within("within_pct", within_pct, 0.1, 99.9)
    z = NormalDist().inv_cdf(within_pct / 100.0)
    if lower is None or upper is None:
        return (upper or 0.0) - z * sd if lower is None else lower + z * sd
    best = 0.5 * (lower + upper)
    most = true_percent(best, sd, lower, upper)
    if most < within_pct:
        raise OutOfRange("within_pct", within_pct, f"with this spread it is at most {most:.1f}")
    low, high = lower - 10.0 * sd, best
    for _ in range(64):
        middle = 0.5 * (low + high)
        if true_percent(middle, sd, lower, upper) < within_pct:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def _point(
    schedule: PaySchedule, mean: float, sd: float, standard: Sequence[Sample], terms: Terms
) -> RiskPoint:
    """Every standard lot moved to a mean and a spread, and paid."""
    each = schedule.measure == "mean deviation"  # the only one that asks for every result
    found: list[Rated] = []
    for values, n, centre, spread in standard:
        moved = [mean + sd * z for z in values] if each else values
        found.append(rated(schedule, Sample(moved, n, mean + sd * centre, sd * spread), terms))
    factors = sorted([one.factor for one in found])
    count = len(factors)
    own = schedule.tries[0]
    lower, upper = own.lower, own.upper
    if lower is None and upper is None:
        lower, upper = terms.lower, terms.upper
    return RiskPoint(
        mean=mean,
        within_pct=None if lower is upper is None else true_percent(mean, sd, lower, upper),
        expected=fsum(factors) / count,
        low_factor=factors[count // 10],
        high_factor=factors[count - 1 - count // 10],
        full=len([factor for factor in factors if factor >= 1.0]) / count,
        rejected=len([one for one in found if one.rejected]) / count,
    )
