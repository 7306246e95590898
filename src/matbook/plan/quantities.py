"""The quantities that limits may speak of, from `quantities.toml`: what each is and measures."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib import resources
from typing import Literal

from matbook.engine import units


@dataclass(frozen=True, slots=True)
class LimitQuantity:
    """What a limit may speak of."""

    name: str
    dimension: str
    kind: Literal["absolute", "deviation"]
    """Judged as it is, or by its distance from what was planned."""
    about: str
    usual: tuple[str, str]
    """Outside this a person who writes a limit is asked once; common practice."""

    @property
    def units(self) -> tuple[str, ...]:
        """The units that a limit on it may have."""
        return units.units_of(self.dimension)

    @property
    def sides(self) -> tuple[str, ...]:
        """The sides that a limit on it may have: plus or minus only makes sense of a deviation."""
        return ("min", "max", "within") if self.kind == "deviation" else ("min", "max")


@cache
def quantities() -> Mapping[str, LimitQuantity]:
    """Every quantity by name.

    Example:
        >>> quantities()["yield.last"].about, quantities()["ramp.ratio"].sides
        ('the last five loads', ('min', 'max'))
    """
    text = (resources.files(__package__) / "quantities.toml").read_text(encoding="utf-8")
    return {
        name: LimitQuantity(name, data["of"], data["kind"], data["about"], tuple(data["usual"]))
        for name, data in tomllib.loads(text).items()
    }
