"""The equations of our own mesh, for a general-purpose integrator to march.

d(M T + the surface's share of the loss)/dt = -K T - loss: the same matrices as the engine's, so
that what differs is the marching alone.
"""

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp
from scipy.linalg import solve_banded

from matbook.engine.conduction import March, Mesh
from matbook.engine.layers import Layer, Surroundings

Array = NDArray[np.float64]


class Equations:
    """d(heat)/dt as a function of temperature, and its Jacobian, tridiagonal."""

    def __init__(self, layers: Sequence[Layer], surroundings: Surroundings) -> None:
        self.mesh = Mesh(layers, 1)
        self.march = March(self.mesh, surroundings)
        self.shared, self.own = np.array(self.mesh.shared), np.array(self.mesh.own)
        self.conductance = np.array(self.mesh.conductance)
        self.leaving = np.array(self.mesh.leaving)
        self.start = np.array(
            self.march.temperatures(self.mesh.stored(), float(self.mesh.start[0][0]))
        )

    def mass(self, surface_c: float) -> Array:
        """The mass matrix as three bands; the loss at the surface is stored heat too."""
        bands = np.zeros((3, len(self.own)))
        bands[0, 1:] = bands[2, :-1] = self.shared
        bands[1] = self.own
        bands[1, 0] += self.mesh.bend * self.slope(surface_c)
        return bands

    def slope(self, surface_c: float) -> float:
        return self.march.film + 4.0 * self.march.fourth * (surface_c + 273.15) ** 3

    def rates(self, _: float, temps: Array) -> Array:
        flow = self.conductance * (temps[:-1] - temps[1:])
        gain = np.zeros_like(temps)
        gain[:-1] -= flow
        gain[1:] += flow
        gain[0] -= self.march.loss(float(temps[0]))
        return np.asarray(solve_banded((1, 1), self.mass(float(temps[0])), gain))

    def mean(self, temps: Array) -> float:
        """Mean over the lift: the trapezoids, less what bends at both ends, as in the curve."""
        cells, lift = self.mesh.cells, self.mesh.lift
        inner = float(temps[1:cells].sum()) + 0.5 * float(temps[0] + temps[cells])
        size = lift.thickness_m / cells
        top = size * self.march.loss(float(temps[0])) / lift.conductivity_w_mk
        d, c, b, a = (float(temps[n]) for n in range(cells - 3, cells + 1))
        bottom = (11.0 * a - 18.0 * b + 9.0 * c - 2.0 * d) / 6.0
        return (inner - (bottom - top) / 12.0) / cells


def reference_time(
    layers: Sequence[Layer], surroundings: Surroundings, target_c: float, method: str,
    rtol: float, **options: Any,
) -> float:  # fmt: skip
    """When the mean is at a temperature [s], by one of SciPy's methods."""
    equations = Equations(layers, surroundings)

    def reached(_: float, temps: Array) -> float:
        return equations.mean(temps) - target_c

    reached.terminal = True  # type: ignore[attr-defined]
    reached.direction = -1.0  # type: ignore[attr-defined]
    options = {"atol": 10.0 * rtol} | options
    done = solve_ivp(equations.rates, (0.0, 40_000.0), equations.start, method, events=reached,
                     rtol=rtol, **options)  # fmt: skip
    return float(done.t_events[0][0])
