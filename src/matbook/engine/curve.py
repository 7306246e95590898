"""How one lift cools: the curve, its temperatures and its times."""

from bisect import bisect_right
from collections.abc import Sequence
from functools import cached_property
from itertools import pairwise
from math import ceil, fsum, inf, sqrt

from matbook.engine.cited import cited
from matbook.engine.conduction import DEEP_M, FEWEST, STEP, March, Mesh, Span
from matbook.engine.layers import Layer, Surroundings, Weather
from matbook.engine.ranges import within
from matbook.errors import OutOfRange

Periods = Sequence[tuple[float, Surroundings]]
"""The surroundings, each with the moment from which it holds [s]."""


class Curve:
    """How a lift cools: its temperatures at any depth and time, and the time to any temperature.

    Made by `cool`; between the steps it is a cubic in the square root of time.
    """

    def __init__(
        self, mesh: Mesh, spans: Sequence[Span], starts: Sequence[float], losses: Sequence[March]
    ) -> None:
        self._mesh = mesh
        self._spans = spans
        self._starts = starts
        self._losses = losses
        self.duration_s = starts[-1] + spans[-1].roots[-1] ** 2

    @property
    def thickness_m(self) -> float:
        """Thickness of the lift [m]."""
        return self._mesh.lift.thickness_m

    def mean_c(self, t_s: float) -> float:
        """Mean temperature of the lift [°C] at a time since laying [s]."""
        return self._value(self._means, t_s)

    def surface_c(self, t_s: float) -> float:
        """Temperature of the surface [°C] at a time since laying [s]."""
        return self._value(self._surfaces, t_s)

    def at(self, depth_m: float, t_s: float) -> float:
        """Temperature [°C] at a depth below the surface [m] and a time since laying [s].

        Raises:
            OutOfRange: A depth outside the layers, or a time outside the curve.
        """
        depths = self._mesh.depths
        within("depth_m", depth_m, 0.0, depths[-1] * (1.0 + 1e-9))
        layer = bisect_right([depths[top] for top in self._mesh.tops], depth_m) - 1
        tops = [*self._mesh.tops, len(depths) - 1]
        low, high = tops[layer], tops[layer + 1]
        if high - low > 1 and depths[high] == depths[high - 1]:
            high -= 1  # the last cell is a contact, without thickness
        place = bisect_right(depths, depth_m, low, high) - 1
        first = max(low, min(place - 1, high - 3))
        nodes = range(first, min(first + 4, high + 1))
        span, first, roots, root = self._around(t_s)
        steps = self._spans[span].temps[first : first + 4]
        found = [_cubic(roots, [temps[n] for temps in steps], root) for n in nodes]
        return _cubic([depths[n] for n in nodes], found, depth_m)

    def time_to(self, temp_c: float, where: str = "mean") -> float | None:
        """Time from laying until a temperature is reached [s]; None if it isn't within the curve.

        Args:
            temp_c: The temperature [°C], -100 to 250.
            where: `mean` of the lift, or `surface`.
        """
        within("temp_c", temp_c, -100.0, 250.0)
        if where not in ("mean", "surface"):
            raise OutOfRange("where", where, "“mean” or “surface”")
        values = self._means if where == "mean" else self._surfaces
        if values[0][0] <= temp_c:
            return 0.0
        for start, span, found in zip(self._starts, self._spans, values, strict=True):
            for n in range(1, len(found)):
                if found[n] <= temp_c:
                    return start + _crossing(span.roots, found, n, temp_c) ** 2
        return None

    def nodes(self, layer: int) -> list[float]:
        """The depths [m] at which a layer, counted from the lift as 0, was solved."""
        depths, tops = self._mesh.depths, [*self._mesh.tops, len(self._mesh.depths) - 1]
        return sorted(set(depths[tops[layer] : tops[layer + 1] + 1]))

    def profile(self, t_s: float, points: int = 9) -> tuple[tuple[float, float], ...]:
        """The lift from its top to its bottom, for `Layer.start_c` of a lift that comes on it."""
        thick = self._mesh.lift.thickness_m
        depths = [thick * n / (points - 1) for n in range(points - 1)]
        return tuple((x, self.at(x, t_s)) for x in [*depths, thick * (1.0 - 1e-12)])

    @cached_property
    def _means(self) -> list[list[float]]:
        spans = zip(self._spans, self._losses, strict=True)
        return [[march.mean_of(temps) for temps in span.temps] for span, march in spans]

    @cached_property
    def _surfaces(self) -> list[list[float]]:
        return [[temps[0] for temps in span.temps] for span in self._spans]

    def _value(self, values: list[list[float]], t_s: float) -> float:
        span, first, roots, root = self._around(t_s)
        return _cubic(roots, values[span][first : first + 4], root)

    def _around(self, t_s: float) -> tuple[int, int, list[float], float]:
        """Which span holds a time, its four steps around it, and the root since it began [√s]."""
        within("t_s", t_s, 0.0, self.duration_s * (1.0 + 1e-9))
        span = max(0, bisect_right(self._starts, t_s) - 1)
        roots = self._spans[span].roots
        root = sqrt(max(0.0, t_s - self._starts[span]))
        first = max(0, min(bisect_right(roots, root) - 2, len(roots) - 4))
        return span, first, roots[first : first + 4], root


def _cubic(xs: Sequence[float], ys: Sequence[float], x: float) -> float:
    """The polynomial through up to four points, at x."""
    total = 0.0
    for n, (own, value) in enumerate(zip(xs, ys, strict=True)):
        for m, other in enumerate(xs):
            if m != n:
                value *= (x - other) / (own - other)
        total += value
    return total


def _crossing(roots: list[float], values: list[float], n: int, wanted: float) -> float:
    """Where the cubic through the points around step n comes down to a value."""
    first = max(0, min(n - 2, len(roots) - 4))
    xs, ys = roots[first : first + 4], values[first : first + 4]
    low, high = roots[n - 1], roots[n]
    at_low, at_high = values[n - 1] - wanted, values[n] - wanted
    for _ in range(60):
        middle = low - at_low * (high - low) / (at_high - at_low)
        found = _cubic(xs, ys, middle) - wanted
        if abs(found) < 1e-10 or high - low < 1e-12:
            break
        if found > 0.0:
            low, at_low, at_high = middle, found, at_high * 0.5
        else:
            high, at_high, at_low = middle, found, at_low * 0.5
    return middle


@cited(
    "heat conduction through the layers, with film, radiation and sun at the surface",
    "finite elements of the heat equation (definition); see the checks in docs/trust.md",
)
def cool(layers: Sequence[Layer], surroundings: Weather, duration_s: float, fine: int = 1) -> Curve:
    """How a lift cools on what lies below it.

    Equation: rho c dT/dt = d/dz (k dT/dz); k dT/dz = loss at the surface; no flow at the bottom

    Args:
        layers: The lift first, then what lies below, from above; together they reach down to 1 m
            or deeper.
        surroundings: What the surface meets; or pairs of the moment [s] from which each holds,
            the first from 0.
        duration_s: How long [s], 1 to 172800.
        fine: Cells and steps so many times finer, 1 to 16; for checks.

    Returns:
        The curve, from which temperatures and times are read.

    Raises:
        OutOfRange: A value outside its range, a base hotter than the mix, no layer below, ground
            that ends above 1 m.

    Source: the heat equation; the analytic solutions it is checked against are in docs/trust.md.

    Example:
        >>> from matbook.engine.layers import FixedFilm
        >>> lift = Layer(0.050, 1.21, 2243.0, 921.0, 150.0)
        >>> base = Layer(1.0, 1.21, 2243.0, 921.0, 15.0)
        >>> curve = cool([lift, base], FixedFilm(29.5, 15.0), 3600.0)
        >>> round(curve.mean_c(600.0), 1), round((curve.time_to(80.0) or 0.0) / 60.0, 1)
        (105.0, 22.4)
    """
    within("duration_s", duration_s, 1.0, 172_800.0)
    within("fine", fine, 1, 16)
    check_layers(layers)
    return solved(layers, periods(surroundings), duration_s, fine)


def check_layers(layers: Sequence[Layer]) -> None:
    """Refuse layers whose curve would look right and be wrong.

    Args:
        layers: The lift first, then what lies below.

    Raises:
        OutOfRange: No layer below the lift, ground too shallow, a base hotter than the mix.

    Source: definition.

    Example:
        >>> check_layers([Layer(0.05, 1.6, 2243.0, 921.0, 150.0)])
        Traceback (most recent call last):
        matbook.errors.OutOfRange: layers is “1 of them”; a lift and at least one layer below.
    """
    if len(layers) < 2:
        raise OutOfRange("layers", f"{len(layers)} of them", "a lift and at least one layer below")
    depth = fsum(layer.thickness_m for layer in layers)
    if depth < DEEP_M - 1e-6:
        allowed = f"layers that reach down to {DEEP_M:g} m: heat goes on below the last one"
        raise OutOfRange("layers", f"{depth:g} m in all", allowed)
    lift, *below = layers
    mix, base = lift.hottest_c, max(layer.hottest_c for layer in below)
    if base > mix:
        allowed = f"no base hotter than the mix, which is at {mix:g} °C"
        raise OutOfRange("start_c", f"{base:g} °C below the lift", allowed)


@cited("each state of the weather with the moment it begins", "definition")
def periods(surroundings: Weather) -> Periods:
    """The surroundings, each with the moment from which it holds [s].

    Args:
        surroundings: One state, or pairs.

    Raises:
        OutOfRange: Moments that don't begin at 0 and increase.

    Source: definition.

    Example:
        >>> from matbook.engine.layers import FixedFilm
        >>> [start for start, _ in periods(FixedFilm(20.0, 15.0))]
        [0.0]
    """
    if isinstance(surroundings, Surroundings):
        return [(0.0, surroundings)]
    starts = [start for start, _ in surroundings]
    begun = bool(starts) and starts[0] == 0.0
    if not begun or not all(a < b < inf for a, b in pairwise(starts)):
        raise OutOfRange("surroundings", starts, "moments that begin at 0 and increase")
    return list(surroundings)


def solved(
    layers: Sequence[Layer],
    weather: Periods,
    duration_s: float,
    fine: int,
) -> Curve:
    """The curve of layers that were checked; what lies below the last one takes no heat.

    Args:
        layers: The lift first, then what lies below.
        weather: What the surface meets, each state with the moment from which it holds [s].
        duration_s: How long [s].
        fine: Cells and steps so many times finer.

    Source: the heat equation; see `cool`.

    Example:
        >>> from matbook.engine.layers import FixedFilm
        >>> wall = Layer(0.025, 1.21, 2243.0, 921.0, 100.0)
        >>> round(
        ...     solved([wall, wall], [(0.0, FixedFilm(24.2, 0.0))], 2134.0, 1).surface_c(2134.0), 1
        ... )
        50.5
    """
    weather = [(start, state) for start, state in weather if start < duration_s]
    starts = [start for start, _ in weather]
    mesh = Mesh(layers, fine)
    unit = STEP * layers[0].thickness_m / sqrt(layers[0].diffusivity_m2_s) / fine
    stored = mesh.stored()
    spans: list[Span] = []
    marches: list[March] = []
    for (start, state), end in zip(weather, [*starts[1:], duration_s], strict=True):
        march = March(mesh, state)
        steps = max(FEWEST * fine, ceil(sqrt(end - start) / unit))
        spans.append(march.run(stored, end - start, steps))
        marches.append(march)
        stored = spans[-1].stored
    return Curve(mesh, spans, starts, marches)
