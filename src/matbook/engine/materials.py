"""What a mat is made of and laid on: its thermal properties by name, each with its source."""

import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources

from matbook.engine.layers import Layer
from matbook.errors import NotFound


@dataclass(frozen=True, slots=True)
class Material:
    """A material's thermal properties, their source, and whether it was read."""

    name: str
    title: str
    conductivity_w_mk: float
    density_kg_m3: float
    heat_j_kgk: float
    source: str
    standing: str
    moisture: float = 0.0
    """Mass of water over mass of dry stone [1]: what turns to ice in it."""

    def layer(self, thickness_m: float, start_c: float) -> Layer:
        """A layer of it.

        Args:
            thickness_m: Thickness [m].
            start_c: Temperature at the start [°C].
        """
        return Layer(
            thickness_m, self.conductivity_w_mk, self.density_kg_m3, self.heat_j_kgk, start_c
        )


def materials() -> tuple[str, ...]:
    """The names of all materials.

    Source: definition.

    Example:
        >>> "dense-mix" in materials()
        True
    """
    return tuple(_data())


def material(name: str) -> Material:
    """One material by name.

    Args:
        name: As `materials` lists it.

    Returns:
        The material.

    Raises:
        NotFound: There is no such material.

    Source: each material names its own.

    Example:
        >>> material("dense-mix-chart").conductivity_w_mk
        1.21
        >>> material("subgrade").standing
        'read'
    """
    if name not in _data():
        raise NotFound(f"There is no material “{name}”; there is: {', '.join(_data())}.")
    return _data()[name]


@lru_cache(maxsize=1)
def _data() -> Mapping[str, Material]:
    file = resources.files("matbook.engine") / "tables" / "materials.toml"
    rows = tomllib.loads(file.read_text(encoding="utf-8"))
    return {
        name: Material(
            name=name,
            title=row["title"],
            conductivity_w_mk=row["conductivity"],
            density_kg_m3=row["density"],
            heat_j_kgk=row["heat"],
            source=row["source"],
            standing=row["standing"],
            moisture=row.get("moisture", 0.0),
        )
        for name, row in rows.items()
    }
