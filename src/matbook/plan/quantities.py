"""What limits may speak of, by name, each with the dimension of its unit."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources


@dataclass(frozen=True, slots=True)
class Measured:
    """A quantity that a limit may speak of."""

    name: str
    dimension: str
    deviation: bool = False
    """The limit is on the deviation from what was planned."""


@lru_cache(maxsize=1)
def quantities() -> Mapping[str, Measured]:
    """Every quantity, by name."""
    file = resources.files("matbook.plan") / "quantities.toml"
    tables = tomllib.loads(file.read_text(encoding="utf-8"))
    return {
        name: Measured(name, told["of"], told.get("off", False))
        for table in tables.values()
        for name, told in table.items()
    }
