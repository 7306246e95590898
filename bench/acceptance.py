"""Percent within limits, its range, and a schedule's risk, against vectorised SciPy.

Percentages of a hundred thousand lots: by their quality indices, against `scipy.special.betainc` on
the whole array at once; and from the results themselves, against NumPy's means and deviations and
`scipy.stats.beta`. A risk curve has 200 points of 2,000 simulated lots each; its reference pays the
same lots by arrays. All are processor time, the shortest of a few rounds.
"""

from collections.abc import Iterator

import numpy as np
from numpy.typing import NDArray
from scipy import special, stats

from bench.cooling import shortest
from bench.row import Row
from matbook.engine.acceptance import (
    forecast_pay,
    pay_curve,
    pay_schedule,
    percents_within_limits,
    pwl,
    pwl_of_lots,
    pwl_range,
)

Array = NDArray[np.float64]
LOWER, UPPER = 92.0, 97.0
SO_FAR = [93.1, 92.4, 93.6, 92.9]


def rows(quick: bool) -> Iterator[Row]:
    """Percentages, ranges, and a risk curve; a quick run has fewer lots and points."""
    count, runs = (5_000, 2) if quick else (100_000, 5)
    rng = np.random.default_rng(2026)
    for n in (5, 10):
        indices = rng.normal(1.0, 0.6, count)
        yield by_index(indices, n, runs)
    yield from_results(rng.normal(93.4, 1.2, (count, 5)), runs)
    yield from looking_ahead(runs)
    yield risk(20 if quick else 200, 200 if quick else 2_000)


def by_index(indices: Array, n: int, runs: int) -> Row:
    """Percentages by quality indices."""
    listed = indices.tolist()
    ours, theirs = shortest(
        lambda: percents_within_limits(listed, n),
        lambda: betainc(indices, n),
        runs=runs,
    )
    found = np.array(percents_within_limits(listed, n))
    apart = np.abs(found - betainc(indices, n)).max()
    note = f"aim at most 3; scipy.special.betainc on the whole array; they differ by {apart:.0e} %"
    if n % 2 == 0:
        note += "; for whole a SciPy has a short sum of its own"
    name = f"percent within a limit by {len(listed)} indices, n = {n}, ms"
    return Row(name, 1e3 * ours, 1e3 * theirs, ours / theirs, note)


def from_results(lots: Array, runs: int) -> Row:
    """Percentages within two limits, from the results of every lot."""
    listed, n = lots.tolist(), lots.shape[1]

    def by_arrays() -> Array:
        mean, sd = lots.mean(axis=1), lots.std(axis=1, ddof=1)
        shares = [stats.beta.sf(cut(q, n), n / 2 - 1, n / 2 - 1)
                  for q in ((mean - LOWER) / sd, (UPPER - mean) / sd)]  # fmt: skip
        return np.asarray(100.0 * np.maximum(0.0, shares[0] + shares[1] - 1.0))

    ours, theirs = shortest(lambda: pwl_of_lots(listed, LOWER, UPPER), by_arrays, runs=runs)
    note = "aim at most 3; NumPy's means and deviations and scipy.stats.beta, on the whole array"
    name = f"percent within two limits from the results of {len(listed)} lots, ms"
    return Row(name, 1e3 * ours, 1e3 * theirs, ours / theirs, note)


def looking_ahead(runs: int) -> Iterator[Row]:
    """What a lot's page asks of the engine after one more result."""
    schedule = pay_schedule("washington-compaction")
    one, both, bare = shortest(
        lambda: pwl_range(SO_FAR, LOWER),
        lambda: pwl_range(SO_FAR, LOWER, UPPER),
        lambda: pwl(SO_FAR, LOWER),
        runs=4 * runs,
    )
    note = "the estimate alone"
    yield Row(
        "95 % range of a percent within one limit, ms", 1e3 * one, 1e3 * bare, one / bare, note
    )
    yield Row("95 % range of a percent within two, ms", 1e3 * both, 1e3 * bare, both / bare, note)
    (ahead,) = shortest(lambda: forecast_pay(schedule, SO_FAR, 5), runs=4 * runs)
    note = "aim under 20 ms with the ranges; the estimate alone"
    yield Row("pay at the end of a lot, its range, ms", 1e3 * ahead, 1e3 * bare, ahead / bare, note)


def risk(points: int, lots: int) -> Row:
    """Expected pay over the true mean."""
    schedule, n = pay_schedule("florida-percent"), 5
    means = [90.0 + 5.0 * k / points for k in range(points)]
    told: list[int] = []

    def progress(done: int, of: int) -> bool:
        told.append(done)
        return done <= of

    def by_arrays() -> list[float]:
        drawn = np.random.default_rng(1).normal(size=(lots, n))
        mean, sd = drawn.mean(axis=1), drawn.std(axis=1, ddof=1)
        return [
            float((0.55 + betainc((true + mean - LOWER) / sd, n) / 200.0).mean()) for true in means
        ]

    ours, theirs = shortest(
        lambda: pay_curve(schedule, n, means, 1.0, LOWER, lots=lots, progress=progress),
        by_arrays,
        runs=2,
    )
    note = f"aim under 5 s, with progress; betainc on arrays; told {len(told) // 2} times"
    name = f"expected pay, {points} points of {lots} lots, s"
    return Row(name, ours, theirs, ours / theirs, note)


def cut(q: Array, n: int) -> Array:
    """Where the beta distribution is cut."""
    found: Array = np.clip(0.5 - q * np.sqrt(n) / (2 * (n - 1)), 0.0, 1.0)
    return found


def betainc(q: Array, n: int) -> Array:
    """Percentages by SciPy, as fast as it has them."""
    a = n / 2 - 1
    found: Array = 100.0 * (1.0 - special.betainc(a, a, cut(q, n)))
    return found
