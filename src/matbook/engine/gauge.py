"""The density gauge: its standard count, its readings, where it may stand, and cores beside it.

A nuclear gauge is a radioactive source. Only trained and authorised people handle it, under its
licence and by the maker's manual; nothing here stands in for either.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from math import sqrt
from typing import Final

from matbook.engine.cited import cited
from matbook.engine.ranges import above_zero, up_to, within
from matbook.engine.samples import sample
from matbook.errors import OutOfRange

WAQTC: Final = "WAQTC FOP for AASHTO T 355, correlation with cores, from memory"
T730: Final = "WSDOT T 730, from memory"
MANUALS: Final = "makers' manuals and ASTM D6938, from memory"
T355: Final = "AASHTO T 355"
STRIP: Final = "Virginia method, in a gauge maker's operating manual, p. 43"

PAIR_SD_KG_M3: Final = 40.0
"""2.5 lb/ft3: the most that differences of core and gauge may spread."""
TURNED_KG_M3: Final = 40.0
"""2.5 lb/ft3: the most that two readings at right angles may differ."""
LEAST_PAIRS: Final = 3
DRIFT_PCT: Final = 1.0
LEAST_KG_M3, MOST_KG_M3 = 500.0, 4000.0

CLEARANCES_M: Final[Mapping[str, float]] = {
    "other source": 10.0,
    "large object": 3.0,
    "vertical face": 0.6,
    "edge": 0.3,
}
"""How near a gauge may stand to each [m] (AASHTO T 355); nearer to the last two, correct for it."""

Pair = tuple[float, float]
"""Density of a core, and the gauge's reading at its place before it was cut [kg/m3]."""


@dataclass(frozen=True, slots=True)
class Correlation:
    """What is added to a gauge's readings, or what they are multiplied by."""

    value: float
    """An offset [kg/m3], or a ratio [1]."""
    sd: float
    """Standard deviation of the pairs about it, in its unit."""
    kept: tuple[Pair, ...]
    dropped: tuple[Pair, ...]
    """In the order they were dropped."""
    holds: bool
    """Whether the pairs that are kept spread no more than is allowed."""


@dataclass(frozen=True, slots=True)
class StandardCount:
    """Today's standard count beside those before."""

    mean: float
    drift_pct: float
    """How far today's is from their mean."""
    chance_pct: float
    """How far chance alone takes it 19 times in 20."""
    holds: bool


@dataclass(frozen=True, slots=True)
class Turned:
    """Two readings at one place, the gauge turned by a right angle between them."""

    mean_kg_m3: float
    difference_kg_m3: float
    repeat: bool
    """They differ by more than is allowed: read both again."""


@dataclass(frozen=True, slots=True)
class Section:
    """A section's readings beside the target of its control strip."""

    mean_pct: float
    least_pct: float
    meets: bool


@cited("mean of core - gauge", WAQTC)
def gauge_offset(
    pairs: Sequence[Pair], most_sd: float = PAIR_SD_KG_M3, least: int = LEAST_PAIRS
) -> Correlation:
    """What to add to a gauge's readings, from cores cut where it stood.

    While the differences spread more than is allowed, the pair farthest from their mean is dropped
    and the rest looked at again, down to the least number of pairs.

    Equation: offset = mean(core - gauge), s of them at most 40 kg/m3

    Args:
        pairs: Cores and readings, three or more [kg/m3], 500 to 4000 each.
        most_sd: The most that the differences may spread [kg/m3], above 0, to 500.
        least: How many pairs must stay, 3 to 100; own floor.

    Returns:
        The offset, its spread, and which pairs were dropped.

    Raises:
        OutOfRange: Too few pairs, or a value outside its range.

    Source: WAQTC FOP for AASHTO T 355, correlation with cores, from memory.

    Example:
        >>> found = gauge_offset([(2321.0, 2276.2), (2287.4, 2257.0), (2292.2, 2253.7)])
        >>> round(found.value, 1), round(found.sd, 1), found.holds
        (37.9, 7.2, True)
    """
    up_to("most_sd", most_sd, 500.0)
    return _correlated(pairs, lambda core, gauge: core - gauge, most_sd, least)


@cited("mean of core / gauge", T730)
def gauge_ratio(
    pairs: Sequence[Pair], most_sd: float = 0.02, least: int = LEAST_PAIRS
) -> Correlation:
    """What to multiply a gauge's readings by, from cores cut where it stood.

    Pairs are dropped as for `gauge_offset`; no limit on the spread of ratios was found published,
    so that here is our own, about 40 kg/m3 of a usual mat.

    Equation: ratio = mean(core / gauge)

    Args:
        pairs: Cores and readings, three or more [kg/m3], 500 to 4000 each.
        most_sd: The most that the ratios may spread [1], above 0, to 0.5.
        least: How many pairs must stay, 3 to 100; own floor.

    Returns:
        The ratio, its spread, and which pairs were dropped. WSDOT gives it to 0.001.

    Raises:
        OutOfRange: Too few pairs, or a value outside its range.

    Source: WSDOT T 730, from memory.

    Example:
        >>> found = gauge_ratio([(2321.0, 2276.2), (2287.4, 2257.0), (2292.2, 2253.7)])
        >>> round(found.value, 3)
        1.017
    """
    up_to("most_sd", most_sd, 0.5)
    return _correlated(pairs, lambda core, gauge: core / gauge, most_sd, least)


@cited("today's standard count against the mean of those before", MANUALS)
def standard_count(
    today: float, before: Sequence[float], most_pct: float = DRIFT_PCT, prescale: float = 16.0
) -> StandardCount:
    """Daily check of a gauge: its standard count beside the counts of the days before.

    Equation: drift = 100 (today - mean) / mean; chance alone: 1.96 sqrt(mean / F) / mean

    Args:
        today: Today's standard count, above 0.
        before: Counts before it, one or more; four are usual.
        most_pct: The most that it may drift [%], above 0, to 20; 1 % for density in most manuals.
        prescale: F, what the gauge divides its pulses by, 1 to 1,000; the manual says.

    Returns:
        The mean of those before, the drift, how far chance takes it, and whether it holds. One that
        doesn't hold is taken again, and the gauge isn't used if it fails again.

    Raises:
        OutOfRange: No counts before, or a value outside its range.

    Source: makers' manuals and ASTM D6938, from memory.

    Example:
        >>> found = standard_count(2871.0, [2850.0, 2846.0, 2853.0, 2851.0])
        >>> round(found.drift_pct, 2), found.holds
        (0.74, True)
    """
    above_zero("today", today)
    up_to("most_pct", most_pct, 20.0)
    within("prescale", prescale, 1.0, 1000.0)
    for count in before:
        above_zero("before", count)
    mean = sample(before, 1, "before").mean
    drift = 100.0 * (today - mean) / mean
    return StandardCount(mean, drift, 196.0 / sqrt(mean * prescale), abs(drift) <= most_pct)


@cited("mean of two readings at right angles, unless they differ too much", WAQTC)
def two_directions(
    first_kg_m3: float, second_kg_m3: float, most_kg_m3: float = TURNED_KG_M3
) -> Turned:
    """Two readings at one place, the gauge turned by a right angle between them.

    Equation: mean = (a + b) / 2; read again where |a - b| is above the limit

    Args:
        first_kg_m3: First reading [kg/m3], 500 to 4000.
        second_kg_m3: The other [kg/m3], 500 to 4000.
        most_kg_m3: The most that they may differ [kg/m3], above 0, to 500.

    Returns:
        Mean, difference, and whether to read both again.

    Raises:
        OutOfRange: A value outside its range.

    Source: WAQTC FOP for AASHTO T 355, from memory.

    Example:
        >>> two_directions(2266.0, 2244.0)
        Turned(mean_kg_m3=2255.0, difference_kg_m3=22.0, repeat=False)
    """
    within("first_kg_m3", first_kg_m3, LEAST_KG_M3, MOST_KG_M3)
    within("second_kg_m3", second_kg_m3, LEAST_KG_M3, MOST_KG_M3)
    up_to("most_kg_m3", most_kg_m3, 500.0)
    difference = round(abs(first_kg_m3 - second_kg_m3), 9)
    return Turned(0.5 * (first_kg_m3 + second_kg_m3), difference, difference > most_kg_m3)


def too_near(
    distances_m: Mapping[str, float], least_m: Mapping[str, float] = CLEARANCES_M
) -> tuple[str, ...]:
    """What a gauge stands too near to, of the things whose distance is known.

    Args:
        distances_m: Thing, as in `CLEARANCES_M` -> distance [m], from 0.
        least_m: Thing, as there -> how near it may stand [m], from 0; as published unless given.

    Returns:
        The things that are nearer than allowed.

    Raises:
        OutOfRange: An unknown thing, or a distance below 0.

    Source: AASHTO T 355.

    Example:
        >>> too_near({"other source": 12.0, "vertical face": 0.4})
        ('vertical face',)
    """
    for thing, distance in distances_m.items():
        if thing not in CLEARANCES_M:
            raise OutOfRange("distances_m", thing, f"it must be {' or '.join(CLEARANCES_M)}")
        within(thing, distance, 0.0, 1e6)
    return tuple(t for t, least in least_m.items() if distances_m.get(t, least) < least)


@cited("mean and least reading in percent of the strip's target", STRIP)
def against_strip(
    readings_kg_m3: Sequence[float],
    target_kg_m3: float,
    mean_least_pct: float = 98.0,
    single_least_pct: float = 95.0,
) -> Section:
    """A section's readings beside the target of its control strip.

    Equation: 100 mean / target, 100 least / target

    Args:
        readings_kg_m3: Readings at random places, one or more [kg/m3], 500 to 4000.
        target_kg_m3: Target of the strip [kg/m3], 500 to 4000.
        mean_least_pct: What their mean must reach [%], 50 to 110.
        single_least_pct: What each must reach [%], 50 to 110.

    Returns:
        Mean and least in percent of the strip, and whether both meet.

    Raises:
        OutOfRange: No readings, or a value outside its range.

    Source: Virginia method, in a gauge maker's operating manual, p. 43: mean of five at least 98 %,
    each at least 95 %.

    Example:
        >>> found = against_strip([2262.0, 2275.0, 2252.0], 2300.0)
        >>> round(found.mean_pct, 1), round(found.least_pct, 1), found.meets
        (98.4, 97.9, True)
    """
    within("target_kg_m3", target_kg_m3, LEAST_KG_M3, MOST_KG_M3)
    within("mean_least_pct", mean_least_pct, 50.0, 110.0)
    within("single_least_pct", single_least_pct, 50.0, 110.0)
    for reading in readings_kg_m3:
        within("readings_kg_m3", reading, LEAST_KG_M3, MOST_KG_M3)
    mean = 100.0 * sample(readings_kg_m3, 1, "readings_kg_m3").mean / target_kg_m3
    least = 100.0 * min(readings_kg_m3) / target_kg_m3
    return Section(mean, least, mean >= mean_least_pct and least >= single_least_pct)


def _correlated(
    pairs: Sequence[Pair], by: Callable[[float, float], float], most_sd: float, least: int
) -> Correlation:
    within("least", least, LEAST_PAIRS, 100)
    if len(pairs) < least:
        raise OutOfRange("pairs", f"{len(pairs)} pairs", f"it takes {least} or more")
    for core, gauge in pairs:
        within("core", core, LEAST_KG_M3, MOST_KG_M3)
        within("gauge", gauge, LEAST_KG_M3, MOST_KG_M3)
    kept, dropped = list(pairs), []
    while True:
        values = [by(*pair) for pair in kept]
        found = sample(values, least, "pairs")
        if found.sd <= most_sd or len(kept) == least:
            break
        worst = max(range(len(kept)), key=lambda k: abs(values[k] - found.mean))
        dropped.append(kept.pop(worst))
    return Correlation(found.mean, found.sd, tuple(kept), tuple(dropped), found.sd <= most_sd)
