"""Figures: numbers that open.

A figure keeps a reference to the engine function that made it and to its inputs: readings of
entries, numbers of the plan, or other figures. Its derivation is written out only when somebody
opens it; an aggregate refers to the set it was made from and does not copy it.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from matbook.plan.model import Limit
from matbook.shift.facts import Fact


@dataclass(frozen=True, slots=True)
class Read:
    """A number read from an entry's field."""

    value: float
    entry: str
    field: str
    written: str


@dataclass(frozen=True, slots=True)
class Agreed:
    """A number from the plan, with the path that leads to it."""

    value: float
    path: str


@dataclass(frozen=True, slots=True)
class Whole:
    """A total over a set that is named, not copied: how many, and which."""

    value: float
    of: str
    count: int
    entries: Callable[[], Sequence[str]]


@dataclass(frozen=True)
class Figure:
    """A number, what made it, from what, and how sure it is.

    `value`, `low` and `high` are in `unit`; the range is what `range_words` says.
    """

    value: float
    unit: str
    made_by: Callable[..., Any] | None
    inputs: Mapping[str, "Input"]
    low: float | None = None
    high: float | None = None
    range_words: str = ""
    flags: tuple[str, ...] = ()
    limit: Limit | None = None

    def open(self, depth: int = 1) -> dict[str, Any]:
        """The derivation as plain data: formula in words, source, inputs, range, limit."""
        opened: dict[str, Any] = {"value": shown(self.value), "unit": self.unit}
        if self.made_by is not None:
            opened["formula"] = getattr(self.made_by, "words", self.made_by.__name__)
            opened["source"] = getattr(self.made_by, "source", "definition")
            opened["function"] = f"{self.made_by.__module__}.{self.made_by.__name__}"
        opened["inputs"] = {name: _open_input(value, depth) for name, value in self.inputs.items()}
        if self.low is not None and self.high is not None:
            opened["range"] = {
                "low": shown(self.low),
                "high": shown(self.high),
                "is": self.range_words,
            }
        if self.flags:
            opened["flags"] = list(self.flags)
        if self.limit is not None:
            opened["limit"] = {
                "number": self.limit.number,
                "unit": self.limit.unit,
                "side": self.limit.side,
                "clause": self.limit.clause,
                "source": self.limit.source,
                "standing": self.limit.standing,
            }
        return opened


Input = float | Read | Agreed | Whole | Figure


def figure(made_by: Callable[..., float], unit: str, /, **inputs: Input) -> Figure:
    """Call an engine function with the values of its inputs, and remember both.

    Example:
        >>> from matbook.engine.spread import spread_rate
        >>> figure(spread_rate, "kg/m2", mass_kg=22_400.0, area_m2=190.0).open()["value"]
        '117.894736842'
    """
    return Figure(made_by(**{name: plain(i) for name, i in inputs.items()}), unit, made_by, inputs)


def read(fact: Fact, name: str) -> Read:
    """A measured field of a fact as an input."""
    written = fact.text(name)
    value = fact.si(name)
    assert value is not None
    return Read(value, fact.id, name, written)


def plain(value: Input) -> float:
    """The bare number of an input."""
    return value if isinstance(value, float | int) else value.value


def shown(value: float) -> str:
    """A number as it leaves the core: 12 significant digits."""
    return f"{value:.12g}"


def _open_input(value: Input, depth: int) -> Any:
    if isinstance(value, Figure):
        if depth > 0:
            return value.open(depth - 1)
        return {"value": shown(value.value), "unit": value.unit}
    if isinstance(value, Read):
        return {"written": value.written, "entry": value.entry, "field": value.field}
    if isinstance(value, Agreed):
        return {"value": shown(value.value), "plan": value.path}
    if isinstance(value, Whole):
        return {
            "value": shown(value.value),
            "of": value.of,
            "count": value.count,
            "entries": list(value.entries()),
        }
    return {"value": shown(value)}
