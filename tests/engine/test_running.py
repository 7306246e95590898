"""Running yield: windows, runs, totals, and ranges that cover what may have been laid."""

import time
from math import fsum, inf, nan, sqrt
from random import Random
from timeit import repeat

import pytest
from hypothesis import given
from hypothesis import strategies as st

from matbook.engine.running import Laid, Running, running, spread_range
from matbook.errors import OutOfRange

pieces = st.lists(
    st.builds(
        Laid,
        mass_kg=st.floats(0.0, 40_000.0),
        area_m2=st.floats(0.1, 500.0),
        run=st.integers(0, 2),
        length_m=st.floats(1.0, 100.0),
    ),
    max_size=30,
)


def plainly(loads: list[Laid], last: int) -> list[tuple[float, float | None, float]]:
    """The same in the dullest way there is: own, last and cumulative rates."""
    found = []
    for place, piece in enumerate(loads):
        back = [piece]
        while len(back) <= place and loads[place - len(back)].run == piece.run:
            back.append(loads[place - len(back)])
        window, so_far = back[:last], loads[: place + 1]
        found.append(
            (
                piece.mass_kg / piece.area_m2,
                rate(window) if len(window) == last else None,
                rate(so_far),
            )
        )
    return found


def rate(said: list[Laid]) -> float:
    return fsum(p.mass_kg for p in said) / fsum(p.area_m2 for p in said)


@given(pieces, st.integers(1, 7))
def test_running_against_the_dull_way(loads: list[Laid], last: int) -> None:
    found = running(loads, last)
    for result, (own, mean, every) in zip(found, plainly(loads, last), strict=True):
        assert result.own == own
        assert result.last == (None if mean is None else pytest.approx(mean, rel=1e-14))
        assert result.cumulative == pytest.approx(every, rel=1e-14)
    assert all(r.low is None and r.high is None for r in found)


@given(st.lists(st.floats(0.0, 1e5), min_size=1, max_size=60))
def test_totals_are_as_if_summed_at_once(masses: list[float]) -> None:
    found = running([Laid(mass, 1.0) for mass in masses])
    for place, result in enumerate(found, 1):
        assert result.mass_kg == pytest.approx(fsum(masses[:place]), rel=1e-15)
        assert result.area_m2 == place


def test_totals_lose_nothing_over_a_long_job() -> None:
    """Ten thousand tenths added one by one are 1000.0000000001588; in the end they are 1000."""
    found = running([Laid(0.1, 0.1)] * 10_000)
    assert found[-1].mass_kg == found[-1].area_m2 == fsum([0.1] * 10_000) == 1_000.0


def test_windows_begin_again() -> None:
    """After lane 1 comes lane 2, and lane 1 again after a skip: three runs, not two."""
    loads = [Laid(100.0 + n, 1.0, run) for n, run in enumerate(("1", "1", "1", "2", "2", "1", "1"))]
    assert [r.last for r in running(loads, 2)] == [None, 100.5, 101.5, None, 103.5, None, 105.5]
    assert running(loads, 2)[-1].cumulative == 103.0


def test_a_mean_is_mass_over_area_not_of_rates() -> None:
    loads = [Laid(100.0, 1.0), Laid(900.0, 3.0)]
    assert running(loads, 2)[-1].last == 250.0 != (100.0 + 300.0) / 2


def test_nothing_laid() -> None:
    assert running([]) == []


def test_a_wasted_load_weighs_nothing() -> None:
    assert running([Laid(0.0, 2.0)], 1) == [Running(0.0, 0.0, 0.0, 0.0, 2.0)]


def test_a_range_for_each_window() -> None:
    loads = [Laid(20_000.0 + 10 * n, 180.0, n // 6, 50.0) for n in range(12)]
    found = running(loads, 5, station_error_m=0.5, unlaid_start_kg=2_000.0, unlaid_end_kg=3_000.0)
    assert [r.low is not None for r in found] == [r.last is not None for r in found]
    window = loads[1:6]
    assert (found[5].low, found[5].high) == spread_range(
        fsum(p.mass_kg for p in window), 900.0, 250.0, 0.5, 2_000.0, 3_000.0
    )
    for result in found:
        if result.last is not None:
            assert result.low is not None
            assert result.high is not None
            assert result.low < result.last < result.high


@pytest.mark.parametrize(
    ("loads", "asked", "field"),
    [
        ([Laid(1.0, 0.0)], {}, "area_m2"),
        ([Laid(1.0, nan)], {}, "area_m2"),
        ([Laid(-1.0, 1.0)], {}, "mass_kg"),
        ([Laid(1.0, 1.0)], {"last": 0}, "last"),
        ([Laid(1.0, 1.0)], {"last": nan}, "last"),
        ([Laid(1.0, 1.0)], {"last": 1, "station_error_m": 0.5}, "length_m"),
        ([Laid(0.0, 1.0, 0, 1.0)], {"last": 1, "station_error_m": 0.5}, "mass_kg"),
    ],
)
def test_running_refuses(loads: list[Laid], asked: dict[str, float], field: str) -> None:
    with pytest.raises(OutOfRange) as refusal:
        running(loads, **asked)  # type: ignore[arg-type]
    assert refusal.value.field == field


# The range


GOOD = {"mass_kg": 22_400.0, "area_m2": 190.0, "length_m": 52.0, "station_error_m": 0.5}


@pytest.mark.parametrize(
    ("name", "bad"),
    [("mass_kg", 0.0), ("area_m2", 0.0), ("length_m", 0.0), ("station_error_m", -0.1),
     ("unlaid_start_kg", -1.0), ("unlaid_end_kg", -1.0)],
)  # fmt: skip
def test_range_refuses(name: str, bad: float) -> None:
    for value in (bad, nan, inf):
        with pytest.raises(OutOfRange) as refusal:
            spread_range(**{**GOOD, name: value})
        assert refusal.value.field == name


def test_two_stations_misread() -> None:
    """Half-widths combined by root sum of squares: 0.5 m at both ends of 50 m is 1.414 %."""
    low, high = spread_range(20_000.0, 200.0, 50.0, 0.5)
    assert low == pytest.approx(100.0 * (1 - sqrt(2) / 100), rel=1e-12)
    assert high == pytest.approx(100.0 * (1 + sqrt(2) / 100), rel=1e-12)


def test_one_station_misread() -> None:
    """An error of d on a load of length l is about 100 d / l %: 5 ft in 157 ft is 3.2 %."""
    low, high = spread_range(20_000.0, 200.0, 157.0, 5.0)
    assert 100 * (high - low) / 200.0 / sqrt(2) == pytest.approx(3.2, abs=0.05)


def test_started_empty() -> None:
    """From an empty paver to one that may hold 15 t: 7.4 to 22.4 t of the 22.4 t were laid."""
    low, high = spread_range(22_400.0, 190.0, 52.0, 0.0, 0.0, 15_000.0)
    assert (low + high) / 2 == pytest.approx(14_900.0 / 190.0, rel=1e-12)
    assert low < 7_400.0 / 190.0
    assert high > 22_400.0 / 190.0
    assert (high - low) / 2 == pytest.approx(1.96 / sqrt(12) * 15_000.0 / 190.0, rel=1e-12)


def test_emptied_out() -> None:
    """The other way round, what the paver held was laid on top of the tickets."""
    low, high = spread_range(22_400.0, 190.0, 52.0, 0.0, 2_000.0, 0.0)
    assert (low + high) / 2 == pytest.approx(23_400.0 / 190.0, rel=1e-12)
    assert low < 22_400.0 / 190.0 < 24_400.0 / 190.0 < high


def test_full_to_full_cancels_but_for_the_range() -> None:
    low, high = spread_range(22_400.0, 190.0, 52.0, 0.0, 2_000.0, 2_000.0)
    assert (low + high) / 2 == pytest.approx(22_400.0 / 190.0, rel=1e-12)
    assert (high - low) / 2 == pytest.approx(1.96 * 2_000.0 / sqrt(6) / 190.0, rel=1e-12)


def test_low_is_never_below_zero() -> None:
    assert spread_range(1_000.0, 10.0, 3.0, 5.0)[0] == 0.0


masses = st.floats(0.0, 20_000.0)


@given(st.floats(1.0, 60_000.0), st.floats(0.0, 5.0), masses, masses)
def test_the_rate_by_the_tickets_is_in_its_range(
    mass: float, error: float, start: float, end: float
) -> None:
    low, high = spread_range(mass, 200.0, 50.0, error, start, end)
    assert low * (1 - 1e-12) <= mass / 200.0 <= high * (1 + 1e-12)


@pytest.mark.parametrize(
    ("error", "start", "end"),
    [(0.5, 0.0, 0.0), (0.5, 4_000.0, 4_000.0), (0.5, 0.0, 4_000.0), (1.0, 0.0, 12_000.0),
     (0.1, 12_000.0, 12_000.0)],
)  # fmt: skip
def test_95_of_100_lie_inside(error: float, start: float, end: float) -> None:
    """Stations normal about what was read, each end holding anything up to its most: simulated.

    20,000 draws tell 95 % to 0.3 % (two standard errors). It may cover more where one end counts
    alone: what lies evenly between two bounds has no tails.
    """
    dice = Random(20_240_611)
    low, high = spread_range(22_400.0, 190.0, 52.0, error, start, end)
    inside = 0
    for _ in range(20_000):
        length = 52.0 + dice.gauss(0.0, error / 1.96) - dice.gauss(0.0, error / 1.96)
        laid = 22_400.0 + dice.uniform(0.0, start) - dice.uniform(0.0, end)
        inside += low <= laid / (190.0 * length / 52.0) <= high
    assert inside / 20_000 >= 0.95 - 0.003
    if not (start or end):
        assert inside / 20_000 <= 0.95 + 0.003


def test_its_time_grows_with_the_pieces_and_no_faster() -> None:
    """Eight times the pieces: about eight times as long. Twice that is allowed, 64 would be it."""

    def best_s(count: int) -> float:
        loads = [Laid(22_400.0 + n, 190.0, n // 40, 52.0) for n in range(count)]
        taken = repeat(
            lambda: running(loads, 5, 0.5, 0.0, 2_000.0),
            timer=time.process_time, number=3, repeat=15,
        )  # fmt: skip
        return min(taken)

    assert best_s(1_200) < 16 * best_s(150)
