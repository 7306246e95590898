"""Geometry: slopes by board, ramps for traffic, starter strips, edge wedges."""

from dataclasses import dataclass
from math import atan, ceil, degrees, isfinite, radians, tan
from typing import Final

from matbook.engine.cited import cited
from matbook.engine.depth import loose_depth
from matbook.engine.ranges import above_zero, from_zero, within
from matbook.errors import OutOfRange

EDGE: Final = "FHWA-SA-12-010, Safety Edge, and its Design and Construction Guide (2012)"


@cited("slope x board length", "definition")
def board_reading(slope: float, board_m: float) -> float:
    """Gap under the low end of a level board on a slope.

    Equation: g = s b

    Args:
        slope: Cross slope as a share [1], -0.2 to 0.2.
        board_m: Length of the board [m], above 0.

    Returns:
        Reading [m].

    Raises:
        OutOfRange: A value outside its range.

    Source: definition.

    Example:
        >>> round(board_reading(0.02, 1.2), 6)
        0.024
    """
    within("slope", slope, -0.2, 0.2)
    above_zero("board_m", board_m)
    return slope * board_m


@cited("reading / board length", "definition")
def slope_from_board(reading_m: float, board_m: float) -> float:
    """Cross slope from the gap under a level board.

    Equation: s = g / b

    Args:
        reading_m: Gap under the low end [m]; below zero where it falls the other way.
        board_m: Length of the board [m], above 0, and at least five times the reading.

    Returns:
        Slope as a share [1].

    Raises:
        OutOfRange: A value outside its range.

    Source: definition.

    Example:
        >>> slope_from_board(0.024, 1.2)
        0.02
    """
    above_zero("board_m", board_m)
    within("reading_m", reading_m, -0.2 * board_m, 0.2 * board_m)
    return reading_m / board_m


@cited("(one reading - the other) / distance between them", "definition")
def slope_from_levels(near_m: float, far_m: float, apart_m: float) -> float:
    """Cross slope from a level's readings on a staff at two places across the lane.

    The staff reads more where the surface is lower, so a slope above zero falls from near to far.

    Equation: s = (b - a) / d

    Args:
        near_m: Reading at the one place [m], any.
        far_m: Reading at the other [m], any.
        apart_m: Distance between them, level [m], above 0, at least five times their difference.

    Returns:
        Slope as a share [1].

    Raises:
        OutOfRange: A value outside its range.

    Source: definition.

    Example:
        >>> round(slope_from_levels(1.410, 1.484, 3.7), 6)
        0.02
    """
    for name, value in (("near_m", near_m), ("far_m", far_m)):
        if not isfinite(value):
            raise OutOfRange(name, value, "it must be a number")
    above_zero("apart_m", apart_m)
    within("far_m", far_m, near_m - 0.2 * apart_m, near_m + 0.2 * apart_m)
    return (far_m - near_m) / apart_m


@cited("atan(slope)", "definition")
def slope_degrees(slope: float) -> float:
    """A slope as an angle.

    Args:
        slope: Slope as a share [1], any.

    Returns:
        Angle [deg].

    Raises:
        OutOfRange: Not a number.

    Source: definition.

    Example:
        >>> round(slope_degrees(0.02), 4)
        1.1458
    """
    if not isfinite(slope):
        raise OutOfRange("slope", slope, "it must be a number")
    return degrees(atan(slope))


@cited("step x ratio", "definition")
def ramp_length(step_m: float, ratio: float) -> float:
    """Length of a ramp for traffic over a step. The ratio is the owner's: there is no default.

    Equation: L = n h

    Args:
        step_m: Height of the step [m], from 0.
        ratio: Length to one of height [1], 1 to 500.

    Returns:
        Length [m].

    Raises:
        OutOfRange: A value outside its range.

    Source: definition; 20 to 1 is common practice, no published source.

    Example:
        >>> ramp_length(0.05, 20.0)
        1.0
    """
    from_zero("step_m", step_m)
    within("ratio", ratio, 1.0, 500.0)
    return step_m * ratio


@cited("length / step", "definition")
def ramp_ratio(step_m: float, length_m: float) -> float:
    """How many to one a ramp is that was measured: the inverse of `ramp_length`.

    Equation: n = L / h

    Args:
        step_m: Height of the step [m], above 0.
        length_m: Length of the ramp [m], from 0.

    Returns:
        Length to one of height [1].

    Raises:
        OutOfRange: A value outside its range.

    Source: definition.

    Example:
        >>> ramp_ratio(0.05, 1.0)
        20.0
    """
    above_zero("step_m", step_m)
    from_zero("length_m", length_m)
    return length_m / step_m


@cited("step x length x width x density / 2", "definition")
def ramp_mass(step_m: float, length_m: float, width_m: float, density_kg_m3: float) -> float:
    """Mass of mix in a ramp that runs out to nothing.

    Equation: m = h L w rho / 2

    Args:
        step_m: Height of the step [m], from 0.
        length_m: Length of the ramp [m], from 0.
        width_m: Width [m], from 0.
        density_kg_m3: Compacted density [kg/m3], above 0.

    Returns:
        Mass [kg].

    Raises:
        OutOfRange: A value outside its range.

    Source: definition.

    Example:
        >>> ramp_mass(0.05, 1.0, 4.0, 2400.0)
        240.0
    """
    for name, value in (("step_m", step_m), ("length_m", length_m), ("width_m", width_m)):
        from_zero(name, value)
    above_zero("density_kg_m3", density_kg_m3)
    return step_m * length_m * width_m * density_kg_m3 / 2.0


@cited("ceil((length - lap) / (paper width - lap))", "definition")
def paper_widths(ramp_length_m: float, paper_width_m: float, lap_m: float = 0.0) -> int:
    """How many widths of paper lie under a ramp so that its bond can be broken.

    Args:
        ramp_length_m: Length of the ramp [m], above 0.
        paper_width_m: Width of the roll [m], above 0.
        lap_m: How far one width laps the next [m], from 0 to below the width.

    Returns:
        Number of widths.

    Raises:
        OutOfRange: A value outside its range.

    Source: definition.

    Example:
        >>> paper_widths(1.2, 0.9, 0.1)
        2
    """
    above_zero("ramp_length_m", ramp_length_m)
    above_zero("paper_width_m", paper_width_m)
    if not 0.0 <= lap_m < paper_width_m:
        raise OutOfRange("lap_m", lap_m, f"it must be from 0 to below {paper_width_m:g}")
    return max(1, ceil((ramp_length_m - lap_m) / (paper_width_m - lap_m) - 1e-9))


@cited("loose depth - compacted depth", "NAPA, asphalt pavement handbook (online), 9.2")
def starter_strip(compacted_m: float, roll_down: float) -> float:
    """Thickness of the strips a screed starts from on the compacted side of a joint.

    Equation: s = t / (1 - r) - t

    Args:
        compacted_m: Compacted depth [m], above 0.
        roll_down: Share of the loose depth lost in rolling [1], from 0 to below 0.6.

    Returns:
        Thickness [m].

    Raises:
        OutOfRange: A value outside its range.

    Source: NAPA, asphalt pavement handbook (online), 9.2.

    Example:
        >>> round(starter_strip(0.050, 0.20), 6)
        0.0125
    """
    return loose_depth(compacted_m, roll_down) - compacted_m


@dataclass(frozen=True, slots=True)
class Wedge:
    """A sloped edge: how far it runs out, and its cross section."""

    run_m: float
    area_m2: float


@cited("run = height / tan(angle); area = height x run / 2", EDGE)
def edge_wedge(height_m: float, angle_deg: float) -> Wedge:
    """Run and cross section of a sloped pavement edge.

    Equation: L = h / tan(a), A = h^2 / (2 tan(a))

    Args:
        height_m: Height of the edge [m], from 0.
        angle_deg: Angle from the cross slope [deg], 5 to 90; about 30 is aimed at.

    Returns:
        Run [m] and area [m2].

    Raises:
        OutOfRange: A value outside its range.

    Source: FHWA-SA-12-010 and the Safety Edge Design and Construction Guide (2012).

    Example:
        >>> round(edge_wedge(0.05, 30.0).run_m, 4)
        0.0866
    """
    from_zero("height_m", height_m)
    within("angle_deg", angle_deg, 5.0, 90.0)
    run = height_m / tan(radians(angle_deg))
    return Wedge(run, height_m * run / 2.0)


@cited("atan(height / run)", "definition")
def edge_angle_deg(height_m: float, run_m: float) -> float:
    """Angle of a sloped edge as measured.

    Equation: a = atan(h / L)

    Args:
        height_m: Height [m], from 0.
        run_m: Run [m], above 0.

    Returns:
        Angle [deg].

    Raises:
        OutOfRange: A value outside its range.

    Source: definition.

    Example:
        >>> round(edge_angle_deg(0.05, 0.0866), 1)
        30.0
    """
    from_zero("height_m", height_m)
    above_zero("run_m", run_m)
    return degrees(atan(height_m / run_m))
