"""The whole problem, radiation and all, by means that share nothing with our solver but the mat.

Finite volumes written here, marched by SciPy's implicit methods to tight tolerances; and SciPy on
the matrices of our own mesh, which tells the error of our time steps alone.
"""

from collections.abc import Sequence
from functools import cache

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import solve_ivp
from scipy.sparse import diags

from matbook.engine.cooling import Layer, OpenSky, cool
from tests.engine.semidiscrete import reference_time

MIX = (1.6, 2243.0, 921.0)
CASES = {
    "50 mm, sun": ([Layer(0.05, *MIX, 150.0), Layer(1.0, *MIX, 15.0)],
                   OpenSky(14.3, 15.0, -3.1, 243.0)),
    "30 mm, cold and windy": ([Layer(0.03, *MIX, 140.0), Layer(1.0, *MIX, 2.0)],
                              OpenSky(33.0, 2.0, -18.0)),
    "90 mm on dry stone": ([Layer(0.09, *MIX, 160.0), Layer(0.2, 0.57, 1900.0, 840.0, 25.0),
                            Layer(0.8, 1.0, 1500.0, 1900.0, 15.0)],
                           OpenSky(10.0, 25.0, 10.0, 600.0)),
    "contact resistance": ([Layer(0.05, *MIX, 150.0, 0.005), Layer(1.0, *MIX, 15.0)],
                           OpenSky(20.0, 15.0, 0.0)),
}  # fmt: skip
Array = NDArray[np.float64]


def volumes(layers: Sequence[Layer], cells: int) -> tuple[Array, Array, Array, Array]:
    """Sizes, heat, conductivity and start of equal cells in the lift and growing ones below."""
    sizes, heat, conductivity, start = [], [], [], []
    size = layers[0].thickness_m / cells
    for place, layer in enumerate(layers):
        left = layer.thickness_m
        while left > 1e-12:
            own = left if left < 1.6 * size else size
            sizes.append(own)
            heat.append(layer.heat_j_m3k * own)
            conductivity.append(layer.conductivity_w_mk)
            start.append(layer.start_at(layer.thickness_m - left + own / 2.0))
            left -= own
            if place:
                size *= 1.0 + 1.2 / cells
    return tuple(map(np.array, (sizes, heat, conductivity, start)))  # type: ignore[return-value]


def between(layers: Sequence[Layer], sizes: Array, conductivity: Array) -> Array:
    """Conductance from middle to middle [W/m2K], with a contact where two layers meet."""
    resistance = sizes / conductivity / 2.0
    found = resistance[:-1] + resistance[1:]
    depths = np.cumsum(sizes)
    below = 0.0
    for layer in layers[:-1]:
        below += layer.thickness_m
        found[int(np.argmin(np.abs(depths - below)))] += layer.contact_m2k_w
    return np.asarray(1.0 / found)


@cache
def by_volumes(name: str, cells: int) -> float:
    """Time until the mean of the lift is 80 °C [s], the surface found from the balance there."""
    layers, sky = CASES[name]
    sizes, heat, conductivity, start = volumes(layers, cells)
    inner = between(layers, sizes, conductivity)
    outer = 2.0 * conductivity[0] / sizes[0]
    thick = sizes[:cells] / layers[0].thickness_m

    def surface(top_c: float) -> float:
        temp = top_c
        for _ in range(50):
            slope = sky.film_w_m2k + 4.0 * sky.terms[1] * (temp + 273.15) ** 3 + outer
            change = (outer * (top_c - temp) - sky.loss_w_m2(temp)) / slope
            temp += change
            if abs(change) < 1e-11:
                break
        return float(temp)

    def rates(_: float, temps: Array) -> Array:
        flow = inner * (temps[:-1] - temps[1:])
        gain = np.zeros_like(temps)
        gain[0] = -outer * (temps[0] - surface(float(temps[0])))
        gain[:-1] -= flow
        gain[1:] += flow
        return gain / heat

    def at_80(_: float, temps: Array) -> float:
        return float(temps[:cells] @ thick) - 80.0

    at_80.terminal = True  # type: ignore[attr-defined]
    count = len(sizes)
    pattern = diags([np.ones(count - 1), np.ones(count), np.ones(count - 1)], [-1, 0, 1])
    done = solve_ivp(rates, (0.0, 40_000.0), start, "BDF", events=at_80, rtol=1e-7, atol=1e-7,
                     jac_sparsity=pattern)  # fmt: skip
    return float(done.t_events[0][0])


@pytest.mark.parametrize("name", CASES)
def test_independent_solver(name: str) -> None:
    """Its error falls by four with each halving; carried on to no size at all, it is our time.

    Within 0.05 %: what is left of the other's error after that is of the order of 0.01 %.
    """
    coarse, middle, finest = (by_volumes(name, cells) for cells in (20, 40, 80))
    assert (coarse - middle) / (middle - finest) == pytest.approx(4.0, abs=0.6)
    limit = finest + (finest - middle) / 3.0
    layers, sky = CASES[name]
    assert cool(layers, sky, 12_000.0, 4).time_to(80.0) == pytest.approx(limit, rel=2e-4)
    assert cool(layers, sky, 12_000.0).time_to(80.0) == pytest.approx(limit, rel=5e-4)


@pytest.mark.parametrize("name", CASES)
def test_time_steps_alone(name: str) -> None:
    """On our own matrices, with SciPy's Radau at 1e-9: our steps are within 0.1 s or 0.01 %."""
    layers, sky = CASES[name]
    exact = reference_time(layers, sky, 80.0, "Radau", 1e-9)
    assert cool(layers, sky, 12_000.0).time_to(80.0) == pytest.approx(exact, rel=1e-4, abs=0.1)
