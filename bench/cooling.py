"""A mat's cooling, against SciPy on the same cells and against an ensemble of ten thousand.

One curve: the time until the mean of the lift is 80 °C, with an error of the marching of at most
0.1 s. The reference is SciPy's BDF on the same cells (heat lumped to the nodes, so that its
Jacobian is tridiagonal, whose sparsity it is given) at the loosest tolerance that reaches 0.1 s.
One forecast: the range by 19 solves, against solving every member of a random ensemble.
Both are processor time, the shortest of a few runs.
"""

import random
import time
from collections.abc import Callable, Iterator
from statistics import quantiles
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp
from scipy.sparse import diags

from bench.row import Row
from matbook.engine.conduction import March, Mesh
from matbook.engine.cooling import Curve, Forecast, Layer, OpenSky, cool, forecast
from matbook.engine.curve import periods, solved
from matbook.engine.spreads import SPREADS, moved

LAYERS = [Layer(0.05, 1.6, 2243.0, 921.0, 150.0), Layer(1.0, 1.6, 2243.0, 921.0, 15.0)]
SKY = OpenSky(14.3, 15.0, -3.1, 243.0)
TARGET_C = 80.0
ALLOWED_S = 0.1
TOLERANCES = [10.0 ** (-n / 4) for n in range(6, 40)]
Array = NDArray[np.float64]


def rows(quick: bool) -> Iterator[Row]:
    """One curve, then one forecast; a quick run has fewer members and runs."""
    runs = 3 if quick else 15
    exact = ended(cool(LAYERS, SKY, 3600.0, 8))
    steps_exact = ended(marched(8))
    error = abs(ended(cool(LAYERS, SKY, 3600.0)) - exact)
    stepping = abs(ended(marched(1)) - steps_exact)
    rtol, lumped_error = loosest()
    ours, theirs = shortest(
        lambda: ended(cool(LAYERS, SKY, 1800.0)), lambda: lumped(rtol), runs=4 * runs
    )
    note = (
        f"aim at most 0.1; BDF with sparse Jacobian, rtol {rtol:.1e}, error {lumped_error:.2f} s; "
        f"ours {stepping:.2f} s by its steps, {error:.2f} s in all"
    )
    yield Row("one cooling curve to 80 °C, ms", 1e3 * ours, 1e3 * theirs, ours / theirs, note)
    count = 500 if quick else 10_000
    (spent,) = shortest(lambda: forecast(LAYERS, SKY).time_to(TARGET_C), runs=runs)
    truth: list[float] = []
    taken = timed(lambda: truth.extend(ensemble(count)))
    worst = max(abs(a / b - 1.0) for a, b in zip(three(forecast(LAYERS, SKY)), truth, strict=True))
    note = f"aim under 50 ms; {count} members solved one by one; quantiles differ by {worst:.1%}"
    yield Row("forecast range by 19 solves, ms", 1e3 * spent, 1e3 * taken, spent / taken, note)


def shortest(*works: Callable[[], object], runs: int) -> list[float]:
    """Processor time of each work [s], the shortest of a few rounds in which all take a turn."""
    rounds = [[timed(work) for work in works] for _ in range(runs)]
    return [min(times) for times in zip(*rounds, strict=True)]


def timed(work: Callable[[], object]) -> float:
    begun = time.process_time()
    work()
    return time.process_time() - begun


def ended(curve: Curve) -> float:
    """When the mean is at the target [s]."""
    found = curve.time_to(TARGET_C)
    if found is None:
        raise SystemExit("the curve ends before it is cold")
    return found


def marched(finer: int) -> Curve:
    """The curve on the cells of forecasts, with steps so many times finer."""
    mesh, march = Mesh(LAYERS, 1), March(Mesh(LAYERS, 1), SKY)
    span = march.run(mesh.stored(), 1800.0, 19 * finer)
    return Curve(mesh, [span], [0.0], [march])


def lumped(rtol: float, method: str = "BDF") -> float:
    """When the mean is at the target [s], by SciPy on the same cells."""
    mesh = Mesh(LAYERS, 1)
    march = March(mesh, SKY)
    half = 0.5 * np.array(mesh.heat)
    heat = np.append(half, 0.0) + np.insert(half, 0, 0.0)
    conductance, count = np.array(mesh.conductance), len(heat)
    start = np.array(mesh.stored()) / heat
    weights = np.append(half, 0.0)[: mesh.cells + 1] + np.insert(half, 0, 0.0)[: mesh.cells + 1]
    weights[-1] = half[mesh.cells - 1]
    weights /= weights.sum()
    pattern = diags([np.ones(count - 1), np.ones(count), np.ones(count - 1)], [-1, 0, 1])

    def rates(_: float, temps: Array) -> Array:
        flow = conductance * (temps[:-1] - temps[1:])
        gain = np.zeros(count)
        gain[:-1] -= flow
        gain[1:] += flow
        gain[0] -= march.loss(temps[0])
        return np.asarray(gain / heat)

    def cold(_: float, temps: Array) -> float:
        return float(temps[: mesh.cells + 1] @ weights) - TARGET_C

    cold.terminal = True  # type: ignore[attr-defined]
    options: dict[str, Any] = {"rtol": rtol, "atol": 100.0 * rtol}
    done = solve_ivp(
        rates, (0.0, 1800.0), start, method, events=cold, jac_sparsity=pattern, **options
    )
    return float(done.t_events[0][0])


def loosest() -> tuple[float, float]:
    """The loosest tolerance that is within what is allowed, be it by luck; and its error [s]."""
    exact = lumped(1e-11, "Radau")
    for rtol in TOLERANCES:
        error = abs(lumped(rtol) - exact)
        if error <= ALLOWED_S:
            return rtol, error
    raise SystemExit("no tolerance reaches what is allowed")


def three(made: Forecast) -> tuple[float, float, float]:
    """The three quantiles of the time to the target [s]."""
    found = made.time_to(TARGET_C)
    if found is None:
        raise SystemExit("the forecast ends before it is cold")
    return found.early, found.middle, found.late


def ensemble(count: int) -> tuple[float, float, float]:
    """The same from random members, each solved by itself [s]."""
    draw = random.Random(2026)
    times = []
    for _ in range(count):
        by = {name: draw.gauss(0.0, row[0]) for name, row in SPREADS.items()}
        times.append(ended(solved(*moved(LAYERS, periods(SKY), by), 7200.0, 1)))
    cuts = quantiles(times, n=10)
    return cuts[0], cuts[4], cuts[8]
