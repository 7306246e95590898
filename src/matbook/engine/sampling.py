"""Random sampling: the names that others rely on, in one place.

Numbers that nobody can choose are in `seeds`, where lots and sublots end in `sublots`, and the
places themselves in `draws`.
"""

from matbook.engine.draws import Drawn, Strip, across, along, draw, sublot_length
from matbook.engine.samples import weighted_mean
from matbook.engine.seeds import combined, commit, drawn, reveal
from matbook.engine.sublots import Piece, cut_lots, pieces

__all__ = [
    "Drawn",
    "Piece",
    "Strip",
    "across",
    "along",
    "combined",
    "commit",
    "cut_lots",
    "draw",
    "drawn",
    "pieces",
    "reveal",
    "sublot_length",
    "weighted_mean",
]
