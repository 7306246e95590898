"""Whether two sets of results, or one result and the rest, differ by more than chance.

The order is variances first, by F, then means, by t, which is pooled where the variances agree
(FHWA-RD-02-095, appendix F; KDOT 5.2.6). Independent samples and split samples answer different
questions: split samples are compared in pairs.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Final

from matbook.engine.cited import cited
from matbook.engine.distributions import f_above, f_exceeded, t_above, t_exceeded
from matbook.engine.ranges import above_zero, picked, within
from matbook.engine.rounding import exact
from matbook.engine.samples import sample, spread_out
from matbook.errors import OutOfRange

APPENDIX_F: Final = "FHWA-RD-02-095, appendix F; KDOT 5.2.6"
GRUBBS: Final = "ASTM E178, single outlier (Grubbs), from memory"
LEAST_ALPHA: Final = 1e-6


@dataclass(frozen=True, slots=True)
class Difference:
    """What a comparison found."""

    statistic: float
    df: tuple[float, ...]
    """Degrees of freedom: of numerator and denominator for F, one for t."""
    critical: float
    """What the statistic must exceed."""
    p: float
    """Chance of so large a statistic where nothing differs."""
    differ: bool


@dataclass(frozen=True, slots=True)
class Outlier(Difference):
    """The result farthest from the mean, and whether it is too far for chance."""

    value: float
    place: int
    """Its place among the results, from 0."""


@cited("larger variance / smaller variance, against F", APPENDIX_F)
def compare_variances(a: Sequence[float], b: Sequence[float], alpha: float) -> Difference:
    """Whether the variances of two independent sets of results differ.

    Equation: F = larger s^2 / smaller s^2; critical F(1 - alpha / 2; df of numerator, of
    denominator)

    Args:
        a: Results of one side, 2 or more, that aren't all the same.
        b: Results of the other side, likewise.
        alpha: Chance allowed of a false alarm, both sides together [1], 1e-6 to 0.5; 0.01 is usual.

    Returns:
        The comparison; its p is two-sided.

    Raises:
        OutOfRange: Too few results, results all the same, or a value outside its range.

    Source: FHWA-RD-02-095, appendix F; KDOT 5.2.6; NIST Dataplot, F test.

    Example:
        >>> contractor = [6.4, 6.2, 6.0, 6.6, 6.1, 6.0]
        >>> owner = [5.4, 5.8, 6.2, 5.4]
        >>> compare_variances(contractor, owner, 0.01).differ
        False
    """
    _alpha(alpha)
    first, second = spread_out(a, 2, "a"), spread_out(b, 2, "b")
    if first.sd < second.sd:
        first, second = second, first
    f = (first.sd / second.sd) ** 2
    df = (first.n - 1.0, second.n - 1.0)
    critical = f_exceeded(alpha / 2.0, *df)
    return Difference(f, df, critical, min(1.0, 2.0 * f_above(f, *df)), f > critical)


@cited("difference of means / its standard error, against t", APPENDIX_F)
def compare_means(
    a: Sequence[float],
    b: Sequence[float],
    alpha: float,
    equal_variances: bool,
    df: str = "satterthwaite",
) -> Difference:
    """Whether the means of two independent sets of results differ.

    Equation: t = |difference of means| / standard error; pooled: sp^2 = ((na - 1) sa^2 + (nb - 1)
    sb^2) / (na + nb - 2); otherwise sa^2 / na + sb^2 / nb, with degrees of freedom by `df`.

    Args:
        a: Results of one side, 2 or more.
        b: Results of the other side, 2 or more.
        alpha: Chance allowed of a false alarm, both sides together [1], 1e-6 to 0.5; 0.01 is usual.
        equal_variances: Whether the variances were found to agree.
        df: Degrees of freedom where they don't: satterthwaite, or older for the form of older
            manuals, with n + 1 and less 2.

    Returns:
        The comparison, two-sided.

    Raises:
        OutOfRange: Too few results, no spread on either side, or a value outside its range.
        Refused: No such rule for the degrees of freedom.

    Source: FHWA-RD-02-095, appendix F; KDOT 5.2.6; the older form from memory.

    Example:
        >>> contractor = [6.4, 6.2, 6.0, 6.6, 6.1, 6.0]
        >>> owner = [5.4, 5.8, 6.2, 5.4]
        >>> round(compare_means(contractor, owner, 0.01, True).statistic, 3)
        2.653
    """
    _alpha(alpha)
    rule = picked("df", df, UNEQUAL)
    first, second = sample(a, 2, "a"), sample(b, 2, "b")
    u, v = first.sd**2 / first.n, second.sd**2 / second.n
    freedom = float(first.n + second.n - 2)
    if not (first.spreads or second.spreads):
        raise OutOfRange("a", first.mean, "neither side's results have any spread to judge by")
    error = u + v
    if equal_variances:
        squares = (first.n - 1) * first.sd**2 + (second.n - 1) * second.sd**2
        error = squares / freedom * (1.0 / first.n + 1.0 / second.n)
    else:
        freedom = rule(u, v, first.n, second.n)
    return _by_t(abs(first.mean - second.mean) / sqrt(error), freedom, alpha)


@cited("mean of the differences / its standard error, against t", APPENDIX_F)
def paired(a: Sequence[float], b: Sequence[float], alpha: float) -> Difference:
    """Whether two sides differ on split samples, each tested by both.

    Equation: t = |mean of d| / (s of d / sqrt(n)), df = n - 1

    Args:
        a: Results of one side, 2 or more, in the order of the samples.
        b: Results of the other side on the same samples.
        alpha: Chance allowed of a false alarm, both sides together [1], 1e-6 to 0.5; 0.01 is usual.

    Returns:
        The comparison, two-sided.

    Raises:
        OutOfRange: Sides of different length, too few results, differences all the same, or a
            value outside its range.

    Source: FHWA-RD-02-095, appendix F; split samples: Oklahoma DOT.

    Example:
        >>> round(paired([144.9, 142.8, 143.1], [142.1, 140.9, 140.7], 0.01).statistic, 2)
        9.09
    """
    _alpha(alpha)
    if len(a) != len(b):
        raise OutOfRange(
            "b", len(b), f"there must be as many results as on the other side: {len(a)}"
        )
    differences = [float(exact(x) - exact(y)) for x, y in zip(a, b, strict=True)]
    d = spread_out(differences, 2, "differences")
    return _by_t(abs(d.mean) / d.sd * sqrt(d.n), d.n - 1.0, alpha)


@cited("distance of the farthest result from the mean / s, against Grubbs's limit", GRUBBS)
def outlier(values: Sequence[float], alpha: float, sides: int = 1) -> Outlier:
    """Whether the result farthest from the mean is too far for chance.

    What an outlier means is for a person to find out: a result isn't left out because it is far.

    Equation: T = |x - mean| / s; critical (n - 1) / sqrt(n) sqrt(t^2 / (n - 2 + t^2)) with t
    exceeded at alpha / n (one side) or alpha / 2n (both), df n - 2

    Args:
        values: Results, 3 or more, that aren't all the same.
        alpha: Chance allowed of a false alarm [1], 1e-6 to 0.5; 0.05 is usual.
        sides: 1 where only that side was suspected beforehand, 2 where either was.

    Returns:
        The farthest result and the comparison; its df is that of t.

    Raises:
        OutOfRange: Too few results, results all the same, or a value outside its range.

    Source: ASTM E178, single outlier (Grubbs), from memory.

    Example:
        >>> found = outlier([96.60, 97.55, 99.30, 98.35], 0.05)
        >>> found.value, round(found.statistic, 3), round(found.critical, 4), found.differ
        (99.3, 1.174, 1.4625, False)
    """
    _alpha(alpha)
    if sides not in (1, 2):
        raise OutOfRange("sides", sides, "it must be 1 or 2")
    of = spread_out(values, 3)
    n = of.n
    place = max(range(n), key=lambda k: abs(values[k] - of.mean))
    distance = abs(values[place] - of.mean) / of.sd
    t = t_exceeded(alpha / (sides * n), n - 2.0)
    critical = (n - 1.0) / sqrt(n) * sqrt(t * t / (n - 2.0 + t * t))
    return Outlier(
        statistic=distance,
        df=(n - 2.0,),
        critical=critical,
        p=min(1.0, sides * n * _beyond(distance, n)),
        differ=distance > critical,
        value=values[place],
        place=place,
    )


@cited("1.960 sqrt(2) s", "ASTM C670, difference two-sigma limit, from memory")
def difference_limit(sd: float) -> float:
    """What two results on one sample differ by at most, 19 times in 20, where s is known.

    Equation: d2s = 1.960 sqrt(2) s

    Args:
        sd: Standard deviation that the method is known for, above 0, in the results' unit.

    Returns:
        The limit, in the results' unit.

    Raises:
        OutOfRange: The standard deviation isn't above 0.

    Source: ASTM C670, difference two-sigma limit, from memory.

    Example:
        >>> round(difference_limit(0.5), 3)
        1.386
    """
    above_zero("sd", sd)
    return 1.959963984540054 * sqrt(2.0) * sd


def _satterthwaite(u: float, v: float, na: int, nb: int) -> float:
    return (u + v) ** 2 / (u * u / (na - 1) + v * v / (nb - 1))


def _older(u: float, v: float, na: int, nb: int) -> float:
    return (u + v) ** 2 / (u * u / (na + 1) + v * v / (nb + 1)) - 2.0


UNEQUAL: Final[Mapping[str, Callable[[float, float, int, int], float]]] = {
    "satterthwaite": _satterthwaite,
    "older": _older,
}
"""Degrees of freedom where variances differ."""


def _by_t(t: float, df: float, alpha: float) -> Difference:
    critical = t_exceeded(alpha / 2.0, df)
    return Difference(t, (df,), critical, 2.0 * t_above(t, df), t > critical)


def _beyond(distance: float, n: int) -> float:
    """Chance that one given result of n lies so far above the mean."""
    left = (n - 1.0) ** 2 - n * distance * distance
    if left <= 0.0:
        return 0.0
    return t_above(sqrt(n * (n - 2.0) * distance * distance / left), n - 2.0)


def _alpha(alpha: float) -> None:
    within("alpha", alpha, LEAST_ALPHA, 0.5)
