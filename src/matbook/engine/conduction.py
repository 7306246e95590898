"""Heat in a mat: conduction through lift, base and subgrade, and what leaves at the surface.

Every layer is cut into cells, fine in the lift and coarser below. Heat is stored by the mass matrix
(1, 10, 1)/12, which makes the scheme fourth order in space as long as neighbouring cells take the
same time to cross; the start, a jump from hot to cold, is laid into the cells by their heat. Time
runs in equal steps of its square root, since that is how the jump smooths out, by the backward
difference of fourth order, whose first steps are smaller. The surface gives off heat by a film and
to the sky by the fourth power; eliminating from the bottom leaves one equation for the surface
temperature alone, which is solved exactly.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import fsum, sqrt
from operator import mul
from typing import Final

from matbook.engine.layers import ZERO_C, Layer, Surroundings

CELLS: Final = 6
"""Cells in the lift."""
SMOOTH: Final = 10
"""Cells below the lift that are as fine as those in it; from there on they grow."""
GROWTH: Final = 1.35
"""Each further cell is so much larger than the one above it."""
STEP: Final = 0.04
"""Step of the square root of time, as a share of the lift's thickness over √diffusivity."""
FEWEST: Final = 12
"""Steps in any span of time, however short."""
START: Final = 2
"""The first three steps are cut into so many each."""
DEEP_M: Final = 1.0
"""The ground below this depth plays no part within hours [m]: 2 h reach √(4·6e-7·7200) = 0.13 m."""
BACKWARD: Final = {
    1: (1.0, (1.0,)),
    2: (2.0 / 3.0, (-1.0 / 3.0, 4.0 / 3.0)),
    3: (6.0 / 11.0, (2.0 / 11.0, -9.0 / 11.0, 18.0 / 11.0)),
    4: (12.0 / 25.0, (-3.0 / 25.0, 16.0 / 25.0, -36.0 / 25.0, 48.0 / 25.0)),
}
"""Backward differences by order: share of the step that counts, weights of the oldest on."""
NEWTON: Final = 1e-9
"""The surface temperature is found to this [K]."""


class Mesh:
    """The layers cut into cells, from the surface down: what each cell stores and conducts."""

    def __init__(self, layers: Sequence[Layer], fine: int) -> None:
        self.lift = layers[0]
        self.cells = CELLS * fine
        """Cells in the lift."""
        self.depths: list[float] = [0.0]
        self.heat: list[float] = []
        """Heat that warms each cell by one kelvin [J/m2K]."""
        self.conductance: list[float] = []
        """Heat across each cell for one kelvin between its ends [W/m2K]."""
        self.start: list[tuple[float, float]] = []
        """Temperature at the start at both ends of each cell [°C]."""
        self.tops: list[int] = []
        """The node at which each layer begins."""
        below = 0
        for place, layer in enumerate(layers):
            below = self._add(layer, place, below, fine, last=place == len(layers) - 1)
        self.own = _row_sums([5.0 * heat / 12.0 for heat in self.heat])
        self.shared = [heat / 12.0 for heat in self.heat]
        self.shared_up, self.shared_down = [0.0, *self.shared], [*self.shared, 0.0]
        self.leaving = _row_sums(self.conductance)
        self.shares = self._shares()
        """Weights of the nodes of the lift in its mean."""
        self.bend = self.heat[0] / (12.0 * self.conductance[0])
        """What the loss at the surface adds to the heat stored in the uppermost node [s]."""

    def _add(self, layer: Layer, place: int, below: int, fine: int, *, last: bool) -> int:
        """Cut one layer; gives how many cells lie below the lift by now."""
        first = self.lift.thickness_m / self.cells
        scale = sqrt(layer.diffusivity_m2_s / self.lift.diffusivity_m2_s)
        left, sizes = layer.thickness_m, []
        if place == 0:
            sizes = [first] * self.cells
        else:
            while left > 1e-9:
                grown = GROWTH ** (max(0, below - SMOOTH * fine) / fine)
                sizes.append(first * scale * grown)
                left -= sizes[-1]
                below += 1
            if not last or len(sizes) == 1:
                stretch = layer.thickness_m / fsum(sizes)
                sizes = [size * stretch for size in sizes]
        self.tops.append(len(self.depths) - 1)
        top = self.depths[-1]
        for size in sizes:
            ends = _ends(layer, self.depths[-1] - top, size)
            self._cell(size, layer.heat_j_m3k * size, layer.conductivity_w_mk / size, ends)
        if layer.contact_m2k_w and not last:
            self._cell(0.0, 0.0, 1.0 / layer.contact_m2k_w, (0.0, 0.0))
        return below

    def _cell(
        self, size: float, heat: float, conductance: float, ends: tuple[float, float]
    ) -> None:
        self.depths.append(self.depths[-1] + size)
        self.heat.append(heat)
        self.conductance.append(conductance)
        self.start.append(ends)

    def _shares(self) -> list[float]:
        """Trapezoids, less what the slope at the underside bends away: a cubic by four nodes."""
        found = [0.5, *[1.0] * (self.cells - 1), 0.5]
        for place, weight in enumerate((-2.0, 9.0, -18.0, 11.0), start=self.cells - 3):
            found[place] -= weight / 72.0
        return [weight / self.cells for weight in found]

    def stored(self) -> list[float]:
        """The heat at the start, shared out to the nodes [J/m2]: straight between a cell's ends."""
        found = [0.0] * (len(self.heat) + 1)
        for place, (heat, (upper, lower)) in enumerate(zip(self.heat, self.start, strict=True)):
            found[place] += heat * (2.0 * upper + lower) / 6.0
            found[place + 1] += heat * (upper + 2.0 * lower) / 6.0
        return found


def _ends(layer: Layer, depth: float, size: float) -> tuple[float, float]:
    """Temperature at the start at both ends of a cell, so that straight between them it holds the
    heat that the layer's own profile has in it (Simpson's rule)."""
    upper, middle, lower = (layer.start_at(depth + share * size) for share in (0.0, 0.5, 1.0))
    more = (middle - (upper + lower) / 2.0) * 2.0 / 3.0
    return upper + more, lower + more


def _row_sums(cells: list[float]) -> list[float]:
    """What the cells above and below a node give it, together."""
    return [a + b for a, b in zip([*cells, 0.0], [0.0, *cells], strict=True)]


class March:
    """Marches the heat stored in the nodes of a mesh through one span of the surroundings."""

    def __init__(self, mesh: Mesh, surroundings: Surroundings) -> None:
        self.mesh = mesh
        self.film, self.fourth, self.constant = surroundings.terms
        up = range(len(mesh.heat) - 1, -1, -1)
        self._rising = [
            (mesh.shared[n], mesh.conductance[n], mesh.own[n], mesh.leaving[n]) for n in up
        ]

    def loss(self, surface_c: float) -> float:
        """Heat that leaves the surface [W/m2]."""
        kelvin = surface_c + ZERO_C
        return self.film * surface_c + self.fourth * kelvin**4 - self.constant

    def temperatures(self, stored: list[float], guess_c: float, span_s: float = 0.0) -> list[float]:
        """Temperatures of the nodes for which stored heat + span x outflow is given.

        Eliminates from the bottom to the surface, solves that one equation, and goes down again.
        """
        mesh = self.mesh
        pivot = mesh.own[-1] + span_s * mesh.leaving[-1]
        right = stored[-1]
        factors: list[tuple[float, float]] = []
        keep = factors.append
        for given, (shared, conductance, own, leaving) in zip(
            stored[-2::-1], self._rising, strict=True
        ):
            off = shared - span_s * conductance
            ratio = off / pivot
            keep((right / pivot, ratio))
            right = given - ratio * right
            pivot = own + span_s * leaving - ratio * off
        temp = self._surface(pivot, right, mesh.bend + span_s, guess_c)
        found = [temp]
        add = found.append
        for value, ratio in reversed(factors):
            temp = value - ratio * temp
            add(temp)
        return found

    def _surface(self, pivot: float, right: float, share: float, temp: float) -> float:
        """The temperature at which pivot x T + share x loss(T) = right, by Newton's method."""
        film, fourth = pivot + share * self.film, share * self.fourth
        right += share * self.constant
        for _ in range(30):
            cube = fourth * (temp + ZERO_C) ** 3
            step = (film * temp + cube * (temp + ZERO_C) - right) / (film + 4.0 * cube)
            temp -= step
            if -NEWTON < step < NEWTON:
                break
        return temp

    def heat_of(self, temps: list[float]) -> list[float]:
        """The heat stored in the nodes at these temperatures [J/m2]."""
        mesh = self.mesh
        found = [
            up * above + own * temp + down * below
            for up, above, own, temp, down, below in zip(
                mesh.shared_up, [0.0, *temps], mesh.own, temps, mesh.shared_down, [*temps[1:], 0.0],
                strict=False,
            )
        ]  # fmt: skip
        found[0] += self.mesh.bend * self.loss(temps[0])
        return found

    def mean_of(self, temps: list[float]) -> float:
        """Mean of the lift [°C]; what the slope at the surface bends away is known by the loss."""
        lift, cells = self.mesh.lift, self.mesh.cells
        bent = self.loss(temps[0]) * lift.thickness_m / (12.0 * cells**2 * lift.conductivity_w_mk)
        return fsum(map(mul, self.mesh.shares, temps)) + bent

    def run(self, stored: list[float], duration_s: float, steps: int) -> "Span":
        """March for a duration, in equal steps of the square root of time."""
        step = sqrt(duration_s) / steps
        temps = self.temperatures(stored, self.mesh.start[0][0])
        roots, found = [0.0], [temps]
        begun = [stored]
        for n in range(1, 3 * START + 1):
            temps = self._step(begun, temps[0], n, step / START)
            roots.append(n * step / START)
            found.append(temps)
            begun.append(self.heat_of(temps))
        history = begun[::START]
        for n in range(4, steps + 1):
            temps = self._step(history, temps[0], n, step)
            roots.append(n * step)
            found.append(temps)
            history.append(self.heat_of(temps))
        return Span(roots, found, history[-1])

    def _step(self, history: list[list[float]], guess: float, n: int, step: float) -> list[float]:
        """One backward difference: of the fourth order, or of as many steps as there are behind.

        In the square root of time a step stands for 2 x root x step; the first is the whole of it.
        """
        order = min(n, 4)
        counts, weights = BACKWARD[order]
        span = (2.0 * n if n > 1 else 1.0) * step * step
        behind = zip(*history[-order:], strict=True)
        if order < 4:
            right = [fsum(map(mul, weights, values)) for values in behind]
        else:
            a, b, c, d = weights
            right = [a * four + b * three + c * two + d * last for four, three, two, last in behind]
        return self.temperatures(right, guess, counts * span)


@dataclass(frozen=True)
class Span:
    """One span: square roots of the time since it began [√s], and the temperatures then [°C]."""

    roots: list[float]
    temps: list[list[float]]
    stored: list[float]
    """The heat in the nodes at its end [J/m2]."""
