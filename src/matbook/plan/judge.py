"""Judging a value by a limit: the printed digits of the limit count."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from matbook.engine.rounding import exact, meets
from matbook.engine.units import convert
from matbook.plan.model import Grade, Limit, Person, Plan

Rule = Literal["half-even", "half-up", "truncate"]


@dataclass(frozen=True, slots=True)
class Judgement:
    """What one limit says of one value."""

    limit: Limit
    ok: bool
    value: Decimal
    """In the limit's unit."""
    by: Decimal
    """How far beyond the limit, in its unit; 0 where it is met."""


def judge(limit: Limit, value: float, unit: str, rule: Rule = "half-even") -> Judgement:
    """Set a value against a limit, in the limit's unit and by its printed digits.

    Args:
        limit: The limit. A limit “within” is on a deviation, either way.
        value: The value, in `unit`.
        unit: Of the same dimension as the limit's.
        rule: How the owner rounds.
    """
    number = exact(convert(value, unit, limit.unit))
    bound = Decimal(limit.number)
    size = abs(number) if limit.side == "within" else number
    sense = "min" if limit.side == "min" else "max"
    ok = meets(size, limit.number, sense, limit.method, rule)
    return Judgement(limit, ok, number, Decimal(0) if ok else abs(size - bound))


def limits_for(
    plan: Plan, quantity: str, *, mix: str = "", lift: str = "", lane: str = ""
) -> tuple[Limit, ...]:
    """The limits on a quantity that hold here; one that names a mix, lift or lane holds only there.

    Where several speak of the same side, the most particular one rules.
    """
    ruling: dict[tuple[str, str], tuple[int, Limit]] = {}
    for limit in plan.limits_on.get(quantity, ()):
        pairs = ((limit.mix, mix), (limit.lift, lift), (limit.lane, lane))
        if any(own and own != here for own, here in pairs):
            continue
        weight = len([own for own, _ in pairs if own])
        held = ruling.get((limit.side, limit.grade))
        if held is None or weight > held[0]:
            ruling[limit.side, limit.grade] = weight, limit
    return tuple(limit for _, limit in ruling.values())


def people_to_tell(plan: Plan, limit: Limit) -> tuple[Person, ...]:
    """The people whom a limit wants told, by id or by role, each once."""
    return tuple(
        person
        for person in plan.people.values()
        if person.id in limit.tell or person.role in limit.tell
    )


def worst(judgements: Sequence[Judgement]) -> Grade | None:
    """The gravest grade among limits that are not met; None if all are."""
    grades = {judgement.limit.grade for judgement in judgements if not judgement.ok}
    return "act" if "act" in grades else "watch" if grades else None
