"""Depth: what is refused, and the ways back."""

from collections.abc import Callable
from math import exp, inf, log, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from matbook.engine.depth import (
    compacted_depth,
    loose_depth,
    recheck_distance,
    roll_down,
    roll_down_from_compacted_share,
    roll_down_from_densities,
    screed_response,
)
from matbook.errors import OutOfRange

depths = st.floats(0.005, 0.6)
shares = st.floats(0.0, 0.59)

REFUSED: list[tuple[Callable[..., float], dict[str, float], str, list[float]]] = [
    (loose_depth, {"compacted_m": 0.06, "roll_down": 0.2}, "compacted_m", [0.0]),
    (loose_depth, {"compacted_m": 0.06, "roll_down": 0.2}, "roll_down", [-0.01, 0.6, 20.0]),
    (compacted_depth, {"loose_m": 0.06, "roll_down": 0.2}, "loose_m", [0.0]),
    (compacted_depth, {"loose_m": 0.06, "roll_down": 0.2}, "roll_down", [-0.01, 0.6, 20.0]),
    (roll_down, {"loose_m": 0.06, "compacted_m": 0.05}, "loose_m", [0.0]),
    (roll_down, {"loose_m": 0.06, "compacted_m": 0.05}, "compacted_m", [0.0, 0.061]),
    (roll_down_from_compacted_share, {"share": 0.25}, "share", [-0.01, 1.01, 25.0]),
    (roll_down_from_densities, {"behind_screed_kg_m3": 1_900.0, "final_kg_m3": 2_300.0},
     "behind_screed_kg_m3", [0.0]),
    (roll_down_from_densities, {"behind_screed_kg_m3": 1_900.0, "final_kg_m3": 2_300.0},
     "final_kg_m3", [1_899.0]),
    (screed_response, {"tow_arms": 1.0}, "tow_arms", [-0.1]),
    (recheck_distance, {"tow_arm_m": 2.6}, "tow_arm_m", [0.0]),
    (recheck_distance, {"tow_arm_m": 2.6}, "complete", [0.0, 1.0]),
]  # fmt: skip


@pytest.mark.parametrize(
    ("function", "good", "name", "bad"),
    REFUSED,
    ids=lambda value: getattr(value, "__name__", None),
)
def test_refused(
    function: Callable[..., float], good: dict[str, float], name: str, bad: list[float]
) -> None:
    """Each argument on its own: what is good is taken, bad values, nan and inf are refused."""
    assert function(**good) >= 0.0
    for value in (*bad, nan, inf):
        with pytest.raises(OutOfRange) as refusal:
            function(**{**good, name: value})
        assert refusal.value.field == name


@given(depths, shares)
def test_down_and_up_again(compacted: float, share: float) -> None:
    loose = loose_depth(compacted, share)
    assert loose >= compacted
    assert compacted_depth(loose, share) == pytest.approx(compacted, rel=1e-12)
    assert roll_down(loose, compacted) == pytest.approx(share, abs=1e-12)


@given(st.floats(0.0, 1.0))
def test_a_share_of_compacted_says_the_same_depth(share: float) -> None:
    loose = loose_depth(0.05, roll_down_from_compacted_share(share))
    assert loose == pytest.approx(0.05 * (1 + share), rel=1e-12)


@given(st.floats(1_000.0, 2_000.0), st.floats(1.0, 1.4))
def test_mass_is_kept(behind: float, ratio: float) -> None:
    share = roll_down_from_densities(behind, behind * ratio)
    assert 1 / (1 - share) == pytest.approx(ratio, rel=1e-9)


def test_nothing_lost() -> None:
    assert roll_down(0.05, 0.05) == 0.0
    assert roll_down_from_densities(2_300.0, 2_300.0) == 0.0
    assert loose_depth(0.05, 0.0) == 0.05


@given(st.floats(0.1, 10.0), st.floats(0.05, 0.999))
def test_recheck_where_the_change_is_complete(arm: float, complete: float) -> None:
    assert screed_response(recheck_distance(arm, complete) / arm) == pytest.approx(complete)
    assert recheck_distance(arm, complete) == pytest.approx(-arm * log(1 - complete))


@given(st.floats(1e-3, 20.0))
def test_response_against_the_plain_exponential(tow_arms: float) -> None:
    assert screed_response(tow_arms) == pytest.approx(1 - exp(-tow_arms), rel=1e-12)


def test_response_keeps_its_digits_near_the_start() -> None:
    assert screed_response(1e-12) == pytest.approx(1e-12, rel=1e-9)
    assert str(screed_response(0)) == str(screed_response(0.0)) == "0.0"
