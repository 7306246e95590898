"""Beta, t and F against SciPy over wide ranges; what is refused."""

from collections.abc import Callable
from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import special, stats

from matbook.engine.distributions import (
    f_above,
    f_exceeded,
    incomplete_beta,
    t_above,
    t_exceeded,
)
from matbook.errors import OutOfRange

CHANCES = [1e-6, 1e-3, 0.005, 0.025, 0.05, 0.1, 0.3, 0.49, 0.5]
DEGREES = [1.0, 2.0, 3.0, 7.3, 12.0954, 30.0, 120.0, 1_000.0, 20_000.0]


@given(st.floats(0.0, 1.0), st.floats(0.5, 5_000.0), st.floats(0.5, 5_000.0))
def test_the_incomplete_beta_function(x: float, a: float, b: float) -> None:
    exact = special.betainc(a, b, x)
    assert incomplete_beta(x, a, b) == pytest.approx(exact, rel=1e-8, abs=1e-12)


@pytest.mark.parametrize("df", DEGREES)
def test_students_t(df: float) -> None:
    for chance in CHANCES:
        exact = stats.t.isf(chance, df)
        assert t_exceeded(chance, df) == pytest.approx(exact, rel=1e-8, abs=1e-9)
        assert t_above(exact, df) == pytest.approx(chance, rel=1e-8)
        assert t_above(-exact, df) == pytest.approx(1.0 - chance, rel=1e-8)


@pytest.mark.parametrize("df1", [1.0, 2.0, 5.0, 20.0, 200.0, 5_000.0])
@pytest.mark.parametrize("df2", [1.0, 2.0, 3.0, 7.0, 20.0, 300.0, 9_999.0])
def test_fishers_f(df1: float, df2: float) -> None:
    for chance in [*CHANCES, 0.95, 0.999]:
        exact = stats.f.isf(chance, df1, df2)
        assert f_exceeded(chance, df1, df2) == pytest.approx(exact, rel=1e-8)
        assert f_above(exact, df1, df2) == pytest.approx(chance, rel=1e-8)


def test_the_ends() -> None:
    assert (incomplete_beta(0.0, 2.0, 3.0), incomplete_beta(1.0, 2.0, 3.0)) == (0.0, 1.0)
    assert t_above(0.0, 5.0) == 0.5
    assert t_above(1e100, 5.0) == 0.0
    assert t_above(-1e100, 5.0) == 1.0
    assert f_above(0.0, 3.0, 4.0) == 1.0


@pytest.mark.parametrize(
    ("call", "field"),
    [
        (lambda: incomplete_beta(1.1, 2.0, 2.0), "x"),
        (lambda: incomplete_beta(nan, 2.0, 2.0), "x"),
        (lambda: incomplete_beta(0.5, 0.1, 2.0), "a"),
        (lambda: incomplete_beta(0.5, 2.0, inf), "b"),
        (lambda: t_above(nan, 5.0), "t"),
        (lambda: t_above(1.0, 0.5), "df"),
        (lambda: t_exceeded(0.6, 5.0), "chance"),
        (lambda: t_exceeded(0.0, 5.0), "chance"),
        (lambda: f_above(-1.0, 2.0, 2.0), "f"),
        (lambda: f_above(1.0, 0.0, 2.0), "df1"),
        (lambda: f_above(1.0, 2.0, 1e6), "df2"),
        (lambda: f_exceeded(1.0, 2.0, 2.0), "chance"),
    ],
)  # fmt: skip
def test_what_is_refused(call: Callable[[], float], field: str) -> None:
    with pytest.raises(OutOfRange) as refusal:
        call()
    assert refusal.value.field == field
