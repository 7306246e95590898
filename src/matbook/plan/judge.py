"""Judging a value by the plan's limits: a limit's printed digits count."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal
from typing import Final

from matbook.engine.rounding import exact, meets
from matbook.engine.units import convert, parse
from matbook.plan.model import Grade, Limit, Person, Plan

GRAVEST_FIRST: Final[tuple[Grade, ...]] = ("act", "watch")


@dataclass(frozen=True, slots=True)
class Judgement:
    """What one limit says of one value."""

    limit: Limit
    ok: bool
    by: Decimal
    """How far beyond the limit, in its unit; 0 where it is met."""
    value: Decimal
    """The value in the limit's unit."""


def judge(
    limit: Limit, value: str | Decimal | float, unit: str, rule: str = "half-even"
) -> Judgement:
    """Set a value against a limit, in the limit's unit and by its printed digits.

    Args:
        limit: The limit; one “within” is on a deviation, and holds either way.
        value: The value as decimal text, Decimal, or a worked-out float.
        unit: Its unit, of the dimension of the limit's; a difference of temperatures has a unit
            of its own.
        rule: How the owner rounds: half-even, half-up or truncate.

    Raises:
        UnknownUnit: The unit measures something else than the limit's.
        Refused: The value is no number.

    Example:
        >>> lowest = Limit("low", "temperature.delivery", "min", "240", "degF", "act")
        >>> judge(lowest, "115", "degC").by
        Decimal('1')
    """
    if isinstance(value, str):
        number = parse(value, unit).to(limit.unit)
    elif isinstance(value, Decimal):
        number = convert(value, unit, limit.unit)
    else:
        number = exact(convert(value, unit, limit.unit))
    size = abs(number) if limit.side == "within" else number
    sense = "min" if limit.side == "min" else "max"
    ok = meets(size, limit.number, sense, limit.method, rule)
    return Judgement(limit, ok, Decimal(0) if ok else abs(size - Decimal(limit.number)), number)


def limits_for(
    plan: Plan, quantity: str, *, mix: str = "", lift: str = "", lane: str = ""
) -> tuple[Limit, ...]:
    """The limits on a quantity that hold here, the most particular first.

    A limit for a mix, lift or lane holds only there, and there it takes the place of a more
    general one of the same side and grade.
    """
    asked = quantity, mix, lift, lane
    found = plan.limits_found.get(asked)
    if found is None:
        found = plan.limits_found[asked] = _holding(plan, asked)
    return found


def _holding(plan: Plan, asked: tuple[str, str, str, str]) -> tuple[Limit, ...]:
    quantity, *here = asked
    scopes = {
        limit.id: frozenset(place for place, own in enumerate(_scope(limit)) if own)
        for limit in plan.limits
        if limit.quantity == quantity
        and all(own in ("", at) for own, at in zip(_scope(limit), here, strict=True))
    }
    limits = [limit for limit in plan.limits if limit.id in scopes]
    ruling = [
        limit
        for limit in limits
        if not any(
            (other.side, other.grade) == (limit.side, limit.grade)
            and scopes[other.id] > scopes[limit.id]
            for other in limits
        )
    ]
    return tuple(sorted(ruling, key=lambda limit: -len(scopes[limit.id])))


def _scope(limit: Limit) -> tuple[str, str, str]:
    return limit.mix, limit.lift, limit.lane


def worst(judgements: Iterable[Judgement]) -> Grade | None:
    """The gravest grade among limits that aren't met; None if all are."""
    grades = {judgement.limit.grade for judgement in judgements if not judgement.ok}
    return next((grade for grade in GRAVEST_FIRST if grade in grades), None)


def people_to_tell(plan: Plan, limit: Limit) -> tuple[Person, ...]:
    """The people whom a limit wants told, by id or by role, each once, in the limit's order."""
    people = plan.people.values()
    return tuple(
        dict.fromkeys(
            person
            for wanted in limit.tell
            for person in people
            if wanted in (person.id, person.role)
        )
    )
