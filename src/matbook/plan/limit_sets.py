"""Ready-made limits, from `limit_sets/*.toml`: data that a plan may adopt, each with its source.

None is in force until a plan adopts it. The agency's own current text always rules.
"""

import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Any, Literal

from matbook.errors import NotFound
from matbook.plan.model import Grade, Limit, Side


@dataclass(frozen=True, slots=True)
class ReadyLimit:
    """One ready-made limit and where it comes from."""

    id: str
    quantity: str
    side: Side
    number: str
    unit: str
    source: str
    edition: str
    standing: str
    """How it is known: read, from memory, or common practice."""
    about: str
    clause: str = ""
    grade: Grade = "watch"
    method: Literal["rounded", "absolute"] = "rounded"
    tell: Sequence[str] = ()

    def limit(self, limit_set: str, mix: str = "") -> Limit:
        """The limit as a plan has it once adopted, under set/row."""
        return Limit(
            id=f"{limit_set}/{self.id}" + (f"/{mix}" if mix else ""),
            quantity=self.quantity,
            side=self.side,
            number=self.number,
            unit=self.unit,
            grade=self.grade,
            method=self.method,
            clause=self.clause,
            source=f"{self.source}, {self.edition}" if self.edition else self.source,
            standing=self.standing,
            mix=mix,
            tell=tuple(self.tell),
        )


@dataclass(frozen=True, slots=True)
class LimitSet:
    """Ready-made limits of one origin."""

    name: str
    about: str
    rows: Mapping[str, ReadyLimit]


@cache
def limit_sets() -> Mapping[str, LimitSet]:
    """Every set of ready-made limits by name."""
    folder = resources.files(__package__) / "limit_sets"
    files = {file.name.removesuffix(".toml"): file for file in folder.iterdir()}
    return {
        name: _read(name, tomllib.loads(files[name].read_text(encoding="utf-8")))
        for name in sorted(files)
    }


def limit_set(name: str) -> LimitSet:
    """One set by name; raises NotFound.

    Example:
        >>> row = limit_set("common-practice").rows["delivery-minimum"]
        >>> row.quantity, row.number, row.unit, row.source
        ('temperature.delivery', '115', 'degC', 'common practice, no published source')
    """
    try:
        return limit_sets()[name]
    except KeyError:
        raise NotFound(
            f"There is no set of limits “{name[:60]}”; there is: {', '.join(limit_sets())}."
        ) from None


@cache
def ready() -> Mapping[str, ReadyLimit]:
    """Every ready-made limit by the name that a plan adopts it under, as set/row."""
    return {
        f"{name}/{row.id}": row
        for name, found in limit_sets().items()
        for row in found.rows.values()
    }


def _read(name: str, data: Mapping[str, Any]) -> LimitSet:
    shared = {key: data.get(key, "") for key in ("source", "edition", "standing")}
    shared["tell"] = ("contractor",)
    rows = {}
    for row_id, row in data["rows"].items():
        rows[row_id] = ReadyLimit(id=row_id, **{**shared, **row})
    return LimitSet(name, data["about"], rows)
