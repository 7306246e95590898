"""Rounding: every rule, sense and method of the tables, and what is refused."""

import math
from decimal import Decimal, getcontext, localcontext
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from matbook.engine.rounding import METHODS, RULES, SENSES, exact, meets, places, round_to
from matbook.errors import OutOfRange, Refused

TIES = {
    # rule: what -2.5, -1.5, 0.5, 1.5, 2.5 and 2.51 become
    "half-even": ["-2", "-2", "0", "2", "2", "3"],
    "half-up": ["-3", "-2", "1", "2", "3", "3"],
    "truncate": ["-2", "-1", "0", "1", "2", "2"],
}


@pytest.mark.parametrize("rule", RULES)
def test_every_rule(rule: str) -> None:
    values = ["-2.5", "-1.5", "0.5", "1.5", "2.5", "2.51"]
    assert [str(round_to(value, 0, rule)) for value in values] == TIES[rule]


JUDGED = {
    # sense, method: results that meet the limit 92.0 out of those below
    ("min", "absolute"): ["92.0", "92.04", "92.06"],
    ("min", "rounded"): ["91.96", "92.0", "92.04", "92.06"],
    ("max", "absolute"): ["91.94", "91.96", "92.0"],
    ("max", "rounded"): ["91.94", "91.96", "92.0", "92.04"],
}


@pytest.mark.parametrize("sense", SENSES)
@pytest.mark.parametrize("method", METHODS)
def test_every_sense_and_method(sense: str, method: str) -> None:
    results = ["91.94", "91.96", "92.0", "92.04", "92.06"]
    met = [result for result in results if meets(result, "92.0", sense, method)]
    assert met == JUDGED[sense, method]


def test_the_agencys_rule_decides_a_tie_at_the_limit() -> None:
    assert not meets("91.85", "91.9", "min", "rounded", "half-even")
    assert meets("91.85", "91.9", "min", "rounded", "half-up")
    assert not meets("91.89", "91.9", "min", "rounded", "truncate")


@given(
    st.decimals(-(10**9), 10**9, places=6),
    st.integers(min_value=-4, max_value=6),
    st.sampled_from(sorted(RULES)),
)
def test_against_exact_fractions(value: Decimal, kept: int, rule: str) -> None:
    found = round_to(value, kept, rule)
    step = Fraction(10) ** -kept
    steps, off = Fraction(found) / step, Fraction(found) - Fraction(value)
    assert steps.denominator == 1
    assert abs(off) < step if rule == "truncate" else abs(off) <= step / 2
    if rule == "truncate":
        assert abs(found) <= abs(value)
    if rule == "half-up" and abs(off) == step / 2:
        assert abs(found) > abs(value)
    if rule == "half-even":
        assert steps == round(Fraction(value) / step)


@given(st.integers(-(10**9), 10**9), st.integers(min_value=-3, max_value=4))
def test_prints_its_decimals(value: int, kept: int) -> None:
    text = str(round_to(value, kept))
    assert len(text.partition(".")[2]) == max(kept, 0)
    assert "E" not in text


def test_no_negative_zero() -> None:
    assert str(round_to("-0.004", 2)) == "0.00"


@given(st.decimals(-(10**9), 10**9, places=6), st.integers(min_value=0, max_value=3))
def test_the_callers_decimal_context_does_not_matter(value: Decimal, kept: int) -> None:
    with localcontext() as context:
        context.prec = 3
        found = round_to(value, kept)
    assert getcontext().prec > 3
    assert found == round_to(value, kept)


@pytest.mark.parametrize("value", [5.755, math.nan, 2.0])
def test_a_binary_float_is_refused(value: float) -> None:
    with pytest.raises(Refused, match="binary float"):
        round_to(value, 2)  # type: ignore[arg-type]
    with pytest.raises(Refused, match="binary float"):
        meets(value, "4", "max", "absolute")  # type: ignore[arg-type]


@pytest.mark.parametrize("text", ["", "5,755", "1e3", "nan", "five", " 5", "1_000", "٣", "5."])
def test_only_plain_digits(text: str) -> None:
    with pytest.raises(Refused, match=r"value is .*; it must be plain digits"):
        round_to(text, 2)
    with pytest.raises(Refused, match=r"limit is .*; it must be plain digits"):
        places(text)
    with pytest.raises(Refused, match="limit"):
        meets("5", text, "min", "absolute")


@pytest.mark.parametrize("value", [Decimal("nan"), Decimal("-inf"), 10**18, Decimal("1E+999999")])
def test_only_numbers_of_this_world(value: Decimal | int) -> None:
    with pytest.raises(OutOfRange, match=r"below 10\^18"):
        round_to(value, 2)


@pytest.mark.parametrize("kept", [-19, 19])
def test_places_have_a_range(kept: int) -> None:
    with pytest.raises(OutOfRange, match="from -18 to 18"):
        round_to("1", kept)


def test_the_widest_value_at_the_most_places() -> None:
    assert str(round_to("9" * 18, 18)) == "9" * 18 + "." + "0" * 18
    assert str(round_to("9" * 18, -18)) == "1" + "0" * 18


def test_an_unknown_rule_sense_or_method_names_those_there_are() -> None:
    with pytest.raises(Refused, match="rule is “nearest”; it must be one of half-even, half-up"):
        round_to("1", 0, "nearest")
    with pytest.raises(Refused, match="sense is “within”; it must be one of min, max"):
        meets("1", "1", "within", "absolute")
    with pytest.raises(Refused, match="method is “near”; it must be one of absolute, rounded"):
        meets("1", "1", "min", "near")


@pytest.mark.parametrize(
    ("value", "decimal"),
    [(0.1 + 0.2, "0.3"), (1.005 * 1000, "1005"), (-2.5, "-2.5"), (1e-7, "1E-7"), (0.0, "0")],
)
def test_a_worked_out_float_as_it_was_meant(value: float, decimal: str) -> None:
    assert str(exact(value)) == decimal


@given(st.decimals(-(10**5), 10**5, places=6))
def test_twelve_digits_come_back_from_a_float(value: Decimal) -> None:
    assert exact(float(value)) == value


@pytest.mark.parametrize("value", [math.nan, math.inf])
def test_only_finite_floats(value: float) -> None:
    with pytest.raises(OutOfRange, match="finite"):
        exact(value)


def test_the_source_goes_with_the_function() -> None:
    assert "E29" in meets.source  # type: ignore[attr-defined]
