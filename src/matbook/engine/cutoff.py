"""The last loads of the day: what is loaded already against the length left and the hour."""

from dataclasses import dataclass
from math import ceil
from typing import Final, Literal

from matbook.engine.cited import cited
from matbook.engine.ranges import above_zero, from_zero, within
from matbook.engine.rhythm import Rhythm

HAIR: Final = 1e-9


@dataclass(frozen=True, slots=True)
class CutOff:
    """How many loads more to send for, and what then is left over or missing."""

    loads: int
    """Loads to send for beside those that are coming."""
    least: int
    """Loads, if the mix goes as far as it may."""
    most: int
    """Loads, if it goes the least far."""
    over_kg: float
    """Mix that is left over when the paver has got as far as it gets."""
    reach_m: float
    """How far the paver gets."""
    ends: Literal["length", "hour"]
    """What ends it: the length left, or the closing hour."""


@cited("ceil((mix for the length - mix that is coming) / load)", "definition")
def cut_off(
    remaining_m: float,
    mix_kg_m: float,
    coming_kg: float,
    load_kg: float,
    pace_m_s: float,
    remaining_s: float,
    doubt: float = 0.0,
) -> CutOff:
    """How many loads more to send for before the plant is told to stop.

    The paver gets as far as the length left, or as its pace takes it until the hour.

    Equation: n = ceil((min(L, v t) m - M) / T), not below 0

    Args:
        remaining_m: Length left to pave [m], from 0.
        mix_kg_m: Mix on each metre [kg/m], above 0.
        coming_kg: Mix in hopper and trucks that is loaded already [kg], from 0.
        load_kg: One load [kg], above 0.
        pace_m_s: Pace of the paver [m/s], above 0.
        remaining_s: Time left until the last mix must be down [s], from 0.
        doubt: Half-width of the 95 % range of `mix_kg_m`, as a share of it [1], from 0 to 0.5.

    Returns:
        Loads with their range, what is left over, how far it gets, and what ends it.

    Raises:
        OutOfRange: A value outside its range.

    Source: definition.

    Example:
        >>> found = cut_off(600.0, 440.0, 120_000.0, 20_000.0, 0.1, 7200.0, doubt=0.05)
        >>> found.loads, found.least, found.most, found.ends
        (8, 7, 8, 'length')
    """
    from_zero("remaining_m", remaining_m)
    above_zero("mix_kg_m", mix_kg_m)
    from_zero("coming_kg", coming_kg)
    above_zero("load_kg", load_kg)
    above_zero("pace_m_s", pace_m_s)
    from_zero("remaining_s", remaining_s)
    within("doubt", doubt, 0.0, 0.5)
    in_time_m = pace_m_s * remaining_s
    reach_m = min(remaining_m, in_time_m)

    def more(share: float) -> int:
        return max(0, ceil((share * reach_m * mix_kg_m - coming_kg) / load_kg - HAIR))

    loads = more(1.0)
    return CutOff(
        loads=loads,
        least=more(1.0 - doubt),
        most=more(1.0 + doubt),
        over_kg=coming_kg + loads * load_kg - reach_m * mix_kg_m,
        reach_m=reach_m,
        ends="length" if remaining_m <= in_time_m else "hour",
    )


@cited("closing - finishing - laying - waiting - the way, taken late", "definition")
def last_departure(
    closing_s: float, finishing_s: float, laying: Rhythm, out: Rhythm, waiting_s: float = 0.0
) -> float:
    """The latest moment for a truck to leave the plant so that its load is finished by an hour.

    The way and the laying are taken as long as all but one in ten are.

    Equation: t = T - F - late(laying) - W - late(out)

    Args:
        closing_s: The hour, by any clock [s].
        finishing_s: From laid until finished: rolling, joint, ramp, markings [s], from 0.
        laying: How long a load takes to lay.
        out: How long the way takes.
        waiting_s: How long it will wait at the paver [s], from 0.

    Returns:
        The moment, by the same clock [s].

    Raises:
        OutOfRange: A value outside its range.

    Source: definition.

    Example:
        >>> last_departure(64_800.0, 3600.0, Rhythm(600.0), Rhythm(1500.0), 300.0)
        58800.0
    """
    within("closing_s", closing_s, -1e9, 1e9)
    from_zero("finishing_s", finishing_s)
    from_zero("waiting_s", waiting_s)
    return closing_s - finishing_s - waiting_s - laying.late_s - out.late_s
