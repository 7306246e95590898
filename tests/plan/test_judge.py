"""Judging by limits: printed digits, sides, units, and who is to be told."""

from dataclasses import replace
from decimal import Decimal

import pytest

from matbook.errors import Refused, UnknownUnit
from matbook.plan.judge import judge, limits_for, people_to_tell, worst
from matbook.plan.model import Limit, Plan
from matbook.plan.reader import read_plan
from tests.plan.plans import PLAN


def limit(number: str, side: str = "max", unit: str = "%", **more: str) -> Limit:
    given = {"id": "it", "quantity": "q", "grade": "watch", **more}
    return Limit(side=side, number=number, unit=unit, **given)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("number", "value", "ok"),
    [("4", "4.25", True), ("4.0", "4.25", False), ("4", "4.5", True), ("4", "4.51", False)],
)
def test_the_printed_digits_count(number: str, value: str, ok: bool) -> None:
    """Iowa DOT IM 202: a limit of “4” passes 4 1/4, a limit of “4.0” does not; E29 ties go even."""
    assert judge(limit(number), value, "%").ok is ok


def test_the_owners_rule_decides_a_tie() -> None:
    """ASTM E29: 4.5 to the even digit is 4; Iowa DOT IM 202, always up: 5."""
    assert judge(limit("4"), "4.5", "%", "half-even").ok
    assert not judge(limit("4"), "4.5", "%", "half-up").ok
    assert judge(limit("4"), "4.9", "%", "truncate").ok


def test_the_absolute_method_takes_the_value_as_it_is() -> None:
    """ASTM E29, absolute method."""
    assert not judge(limit("4", method="absolute"), "4.01", "%").ok


@pytest.mark.parametrize(
    ("side", "value", "ok", "by"),
    [
        ("min", "3", False, "2"),
        ("min", "5", True, "0"),
        ("max", "7.5", False, "2.5"),
        ("max", "-9", True, "0"),
        ("within", "-7", False, "2"),
        ("within", "7", False, "2"),
        ("within", "-5", True, "0"),
    ],
)
def test_sides(side: str, value: str, ok: bool, by: str) -> None:
    judgement = judge(limit("5", side), value, "%")
    assert (judgement.ok, judgement.by) == (ok, Decimal(by))
    assert judgement.value == Decimal(value)


def test_units_are_converted_exactly() -> None:
    lowest = limit("240", "min", "degF")
    assert judge(lowest, "115", "degC").value == 239  # SP 811: 115 x 9/5 + 32
    assert judge(lowest, 115.0, "degC").by == judge(lowest, Decimal("115"), "degC").by == 1
    assert judge(limit("0.5", "within"), 0.0049, "1").ok
    assert judge(limit("6", "within", "mm"), -0.0066, "m").by == Decimal("0.6")


def test_a_float_that_stands_for_the_limit_meets_it() -> None:
    """229 degF in degC has no end; the way back must not fall short of 229."""
    in_degc = (229.0 - 32.0) / 1.8
    assert judge(limit("229", "min", "degF", method="absolute"), in_degc, "degC").ok


def test_a_difference_is_no_temperature() -> None:
    assert judge(limit("25", "within", "delta_degF"), "10", "delta_degC").value == 18
    with pytest.raises(UnknownUnit):
        judge(limit("25", "within", "delta_degF"), "10", "degC")


def test_a_value_must_be_a_number() -> None:
    with pytest.raises(Refused, match="value is “cold”"):
        judge(limit("5"), "cold", "%")


def test_the_worst_grade_counts() -> None:
    watch = judge(limit("5"), "6", "%")
    act = judge(limit("5", grade="act"), "6", "%")
    fine = judge(limit("5", grade="act"), "4", "%")
    assert worst([fine]) is None
    assert worst([fine, watch]) == "watch"
    assert worst([watch, act]) == "act"


def plan_with(*limits: Limit) -> Plan:
    return replace(read_plan(PLAN), limits=limits)


GENERAL = limit("1", id="general")
MIX = limit("2", id="mix", mix="ac11")
LANE = limit("3", id="lane", lane="E")
BOTH = limit("4", id="both", mix="ac11", lane="E")
MIN = limit("5", id="min", side="min")
ACT = limit("6", id="act", grade="act")


@pytest.mark.parametrize(
    ("here", "expected"),
    [
        ({}, ["general", "min", "act"]),
        ({"mix": "ac11"}, ["mix", "min", "act"]),
        ({"mix": "other", "lift": "surface"}, ["general", "min", "act"]),
        ({"lane": "E"}, ["lane", "min", "act"]),
        ({"mix": "ac11", "lane": "E"}, ["both", "min", "act"]),
    ],
)
def test_a_particular_limit_takes_the_place_of_a_general_one(
    here: dict[str, str], expected: list[str]
) -> None:
    plan = plan_with(GENERAL, MIX, LANE, BOTH, MIN, ACT)
    assert [found.id for found in limits_for(plan, "q", **here)] == expected
    assert limits_for(plan, "q", **here) is limits_for(plan, "q", **here)


def test_neither_of_two_particular_limits_takes_the_others_place() -> None:
    found = limits_for(plan_with(GENERAL, MIX, LANE), "q", mix="ac11", lane="E")
    assert [each.id for each in found] == ["mix", "lane"]


def test_a_quantity_without_limits_has_none() -> None:
    assert limits_for(read_plan(PLAN), "overlap") == ()


def test_people_are_told_by_id_or_role_once() -> None:
    plan = read_plan(PLAN)
    told = people_to_tell(plan, replace(GENERAL, tell=("contractor", "ana", "dale", "supervisor")))
    assert [person.id for person in told] == ["dale", "ana"]
    assert people_to_tell(plan, GENERAL) == ()
