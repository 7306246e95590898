"""Pay schedules: what a lot is worth by what was measured of it, as data of their own kinds.

A schedule has a measure, such as percent within limits, and for each group of n a curve from that
measure to the pay factor: bands (steps, or straight lines), a polynomial, or the least percentages
that factors ask for. `schedule_reader` reads and checks the files that hold them.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, NamedTuple

from matbook.errors import OutOfRange

PERCENT: Final = "percent within limits"

MEASURES: Final[Mapping[str, str]] = {
    PERCENT: "percent of the lot within its limits",
    "mean": "mean of the results",
    "deviation of the mean": "distance of their mean from the target, either way",
    "mean deviation": "mean distance of the results from the target, each either way",
}
"""What a schedule may look up."""


class Point(NamedTuple):
    """What a curve gives: the factor, and whether the work is rejected."""

    factor: float
    rejected: bool = False


@dataclass(frozen=True, slots=True)
class Band:
    """A run of a measure with its factor at either end; equal for a step."""

    start: float
    end: float
    factor: tuple[float, float]
    rejected: bool = False

    def at(self, x: float) -> float:
        """The factor at a value in the band."""
        first, last = self.factor
        return (
            first
            if first == last
            else first + (last - first) * (x - self.start) / (self.end - self.start)
        )


@dataclass(frozen=True, slots=True)
class Bands:
    """Bands that follow each other; where two meet, a value belongs to the first named."""

    bands: tuple[Band, ...]

    def at(self, x: float) -> Point:
        """The factor of the band that holds a value.

        Args:
            x: What was measured.
        """
        for band in self.bands:
            if band.start <= x <= band.end:
                return Point(band.at(x), band.rejected)
        start, end = min(b.start for b in self.bands), max(b.end for b in self.bands)
        raise OutOfRange("measured", x, f"the schedule's table runs from {start:g} to {end:g}")


@dataclass(frozen=True, slots=True)
class Polynomial:
    """c0 + c1 (x / 100) + c2 (x / 100)^2 + ..."""

    factors: tuple[float, ...]

    def at(self, x: float) -> Point:
        """The polynomial's value.

        Args:
            x: What was measured, in percent.
        """
        found = 0.0
        for factor in reversed(self.factors):
            found = found * x / 100.0 + factor
        return Point(found)


@dataclass(frozen=True, slots=True)
class Least:
    """Factors from the highest down, each with the least percentage that it asks for."""

    rows: tuple[tuple[float, float], ...]

    def at(self, x: float) -> Point:
        """The highest factor whose percentage is reached; below them all, rejected.

        Args:
            x: What was measured, in percent.
        """
        for factor, least in self.rows:
            if x >= least:
                return Point(factor)
        return Point(0.0, True)


Curve = Bands | Polynomial | Least


@dataclass(frozen=True, slots=True)
class Group:
    """The curve for a run of n, the cap on its factor, and how it is known."""

    least: int
    most: int
    curve: Curve
    cap: float | None
    standing: str


@dataclass(frozen=True, slots=True)
class Try:
    """Limits to judge by, and the cap then; the next is tried where the factor is below 1."""

    lower: float | None = None
    upper: float | None = None
    cap: float | None = None


@dataclass(frozen=True, slots=True)
class PaySchedule:
    """How a characteristic of a lot is paid, with its source, edition and standing."""

    name: str
    title: str
    source: str
    edition: str
    standing: str
    measure: str
    """A row of `MEASURES`."""
    groups: tuple[Group, ...]
    tries: tuple[Try, ...] = (Try(),)
    """More than one where a lot that fails a limit is judged anew by another."""
    blend: tuple[int, int] | None = None
    """From which n to which its group's curve is blended with its neighbours'."""
    convention: str = "exact"
    """How percent within limits is found: exact, or one of `quality.conventions`."""
    places: int | None = None
    """Decimals that the measure is rounded to first; None for none."""
    rounding: str = "half-even"
    target: float | None = None
    reject_below: float | None = None
    """Factor below which the work is rejected."""
    left_in_place: float = 0.0
    """What rejected work is paid if it stays."""
    share_above: float = 1.0
    """Share of the price that a factor above 1 moves."""
    share_below: float = 1.0
    """Share of the price that a factor below 1 moves."""

    def group_for(self, n: int) -> int:
        """The place of the group that so many results fall into.

        Args:
            n: How many results.
        """
        for place, group in enumerate(self.groups):
            if group.least <= n <= group.most:
                return place
        ends = " and ".join(f"{group.least} to {group.most}" for group in self.groups)
        raise OutOfRange("values", f"{n} results", f"“{self.title}” is for {ends}")

    def curve_at(self, x: float, n: int) -> Point:
        """The factor for what was measured on n results, blended and capped as its group says.

        Args:
            x: What was measured.
            n: How many results.
        """
        return self.factor_at(x, n, self.group_for(n))

    def factor_at(self, x: float, n: int, place: int) -> Point:
        """The same, where it is known already into which group so many results fall.

        Args:
            x: What was measured.
            n: How many results.
            place: Place of their group.
        """
        group = self.groups[place]
        factor, rejected = group.curve.at(x)
        if self.blend and self.blend[0] <= n <= self.blend[1]:
            factor = self._blended(x, n, place)
        if group.cap is not None:
            factor = min(factor, group.cap)
        rejected = rejected or (self.reject_below is not None and factor < self.reject_below)
        return Point(self.left_in_place if rejected else factor, rejected)

    def _blended(self, x: float, n: int, place: int) -> float:
        """From half way to the group below, at its least n, to half way to the group above."""
        below, own, above = (self.groups[place + k].curve.at(x).factor for k in (-1, 0, 1))
        first, following = self.groups[place].least, self.groups[place + 1].least
        share = (n - first) / (following - first)
        return 0.5 * (below + own + (above - below) * share)


@dataclass(frozen=True, slots=True)
class Composite:
    """How the factors of several characteristics make that of a lot."""

    name: str
    title: str
    source: str
    edition: str
    standing: str
    how: str
    """weighted or lowest: a row of `composites.COMPOSITES`."""
    weights: Mapping[str, float]
    """Characteristic -> its weight; 1 each where the lowest counts."""
    cap: float | None = None
