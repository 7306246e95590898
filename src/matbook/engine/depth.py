"""Depth: loose against compacted, and how far a floating screed takes to follow a change.

Roll-down is the share of the loose depth that is lost in rolling: 0.20 takes 75 mm to 60 mm. The
same thing said as a share of the compacted depth is 25 %.
"""

from math import expm1, inf, log1p
from typing import Final

from matbook.engine.cited import cited
from matbook.engine.ranges import above_zero
from matbook.errors import OutOfRange

NAPA: Final = "NAPA, asphalt pavement handbook (online), section 7.5"
SCREED: Final = (
    "first-order lag of a floating screed; Hot-Mix Asphalt Paving Handbook 2000, from memory"
)


@cited("compacted / (1 - roll-down)", NAPA)
def loose_depth(compacted_m: float, roll_down: float) -> float:
    """Loose depth behind the screed that rolls down to a compacted depth.

    Equation: z = t / (1 - r)

    Args:
        compacted_m: Compacted depth [m], above 0.
        roll_down: Share of the loose depth lost in rolling [1], from 0 to below 0.6.

    Returns:
        Loose depth [m].

    Raises:
        OutOfRange: A value outside its range.

    Source: NAPA, asphalt pavement handbook (online), section 7.5; 60 mm from 75 mm is common
    practice, no published source.

    Example:
        >>> round(loose_depth(0.060, 0.20), 6)
        0.075
    """
    above_zero("compacted_m", compacted_m)
    _share("roll_down", roll_down)
    return compacted_m / (1.0 - roll_down)


@cited("loose x (1 - roll-down)", NAPA)
def compacted_depth(loose_m: float, roll_down: float) -> float:
    """Compacted depth that a loose depth rolls down to.

    Equation: t = z (1 - r)

    Args:
        loose_m: Loose depth [m], above 0.
        roll_down: Share of the loose depth lost in rolling [1], from 0 to below 0.6.

    Returns:
        Compacted depth [m].

    Raises:
        OutOfRange: A value outside its range.

    Source: NAPA, asphalt pavement handbook (online), section 7.5.

    Example:
        >>> round(compacted_depth(0.075, 0.20), 6)
        0.06
    """
    above_zero("loose_m", loose_m)
    _share("roll_down", roll_down)
    return loose_m * (1.0 - roll_down)


@cited("1 - compacted / loose", NAPA)
def roll_down(loose_m: float, compacted_m: float) -> float:
    """Roll-down as found, in the control strip say: the share of the loose depth lost.

    Equation: r = 1 - t / z

    Args:
        loose_m: Loose depth [m], above 0.
        compacted_m: Compacted depth at the same place [m], above 0, not more than loose.

    Returns:
        Roll-down [1].

    Raises:
        OutOfRange: A value outside its range.

    Source: NAPA, asphalt pavement handbook (online), section 7.5.

    Example:
        >>> round(roll_down(0.075, 0.060), 6)
        0.2
    """
    above_zero("loose_m", loose_m)
    above_zero("compacted_m", compacted_m)
    if compacted_m > loose_m:
        raise OutOfRange("compacted_m", compacted_m, f"it can't be more than loose, {loose_m:g} m")
    return 1.0 - compacted_m / loose_m


@cited("share of compacted / (1 + share of compacted)", "definition")
def roll_down_from_compacted_share(share: float) -> float:
    """Roll-down from the same loss said as a share of the compacted depth: 25 % is 20 %.

    Equation: r = s / (1 + s)

    Args:
        share: Loss over compacted depth [1], 0 to 1.

    Returns:
        Roll-down: loss over loose depth [1].

    Raises:
        OutOfRange: A value outside its range.

    Source: definition.

    Example:
        >>> roll_down_from_compacted_share(0.25)
        0.2
    """
    if not 0.0 <= share <= 1.0:
        raise OutOfRange("share", share, "it must be 0 to 1")
    return share / (1.0 + share)


@cited("1 - density behind the screed / final density", "mass balance: the mat keeps its mass")
def roll_down_from_densities(behind_screed_kg_m3: float, final_kg_m3: float) -> float:
    """Roll-down from the densities before and after rolling.

    Equation: r = 1 - rho_s / rho_f

    Args:
        behind_screed_kg_m3: Density behind the screed [kg/m3], above 0.
        final_kg_m3: Density after rolling [kg/m3], not less.

    Returns:
        Roll-down [1].

    Raises:
        OutOfRange: A value outside its range.

    Source: mass balance: the mat keeps its mass.

    Example:
        >>> round(1 / (1 - roll_down_from_densities(78.0, 93.0)), 3)
        1.192
    """
    above_zero("behind_screed_kg_m3", behind_screed_kg_m3)
    if not behind_screed_kg_m3 <= final_kg_m3 < inf:
        raise OutOfRange("final_kg_m3", final_kg_m3, "it can't be less than behind the screed")
    return 1.0 - behind_screed_kg_m3 / final_kg_m3


@cited("1 - e^(-tow-arm lengths moved)", SCREED)
def screed_response(tow_arms: float) -> float:
    """Share of a change of depth that is complete after so many tow-arm lengths.

    Equation: s = 1 - exp(-n)

    Args:
        tow_arms: Distance paved since the adjustment over the tow-arm's length [1], from 0.

    Returns:
        Share complete [1].

    Raises:
        OutOfRange: A value below zero.

    Source: first-order lag; Hot-Mix Asphalt Paving Handbook 2000, from memory.

    Example:
        >>> round(screed_response(3.0), 3)
        0.95
    """
    if not 0.0 <= tow_arms < inf:
        raise OutOfRange("tow_arms", tow_arms, "it must be a number from 0")
    return 0.0 - expm1(-tow_arms)  # not -0.0 at the start


@cited("tow-arm length x -ln(1 - share complete)", SCREED)
def recheck_distance(tow_arm_m: float, complete: float = 0.95) -> float:
    """Distance to pave after an adjustment before a depth check means something.

    Equation: d = -L ln(1 - s)

    Args:
        tow_arm_m: Length of the tow arm [m], above 0.
        complete: Share of the change that must be complete [1], above 0 to below 1.

    Returns:
        Distance [m]; about 10 m is common practice, no published source.

    Raises:
        OutOfRange: A value outside its range.

    Source: first-order lag; Hot-Mix Asphalt Paving Handbook 2000, from memory.

    Example:
        >>> round(recheck_distance(2.6), 1)
        7.8
    """
    above_zero("tow_arm_m", tow_arm_m)
    if not 0.0 < complete < 1.0:
        raise OutOfRange("complete", complete, "it must be above 0 and below 1")
    return -tow_arm_m * log1p(-complete)


def _share(name: str, value: float) -> None:
    if not 0.0 <= value < 0.6:
        raise OutOfRange(name, value, "it must be a share from 0 to below 0.6")
