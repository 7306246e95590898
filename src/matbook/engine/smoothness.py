"""Smoothness: the names that others rely on, in one place.

Gaps below a straightedge are in `straightedge`, the roughness index in `roughness`, the reference
car that it is driven with in `quarter_car`.
"""

from matbook.engine.quarter_car import quarter_car
from matbook.engine.roughness import Piece, Section, iri, iri_sections, pieces, roughest
from matbook.engine.straightedge import Gap, over_limit, straightedge_gaps

__all__ = [
    "Gap",
    "Piece",
    "Section",
    "iri",
    "iri_sections",
    "over_limit",
    "pieces",
    "quarter_car",
    "roughest",
    "straightedge_gaps",
]
