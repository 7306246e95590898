"""Reading one value of a plan: each way to read gives the value, or says what is allowed."""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any, Final

from matbook.book.kinds import kinds
from matbook.engine import units
from matbook.engine.weight import limit_sets
from matbook.errors import MatbookError
from matbook.plan.forms import Key
from matbook.plan.quantities import quantities

_ID = re.compile(r"[A-Za-z0-9][A-Za-z0-9-]{0,39}")
_EVERY = re.compile(r"(\d+(?:\.\d+)?) ?([A-Za-z]+)")
LONGEST: Final = 500


@dataclass(frozen=True, slots=True)
class Wrong:
    """What is allowed, for a value that isn't."""

    allowed: str


@dataclass(frozen=True, slots=True)
class Every:
    """How often a check falls due: so many, of what, in SI units."""

    amount: float
    per: str


Read = Callable[[Key, Any], Any]


def read(key: Key, value: Any) -> Any:
    """The value as the plan's records hold it (amounts in SI units), or what is wrong with it."""
    return READS[key.takes](key, value)


def _text(key: Key, value: Any) -> Any:
    if isinstance(value, str) and len(value) <= LONGEST and (value.strip() or not key.need):
        return value.strip()
    return Wrong(f"it must be text, at most {LONGEST} characters")


def _id(key: Key, value: Any) -> Any:
    if isinstance(value, str) and _ID.fullmatch(value):
        return value
    return Wrong("it must be letters, digits and hyphens, at most 40, such as surface-1")


def _choice(key: Key, value: Any) -> Any:
    return value if value in key.of else Wrong(f"it must be one of {', '.join(key.of)}")


def _choices(key: Key, value: Any) -> Any:
    if isinstance(value, list) and all(item in key.of for item in value):
        return tuple(value)
    return Wrong(f"it must be a list of {', '.join(key.of)}")


def _amount(key: Key, value: Any) -> Any:
    measure = key.of[0]
    wrong = Wrong(f"it must be a {measure} in quotes with its unit, {key.low} to {key.high}")
    if not isinstance(value, str):
        return wrong
    try:
        found = units.parse(value)
        good = units.dimension(found.unit) == measure
        return found.si() if good and _si(key.low) <= found.si() <= _si(key.high) else wrong
    except MatbookError:
        return wrong


def _amounts(key: Key, value: Any) -> Any:
    if not isinstance(value, list):
        return Wrong(f"it must be a list of {key.of[0]}s with their units")
    found = [_amount(key, item) for item in value]
    return next((item for item in found if isinstance(item, Wrong)), tuple(found))


def _number(key: Key, value: Any) -> Any:
    """Decimal text, kept as printed: its digits count."""
    wrong = Wrong("it must be a plain number in quotes, as printed, such as “115” or “2.50”")
    if not isinstance(value, str) or not re.fullmatch(r"-?\d{1,9}(\.\d{1,6})?", value):
        return wrong
    if key.low and not Decimal(key.low) <= Decimal(value) <= Decimal(key.high):
        return Wrong(f"it must be from {key.low} to {key.high}")
    return value


def _unit(key: Key, value: Any) -> Any:
    if isinstance(value, str) and value in units.UNITS:
        return value
    return Wrong("it must be a unit, such as degC, degF, %, mm, in, t, min")


def _day(key: Key, value: Any) -> Any:
    try:
        return date.fromisoformat(str(value)).isoformat()
    except ValueError:
        return Wrong("it must be a date, such as 2026-04-20")


def _count(key: Key, value: Any) -> Any:
    good = type(value) is int and 0 <= value <= 1000
    return value if good else Wrong("it must be a whole number from 0 to 1000")


def _every(key: Key, value: Any) -> Any:
    found = _EVERY.fullmatch(value) if isinstance(value, str) else None
    wrong = Wrong("it must be such as “5 loads”, “200 t”, “50 m” or “30 min”")
    if found is None:
        return wrong
    number, unit = found[1], found[2]
    if unit in ("load", "loads"):
        return Every(float(number), "loads") if float(number) >= 1 else wrong
    pers = {"mass": "mass", "length": "distance", "time": "time"}
    per = pers.get(units.UNITS[unit].dimension) if unit in units.UNITS else None
    if per is None or float(number) == 0:
        return wrong
    return Every(units.convert(float(number), unit, units.si_unit(units.dimension(unit))), per)


def _fields(key: Key, value: Any) -> Any:
    good = isinstance(value, dict) and all(isinstance(item, str) for item in value.values())
    return dict(value) if good else Wrong("it must be names and texts, such as { temp = “*” }")


def _quantity(key: Key, value: Any) -> Any:
    known = quantities()
    return value if value in known else Wrong(f"it must be one of {', '.join(known)}")


def _kind(key: Key, value: Any) -> Any:
    return value if value in kinds() else Wrong("it must be a kind of entry, such as loose-depth")


def _limit_set(key: Key, value: Any) -> Any:
    known = limit_sets()
    return value if value in known else Wrong(f"it must be one of {', '.join(known)}")


def _list_of_text(key: Key, value: Any) -> Any:
    if isinstance(value, list) and all(isinstance(item, str) for item in value):
        return tuple(value)
    return Wrong("it must be a list of ids, such as [“E”, “W”]")


def _rows(key: Key, value: Any) -> Any:
    if isinstance(value, list) and all(isinstance(item, dict) for item in value):
        return value
    return Wrong("it must be a list of { … }")


def _equations(key: Key, value: Any) -> Any:
    pairs = isinstance(value, list) and all(
        isinstance(p, list) and len(p) == 2 and all(isinstance(s, str) for s in p) for p in value
    )
    if pairs:
        return tuple((back, ahead) for back, ahead in value)
    return Wrong("it must be pairs of labels, back and ahead, such as [[“11+50”, “12+00”]]")


def _si(text: str) -> float:
    return units.parse(text).si()


READS: Final[Mapping[str, Read]] = {
    "text": _text,
    "id": _id,
    "choice": _choice,
    "choices": _choices,
    "amount": _amount,
    "amounts": _amounts,
    "number": _number,
    "unit": _unit,
    "day": _day,
    "count": _count,
    "every": _every,
    "fields": _fields,
    "quantity": _quantity,
    "kind": _kind,
    "limit_set": _limit_set,
    "ref": _text,
    "refs": _list_of_text,
    "people": _list_of_text,
    "station": _text,
    "equations": _equations,
    "widths": _rows,
    "levelling": _rows,
    "temperatures": _rows,
}
