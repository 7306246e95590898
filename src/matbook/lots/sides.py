"""The contractor's results beside the owner's: whether they can be of the same work."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from matbook.engine.comparison import Difference, compare_means, compare_variances, paired
from matbook.errors import Refused
from matbook.lots.results import Result

ALPHA: Final = 0.01
"""FHWA-RD-02-095, appendix F: the usual chance allowed of a false alarm."""


@dataclass(frozen=True, slots=True)
class Sides:
    """Both sides' results of one lot, and what comparing them found."""

    owner: tuple[Result, ...]
    contractor: tuple[Result, ...]
    variances: Difference | None = None
    means: Difference | None = None
    equal: bool = True
    """Whether the means were compared with one variance for both."""
    pairs: int = 0
    """Samples that both sides tested."""
    paired: Difference | None = None
    said: str = ""
    """Why it can't be compared, as a sentence."""


def sides(found: Sequence[Result]) -> Sides | None:
    """Compare the sides of one lot; None where the contractor has no result in it."""
    valued = [one for one in found if one.value is not None]
    theirs = tuple(one for one in valued if one.state == "contractor")
    ours = tuple(one for one in valued if one.state in ("counts", "verification"))
    if not theirs:
        return None
    a, b = _values(theirs), _values(ours)
    of_ours = {one.sample: one for one in ours if one.sample}
    split = [(one, of_ours[one.sample]) for one in theirs if one.sample in of_ours]
    both = None
    try:
        if len(split) > 1:
            both = paired(
                _values([one for one, _ in split]), _values([one for _, one in split]), ALPHA
            )
        variances = compare_variances(a, b, ALPHA)
        means = compare_means(a, b, ALPHA, not variances.differ)
    except Refused as error:
        return Sides(ours, theirs, pairs=len(split), paired=both, said=str(error))
    return Sides(ours, theirs, variances, means, not variances.differ, len(split), both)


def _values(found: Sequence[Result]) -> list[float]:
    return [one.value.value for one in found if one.value is not None]
