"""Tack coat: what the tank held, what that is at the base temperature, and the rate it makes.

Rates are volumes over area, m3/m2: 1 L/m2 is 0.001. The residual rate is what is left of the
product once its water is gone; the applied rate is what was sprayed.
"""

from collections.abc import Callable, Mapping, Sequence
from math import acos, fsum, hypot, isclose, pi, sqrt
from typing import Final

from matbook.engine.cited import cited
from matbook.engine.ranges import above_zero, from_zero, picked, up_to, within
from matbook.engine.units import convert
from matbook.errors import OutOfRange

D4311: Final = (
    "ASTM D4311, table 2, group A, as an equation in degF, checked against Iowa IM T-102C; "
    "emulsions: 0.00025 per degF, from memory"
)
GAUGING: Final = "geometry of a cylinder that lies level (definition)"
SIXTY_F_C: Final = 140.0 / 9.0
"""60 degF."""


@cited("(dip before - dip after) x volume correction / area", "definition")
def applied_rate(
    before_m3: float, after_m3: float, area_m2: float, correction: float = 1.0
) -> float:
    """Rate at which tack was sprayed, from the tank before and after.

    Equation: a = (V1 - V2) M / A

    Args:
        before_m3: In the tank before spraying [m3], from 0.
        after_m3: In the tank after [m3], from 0; not more than before.
        area_m2: Area sprayed [m2], above 0. Tack has the true width: nothing is added to it.
        correction: Volume correction at the tank's temperature [1], 0.8 to 1.1; see
            `volume_correction`.

    Returns:
        Rate at the base temperature [m3/m2].

    Raises:
        OutOfRange: A value outside its range: a tank doesn't fill while it sprays.

    Source: definition; true width: US Navy NAVEDTRA 14080 p. 8-29.

    Example:
        >>> round(1000 * applied_rate(7.003, 5.072, 2943.0, 0.98), 3)
        0.643
    """
    from_zero("before_m3", before_m3)
    from_zero("after_m3", after_m3)
    above_zero("area_m2", area_m2)
    within("correction", correction, 0.8, 1.1)
    if after_m3 > before_m3:
        said = f"there were {before_m3:g} m3 before: a tank doesn't fill while it sprays"
        raise OutOfRange("after_m3", after_m3, said)
    return (before_m3 - after_m3) * correction / area_m2


@cited(
    "applied -/+ the errors of two tank readings and of the area, in quadrature",
    "propagation of independent errors (definition)",
)
def applied_range(
    before_m3: float,
    after_m3: float,
    area_m2: float,
    correction: float,
    tank_error_m3: float,
    area_error_m2: float = 0.0,
) -> tuple[float, float]:
    """Range of an applied rate: a little spread out of a big tank is known badly.

    Equation: a -/+ hypot(M e sqrt(2) / A, a E / A), not below 0

    Args:
        before_m3: In the tank before spraying [m3], as for `applied_rate`.
        after_m3: In the tank after [m3].
        area_m2: Area sprayed [m2], above 0.
        correction: Volume correction [1].
        tank_error_m3: Half-width of the 95 % range of one tank reading [m3], from 0.
        area_error_m2: Half-width of the 95 % range of the area [m2], from 0.

    Returns:
        Least and most of the rate [m3/m2], 95 %.

    Raises:
        OutOfRange: A value outside its range.

    Source: propagation of independent errors (definition).

    Example:
        >>> low, high = applied_range(6.42, 3.89, 9125.0, 0.98, 0.025, 20.0)
        >>> round(1000 * low, 3), round(1000 * high, 3)
        (0.268, 0.276)
    """
    from_zero("tank_error_m3", tank_error_m3)
    from_zero("area_error_m2", area_error_m2)
    rate = applied_rate(before_m3, after_m3, area_m2, correction)
    of_tank = correction * tank_error_m3 * sqrt(2.0) / area_m2
    half = hypot(of_tank, rate * area_error_m2 / area_m2)
    return max(0.0, rate - half), rate + half


@cited("applied x share of residue x undiluted share", "definition")
def residual_rate(applied_m3_m2: float, residue: float, undiluted: float = 1.0) -> float:
    """What is left on the surface of what was sprayed.

    Equation: r = a b u

    Args:
        applied_m3_m2: Applied rate [m3/m2], from 0.
        residue: Share of the undiluted product that stays [1], above 0 to 1.
        undiluted: Share of undiluted product in what was sprayed [1], above 0 to 1: 0.5 for 1:1.

    Returns:
        Residual rate [m3/m2].

    Raises:
        OutOfRange: A value outside its range.

    Source: definition.

    Example:
        >>> round(1000 * residual_rate(0.000643, 0.57, 0.5), 3)
        0.183
    """
    from_zero("applied_m3_m2", applied_m3_m2)
    up_to("residue", residue, 1.0)
    up_to("undiluted", undiluted, 1.0)
    return applied_m3_m2 * residue * undiluted


@cited("sum of (rate x area) / sum of areas, errors in quadrature", "definition")
def mean_rate(parts: Sequence[tuple[float, float, float]]) -> tuple[float, float, float]:
    """Mean rate of several spreads, each by its area.

    Equation: r = sum(r A) / sum(A) -/+ sqrt(sum((d A)^2)) / sum(A)

    Args:
        parts: For each spread its rate [m3/m2], from 0; the half-width of its range [m3/m2], from
            0; and its area [m2], above 0. At least one.

    Returns:
        Mean, least and most [m3/m2].

    Raises:
        OutOfRange: No parts, or a value outside its range.

    Source: definition.

    Example:
        >>> found = mean_rate([(0.0002, 3e-6, 900.0), (0.0003, 4e-6, 100.0)])
        >>> [round(1000 * one, 3) for one in found]
        [0.21, 0.207, 0.213]
    """
    if not parts:
        raise OutOfRange("parts", 0, "there must be at least one spread")
    for rate, half, area in parts:
        from_zero("rate_m3_m2", rate)
        from_zero("half_m3_m2", half)
        above_zero("area_m2", area)
    whole = fsum(area for _, _, area in parts)
    mean = fsum(rate * area for rate, _, area in parts) / whole
    off = sqrt(fsum((half * area) ** 2 for _, half, area in parts)) / whole
    return mean, max(0.0, mean - off), mean + off


@cited("residual / (share of residue x undiluted share)", "definition")
def applied_for(residual_m3_m2: float, residue: float, undiluted: float = 1.0) -> float:
    """What to spray for a residual rate: the inverse of `residual_rate`.

    Equation: a = r / (b u)

    Args:
        residual_m3_m2: Residual rate [m3/m2], from 0.
        residue: Share of the undiluted product that stays [1], above 0 to 1.
        undiluted: Share of undiluted product in what is sprayed [1], above 0 to 1.

    Returns:
        Applied rate [m3/m2].

    Raises:
        OutOfRange: A value outside its range.

    Source: definition.

    Example:
        >>> round(1000 * applied_for(0.0002, 0.6, 0.5), 3)
        0.667
    """
    from_zero("residual_m3_m2", residual_m3_m2)
    up_to("residue", residue, 1.0)
    up_to("undiluted", undiluted, 1.0)
    return residual_m3_m2 / (residue * undiluted)


@cited("area x rate x (1 + loss)", "US Army EN5459, prime coat")
def volume_for(area_m2: float, applied_m3_m2: float, loss: float = 0.0) -> float:
    """How much an area takes.

    Equation: V = A a (1 + l)

    Args:
        area_m2: Area to spray [m2], from 0.
        applied_m3_m2: Applied rate [m3/m2], from 0.
        loss: What is lost on the way, as a share [1], from 0 to 0.5.

    Returns:
        Volume at the base temperature [m3].

    Raises:
        OutOfRange: A value outside its range.

    Source: US Army EN5459, prime coat: a loss of 0.05.

    Example:
        >>> round(volume_for(3000.0, 0.0006, 0.05), 2)
        1.89
    """
    from_zero("area_m2", area_m2)
    from_zero("applied_m3_m2", applied_m3_m2)
    within("loss", loss, 0.0, 0.5)
    return area_m2 * applied_m3_m2 * (1.0 + loss)


@cited("volume at the base temperature / volume as read", D4311)
def volume_correction(temp_c: float, material: str, base_c: float = SIXTY_F_C) -> float:
    """What one litre as read in the warm tank is at the base temperature.

    The two bases, 60 degF and 15 degC, are not interchangeable: the contract says which.

    Equation: asphalt, T in degF: M = 1.0211 - 3.5490e-4 T + 4.4988e-8 T^2, for 15 degC over its
    value at 59 degF; emulsion: M = 1 - 0.00025 (T - base)

    Args:
        temp_c: Temperature in the tank [degC]: asphalt -18 to 260, emulsion 0 to 95.
        material: "asphalt" (group A, 0.967 or denser) or "emulsion".
        base_c: Base temperature [degC]: 60 degF (15.56) or 15.

    Returns:
        Factor M [1].

    Raises:
        OutOfRange: A temperature outside its range, another base.
        Refused: A material that isn't known.

    Source: ASTM D4311, table 2, group A, read as an equation in degF; its 15 degC form as read is
    cut short, so the first is used over its own value there. Emulsion: common coefficient, from
    memory; D4311 leaves emulsions out.

    Example:
        >>> (
        ...     round(volume_correction(60.0, "asphalt"), 4),
        ...     round(volume_correction(60.0, "emulsion"), 4),
        ... )
        (0.9723, 0.98)
    """
    low_c, high_c, factor = picked("material", material, MATERIALS)
    within("temp_c", temp_c, low_c, high_c)
    for base in (SIXTY_F_C, 15.0):
        if isclose(base_c, base, abs_tol=0.006):
            return factor(convert(temp_c, "degC", "degF"), convert(base, "degC", "degF"))
    raise OutOfRange("base_c", base_c, "it must be 15 or 15.56 (60 degF)")


def _asphalt(temp_f: float, base_f: float) -> float:
    whole = _group_a(temp_f)
    return whole if base_f == 60.0 else whole / _group_a(base_f)


def _group_a(temp_f: float) -> float:
    return 1.0211 - 3.5490e-4 * temp_f + 4.4988e-8 * temp_f * temp_f


def _emulsion(temp_f: float, base_f: float) -> float:
    return 1.0 - 0.00025 * (temp_f - base_f)


MATERIALS: Final[Mapping[str, tuple[float, float, Callable[[float, float], float]]]] = {
    # the temperatures it is good for [degC], and the factor from temperature and base in degF
    "asphalt": (-18.0, 260.0, _asphalt),
    "emulsion": (0.0, 95.0, _emulsion),
}


@cited("share of a circle below a chord", GAUGING)
def filled_share(depth: float) -> float:
    """Share of a tank that lies level which is filled to a share of its height.

    The same for a round and for an elliptical tank.

    Equation: f = (acos(1 - 2 h) - 2 (1 - 2 h) sqrt(h - h^2)) / pi

    Args:
        depth: Depth of what is in it over the tank's height [1], 0 to 1.

    Returns:
        Share of its volume [1].

    Raises:
        OutOfRange: A value outside its range.

    Source: geometry of a cylinder that lies level (definition).

    Example:
        >>> round(filled_share(0.25), 5)
        0.1955
    """
    within("depth", depth, 0.0, 1.0)
    up = 1.0 - 2.0 * depth
    return (acos(up) - 2.0 * up * sqrt(depth * (1.0 - depth))) / pi


@cited("length x area of the circle x share of it below the surface", GAUGING)
def tank_volume(depth_m: float, diameter_m: float, length_m: float) -> float:
    """What a round tank that lies level holds, from a dip.

    Equation: V = l (r^2 acos((r - h) / r) - (r - h) sqrt(2 r h - h^2))

    Args:
        depth_m: Depth as dipped [m], from 0 to the diameter; read on level ground.
        diameter_m: Diameter inside [m], above 0.
        length_m: Length inside [m], above 0; flat ends.

    Returns:
        Volume [m3].

    Raises:
        OutOfRange: A value outside its range.

    Source: geometry of a cylinder that lies level (definition).

    Example:
        >>> round(tank_volume(0.6, 1.2, 3.0), 3)
        1.696
    """
    above_zero("diameter_m", diameter_m)
    above_zero("length_m", length_m)
    if not 0.0 <= depth_m <= diameter_m:
        raise OutOfRange("depth_m", depth_m, f"it must be from 0 to {diameter_m:g}, the diameter")
    circle_m2 = pi * diameter_m * diameter_m / 4.0
    return length_m * circle_m2 * filled_share(depth_m / diameter_m)


MEMORY: Final = "FHWA-HIF-16-017, Tack coat best practices, from memory"
USUAL: Final[Mapping[str, tuple[float, float, str]]] = {
    # surface -> residual rate from, to [gal/yd2], where that comes from
    "new asphalt": (0.020, 0.045, MEMORY),
    "existing asphalt": (0.040, 0.070, MEMORY),
    "milled": (0.040, 0.080, MEMORY),
    "concrete": (0.030, 0.050, MEMORY),
}


@cited("from and to by surface", MEMORY)
def usual_residual(surface: str) -> tuple[float, float]:
    """The usual range of residual rates on a surface; the contract's is what counts.

    Args:
        surface: A row of `USUAL`.

    Returns:
        From and to [m3/m2].

    Raises:
        Refused: A surface that isn't known.

    Source: FHWA-HIF-16-017, Tack coat best practices, from memory.

    Example:
        >>> [round(1000 * rate, 2) for rate in usual_residual("milled")]
        [0.18, 0.36]
    """
    low, high, _ = picked("surface", surface, USUAL)
    return convert(low, "gal/yd2", "m3/m2"), convert(high, "gal/yd2", "m3/m2")
