"""The owner's rules of testing and pay: lots, control strips, gauges, composites, deductions."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal

from matbook.engine.gauge import (
    CLEARANCES_M,
    DRIFT_PCT,
    LEAST_PAIRS,
    PAIR_SD_KG_M3,
    TURNED_KG_M3,
)
from matbook.engine.growth import REPEATABILITY_KG_M3


@dataclass(frozen=True, slots=True)
class LotRule:
    """What is accepted and paid by lots; numbers as printed, whose digits count."""

    id: str
    name: str
    lift: str
    characteristic: str
    """density, or the test whose results count."""
    unit: str
    sublots: int
    schedule: str
    basis: str = "maximum"
    method: str = "core"
    size: tuple[float, str] | None = None
    """kg by mass, or m by distance; None for a lot a working day."""
    tests: int = 1
    cut: str = "mass"
    """mass or load: a row of `engine.sublots.AT`."""
    short: str = "own"
    """Of a short last sublot: a row of `engine.sublots.SHORT`."""
    retests: str = "beside"
    outlier: str = ""
    outliers: str = "said"
    lower: str = ""
    upper: str = ""
    target: str = ""
    floor: str = ""
    price: str = ""
    stop: str = ""
    challenge_s: float | None = None
    clause: str = ""
    source: str = ""
    standing: str = ""
    tell: tuple[str, ...] = ()
    near: tuple[float, str] | None = None
    """A drawn place is told when it is so near: kg by mass, or m by distance."""
    spares: int = 3
    left_margin_m: float = 0.0
    right_margin_m: float = 0.0

    @property
    def planned(self) -> int:
        """How many results a lot will have."""
        return self.sublots * self.tests


@dataclass(frozen=True, slots=True)
class StripRule:
    """The owner's rules of control strips; percentages as printed, whose digits count."""

    length_m: float | None = None
    readings: int = 10
    section: int = 5
    mean: str = ""
    single: str = ""
    every_kg: float | None = None
    clause: str = ""
    source: str = ""
    standing: str = ""
    tell: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class GaugeRule:
    """How density gauges are checked and where they may stand; by itself as published or usual."""

    drift: str = f"{DRIFT_PCT:.1f}"
    before: int = 4
    turned_kg_m3: float = TURNED_KG_M3
    repeats_kg_m3: float = REPEATABILITY_KG_M3
    correction: Literal["offset", "ratio"] = "offset"
    pairs: int = LEAST_PAIRS
    spread_kg_m3: float = PAIR_SD_KG_M3
    from_source_m: float = CLEARANCES_M["other source"]
    from_object_m: float = CLEARANCES_M["large object"]
    from_face_m: float = CLEARANCES_M["vertical face"]
    from_edge_m: float = CLEARANCES_M["edge"]
    clause: str = ""
    source: str = ""
    tell: tuple[str, ...] = ()

    @property
    def clearances_m(self) -> dict[str, float]:
        """Thing -> how near to it a gauge may stand [m]."""
        own = self.from_source_m, self.from_object_m, self.from_face_m, self.from_edge_m
        return dict(zip(CLEARANCES_M, own, strict=True))


USUAL: Final = GaugeRule()
"""Of a gauge that the plan says nothing of."""


@dataclass(frozen=True, slots=True)
class CompositeRule:
    """Lots of several characteristics, or of mat and joint, that are paid by one factor."""

    id: str
    name: str
    recipe: str
    of: Mapping[str, str]
    """Characteristic -> id of the lots whose factor it takes."""
    joint: str = ""
    """The characteristic that counts by the area along joints."""
    band_m: float | None = None
    joints: int = 1
    price: str = ""
    clause: str = ""
    source: str = ""
    standing: str = ""


@dataclass(frozen=True, slots=True)
class Deduction:
    """What single events take away from the money of a lot."""

    id: str
    name: str
    lots: str
    sign: str
    each: str
    clause: str = ""
    source: str = ""
    standing: str = ""
