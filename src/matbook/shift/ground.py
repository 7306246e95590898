"""What lies under the mat, by the plan or as it is taken to be."""

from collections.abc import Sequence
from math import fsum
from typing import Final

from matbook.engine.layers import Layer
from matbook.engine.materials import material
from matbook.engine.wetness import frozen
from matbook.plan.model import Ground, Mix

UNDER: Final = (("dense-mix", 0.10), ("crushed-damp", 0.30), ("subgrade", 0.70))
"""What is taken to lie under the mat where the plan doesn't say."""
DEEP_M: Final = 1.1
THINNEST_M: Final = 0.01
LAID_C: Final = 150.0
"""Any laying temperature: a lift gets its own when it is laid."""


def beneath(ground: Sequence[Ground], base_c: float, *, ice: bool = False) -> tuple[Layer, ...]:
    """The layers below the lift, down to where no shift's heat comes; frozen where there is ice."""
    under = [(one.material, one.thickness_m) for one in ground] or list(UNDER)
    deep = DEEP_M - fsum(thickness for _, thickness in under)
    if deep > THINNEST_M:
        under.append(("subgrade", deep))
    stuff = [(material(name), thickness) for name, thickness in under]
    if not ice:
        return tuple(one.layer(thickness, base_c) for one, thickness in stuff)
    cold = min(0.0, base_c)
    return tuple(frozen(one.layer(thickness, cold), one.moisture) for one, thickness in stuff)


def lift_layer(thickness_m: float, mix: Mix | None, laid_c: float = LAID_C) -> Layer:
    """A lift of a mix as it is laid."""
    stuff = material("dense-mix")
    density = mix.density_kg_m3 if mix is not None else None
    return Layer(
        thickness_m,
        stuff.conductivity_w_mk,
        density or stuff.density_kg_m3,
        stuff.heat_j_kgk,
        laid_c,
    )
