"""Strips: how much mat the rollers can finish before it is too cold, and how likely they do.

The rollers take the mat in strips. A strip is begun when the paver is a standoff beyond its far
end; its oldest mat has then waited for the whole strip and the standoff to be paved.
"""

from bisect import bisect_left, bisect_right
from math import exp, fsum, log
from statistics import NormalDist
from typing import Final

from matbook.engine.cited import cited
from matbook.engine.ranges import above_zero, from_zero, up_to, within
from matbook.errors import OutOfRange

PRACTICE: Final = "common practice, no published source"
OWN: Final = "own method, no published source"

Ranged = tuple[float, float, float]
"""What a quantity is below in 10, 50 and 90 % of cases."""

NORMAL: Final = NormalDist()
TENTH: Final = NORMAL.inv_cdf(0.9)
STEPS: Final = tuple(NORMAL.inv_cdf((k + 0.5) / 50) for k in range(50))
"""Middles of fifty equally likely parts of a standard normal."""


@cited("paver's speed x time available", PRACTICE)
def workable_length(paver_m_s: float, available_s: float) -> float:
    """Length of mat behind the paver that is still warm enough to compact.

    The paver is taken to have kept its speed. Of a forecast take the 10 % end of the time.

    Equation: L = P t

    Args:
        paver_m_s: Speed of the paver [m/s], from 0.
        available_s: Time from laying until the mat is too cold [s], from 0.

    Returns:
        Length [m].

    Raises:
        OutOfRange: A value below zero.

    Source: common practice, no published source.

    Example:
        >>> round(workable_length(4.69 / 60, 19.0 * 60))
        89
    """
    from_zero("paver_m_s", paver_m_s)
    from_zero("available_s", available_s)
    return paver_m_s * available_s


@cited("time available - distance behind the paver / its speed", PRACTICE)
def time_left(behind_m: float, paver_m_s: float, available_s: float) -> float:
    """Time left to compact the mat at a distance behind the paver.

    The paver is taken to have kept its speed.

    Equation: r = t - x / P

    Args:
        behind_m: Distance behind the paver [m], from 0.
        paver_m_s: Speed of the paver [m/s], above 0.
        available_s: Time from laying until the mat is too cold [s], from 0.

    Returns:
        Time [s]; 0 at the end of the workable length, below 0 for how long it has been too cold.

    Raises:
        OutOfRange: A value outside its range.

    Source: common practice, no published source.

    Example:
        >>> time_left(60.0, 0.1, 900.0)
        300.0
    """
    from_zero("behind_m", behind_m)
    above_zero("paver_m_s", paver_m_s)
    from_zero("available_s", available_s)
    return available_s - behind_m / paver_m_s


@cited("(standoff + strip) / paver's speed + strip / effective speed", OWN)
def age_of_oldest(strip_m: float, standoff_m: float, paver_m_s: float, rolled_m_s: float) -> float:
    """Age of the oldest mat of a strip when the rollers are done with the strip.

    Equation: a = (d0 + S) / P + S / F

    Args:
        strip_m: Length of the strip [m], from 0.
        standoff_m: How far the paver is beyond the strip when it is begun [m], from 0.
        paver_m_s: Speed of the paver [m/s], above 0.
        rolled_m_s: Effective speed of the rollers [m/s], above 0.

    Returns:
        Time since it was laid [s].

    Raises:
        OutOfRange: A value outside its range.

    Source: own method, no published source.

    Example:
        >>> round(age_of_oldest(40.0, 5.0, 4.692 / 60, 5.333 / 60) / 60, 1)
        17.1
    """
    from_zero("strip_m", strip_m)
    from_zero("standoff_m", standoff_m)
    above_zero("paver_m_s", paver_m_s)
    above_zero("rolled_m_s", rolled_m_s)
    return (standoff_m + strip_m) / paver_m_s + strip_m / rolled_m_s


@cited("standoff + paver's speed x strip / effective speed", OWN)
def standoff_after(strip_m: float, standoff_m: float, paver_m_s: float, rolled_m_s: float) -> float:
    """How far the paver is beyond a strip when the next phase begins it.

    The phases before it begin at their standoff and must be done with the strip first.

    Equation: d = d0 + P S / F

    Args:
        strip_m: Length of the strip [m], from 0.
        standoff_m: How far the paver is beyond the strip when the first phase begins it [m], from
            0.
        paver_m_s: Speed of the paver [m/s], from 0.
        rolled_m_s: Effective speed of the phases before [m/s], above 0.

    Returns:
        Length [m].

    Raises:
        OutOfRange: A value outside its range.

    Source: own method, no published source.

    Example:
        >>> round(standoff_after(40.0, 5.0, 4.692 / 60, 5.333 / 60), 1)
        40.2
    """
    from_zero("strip_m", strip_m)
    from_zero("standoff_m", standoff_m)
    from_zero("paver_m_s", paver_m_s)
    above_zero("rolled_m_s", rolled_m_s)
    return standoff_m + paver_m_s * strip_m / rolled_m_s


@cited("(time - standoff / paver's speed) / (1 / paver's speed + 1 / effective speed)", OWN)
def strip_for(available_s: float, standoff_m: float, paver_m_s: float, rolled_m_s: float) -> float:
    """The longest strip whose oldest mat is done in the time available.

    Equation: S = (t - d0 / P) / (1 / P + 1 / F)

    Args:
        available_s: Time from laying until the mat is too cold [s], from 0.
        standoff_m: How far the paver is beyond the strip when it is begun [m], from 0.
        paver_m_s: Speed of the paver [m/s], above 0.
        rolled_m_s: Effective speed of the rollers [m/s], above 0.

    Returns:
        Length [m]; 0 where none fits.

    Raises:
        OutOfRange: A value outside its range.

    Source: own method, no published source.

    Example:
        >>> round(strip_for(19.0 * 60, 5.0, 4.692 / 60, 5.333 / 60), 1)
        44.8
    """
    from_zero("available_s", available_s)
    from_zero("standoff_m", standoff_m)
    above_zero("paver_m_s", paver_m_s)
    above_zero("rolled_m_s", rolled_m_s)
    spare_s = available_s - standoff_m / paver_m_s
    return max(0.0, spare_s / (1.0 / paver_m_s + 1.0 / rolled_m_s))


@cited("share of cases in which the rollers are no slower than the paver, and done in time", OWN)
def chance_of_keeping_up(
    strip_m: float,
    standoff_m: float,
    available_range_s: Ranged,
    paver_range_m_s: Ranged,
    efficiency_range: Ranged,
    speed_m_s: float,
    passes: float,
    rollers: int = 1,
) -> float:
    """Probability that rollers keep up: no slower than the paver, each strip done while warm.

    Assumed: time, paver's speed and efficiency don't depend on each other; each lies log-normally
    about its middle, above it and below it by its own spread, so that the three values given are
    met exactly; the roller's speed and passes are kept; the paver doesn't stop. Time and paver's
    speed are taken at fifty equally likely values each, efficiency exactly, so there is no chance
    in the answer itself; it is within 0.01 of the integral.

    Equation: p = P(F >= P and (d0 + S) / P + S / F <= t), with F = v e R / p and e <= 1

    Args:
        strip_m: Length of the strip [m], from 0.
        standoff_m: How far the paver is beyond the strip when it is begun [m], from 0.
        available_range_s: Time until the mat is too cold, 10, 50 and 90 % [s], above 0, rising.
        paver_range_m_s: Speed of the paver, 10, 50 and 90 % [m/s], above 0, rising.
        efficiency_range: Share of time spent rolling, 10, 50 and 90 % [1], above 0 to 1, rising.
        speed_m_s: Speed while rolling [m/s], above 0, to 6.
        passes: Passes that a strip takes in all its lanes [1], from 1 to 2,460.
        rollers: Rollers that share them [1], from 1 to 20.

    Returns:
        Probability [1], 0 to 1.

    Raises:
        OutOfRange: A value outside its range, or a range that doesn't rise.

    Source: own method, no published source.

    Example:
        >>> window, pace = (1140.0, 1446.0, 1800.0), (0.070, 0.078, 0.086)
        >>> round(chance_of_keeping_up(40.0, 5.0, window, pace, (0.75, 0.8, 0.85), 1.333, 12), 2)
        0.89
    """
    from_zero("strip_m", strip_m)
    from_zero("standoff_m", standoff_m)
    _rising("available_range_s", available_range_s)
    _rising("paver_range_m_s", paver_range_m_s)
    _rising("efficiency_range", efficiency_range)
    up_to("efficiency_range", efficiency_range[2], 1.0)
    up_to("speed_m_s", speed_m_s, 6.0)
    within("passes", passes, 1, 2_460)
    within("rollers", rollers, 1, 20)
    whole_m_s = speed_m_s * rollers / passes
    times = [_at(available_range_s, step) for step in STEPS]  # rising
    chances = []
    for pace in (_at(paver_range_m_s, step) for step in STEPS):
        waited = (standoff_m + strip_m) / pace
        some = bisect_right(times, waited)  # with less there is no time at all
        ample = max(some, bisect_left(times, waited + strip_m / pace))  # the pace alone counts
        hurried = (strip_m / (time - waited) for time in times[some:ample])
        chances += [_from(efficiency_range, needed / whole_m_s) for needed in hurried]
        chances += [_from(efficiency_range, pace / whole_m_s)] * (len(times) - ample)
    return fsum(chances) / len(STEPS) ** 2


def _at(ranged: Ranged, step: float) -> float:
    """The value so many standard deviations from the middle."""
    low, middle, high = ranged
    ratio = high / middle if step > 0.0 else middle / low
    return middle * exp(log(ratio) * step / TENTH)


def _from(ranged: Ranged, value: float) -> float:
    """Probability of a share or more; none is above 1."""
    if value > 1.0:
        return 0.0
    low, middle, high = ranged
    ratio = high / middle if value > middle else middle / low
    if ratio == 1.0:
        return 0.0 if value > middle else 1.0
    return NORMAL.cdf(-TENTH * log(value / middle) / log(ratio))


def _rising(name: str, ranged: Ranged) -> None:
    for value in ranged:
        above_zero(name, value)
    low, middle, high = ranged
    if not low <= middle <= high:
        raise OutOfRange(name, ranged, "its values must rise: 10, 50 and 90 %")
