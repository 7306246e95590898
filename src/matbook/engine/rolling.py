"""Rolling: lanes and passes, impacts, and whether the rollers keep pace with the paver.

A pass is one trip of a roller over a place; a coverage is one pass in every lane across the mat.
How long strips may be before the mat is too cold stands in `strips`, how density grows with passes
in `growth`, the trade's usual figures in `rollers`; they are had from here too.
"""

from collections.abc import Sequence
from math import ceil, fsum
from typing import Final

from matbook.engine.cited import cited
from matbook.engine.growth import BestPasses as BestPasses
from matbook.engine.growth import DensityReading as DensityReading
from matbook.engine.growth import Growth as Growth
from matbook.engine.growth import best_passes as best_passes
from matbook.engine.growth import growth as growth
from matbook.engine.ranges import above_zero, from_zero, up_to, within
from matbook.engine.rollers import FIGURES as FIGURES
from matbook.engine.rollers import SPEEDS as SPEEDS
from matbook.engine.rollers import Usual as Usual
from matbook.engine.rollers import usual_speed as usual_speed
from matbook.engine.strips import age_of_oldest as age_of_oldest
from matbook.engine.strips import chance_of_keeping_up as chance_of_keeping_up
from matbook.engine.strips import standoff_after as standoff_after
from matbook.engine.strips import strip_for as strip_for
from matbook.engine.strips import time_left as time_left
from matbook.engine.strips import workable_length as workable_length
from matbook.errors import OutOfRange

PRACTICE: Final = "common practice, no published source"
HAIR: Final = 1e-9
"""A mat that two drums cover to the hair doesn't need a third."""


@cited("ceil((width - overlap) / (drum - overlap))", "definition")
def lanes_across(width_m: float, drum_m: float, overlap_m: float) -> int:
    """Lanes that a roller takes across the mat when each laps the one beside it.

    Equation: N = ceil((W - o) / (d - o))

    Args:
        width_m: Width of the mat [m], above 0.
        drum_m: Width of the drum [m], above 0.
        overlap_m: How far a lane laps the next at least [m], from 0 to below the drum.

    Returns:
        Number of lanes, from 1.

    Raises:
        OutOfRange: A value outside its range.

    Source: definition; an overlap of 150 to 300 mm is common practice, from memory.

    Example:
        >>> lanes_across(3.7, 1.68, 0.15)
        3
    """
    above_zero("width_m", width_m)
    above_zero("drum_m", drum_m)
    if not 0.0 <= overlap_m < drum_m:
        raise OutOfRange("overlap_m", overlap_m, f"it must be from 0 to below {drum_m:g}")
    return max(1, ceil((width_m - overlap_m) / (drum_m - overlap_m) - HAIR))


@cited("(lanes x drum - width) / (lanes - 1)", "definition")
def flush_overlap(width_m: float, drum_m: float, lanes: int) -> float:
    """Overlap of the lanes when the outer ones run flush with the edges of the mat.

    Equation: o = (N d - W) / (N - 1)

    Args:
        width_m: Width of the mat [m], above 0.
        drum_m: Width of the drum [m], above 0.
        lanes: Lanes across [1], from 2 to 40, that cover the mat.

    Returns:
        Overlap [m].

    Raises:
        OutOfRange: A value outside its range, or lanes that don't reach across.

    Source: definition.

    Example:
        >>> round(flush_overlap(3.7, 1.68, 3), 3)
        0.67
    """
    above_zero("drum_m", drum_m)
    within("lanes", lanes, 2, 40)
    if not 0.0 < width_m <= lanes * drum_m + HAIR:
        raise OutOfRange("width_m", width_m, f"{lanes} lanes cover {lanes * drum_m:g} m at most")
    return max(0.0, lanes * drum_m - width_m) / (lanes - 1)


@cited("frequency / speed", "definition")
def impacts_per_m(frequency_hz: float, speed_m_s: float) -> float:
    """Impacts of a vibrating drum on each metre that it travels.

    Equation: n = f / v

    Args:
        frequency_hz: Frequency of vibration [Hz], above 0, to 120; 2,400 a minute is 40.
        speed_m_s: Speed of the roller [m/s], above 0, to 6.

    Returns:
        Impacts per length [1/m].

    Raises:
        OutOfRange: A value outside its range.

    Source: definition; at least 10 to the foot, 33 to the metre: Iowa DOT Construction Manual 8.70.

    Example:
        >>> round(impacts_per_m(40.0, 1.2), 2)
        33.33
    """
    up_to("frequency_hz", frequency_hz, 120.0)
    up_to("speed_m_s", speed_m_s, 6.0)
    return frequency_hz / speed_m_s


@cited("frequency / impacts per metre", "definition")
def speed_for_impacts(frequency_hz: float, least_per_m: float) -> float:
    """The largest speed at which a drum still gives so many impacts on each metre.

    Equation: v = f / n

    Args:
        frequency_hz: Frequency of vibration [Hz], above 0, to 120; 2,400 a minute is 40.
        least_per_m: Impacts on each metre at least [1/m], above 0.

    Returns:
        Speed [m/s].

    Raises:
        OutOfRange: A value outside its range.

    Source: definition; at least 10 to the foot: Iowa DOT Construction Manual 8.70.

    Example:
        >>> speed_for_impacts(40.0, 32.0)
        1.25
    """
    up_to("frequency_hz", frequency_hz, 120.0)
    above_zero("least_per_m", least_per_m)
    return frequency_hz / least_per_m


@cited("lanes x coverages + passes to return", "definition")
def passes_needed(lanes: int, coverages: int, extra_passes: int = 0) -> int:
    """Passes that one strip takes.

    Args:
        lanes: Lanes across the mat [1], from 1 to 40.
        coverages: Coverages wanted: passes over every place [1], from 1 to 60.
        extra_passes: Passes that only bring the roller back to the start [1], from 0 to 60.

    Returns:
        Number of passes.

    Raises:
        OutOfRange: A value outside its range.

    Source: definition.

    Example:
        >>> passes_needed(3, 4), passes_needed(3, 4, 1)
        (12, 13)
    """
    within("lanes", lanes, 1, 40)
    within("coverages", coverages, 1, 60)
    within("extra_passes", extra_passes, 0, 60)
    return lanes * coverages + extra_passes


@cited("speed x efficiency x rollers / passes", PRACTICE)
def effective_speed(speed_m_s: float, efficiency: float, passes: float, rollers: int = 1) -> float:
    """How fast rollers finish mat along the road: the pace of the paver that they can follow.

    Equation: F = v e R / p

    Args:
        speed_m_s: Speed while rolling [m/s], above 0, to 6.
        efficiency: Share of the time spent rolling [1], above 0 to 1: the rest goes into turning,
            changing lanes and filling water; 0.75 to 0.85 is usual.
        passes: Passes that a strip takes in all its lanes [1], from 1 to 2,460.
        rollers: Rollers that share them [1], from 1 to 20.

    Returns:
        Finished length over time [m/s].

    Raises:
        OutOfRange: A value outside its range.

    Source: common practice, no published source.

    Example:
        >>> round(60 * effective_speed(4.8 / 3.6, 0.80, 12), 2)
        5.33
    """
    up_to("speed_m_s", speed_m_s, 6.0)
    up_to("efficiency", efficiency, 1.0)
    within("passes", passes, 1, 2_460)
    within("rollers", rollers, 1, 20)
    return speed_m_s * efficiency * rollers / passes


@cited("1 / sum of 1 / effective speed", "definition")
def in_turn(speeds_m_s: Sequence[float]) -> float:
    """How fast a strip is finished by phases that roll it one after the other.

    Each phase begins the strip when the one before is done with it. Whether the phases keep pace
    with the paver is another question: each does so by itself, on strips of its own.

    Equation: 1 / F = sum of 1 / F_k

    Args:
        speeds_m_s: Effective speed of each phase [m/s], above 0; at least one.

    Returns:
        Finished length over time [m/s].

    Raises:
        OutOfRange: No speed, or one that isn't above 0.

    Source: definition.

    Example:
        >>> in_turn([0.1, 0.1])
        0.05
    """
    if not speeds_m_s:
        raise OutOfRange("speeds_m_s", "none", "at least one phase")
    for speed in speeds_m_s:
        above_zero("speeds_m_s", speed)
    return 1.0 / fsum(1.0 / speed for speed in speeds_m_s)


@cited("paver's speed / rollers' effective speed", PRACTICE)
def utilisation(paver_m_s: float, rolled_m_s: float) -> float:
    """How much of what the rollers can do the paver asks of them; above 1 they fall behind.

    Equation: u = P / F

    Args:
        paver_m_s: Speed of the paver [m/s], from 0.
        rolled_m_s: Effective speed of all rollers of a phase [m/s], above 0.

    Returns:
        Share [1].

    Raises:
        OutOfRange: A value outside its range.

    Source: common practice, no published source.

    Example:
        >>> round(utilisation(4.692, 5.333), 2)
        0.88
    """
    from_zero("paver_m_s", paver_m_s)
    above_zero("rolled_m_s", rolled_m_s)
    return paver_m_s / rolled_m_s


@cited("ceil(paver's speed / effective speed of one roller)", PRACTICE)
def rollers_needed(paver_m_s: float, one_m_s: float) -> int:
    """Rollers that a phase needs to follow the paver: by its speed, not by its tonnes.

    Equation: R = ceil(P / F1)

    Args:
        paver_m_s: Speed of the paver [m/s], above 0.
        one_m_s: Effective speed of one roller [m/s], above 0.

    Returns:
        Number of rollers, from 1.

    Raises:
        OutOfRange: A value outside its range.

    Source: common practice, no published source.

    Example:
        >>> rollers_needed(4.69, 5.33), rollers_needed(7.04, 5.33)
        (1, 2)
    """
    above_zero("paver_m_s", paver_m_s)
    above_zero("one_m_s", one_m_s)
    return max(1, ceil(paver_m_s / one_m_s - HAIR))
