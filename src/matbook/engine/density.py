"""Density: the names that others rely on, in one place.

Gravities of cores and mix are in `gravity`, the gauge and cores beside it in `gauge`.
"""

from matbook.engine.gauge import (
    Correlation,
    Section,
    StandardCount,
    Turned,
    against_strip,
    gauge_offset,
    gauge_ratio,
    standard_count,
    too_near,
    two_directions,
)
from matbook.engine.gravity import (
    WATER_KG_M3,
    absorption_pct,
    air_voids_pct,
    bulk_gravity,
    coated_gravity,
    core_thickness,
    density_of,
    maximum_gravity,
    percent_of_maximum,
    sealed_gravity,
    ssd_method_holds,
)

__all__ = [
    "WATER_KG_M3",
    "Correlation",
    "Section",
    "StandardCount",
    "Turned",
    "absorption_pct",
    "against_strip",
    "air_voids_pct",
    "bulk_gravity",
    "coated_gravity",
    "core_thickness",
    "density_of",
    "gauge_offset",
    "gauge_ratio",
    "maximum_gravity",
    "percent_of_maximum",
    "sealed_gravity",
    "ssd_method_holds",
    "standard_count",
    "too_near",
    "two_directions",
]
