"""Rounding as agencies write it, from decimal text, and comparing a result with a limit.

The rule is the agency's choice: ASTM E29 takes a tie to the even digit, some take it always up,
some cut. A binary float can't hold a tie such as 5.755, so floats are refused; `exact` turns a
worked-out one into decimals first. Limits stay text, since the digits they print count.
"""

import operator
import re
from collections.abc import Callable, Mapping
from decimal import ROUND_DOWN, ROUND_HALF_EVEN, ROUND_HALF_UP, Context, Decimal
from math import isfinite
from typing import Final, TypeVar

from matbook.engine.cited import cited
from matbook.errors import OutOfRange, Refused

T = TypeVar("T")

E29: Final = "ASTM E29, rounding method and absolute method, as taken up in Alberta ATT-70/96"

RULES: Final[Mapping[str, str]] = {
    "half-even": ROUND_HALF_EVEN,  # ASTM E29
    "half-up": ROUND_HALF_UP,  # Iowa DOT IM 202, which replaces E29 6.4.3
    "truncate": ROUND_DOWN,  # Louisiana DOTD, 30 January 2018, for values on the way to a result
}
"""What becomes of the digits beyond the last kept; a tie goes to even, away from zero, or off."""

MOST_PLACES: Final = 18
MOST_DIGITS_BEFORE_POINT: Final = 18

_PLAIN = re.compile(r"[-+]?[0-9]{1,18}(?:\.([0-9]{1,18}))?")


@cited("value rounded to so many decimals by the agency's rule", E29)
def round_to(value: str | Decimal | int, places: int, rule: str = "half-even") -> Decimal:
    """Round a value to so many decimals by the agency's rule.

    Args:
        value: The number as decimal text, Decimal or int; below 10^18.
        places: Decimals to keep, -18 to 18; -1 rounds to tens.
        rule: "half-even" (ASTM E29: a tie goes to the even digit), "half-up" (a tie goes away
            from zero) or "truncate" (cut).

    Returns:
        The rounded value with its decimals printed, and never a negative zero.

    Raises:
        Refused: The value is a binary float or no number, or the rule isn't known.
        OutOfRange: The value or the number of places is out of range.

    Source: ASTM E29, rounding method, as taken up in Alberta ATT-70/96; tie always up: Iowa DOT
    IM 202; cutting: Louisiana DOTD, 30 January 2018.

    Example:
        >>> round_to("5.765", 2), round_to("5.765", 2, "half-up"), round_to(1385, -1)
        (Decimal('5.76'), Decimal('5.77'), Decimal('1380'))
    """
    number = _decimal("value", value)
    if not -MOST_PLACES <= places <= MOST_PLACES:
        raise OutOfRange("places", places, f"it must be from {-MOST_PLACES} to {MOST_PLACES}")
    context = Context(prec=50, rounding=_chosen("rule", rule, RULES))
    rounded = number.quantize(Decimal(1).scaleb(-places), context=context)
    return context.plus(rounded.quantize(Decimal(1), context=context) if places < 0 else rounded)


def places(limit_text: str) -> int:
    """The decimals that a limit prints.

    Args:
        limit_text: The limit as printed; plain digits with at most one decimal point.

    Raises:
        Refused: The text isn't a plain decimal number.

    Source: ASTM E29, rounding method: a result is rounded to the last place of the limit.

    Example:
        >>> places("4"), places("4.0"), places("92.50")
        (0, 1, 2)
    """
    match = _PLAIN.fullmatch(limit_text)
    if match is None:
        raise Refused("limit", limit_text, "it must be plain digits, such as 92.0")
    return len(match[1] or "")


SENSES: Final[Mapping[str, Callable[[Decimal, Decimal], bool]]] = {
    "min": operator.ge,
    "max": operator.le,
}
METHODS: Final[Mapping[str, Callable[[Decimal, str, str], Decimal]]] = {
    "absolute": lambda value, limit, rule: value,
    "rounded": lambda value, limit, rule: round_to(value, places(limit), rule),
}


@cited("value against the limit, at the limit's printed digits unless absolute", E29)
def meets(
    value: str | Decimal | int, limit_text: str, sense: str, method: str, rule: str = "half-even"
) -> bool:
    """Whether a result meets a limit as it is printed.

    Args:
        value: The result as decimal text, Decimal or int.
        limit_text: The limit as printed; by the rounded method its decimals count, so "4.0"
            asks more of a result than "4".
        sense: "min" if the result may not be less, "max" if it may not be more.
        method: "absolute" compares the result as it is, "rounded" rounds it first to the last
            place that the limit prints.
        rule: How to round, as in `round_to`.

    Returns:
        Whether the limit is met; a result equal to the limit meets it.

    Raises:
        Refused: A number can't be read, or the sense, method or rule isn't known.
        OutOfRange: A number is out of the range of `round_to`.

    Source: ASTM E29, absolute method and rounding method; the example is from Iowa DOT IM 202.

    Example:
        >>> meets("4.25", "4", "max", "rounded"), meets("4.25", "4.0", "max", "rounded")
        (True, False)
    """
    compare = _chosen("sense", sense, SENSES)
    prepare = _chosen("method", method, METHODS)
    number = prepare(_decimal("value", value), limit_text, rule)
    return compare(number, _decimal("limit", limit_text))


def exact(value: float) -> Decimal:
    """A worked-out float as the decimal number it stands for, at 12 significant digits.

    Binary noise in the last digits would decide ties; twelve digits are more than any
    measurement has and fewer than the noise reaches.

    Args:
        value: Any finite number below 10^18.

    Raises:
        OutOfRange: The number isn't finite.

    Source: definition.

    Example:
        >>> exact(0.1 + 0.2), exact(1.005 * 1000)
        (Decimal('0.3'), Decimal('1005'))
    """
    if not isfinite(value):
        raise OutOfRange("value", value, "it must be a finite number")
    return Decimal(f"{value:.12g}")


def _decimal(field: str, value: str | Decimal | int) -> Decimal:
    if isinstance(value, float):
        allowed = "a binary float can't hold a tie; give decimal text, or turn it by `exact`"
        raise Refused(field, value, allowed)
    if isinstance(value, str) and not _PLAIN.fullmatch(value):
        raise Refused(field, value, "it must be plain digits, such as 92.0")
    number = Decimal(value)
    if not number.is_finite() or number.adjusted() >= MOST_DIGITS_BEFORE_POINT:
        raise OutOfRange(field, value, "it must be a finite number below 10^18")
    return number


def _chosen(field: str, given: str, table: Mapping[str, T]) -> T:
    try:
        return table[given]
    except KeyError:
        raise Refused(field, given, "it must be one of " + ", ".join(table)) from None
