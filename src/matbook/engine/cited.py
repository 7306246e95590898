"""Where a formula comes from, carried by the function itself."""

from collections.abc import Callable
from typing import Any, TypeVar

F = TypeVar("F", bound=Callable[..., Any])


def cited(words: str, source: str) -> Callable[[F], F]:
    """Attach what a function computes, in words, and its source; does nothing else.

    Args:
        words: The formula as an inspector would say it, such as "mass on the tickets / area".
        source: Title, edition and section; "definition" where there is nothing to name;
            "common practice, no published source" where the trade just does it.

    Example:
        >>> @cited("gross - tare", "definition")
        ... def net(gross_kg: float, tare_kg: float) -> float:
        ...     return gross_kg - tare_kg
        >>> net.words, net.source, net(30.0, 10.0)
        ('gross - tare', 'definition', 20.0)
    """

    def attach(function: F) -> F:
        function.words = words  # type: ignore[attr-defined]
        function.source = source  # type: ignore[attr-defined]
        return function

    return attach
