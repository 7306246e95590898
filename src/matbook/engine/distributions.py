"""The distributions behind comparisons and ranges: beta, t and F, worked out here.

Everything rests on the incomplete beta function, by its continued fraction; quantiles are found by
bisection on the log odds of x, so that both tails keep their digits.
"""

from collections.abc import Callable
from math import exp, inf, lgamma, log, log1p, sqrt
from typing import Final

from matbook.engine.cited import cited
from matbook.engine.ranges import within
from matbook.errors import OutOfRange

LENTZ: Final = "continued fraction by Lentz's method: Numerical Recipes, 6.4, from memory"
MOST_DF: Final = 100_000.0
SMALLEST: Final = 1e-300
ROUNDING: Final = 2.0**-52


@cited("incomplete beta function, by its continued fraction", LENTZ)
def incomplete_beta(x: float, a: float, b: float) -> float:
    """Share of a beta distribution that lies below x.

    Equation: I_x(a, b) = x^a (1 - x)^b / (a B(a, b)) / (1 + d1 / (1 + d2 / (1 + ...)))

    Args:
        x: Where to cut, 0 to 1.
        a: First parameter, 0.5 to 50,000.
        b: Second parameter, 0.5 to 50,000.

    Returns:
        Share [1], 0 to 1.

    Raises:
        OutOfRange: A value outside its range.

    Source: continued fraction by Lentz's method, Numerical Recipes, 6.4, from memory.

    Example:
        >>> round(incomplete_beta(0.25, 1.0, 1.0), 9), round(incomplete_beta(0.5, 3.0, 3.0), 9)
        (0.25, 0.5)
    """
    within("x", x, 0.0, 1.0)
    within("a", a, 0.5, MOST_DF / 2.0)
    within("b", b, 0.5, MOST_DF / 2.0)
    if x in (0.0, 1.0):
        return x
    return _below(log(x) - log1p(-x), a, b)


@cited("half the incomplete beta function at df / (df + t^2)", "definition")
def t_above(t: float, df: float) -> float:
    """Chance that Student's t is more than a value.

    Equation: P = I_x(df / 2, 1 / 2) / 2 at x = df / (df + t^2), for t from 0

    Args:
        t: The value, -1e100 to 1e100.
        df: Degrees of freedom, 1 to 100,000; need not be whole.

    Returns:
        Chance [1].

    Raises:
        OutOfRange: A value outside its range.

    Source: definition.

    Example:
        >>> round(t_above(2.77068, 27), 5)
        0.005
    """
    within("df", df, 1.0, MOST_DF)
    within("t", t, -1e100, 1e100)
    if t == 0.0:
        return 0.5
    half = 0.5 * _below(log(df) - 2.0 * log(abs(t)), df / 2.0, 0.5)
    return half if t > 0.0 else 1.0 - half


@cited("the t that is exceeded with the chance given", "definition")
def t_exceeded(chance: float, df: float) -> float:
    """Critical value of Student's t: what it exceeds with a given chance.

    Args:
        chance: Chance of a larger value [1], above 0, to 0.5.
        df: Degrees of freedom, 1 to 100,000; need not be whole.

    Returns:
        The value, from 0.

    Raises:
        OutOfRange: A value outside its range.

    Source: definition.

    Example:
        >>> round(t_exceeded(0.005, 27), 5)
        2.77068
    """
    within("df", df, 1.0, MOST_DF)
    _tail(chance, 0.5)
    if chance == 0.5:
        return 0.0
    odds = _rooted(lambda y: _below(y, df / 2.0, 0.5) - 2.0 * chance)
    return sqrt(df * exp(-odds))


@cited("incomplete beta function at df2 / (df2 + df1 F)", "definition")
def f_above(f: float, df1: float, df2: float) -> float:
    """Chance that a ratio of two variances of the same spread is more than a value.

    Equation: P = I_x(df2 / 2, df1 / 2) at x = df2 / (df2 + df1 F)

    Args:
        f: The ratio, from 0.
        df1: Degrees of freedom of the numerator, 1 to 100,000.
        df2: Degrees of freedom of the denominator, 1 to 100,000.

    Returns:
        Chance [1].

    Raises:
        OutOfRange: A value outside its range.

    Source: definition.

    Example:
        >>> round(f_above(4.2569, 7, 20), 5)
        0.005
    """
    within("df1", df1, 1.0, MOST_DF)
    within("df2", df2, 1.0, MOST_DF)
    if not 0.0 <= f < inf:
        raise OutOfRange("f", f, "it must be a number from 0")
    if f == 0.0:
        return 1.0
    return _below(log(df2) - log(df1) - log(f), df2 / 2.0, df1 / 2.0)


@cited("the F that is exceeded with the chance given", "definition")
def f_exceeded(chance: float, df1: float, df2: float) -> float:
    """Critical value of F: what a ratio of two variances exceeds with a given chance.

    Args:
        chance: Chance of a larger value [1], above 0, below 1.
        df1: Degrees of freedom of the numerator, 1 to 100,000.
        df2: Degrees of freedom of the denominator, 1 to 100,000.

    Returns:
        The ratio.

    Raises:
        OutOfRange: A value outside its range.

    Source: definition.

    Example:
        >>> round(f_exceeded(0.005, 7, 20), 4)
        4.2569
    """
    within("df1", df1, 1.0, MOST_DF)
    within("df2", df2, 1.0, MOST_DF)
    _tail(chance, 1.0 - 1e-12)
    odds = _rooted(lambda y: _below(y, df2 / 2.0, df1 / 2.0) - chance)
    return exp(-odds) * df2 / df1


def _below(odds: float, a: float, b: float) -> float:
    """The incomplete beta function by the log odds of x, from the end that is quick."""
    log_x, log_rest = -_log1pexp(-odds), -_log1pexp(odds)
    front = exp(a * log_x + b * log_rest + lgamma(a + b) - lgamma(a) - lgamma(b))
    x = exp(log_x)
    if x < (a + 1.0) / (a + b + 2.0):
        return min(1.0, front / (a * _fraction(x, a, b)))
    return max(0.0, 1.0 - front / (b * _fraction(exp(log_rest), b, a)))


def _log1pexp(y: float) -> float:
    """log(1 + e^y) without overflow."""
    return y + log1p(exp(-y)) if y > 0.0 else log1p(exp(y))


def _fraction(x: float, a: float, b: float) -> float:
    """The continued fraction's denominator, 1 + d1 / (1 + d2 / ...), by Lentz's method."""
    value, c, d = 1.0, 1.0, 0.0
    step = 0
    while True:
        step += 1
        m = step // 2
        if step % 2:
            term = -(a + m) * (a + b + m) * x / ((a + 2 * m) * (a + 2 * m + 1))
        else:
            term = m * (b - m) * x / ((a + 2 * m - 1) * (a + 2 * m))
        d = 1.0 / _kept(1.0 + term * d)
        c = _kept(1.0 + term / c)
        value *= c * d
        if abs(c * d - 1.0) <= 8.0 * ROUNDING:
            return value


def _kept(value: float) -> float:
    """Away from zero, since it is divided by."""
    return value if abs(value) > SMALLEST else SMALLEST


def _rooted(rising: Callable[[float], float]) -> float:
    """Where a rising function of the log odds is zero."""
    low, high = -1.0, 1.0
    while rising(low) > 0.0:
        low *= 2.0
    while rising(high) < 0.0:
        high *= 2.0
    while high - low > 4.0 * ROUNDING * max(1.0, abs(low), abs(high)):
        middle = 0.5 * (low + high)
        if rising(middle) < 0.0:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def _tail(chance: float, most: float) -> None:
    if not 1e-12 <= chance <= most:
        raise OutOfRange("chance", chance, f"it must be 1e-12 to {most:g}")
