"""Legal limits on axles and trucks, as data: each set with its source and its standing.

The law where you are always rules, and what a set leaves out is written beside it. A permit, a
thaw order or a later edition is the same set with some of it replaced (`dataclasses.replace`).
"""

import csv
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from math import inf
from typing import Any, Final, Literal

from matbook.engine.units import convert
from matbook.errors import NotFound

HAIR_M: Final = 1e-9
"""A spread that stood just at the end of its band before it became metres still does."""


@dataclass(frozen=True, slots=True)
class AxleGroup:
    """A limit on a run of axles whose spread lies in a band [m]."""

    axles: int
    from_m: float
    to_m: float
    open_end: bool
    """The band ends below `to_m`, not at it."""
    limit_kg: float

    def holds_for(self, axles: int, spread_m: float) -> bool:
        """Whether a run of so many axles and such a spread is in the band."""
        if axles != self.axles or spread_m < self.from_m - HAIR_M:
            return False
        return spread_m < self.to_m - HAIR_M if self.open_end else spread_m <= self.to_m + HAIR_M


@dataclass(frozen=True)
class LimitSet:
    """One jurisdiction's limits, in kg and m, with their source and standing."""

    name: str
    title: str
    source: str
    standing: str
    single_kg: float
    first_kg: float
    """On the first axle; the single limit where the law has no other."""
    gross_kg: float
    gross_by_axles: Mapping[int, float]
    groups: tuple[AxleGroup, ...]
    formula: bool
    table_lb: Mapping[tuple[float, int], int]
    """(length in ft, axles) -> limit, where the law prints its own table."""
    two_tandems_kg: float
    two_tandems_from_m: float
    single_to_m: float
    tandem_to_m: float
    tandem_kg: float
    spacing: str = "as measured"
    """How spacings are rounded for formula and table: a row of `weight.SPACINGS`."""
    tie: Literal["down", "up"] = "down"
    """Which way the formula's ties go: a row of `weight.TIES`."""
    seasonal_factor: float = 1.0
    """Share of its axle and axle group limits that a thaw order leaves; not of bridge or gross."""
    tolerance_included: bool | None = None
    """Whether scale tolerance is in the numbers already; None where the source doesn't say."""
    effective: str = ""
    """The date or amendment it stands as of; empty where the source has none."""


def limit_sets() -> tuple[str, ...]:
    """The names of all limit sets.

    Source: definition.

    Example:
        >>> "us-federal" in limit_sets()
        True
    """
    return tuple(_data())


@lru_cache(maxsize=32)
def limit_set(name: str) -> LimitSet:
    """One limit set by name.

    Args:
        name: As `limit_sets` lists it.

    Returns:
        The set.

    Raises:
        NotFound: There is no such set.

    Source: each set names its own.

    Example:
        >>> limit_set("us-federal").standing
        'read'
    """
    if name not in _data():
        raise NotFound(f"There is no limit set “{name}”; there is: {', '.join(_data())}.")
    raw = _data()[name]
    tandems = raw.get("two_tandems", {})

    def mass(value: float | None) -> float:
        return inf if value is None else convert(float(value), raw["unit"], "kg")

    def length(value: float) -> float:
        return convert(float(value), raw["length"], "m")

    return LimitSet(
        name=name,
        single_kg=mass(raw["single"]),
        first_kg=mass(raw.get("first", raw["single"])),
        gross_kg=mass(raw.get("gross")),
        gross_by_axles={int(n): mass(limit) for n, limit in raw.get("gross_by_axles", {}).items()},
        groups=tuple(
            AxleGroup(
                axles=row["axles"],
                from_m=length(row["from"]),
                to_m=length(row["below"] if "below" in row else row["to"]),
                open_end="below" in row,
                limit_kg=mass(row["limit"]),
            )
            for row in raw.get("groups", [])
        ),
        formula=raw.get("formula", False),
        table_lb=_table(raw["table"]) if "table" in raw else {},
        two_tandems_kg=mass(tandems.get("limit", 0.0)),
        two_tandems_from_m=length(tandems.get("from", 0.0)),
        single_to_m=length(raw.get("single_to", 0.0)),
        tandem_to_m=length(raw.get("tandem_to", 0.0)),
        tandem_kg=mass(raw.get("tandem")),
        **{key: raw[key] for key in PLAIN if key in raw},
    )


PLAIN: Final = (
    "title", "source", "standing", "spacing", "tie", "seasonal_factor", "tolerance_included",
    "effective",
)  # fmt: skip
"""What a set takes from its data as it stands there."""


@lru_cache(maxsize=1)
def _data() -> Mapping[str, Mapping[str, Any]]:
    file = resources.files("matbook.engine") / "tables" / "limit_sets.toml"
    found: Mapping[str, Mapping[str, Any]] = tomllib.loads(file.read_text(encoding="utf-8"))
    return found


def _table(name: str) -> dict[tuple[float, int], int]:
    text = (resources.files("matbook.engine") / "tables" / name).read_text(encoding="utf-8")
    return {
        (int(row["length_ft"]), int(row["axles"])): int(row["limit_lb"])
        for row in csv.DictReader(text.splitlines())
    }
