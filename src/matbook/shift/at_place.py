"""One place of the mat at one moment: since when it lies there, how hot it is, how long is left."""

from dataclasses import dataclass
from datetime import datetime

from matbook.engine.forecasting import Range
from matbook.plan.model import Phase
from matbook.shift.mats import Mat
from matbook.shift.view import View


@dataclass(frozen=True)
class Here:
    """The mat at a station and a moment not before it was laid."""

    mat: Mat
    laid_at: datetime
    mean: Range | None
    """Mean of the lift then [°C]; None where nobody asks any more."""
    surface: Range | None
    left: Range | None
    """Time then until rolling makes no more density [s], below 0 when it is over; None if it does
    for hours."""
    phases: tuple[Phase, ...]
    """The phases of rolling whose temperatures the mean is within."""


def laid_at(view: View, lane: str, lift: str, at_m: float) -> Mat | None:
    """The mat that lies at a station, the latest where two pieces lie over one another."""
    found = None
    for mat in view.mats:
        low, high = sorted((mat.piece.from_m, mat.piece.to_m))
        if (mat.lane, mat.piece.lift) == (lane, lift) and low <= at_m <= high:
            found = mat
    return found


def here(view: View, mat: Mat, at_m: float, moment: datetime) -> Here | None:
    """What is known of a piece of mat at one of its stations and a moment; None before it lay."""
    since = mat.at_station(at_m)
    after_s = (moment - since).total_seconds()
    if after_s < 0.0:
        return None
    weights = view.checked.weights
    mean, surface = mat.temps(after_s, weights) or (None, None)
    left = mat.left(weights)
    if left is not None:
        left = Range(left.early - after_s, left.middle - after_s, left.late - after_s)
    return Here(mat, since, mean, surface, left, _phases(view, mat, mean))


def _phases(view: View, mat: Mat, mean: Range | None) -> tuple[Phase, ...]:
    """Without a start of its own, a phase begins where the one before it ends."""
    if mean is None:
        return ()
    found, begins = [], float("inf")
    for phase in view.plan.phases:
        if phase.mix not in ("", mat.piece.mix):
            continue
        starts = begins if phase.starts_c is None else phase.starts_c
        if phase.ends_c <= mean.middle <= starts:
            found.append(phase)
        begins = phase.ends_c
    return tuple(found)
