"""The rhythm that observed times make, what is refused of them, bunches, and likely values."""

from dataclasses import fields, replace
from itertools import accumulate, islice, pairwise
from math import exp, inf, log, nan, sqrt
from statistics import fmean, pstdev, stdev
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from matbook.engine.haul import Rhythm, Rhythms, Trip, bunching, rhythm, rhythms
from matbook.engine.likely import LAWS, VALUES, likely_rest, likely_values, stream
from matbook.engine.rhythm import in_order
from matbook.errors import OutOfRange, Refused

ROUND = Trip("7", 0.0, 1_500.0, 1_600.0, 2_000.0, 3_300.0)


def test_the_legs_of_a_morning() -> None:
    """By hand: two rounds of one truck, one of another that nobody saw leave."""
    trips = [
        replace(ROUND, left_s=4_000.0, arrived_s=5_700.0, docked_s=5_700.0, emptied_s=6_200.0,
                back_s=7_700.0),
        Trip("9", None, 2_100.0, 2_200.0, 2_500.0),
        ROUND,
    ]  # fmt: skip
    found = rhythms(trips)
    assert found.out == Rhythm(1_600.0, sqrt(2) * 100.0, 2)
    assert found.wait == rhythm([0.0, 100.0, 100.0])
    assert found.laying == Rhythm(400.0, 100.0, 3)
    assert found.back == Rhythm(1_400.0, sqrt(2) * 100.0, 2)
    assert found.turn == rhythm([2_000.0])
    assert found.round == rhythm([4_000.0])


def test_what_nobody_saw_has_no_rhythm() -> None:
    found = rhythms([Trip("7", arrived_s=60.0)])
    assert [getattr(found, field.name) for field in fields(Rhythms)] == [None] * 6


@given(st.lists(st.floats(1.0, 10_000.0), min_size=2, max_size=30))
def test_mean_and_scatter(times: list[float]) -> None:
    found = rhythm(times)
    assert found.mean_s == pytest.approx(fmean(times), rel=1e-12)
    assert found.scatter_s == pytest.approx(stdev(times), rel=1e-9, abs=1e-9)
    assert found.count == len(times)


def test_few_times_are_taken_with_care() -> None:
    """A time seen once scatters by a third, assumed; a mean of n is itself off by s / sqrt(n)."""
    once = rhythm([1_500.0])
    assert once.scatter_s == 500.0
    assert once.widened_s == pytest.approx(sqrt(2) * 500.0)
    assert Rhythm(1_500.0, 100.0, 4).widened_s == pytest.approx(sqrt(1.25) * 100.0)
    assert Rhythm(1_500.0, 100.0).widened_s == 100.0


@pytest.mark.parametrize(
    ("trips", "field", "sentence"),
    [
        ([replace(ROUND, arrived_s=-5.0)], "arrived_s",
         r"arrived_s is -5\.0; truck 7 can't have it before left_s, 0\."),
        ([replace(ROUND, emptied_s=1_599.0)], "emptied_s",
         r"emptied_s is 1599\.0; truck 7 can't have it before docked_s, 1600\."),
        ([replace(ROUND, docked_s=None, arrived_s=2_001.0)], "emptied_s",
         r"emptied_s is 2000\.0; truck 7 can't have it before arrived_s, 2001\."),
        ([Trip("7", 0.0, 1_500.0), Trip("7", 0.0, 1_500.0)], "left_s",
         r"left_s is 0\.0; that is within an earlier round of truck 7, whose arrived_s is 1500: a "
         r"truck can't come twice\."),
        ([ROUND, Trip("7", arrived_s=1_800.0)], "arrived_s", "within an earlier round of truck 7"),
        ([Trip("7")], "trip", "at least one of its times must have been seen"),
        ([Trip("7", nan)], "left_s", "a time of truck 7 must be a number"),
        ([Trip("7", 0.0, inf)], "arrived_s", "a time of truck 7 must be a number"),
    ],
)  # fmt: skip
def test_times_that_cannot_be(trips: list[Trip], field: str, sentence: str) -> None:
    """Times that run backwards, a truck that arrives twice: a sentence."""
    for fit in (rhythms, in_order):
        with pytest.raises(Refused, match=sentence) as refusal:
            fit(trips)
        assert refusal.value.field == field


def test_rounds_come_in_any_order() -> None:
    later = Trip("7", 4_000.0)
    assert in_order([later, ROUND]) == in_order([ROUND, later]) == {"7": [ROUND, later]}


@pytest.mark.parametrize("bad", [[], [-1.0], [nan], [inf]])
def test_no_rhythm_of(bad: list[float]) -> None:
    with pytest.raises(OutOfRange, match="times_s"):
        rhythm(bad)


@pytest.mark.parametrize(
    ("name", "values"),
    [("mean_s", [-1.0, nan, inf]), ("scatter_s", [-1.0, nan, inf]), ("count", [-1]),
     ("law", ["late"])],
)  # fmt: skip
def test_a_rhythm_that_cannot_be(name: str, values: list[float | str]) -> None:
    good = {"mean_s": 600.0, "scatter_s": 100.0, "count": 3, "law": "lognormal"}
    for value in values:
        with pytest.raises(Refused) as refusal:
            Rhythm(**{**good, name: value})  # type: ignore[arg-type]
        assert refusal.value.field == name


def test_twice_as_slow() -> None:
    assert Rhythm(600.0, 100.0, 3).slowed(2.0) == Rhythm(1_200.0, 200.0, 3)
    with pytest.raises(OutOfRange, match="by"):
        Rhythm(600.0).slowed(-1.0)


@pytest.mark.parametrize("law", LAWS)
@given(mean=st.floats(1.0, 10_000.0), share=st.floats(0.0, 1.5))
def test_likely_values_keep_the_mean(law: str, mean: float, share: float) -> None:
    values = likely_values(mean, share * mean, law)
    assert len(values) == VALUES
    assert fmean(values) == pytest.approx(mean, rel=1e-9)
    assert min(values) >= 0.0
    assert all(after >= before * (1 - 1e-9) for before, after in pairwise(values))


@pytest.mark.parametrize(
    ("law", "mean", "scatter", "oracle"),
    [
        ("lognormal", 600.0, 120.0, stats.lognorm(sqrt(log(1.04)), scale=600 / sqrt(1.04))),
        ("lognormal", 600.0, 400.0, stats.lognorm(sqrt(log(13 / 9)), scale=600 / sqrt(13 / 9))),
        ("exponential", 600.0, 600.0, stats.expon(scale=600.0)),
    ],
    ids=["a fifth", "two thirds", "exponential"],
)
def test_likely_values_against_scipy(law: str, mean: float, scatter: float, oracle: Any) -> None:
    """Each value lies in its own 256th of the law; that keeps the scatter but for 3 %."""
    values = likely_values(mean, scatter, law)
    shares = [float(oracle.cdf(value)) for value in values]
    assert all(n / VALUES < share < (n + 1) / VALUES for n, share in enumerate(shares))
    assert pstdev(values) == pytest.approx(scatter, rel=0.03)


@pytest.mark.parametrize("gone", [60.0, 600.0, 1_000.0])
def test_what_is_left_against_scipy(gone: float) -> None:
    """The law, given that it is longer than what is gone."""
    oracle = stats.lognorm(sqrt(log(1.04)), scale=600 / sqrt(1.04))
    for n, rest in enumerate(likely_rest(gone, 600.0, 120.0)):
        share = (n + 0.5) / VALUES
        assert oracle.sf(gone + rest) / oracle.sf(gone) == pytest.approx(1.0 - share, rel=1e-6)


def test_what_is_left_of_other_laws() -> None:
    assert likely_rest(900.0, 600.0, 600.0, "exponential") == likely_values(
        600.0, 600.0, "exponential"
    )
    assert likely_rest(200.0, 600.0, 0.0, "fixed") == (400.0,) * VALUES
    assert likely_rest(200.0, 600.0, 0.0) == (400.0,) * VALUES
    assert likely_rest(900.0, 600.0, 0.0) == (0.0,) * VALUES  # overdue: at any moment
    assert likely_rest(60.0, 0.0, 120.0) == likely_values(0.0, 120.0) == (0.0,) * VALUES
    assert likely_rest(0.0, 600.0, 120.0) == likely_values(600.0, 120.0)


def test_hardly_anything_is_gone_yet() -> None:
    whole = likely_rest(1e-6, 600.0, 120.0)
    for gone in (5e-324, 1e-300, 1e-12):
        assert likely_rest(gone, 600.0, 120.0) == pytest.approx(whole, abs=1e-5)


def test_a_truck_later_than_anything_still_comes() -> None:
    """Beyond seven standard deviations: as much later as it is late, never at once for all."""
    rest = likely_rest(100_000.0, 600.0, 120.0)
    assert 0.0 < rest[0] < rest[128] < rest[255] < 100_000.0
    assert rest[128] == pytest.approx(2 * likely_rest(50_000.0, 600.0, 120.0)[128], rel=1e-9)


@pytest.mark.parametrize(
    ("name", "value"), [("gone_s", -1.0), ("mean_s", -1.0), ("scatter_s", -1.0), ("law", "late")]
)
def test_nothing_is_left_of(name: str, value: float | str) -> None:
    good = {"gone_s": 60.0, "mean_s": 600.0, "scatter_s": 100.0, "law": "lognormal"}
    with pytest.raises(Refused) as refusal:
        likely_rest(**{**good, name: value})
    assert refusal.value.field == name


def test_a_stream_is_its_name() -> None:
    first, again, other = (list(islice(stream(name), 100)) for name in ("a", "a", "b"))
    assert first == again
    assert first != other
    assert first[:32] == list(bytes.fromhex(SHA256_OF_A_0))


SHA256_OF_A_0 = "e7fc2e46e57ddc98fa831fc3b6285c630efa89924a749e71cc1299cc2d6efc41"
"""Of “a 0”, by sha256sum of GNU coreutils."""


def test_independent_arrivals_are_not_bunched() -> None:
    """Exponential gaps: chance is in the 95 % interval of some 95 mornings in a hundred."""
    values = likely_values(300.0, 300.0, "exponential")
    within = 0
    for morning in range(100):
        gaps = (values[which] for which in islice(stream(f"independent {morning}"), 100))
        found = bunching(list(accumulate(gaps)), 60.0)
        within += found.together.least <= found.by_chance <= found.together.most
    assert 88 <= within <= 100


def test_trucks_nose_to_tail() -> None:
    found = bunching([0.0, 40.0, 80.0, 120.0, 3_000.0, 3_040.0, 6_000.0], 60.0)
    assert (found.together.value, found.longest) == (4 / 6, 4)
    assert found.by_chance == pytest.approx(1 - exp(-0.06))
    assert found.held_up == pytest.approx((4 / 6 - found.by_chance) / (1 - found.by_chance))


@pytest.mark.parametrize(
    ("arrivals", "close", "share", "longest", "held_up"),
    [
        ([0.0, 600.0, 1_200.0], 60.0, 0.0, 1, 0.0),  # evenly spread: less than chance
        ([5.0, 5.0, 5.0], 60.0, 1.0, 3, 0.0),  # all at once: nothing to tell it from
    ],
)
def test_ends_of_bunching(
    arrivals: list[float], close: float, share: float, longest: int, held_up: float
) -> None:
    found = bunching(arrivals, close)
    assert (found.together.value, found.longest, found.held_up) == (share, longest, held_up)


@pytest.mark.parametrize(
    ("arrivals", "close", "field"),
    [([0.0, 1.0], 60.0, "arrivals_s"), ([0.0, 1.0, nan], 60.0, "arrivals_s"),
     ([0.0, 1.0, inf], 60.0, "arrivals_s"), ([0.0, 1.0, 2.0], 0.0, "close_s")],
)  # fmt: skip
def test_no_bunches_of(arrivals: list[float], close: float, field: str) -> None:
    with pytest.raises(OutOfRange) as refusal:
        bunching(arrivals, close)
    assert refusal.value.field == field
