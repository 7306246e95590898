"""Keeping score of the forecasts: how often a reading was what was expected before it."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property
from math import fsum
from typing import Final

from matbook.engine.reading import READ_BY
from matbook.engine.scoring import share_range, ten_to_ninety
from matbook.shift.mat_checks import Checked, Compared

HOW: Final = ("", *READ_BY)
"""By what readings are told apart: all of them, then each way of reading."""


@dataclass(frozen=True)
class Scored:
    """One reading beside the range that was expected before it was used."""

    compared: Compared
    how: str
    low_c: float
    high_c: float

    @property
    def inside(self) -> bool:
        """Whether it lay between the tenth and the ninetieth percent of what was expected."""
        return self.low_c <= self.compared.read_c <= self.high_c

    @property
    def off_k(self) -> float:
        """What was read less what was expected [K]."""
        return self.compared.read_c - self.compared.expected_c


@dataclass(frozen=True)
class Tally:
    """The score of many readings, taken one way or all."""

    how: str
    readings: tuple[Scored, ...]

    @property
    def count(self) -> int:
        return len(self.readings)

    @cached_property
    def inside(self) -> int:
        return len([one for one in self.readings if one.inside])

    @property
    def share(self) -> float:
        """Of the readings, how many lay inside [1]; eight in ten should."""
        return self.inside / self.count

    @property
    def share_range(self) -> tuple[float, float]:
        """The 95 % range of that share."""
        return share_range(self.inside, self.count)

    @property
    def off_k(self) -> float:
        """Mean of what was read less what was expected [K]."""
        return fsum(one.off_k for one in self.readings) / self.count


def scored(seen: Checked) -> tuple[Scored, ...]:
    """Every reading of a shift whose conditions were noted, odd ones too.

    Readings that contradict each other are left out: one of them is wrong, and nobody knows which.
    """
    return tuple(
        Scored(one, one.fact.text("how"), *ten_to_ninety(one.expected_c, one.spread_k))
        for one in seen.readings
        if one.state in ("agrees", "odd")
    )


def tallies(readings: Sequence[Scored]) -> tuple[Tally, ...]:
    """The score of all readings, and of each way of reading that was used."""
    found = (Tally(how, tuple(one for one in readings if how in ("", one.how))) for how in HOW)
    return tuple(tally for tally in found if tally.count)
