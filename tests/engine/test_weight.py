"""Weight: what is refused, every row of the rounding tables, and runs of axles by hand."""

from dataclasses import replace
from fractions import Fraction
from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from matbook.engine.limits import LimitSet, limit_set, limit_sets
from matbook.engine.units import convert
from matbook.engine.weight import (
    MOST_AXLES,
    SPACINGS,
    TIES,
    Violation,
    bridge_formula_lb,
    legal_gross,
    net_mass,
    over_gross,
    violations,
)
from matbook.errors import OutOfRange, Refused

FEDERAL = limit_set("us-federal")
LAWS = [limit_set(name) for name in limit_sets()]

axle_loads = st.lists(st.floats(0.0, 20_000.0), min_size=2, max_size=6)


def metres(feet: float) -> float:
    return convert(feet, "ft", "m")


# One truck


@pytest.mark.parametrize(
    ("gross", "tare", "field"),
    [(10.0, 11.0, "gross_kg"), (inf, 1.0, "gross_kg"), (nan, 1.0, "gross_kg"),
     (10.0, -1.0, "tare_kg"), (10.0, nan, "tare_kg"), (inf, inf, "tare_kg")],
)  # fmt: skip
def test_net_refuses(gross: float, tare: float, field: str) -> None:
    with pytest.raises(OutOfRange) as refusal:
        net_mass(gross, tare)
    assert refusal.value.field == field


def test_an_empty_truck_weighs_nothing_net() -> None:
    assert net_mass(11_340.0, 11_340.0) == 0.0


@pytest.mark.parametrize(("gross", "over"), [(39_999.0, 0.0), (40_000.0, 0.0), (40_020.0, 20.0)])
def test_over_gross(gross: float, over: float) -> None:
    assert over_gross(gross, 40_000.0) == over


@pytest.mark.parametrize(
    ("gross", "legal", "field"),
    [(-1.0, 1.0, "gross_kg"), (nan, 1.0, "gross_kg"), (inf, 1.0, "gross_kg"),
     (1.0, 0.0, "legal_gross_kg"), (1.0, inf, "legal_gross_kg"), (1.0, nan, "legal_gross_kg")],
)  # fmt: skip
def test_over_gross_refuses(gross: float, legal: float, field: str) -> None:
    with pytest.raises(OutOfRange) as refusal:
        over_gross(gross, legal)
    assert refusal.value.field == field


# The formula


@pytest.mark.parametrize("axles", [1, 13, 2.5, nan])
def test_axles_are_whole_and_few(axles: float) -> None:
    with pytest.raises(OutOfRange, match=r"axles is .*; it must be a whole number, 2 to 12"):
        bridge_formula_lb(axles, 20)  # type: ignore[arg-type]


@pytest.mark.parametrize("length", [0, -4, 201, nan])
def test_lengths_a_truck_can_have(length: float) -> None:
    with pytest.raises(OutOfRange, match="length_ft"):
        bridge_formula_lb(5, length)


TIE = (3, 9)
"""3 axles over 9 ft: 42,750 lb, just between two multiples of 500."""


@pytest.mark.parametrize(("tie", "pounds"), [("down", 42500), ("up", 43000)])
def test_every_row_of_ties(tie: str, pounds: int) -> None:
    assert bridge_formula_lb(*TIE, tie=tie) == pounds  # type: ignore[arg-type]
    assert {"down", "up"} == TIES.keys()


def test_a_tie_is_down_or_up() -> None:
    with pytest.raises(Refused, match=r"tie is “sideways”; it must be down or up\."):
        bridge_formula_lb(*TIE, tie="sideways")  # type: ignore[arg-type]


@given(st.integers(2, MOST_AXLES), st.fractions(1, 200, max_denominator=12))
def test_a_limit_is_the_nearest_multiple_of_500(axles: int, length: Fraction) -> None:
    exact = 500 * (length * axles / (axles - 1) + 12 * axles + 36)
    # twelfths of a foot are no binary floats: closer than a hair to a tie, either way will do
    for tie in ("down", "up"):
        found = bridge_formula_lb(axles, float(length), tie=tie)
        assert found % 500 == 0
        assert abs(found - exact) <= 250 + Fraction(1, 10**9)


SPACED = {
    # 8 ft 6 in, 8 ft 5 in, 8 ft 7 in
    "nearest foot, 6 in up": [9, 8, 9],
    "nearest foot, 6 in down": [8, 8, 9],
    "as measured": [8.5, 8 + 5 / 12, 8 + 7 / 12],
}


@pytest.mark.parametrize("rule", SPACINGS)
def test_every_row_of_spacings(rule: str) -> None:
    found = [SPACINGS[rule](feet) for feet in (8.5, 8 + 5 / 12, 8 + 7 / 12)]
    assert found == pytest.approx(SPACED[rule], abs=1e-12)


@pytest.mark.parametrize("feet", range(9, 60))
def test_six_inches_survive_metres(feet: int) -> None:
    """The metres that 6 in became don't decide which way it goes."""
    back = convert(metres(feet + 0.5), "m", "ft")
    assert SPACINGS["nearest foot, 6 in up"](back) == feet + 1
    assert SPACINGS["nearest foot, 6 in down"](back) == feet


def test_every_set_names_rules_there_are() -> None:
    assert {law.spacing for law in LAWS} <= SPACINGS.keys()
    assert {law.tie for law in LAWS} <= TIES.keys()


def test_the_spacing_rule_of_a_law_counts() -> None:
    """4 axles over 20 ft 6 in, as 21 ft, as 20 ft, and as measured; the formula by hand."""
    gaps = [metres(20.5 / 3)] * 3
    found = {
        rule: round(convert(legal_gross(gaps, replace(FEDERAL, spacing=rule)), "kg", "lb"))
        for rule in SPACINGS
    }
    assert found == {
        "nearest foot, 6 in up": 56000,  # 500 x (21 x 4/3 + 84) = 56,000
        "nearest foot, 6 in down": 55500,  # 55,333
        "as measured": 55500,  # 55,667
    }


def test_the_tie_rule_of_a_law_counts() -> None:
    gaps = [metres(4.5)] * 2
    assert legal_gross(gaps, FEDERAL) == pytest.approx(convert(42500.0, "lb", "kg"))
    assert legal_gross(gaps, replace(FEDERAL, tie="up")) == pytest.approx(
        convert(43000.0, "lb", "kg")
    )


# Runs of axles


def test_each_rule_by_its_name() -> None:
    ontario = limit_set("ontario")
    loads, gaps = [7_800.0, 10_100.0, 9_000.0, 9_200.0], [5.0, 4.0, 1.3]
    assert violations(loads, gaps, ontario) == [
        Violation("first axle", 1, 1, 7_800.0, 7_700.0),
        Violation("single axle", 2, 2, 10_100.0, 10_000.0),
        Violation("axle group", 3, 4, 18_200.0, 18_000.0),
    ]


def test_gross_by_the_number_of_axles() -> None:
    eu = limit_set("eu-96-53")
    assert violations([7_000.0, 11_400.0], [4.0], eu) == [
        Violation("gross", 1, 2, 18_400.0, 18_000.0)
    ]
    assert legal_gross([4.0], eu) == 18_000.0
    assert legal_gross([4.0] * 6, eu) == inf
    assert legal_gross([4.0], limit_set("ontario")) == inf


def test_every_run_is_looked_at() -> None:
    """With limits of next to nothing, all ten runs of four axles are over, from the front."""
    tight = replace(
        FEDERAL, single_kg=1.0, first_kg=1.0, gross_kg=1.0, single_to_m=100.0, formula=False
    )
    found = [(v.first, v.last) for v in violations([9.0] * 4, [3.0] * 3, tight)]
    assert found == [
        (1, 1), (1, 2), (1, 3), (1, 4), (1, 4), (2, 2), (2, 3), (2, 4), (3, 3), (3, 4), (4, 4),
    ], "the whole twice: as a group and in all"  # fmt: skip


def test_the_front_axle_has_the_single_limit_where_no_other() -> None:
    over = convert(20_010.0, "lb", "kg")
    assert [v.rule for v in violations([over, over], [4.0], FEDERAL)] == [
        "first axle", "single axle",
    ]  # fmt: skip


def test_exactly_at_the_limit_is_not_over() -> None:
    at = convert(20_000.0, "lb", "kg")
    assert violations([at, at], [6.0], FEDERAL) == []
    assert violations([at, at + 0.001], [6.0], FEDERAL) != []


@pytest.mark.parametrize(
    ("gaps_ft", "pounds"),
    [
        ([4.0, 28.0, 4.0], 68000),  # two tandems, 36 ft over all
        ([4.0, 27.9, 4.0], 66000),  # not quite: 35.9 ft, the formula for 36
        ([9.0, 23.0, 4.0], 66000),  # the first pair is no tandem
        ([4.0, 23.0, 9.0], 66000),  # nor is the last one here
        ([3.0, 29.0, 4.0], 66000),  # three feet apart: one axle, not a tandem
        ([4.0, 35.0, 4.0], 70500),  # the formula gives more than 68,000 at 43 ft: 70,667
        ([18.0, 18.0], 63000),  # three axles over 36 ft are no two tandems
    ],
)
def test_two_tandems(gaps_ft: list[float], pounds: int) -> None:
    found = legal_gross([metres(gap) for gap in gaps_ft], FEDERAL)
    assert round(convert(found, "kg", "lb")) == pounds


def test_a_thaw_order_takes_from_axles_and_groups_only() -> None:
    ontario, thaw = limit_set("ontario"), replace(limit_set("ontario"), seasonal_factor=0.5)
    loads, gaps = [3_900.0, 5_100.0, 4_600.0, 4_600.0], [5.0, 4.0, 1.3]
    assert violations(loads, gaps, ontario) == []
    assert [(v.rule, v.limit_kg) for v in violations(loads, gaps, thaw)] == [
        ("first axle", 3_850.0), ("single axle", 5_000.0), ("axle group", 9_000.0),
    ]  # fmt: skip
    frozen = replace(FEDERAL, seasonal_factor=0.5)
    assert legal_gross([6.0, 3.0, 6.0], frozen) == legal_gross([6.0, 3.0, 6.0], FEDERAL)
    assert legal_gross([1.3], frozen) == pytest.approx(convert(17_000.0, "lb", "kg"))
    assert legal_gross([0.9], frozen) == pytest.approx(convert(10_000.0, "lb", "kg"))


def test_a_permit_replaces_a_limit() -> None:
    loads, gaps = [8_000.0, 9_000.0, 9_300.0, 9_300.0], [6.0, 6.0, 6.0]
    assert [v.rule for v in violations(loads, gaps, FEDERAL)] == ["single axle", "single axle"]
    assert violations(loads, gaps, replace(FEDERAL, single_kg=9_400.0)) == []


@pytest.mark.parametrize("law", LAWS, ids=lambda law: law.name)
@given(
    loads=axle_loads, extra=st.floats(0.0, 5_000.0), at=st.integers(0, 5), gap=st.floats(0.5, 10)
)
def test_more_load_never_mends_a_violation(
    law: LimitSet, loads: list[float], extra: float, at: int, gap: float
) -> None:
    gaps = [gap] * (len(loads) - 1)
    heavier = [load + extra * (place == at % len(loads)) for place, load in enumerate(loads)]
    before = {(v.rule, v.first, v.last) for v in violations(loads, gaps, law)}
    assert before <= {(v.rule, v.first, v.last) for v in violations(heavier, gaps, law)}


@pytest.mark.parametrize(
    ("loads", "gaps", "says"),
    [
        ([1.0], [], "axle_loads_kg is 1; there must be 2 to 12 axles."),
        ([1.0] * 13, [1.0] * 12, "axle_loads_kg is 13; there must be 2 to 12 axles."),
        ([1.0, 1.0], [], "spacings_m is 0; 2 axles have 1."),
        ([1.0, 1.0], [1.0, 1.0], "spacings_m is 2; 2 axles have 1."),
        ([1.0, -1.0], [1.0], "axle_loads_kg is -1.0; each must be a number from 0."),
        ([1.0, nan], [1.0], "axle_loads_kg is nan; each must be a number from 0."),
        ([1.0, 1.0], [0.0], "spacings_m is 0.0; each must be above 0, to 30 m."),
        ([1.0, 1.0], [30.5], "spacings_m is 30.5; each must be above 0, to 30 m."),
        ([1.0, 1.0], [nan], "spacings_m is nan; each must be above 0, to 30 m."),
        ([1.0] * 4, [25.0] * 3, "spacings_m is 75.0; together at most 60 m."),
    ],
)
def test_axles_refused(loads: list[float], gaps: list[float], says: str) -> None:
    with pytest.raises(OutOfRange) as refusal:
        violations(loads, gaps, FEDERAL)
    assert str(refusal.value) == says


def test_the_longest_truck_is_within_the_formula() -> None:
    assert legal_gross([30.0, 30.0], FEDERAL) == pytest.approx(convert(80_000.0, "lb", "kg"))
    with pytest.raises(OutOfRange, match="spacings_m"):
        legal_gross([30.0, 30.0, 1.0], FEDERAL)
