"""Exact solutions of heat conduction, by other means than the solver: series, erfc, Laplace.

Carslaw and Jaeger, “Conduction of heat in solids” (1959, from memory): two bodies 2.9, half-space
with convection 2.7, plane wall 3.11. The lift on a base is solved in the Laplace plane and brought
back by the fixed Talbot contour of Abate and Valkó, Int. J. Numer. Methods Eng. 60 (2004, from
memory).
"""

import cmath
from collections.abc import Callable
from math import cos, exp, pi, sin, sqrt, tan

from scipy.optimize import brentq
from scipy.special import erfc, erfcx

from matbook.engine.layers import Layer

POINTS = 24
"""Points of the contour: some ten digits in double precision."""


def effusivity(layer: Layer) -> float:
    return sqrt(layer.conductivity_w_mk * layer.heat_j_m3k)


def contact_c(hot: Layer, cold: Layer) -> float:
    """Temperature at which two deep bodies meet, whatever the time."""
    assert isinstance(hot.start_c, float)
    assert isinstance(cold.start_c, float)
    e1, e2 = effusivity(hot), effusivity(cold)
    return (e1 * hot.start_c + e2 * cold.start_c) / (e1 + e2)


def two_bodies_c(hot: Layer, cold: Layer, into_cold_m: float, t_s: float) -> float:
    """Temperature in two deep bodies since they met; a negative depth is in the hot one."""
    body = cold if into_cold_m >= 0.0 else hot
    assert isinstance(body.start_c, float)
    share = erfc(abs(into_cold_m) / (2.0 * sqrt(body.diffusivity_m2_s * t_s)))
    return float(body.start_c + (contact_c(hot, cold) - body.start_c) * share)


def half_space_c(body: Layer, film: float, air_c: float, depth_m: float, t_s: float) -> float:
    """Temperature in a deep body that loses heat by a film at its surface."""
    assert isinstance(body.start_c, float)
    root = sqrt(body.diffusivity_m2_s * t_s)
    x, y = depth_m / (2.0 * root), film * root / body.conductivity_w_mk
    share = erfc(x) - exp(-x * x) * erfcx(x + y)
    return float(body.start_c + (air_c - body.start_c) * share)


def eigenvalue(n: int, biot: float) -> float:
    """The n-th root of b tan b = Bi, from 0."""
    low, high = n * pi + 1e-12, n * pi + pi / 2.0 - 1e-12
    return float(brentq(lambda b: b * tan(b) - biot, low, high, xtol=1e-14))


def amplitude(beta: float) -> float:
    return 4.0 * sin(beta) / (2.0 * beta + sin(2.0 * beta))


def wall(biot: float, fourier: float, where: str) -> float:
    """Share of the excess left in a wall with a film on one face and none on the other."""
    shapes: dict[str, Callable[[float], float]] = {
        "surface": cos,
        "mean": lambda beta: sin(beta) / beta,
        "insulated face": lambda beta: 1.0,
    }
    found = 0.0
    for n in range(60):
        beta = eigenvalue(n, biot)
        found += amplitude(beta) * shapes[where](beta) * exp(-beta * beta * fourier)
    return found


def lift_on_base_c(
    lift: Layer, base: Layer, film: float, air_c: float, absorbed: float, where: str, t_s: float
) -> float:
    """Temperature of a lift on a deep base under a film and a steady flux; `where` as in the rows.

    In the lift T - air = above/s + a e^(-qz) + b e^(-q(L-z)), q = √(s/diffusivity); in the base
    below/s + c e^(-q(z-L)). The flux is given at the surface; at the interface both agree.
    """
    assert isinstance(lift.start_c, float)
    assert isinstance(base.start_c, float)
    above, below, thick = lift.start_c - air_c, base.start_c - air_c, lift.thickness_m

    def image(s: complex) -> complex:
        q, q_base = (cmath.sqrt(s / one.diffusivity_m2_s) for one in (lift, base))
        flow = lift.conductivity_w_mk * q
        ratio = flow / (base.conductivity_w_mk * q_base)
        fade = cmath.exp(-q * thick)
        # a fade (1 - ratio) + b (1 + ratio) = jump;  -a (flow + film) + b fade (flow - film) = out
        jump, out = (below - above) / s, (film * above - absorbed) / s
        whole = fade * fade * (1.0 - ratio) * (flow - film) + (1.0 + ratio) * (flow + film)
        a = (jump * fade * (flow - film) - out * (1.0 + ratio)) / whole
        b = (jump * (flow + film) + out * fade * (1.0 - ratio)) / whole
        if where == "avg":
            return above / s + (a + b) * (1.0 - fade) / (q * thick)
        z = {"surf": 0.0, "mid": 0.5, "bot": 1.0}[where] * thick
        return above / s + a * cmath.exp(-q * z) + b * cmath.exp(-q * (thick - z))

    return air_c + talbot(image, t_s)


def talbot(image: Callable[[complex], complex], t_s: float) -> float:
    """A function of time from its Laplace transform, along the fixed Talbot contour."""
    rate = 2.0 * POINTS / (5.0 * t_s)
    total = 0.5 * exp(rate * t_s) * image(complex(rate)).real
    for n in range(1, POINTS):
        angle = n * pi / POINTS
        cotangent = 1.0 / tan(angle)
        s = rate * angle * complex(cotangent, 1.0)
        turn = complex(1.0, angle + (angle * cotangent - 1.0) * cotangent)
        total += (cmath.exp(s * t_s) * image(s) * turn).real
    return total * rate / POINTS
