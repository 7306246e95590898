"""The form of a plan, from `form.toml`: which tables and fields it may have, and what each takes.

The same data drives the reading, the ways that later changes take into a plan, and the docs.
"""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any, Final

from matbook.engine import units

ROOT: Final = "plan"
"""The table that holds all others."""


@dataclass(frozen=True, slots=True)
class Field:
    """One field: what it takes, whether it must be there, and its physical bounds."""

    name: str
    type: str
    about: str = ""
    need: bool = False
    many: bool = False
    of: str | tuple[str, ...] = ""
    most: int = 200
    low: str = ""
    high: str = ""
    span: tuple[float, float] = (0.0, 0.0)
    """`low` and `high` in SI units, where they have units."""
    into: str = ""
    """Its name in the record."""


@dataclass(frozen=True, slots=True)
class Table:
    """One table: what it is about, what names one among many, and its fields."""

    name: str
    about: str
    key: str
    fields: Mapping[str, Field]


@cache
def form() -> Mapping[str, Table]:
    """Every table that a plan may have, by name; the one called `ROOT` holds the others.

    Example:
        >>> form()["lifts"].fields["thickness"].span
        (0.005, 0.5)
    """
    text = (resources.files(__package__) / "form.toml").read_text(encoding="utf-8")
    return {
        name: Table(
            name,
            table["about"],
            table.get("key", "id"),
            {field: _field(field, data) for field, data in table["fields"].items()},
        )
        for name, table in tomllib.loads(text).items()
    }


def inner(field: Field | None) -> Table | None:
    """The table that a field holds one or many of; None if it holds values."""
    if field is None or field.type not in ("table", "tables"):
        return None
    return form()[str(field.of)]


def _field(name: str, data: Mapping[str, Any]) -> Field:
    of = data.get("of", "")
    given = {**data, "of": tuple(of) if isinstance(of, list) else of}
    if "low" in data:
        given["span"] = (_si(data["low"]), _si(data["high"]))
    return Field(name=name, **{"into": name, **given})


def _si(bound: str) -> float:
    return units.parse(bound, "1").si() if " " not in bound else units.parse(bound).si()
