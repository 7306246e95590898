"""Growth of density with passes: still rising, at its top, falling, or stopped by the cold.

Readings are taken at one spot, the gauge lying the same way, each over the same time. A gauge that
repeats itself with a standard deviation s tells two readings apart by sqrt(2) s.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import fsum, inf, sqrt
from typing import Final, Literal

from matbook.engine.cited import cited
from matbook.engine.ranges import up_to, within
from matbook.engine.rollers import FIGURES
from matbook.errors import OutOfRange

CESSATION_C: Final = FIGURES["cessation"].si()[0]
REPEATABILITY_KG_M3: Final = FIGURES["gauge repeatability"].si()[0]
OWN: Final = "own method, no published source"

State = Literal["too few", "rising", "top", "cold", "falling"]


@dataclass(frozen=True, slots=True)
class DensityReading:
    """A density after so many passes over the spot, and the mat's mean temperature then."""

    passes: int
    density_kg_m3: float
    temp_c: float


@dataclass(frozen=True, slots=True)
class Growth:
    """How density grew at a spot, with what the gauge can tell apart and the mat's temperature.

    `cold` is a top that was first reached below the cessation temperature: the mat stopped
    compacting because it cooled, not because it was compacted. `falling` on repeat passes is the
    first sign of over-rolling.
    """

    state: State
    passes: int
    """Fewest passes whose reading the gauge can't tell from the highest."""
    highest_kg_m3: float
    gain_kg_m3: float
    """Of the last reading over the one before; 0 for a single reading."""
    drop_kg_m3: float
    """Of the last reading below the highest."""
    told_apart_kg_m3: float
    """sqrt(2) s: smaller differences are the gauge's own."""
    temp_c: float
    """Of the mat at the last reading."""


@dataclass(frozen=True, slots=True)
class BestPasses:
    """Passes to roll with, from the mean of several spots; None where the mean has no top."""

    passes: int | None
    mean: Growth
    places: tuple[Growth, ...]


@cited("top: two gains below sqrt(2) s; falling: more than 2 sqrt(2) s below the highest", OWN)
def growth(
    readings: Sequence[DensityReading],
    cessation_c: float = CESSATION_C,
    repeatability_kg_m3: float = REPEATABILITY_KG_M3,
) -> Growth:
    """Whether density at a spot still rises with passes, is at its top, or has turned.

    Equation: top when the last two gains are each below sqrt(2) s; falling when the last reading is
    more than 2 sqrt(2) s below the highest so far. A top first reached below the cessation
    temperature is called cold. Chance alone makes a reading fall so far behind one other in about
    one of forty, so read again before calling it over-rolling.

    Args:
        readings: In the order of passes; density [kg/m3] 500 to 4000, mat's mean temperature
            [degC] -20 to 250.
        cessation_c: Below it the mat no longer compacts [degC], 40 to 130; from the mix documents,
            175 degF unless given.
        repeatability_kg_m3: Standard deviation of the gauge's repeat readings [kg/m3], above 0, to
            100; 8 is assumed unless given.

    Returns:
        State, passes, and the numbers behind them.

    Raises:
        OutOfRange: No readings, passes that don't increase, or a value outside its range.

    Source: own method, no published source; stopping when density stops rising: Virginia Highway
    Research Council, as a density gauge's manual gives it. Cessation: WSDOT text of Everett WA.

    Example:
        >>> hot = [
        ...     DensityReading(2, 2210.0, 135.0),
        ...     DensityReading(4, 2290.0, 125.0),
        ...     DensityReading(6, 2312.0, 112.0),
        ... ]
        >>> growth(hot).state
        'rising'
        >>> flat = [*hot, DensityReading(7, 2318.0, 104.0), DensityReading(8, 2315.0, 98.0)]
        >>> growth(flat).state, growth(flat).passes
        ('top', 6)
    """
    _checked(readings)
    within("cessation_c", cessation_c, 40.0, 130.0)
    up_to("repeatability_kg_m3", repeatability_kg_m3, 100.0)
    apart = sqrt(2.0) * repeatability_kg_m3
    highest = max(reading.density_kg_m3 for reading in readings)
    last = readings[-1].density_kg_m3
    return Growth(
        state=_state(readings, apart, cessation_c),
        passes=next(r.passes for r in readings if highest - r.density_kg_m3 < apart),
        highest_kg_m3=highest,
        gain_kg_m3=last - readings[-2].density_kg_m3 if len(readings) > 1 else 0.0,
        drop_kg_m3=highest - last,
        told_apart_kg_m3=apart,
        temp_c=readings[-1].temp_c,
    )


@cited("growth of the mean density of the spots, by s / sqrt(spots)", OWN)
def best_passes(
    places: Sequence[Sequence[DensityReading]],
    cessation_c: float = CESSATION_C,
    repeatability_kg_m3: float = REPEATABILITY_KG_M3,
) -> BestPasses:
    """Passes to roll with, from the readings at several spots of a control strip.

    The densities are averaged pass by pass, over the passes that were read at every spot; the mean
    of n spots repeats itself with s / sqrt(n). The coldest spot's temperature counts. A spot that
    is cold or falling by itself shows in `places`.

    Equation: growth of the mean, with s / sqrt(n) for s

    Args:
        places: Readings of each spot, as for `growth`.
        cessation_c: Below it the mat no longer compacts [degC], 40 to 130.
        repeatability_kg_m3: Standard deviation of the gauge's repeat readings [kg/m3], above 0, to
            100.

    Returns:
        Passes, the growth of the mean, and that of each spot. Passes are None while the mean still
        rises, where it has too few readings, and where the mat was cold before it got to its top.

    Raises:
        OutOfRange: No spots, no pass that was read at all of them, or a value outside its range.

    Source: own method, no published source.

    Example:
        >>> a = [(2, 2200.0), (4, 2290.0), (6, 2310.0), (7, 2312.0), (8, 2311.0)]
        >>> b = [(2, 2220.0), (4, 2280.0), (6, 2302.0), (7, 2306.0), (8, 2305.0)]
        >>> spots = [
        ...     [DensityReading(p, density, 140.0 - 5.0 * p) for p, density in s] for s in (a, b)
        ... ]
        >>> best_passes(spots).passes
        6
    """
    if not places:
        raise OutOfRange("places", 0, "there must be at least one spot with readings")
    each = tuple(growth(place, cessation_c, repeatability_kg_m3) for place in places)
    means = _mean(places)
    mean = growth(means, cessation_c, repeatability_kg_m3 / sqrt(len(places)))
    temp_c = next(reading.temp_c for reading in means if reading.passes == mean.passes)
    found = mean.state in ("top", "falling") and temp_c >= cessation_c
    return BestPasses(mean.passes if found else None, mean, each)


def _state(readings: Sequence[DensityReading], apart: float, cessation_c: float) -> State:
    """The state at the last reading. A top keeps the temperature it was first reached at."""
    state: State = "too few"
    top: State | None = None
    highest = -inf
    for place, reading in enumerate(readings):
        highest = max(highest, reading.density_kg_m3)
        window = [r.density_kg_m3 for r in readings[max(0, place - 2) : place + 1]]
        if highest - reading.density_kg_m3 > 2.0 * apart:
            state = "falling"
        elif len(window) < 3:
            state = "too few"
        elif all(after - before < apart for before, after in pairwise(window)):
            top = top or ("top" if reading.temp_c >= cessation_c else "cold")
            state = top
        else:
            state, top = "rising", None
    return state


def _mean(places: Sequence[Sequence[DensityReading]]) -> list[DensityReading]:
    """Mean densities at the passes read at every spot, each with its coldest temperature."""
    by_passes = [{reading.passes: reading for reading in place} for place in places]
    common = [p for p in by_passes[0] if all(p in place for place in by_passes)]
    if not common:
        raise OutOfRange("places", len(places), "no pass was read at all of these spots")
    together = [[place[p] for place in by_passes] for p in common]
    return [
        DensityReading(
            spots[0].passes,
            fsum(spot.density_kg_m3 for spot in spots) / len(spots),
            min(spot.temp_c for spot in spots),
        )
        for spots in together
    ]


def _checked(readings: Sequence[DensityReading]) -> None:
    if not readings:
        raise OutOfRange("readings", 0, "there must be at least one reading")
    for reading in readings:
        within("passes", reading.passes, 0, 60)
        within("density_kg_m3", reading.density_kg_m3, 500.0, 4000.0)
        within("temp_c", reading.temp_c, -20.0, 250.0)
    for before, after in pairwise(readings):
        if not before.passes < after.passes:
            raise OutOfRange("passes", after.passes, f"it must be more than {before.passes}")
