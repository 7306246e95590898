"""What the fields of a plan take: for every type of field, how it is read and what is allowed."""

import re
from collections.abc import Callable, Mapping
from datetime import date
from decimal import Decimal
from functools import partial
from math import isfinite
from typing import Any, Final, NamedTuple

from matbook.engine import units
from matbook.engine.units import Quantity
from matbook.errors import Refused
from matbook.plan.form import Field

PER: Final[Mapping[str, str]] = {"mass": "mass", "length": "distance", "time": "time"}
"""What an interval with a unit counts by."""

LOADS: Final = "loads"
DEEPEST: Final = 6
"""How deep a table that is kept as it stands may be nested."""

LINE: Final = re.compile(r"[^\x00-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff]*")
"""Text that stays on one line and holds nothing but characters."""

LINES: Final = re.compile(r"[^\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff]*")
"""The same on as many lines as it takes."""

_NAME = re.compile(r"[^\W_][\w.-]{0,39}")
_WORD = re.compile(r"[a-z0-9][a-z0-9-]{0,39}")
_PRINTED = re.compile(r"-?[0-9]{1,9}(?:\.[0-9]{1,9})?", re.ASCII)
_DATE = re.compile(r"\d{4}-\d\d-\d\d", re.ASCII)
_CLOCK = re.compile(r"(?:[01]\d|2[0-3]):[0-5]\d", re.ASCII)
_ZONE = re.compile(r"[A-Za-z][A-Za-z0-9_+-]*(?:/[A-Za-z0-9_+-]+){0,3}")
_LOADS = re.compile(r"([1-9][0-9]{0,3}) loads?", re.ASCII)


class Type(NamedTuple):
    """How a type of field is read (None where it can't be taken), and what it allows."""

    read: Callable[[Field, Any], Any]
    allowed: Callable[[Field], str]


def allowed(field: Field) -> str:
    """What a field takes, as the end of a sentence."""
    said = TYPES[field.type].allowed(field)
    return f"it must be a list; in it, {said.removeprefix('it ')}" if field.many else said


def read(field: Field, given: object) -> Any:
    """The value of a field, a tuple where it is a list; None where it can't be taken."""
    if not field.many:
        return TYPES[field.type].read(field, given)
    if not isinstance(given, list) or (field.need and not given):
        return None
    values = [TYPES[field.type].read(field, item) for item in given]
    return None if None in values else tuple(values)


def _text(field: Field, given: object) -> str | None:
    good = isinstance(given, str) and len(given) <= field.most and LINE.fullmatch(given)
    return str(given) if good and (str(given).strip() or not field.need) else None


def _matching(pattern: re.Pattern[str], field: Field, given: object) -> str | None:
    good = isinstance(given, str) and len(given) <= field.most and pattern.fullmatch(given)
    return str(given) if good else None


def _choice(field: Field, given: object) -> str | None:
    return str(given) if isinstance(given, str) and given in field.of else None


def _gravity(field: Field, given: object) -> str | None:
    text = _matching(_PRINTED, field, given)
    low, high = field.span
    return text if text and low <= Decimal(text) <= high else None


def _quantity(given: object) -> Quantity | None:
    try:
        return units.parse(given) if isinstance(given, str) else None
    except Refused:
        return None


def _printed(field: Field, given: object) -> Quantity | None:
    quantity = _quantity(given)
    if quantity is None or units.dimension(quantity.unit) != field.of:
        return None
    low, high = field.span
    return quantity if low <= quantity.si() <= high else None


def _amount(field: Field, given: object) -> float | None:
    quantity = _printed(field, given)
    return None if quantity is None else quantity.si()


def _count(field: Field, given: object) -> int | None:
    low, high = field.span
    return given if type(given) is int and low <= given <= high else None


def _date(field: Field, given: object) -> str | None:
    text = _matching(_DATE, field, given)
    try:
        return text and date.fromisoformat(text).isoformat()
    except ValueError:
        return None


def _unit(field: Field, given: object) -> str | None:
    return str(given) if given in units.units_of(str(field.of)) else None


def _interval(field: Field, given: object) -> tuple[float, str] | None:
    """So many, and what they are counted by."""
    loads = _LOADS.fullmatch(given) if isinstance(given, str) else None
    if loads:
        return float(loads[1]), LOADS
    quantity = _quantity(given)
    per = quantity and PER.get(units.dimension(quantity.unit))
    return (quantity.si(), per) if quantity and per and quantity.si() > 0 else None


def _words(field: Field, given: object) -> dict[str, str] | None:
    good = isinstance(given, dict) and all(
        (key in field.of or not field.of) and isinstance(value, str) and LINE.fullmatch(value)
        for key, value in given.items()
    )
    return dict(given) if good and isinstance(given, dict) else None


def _pairs(field: Field, given: object) -> tuple[tuple[str, str], ...] | None:
    good = isinstance(given, list) and all(
        isinstance(pair, list) and len(pair) == 2 and all(isinstance(label, str) for label in pair)
        for pair in given
    )
    return (
        tuple((back, ahead) for back, ahead in given) if good and isinstance(given, list) else None
    )


def _free(field: Field, given: object) -> dict[str, Any] | None:
    return given if isinstance(given, dict) and _plain(given, DEEPEST) else None


def _plain(value: object, depth: int) -> bool:
    """Whether a value is made of what entries can carry: text, numbers, lists and tables."""
    if isinstance(value, float):
        return isfinite(value)
    if isinstance(value, dict):
        names = all(key and LINE.fullmatch(key) and "/" not in key for key in value)
        return names and depth > 0 and all(_plain(item, depth - 1) for item in value.values())
    if isinstance(value, list):
        return depth > 0 and all(_plain(item, depth - 1) for item in value)
    return isinstance(value, str | int)


def _between(field: Field) -> str:
    article = "an" if str(field.of)[0] in "aeiou" else "a"
    return f"it must be {article} {field.of} from {field.low} to {field.high}, its unit beside it"


def _whole(field: Field) -> str:
    if field.low == field.high:
        return f"it must be {field.low}"
    return f"it must be a whole number from {field.low} to {field.high}"


def _says(sentence: str) -> Callable[[Field], str]:
    return lambda field: sentence.format(field=field)


TYPES: Final[Mapping[str, Type]] = {
    "text": Type(
        _text, _says("it must be text in quotes, one line of at most {field.most} characters")
    ),
    "lines": Type(
        partial(_matching, LINES),
        _says("it must be text in quotes, of at most {field.most} characters"),
    ),
    "name": Type(
        partial(_matching, _NAME),
        _says("it must be one short word in quotes: letters, digits, and - . _ between them"),
    ),
    "word": Type(
        partial(_matching, _WORD),
        _says("it must be in quotes: lower-case letters, digits and hyphens, at most 40"),
    ),
    "choice": Type(_choice, lambda field: "it must be one of " + ", ".join(field.of)),
    "number": Type(
        partial(_matching, _PRINTED),
        _says('it must be the number as printed, in quotes since its digits count, such as "5.0"'),
    ),
    "gravity": Type(
        _gravity, _says('it must be from {field.low} to {field.high}, in quotes, such as "2.512"')
    ),
    "degrees": Type(
        _gravity,
        _says(
            "it must be degrees from {field.low} to {field.high}, as a decimal number in quotes, "
            'such as "44.65"'
        ),
    ),
    "amount": Type(_amount, _between),
    "printed": Type(_printed, _between),
    "count": Type(_count, _whole),
    "date": Type(_date, _says('it must be a date in quotes, such as "2026-04-20"')),
    "clock": Type(
        partial(_matching, _CLOCK), _says('it must be a time of day in quotes, such as "17:30"')
    ),
    "zone": Type(
        partial(_matching, _ZONE),
        _says('it must be the name of a time zone in quotes, such as "America/Halifax"'),
    ),
    "station": Type(
        _text, _says('it must be the label of a station in quotes, such as "2+400" or "124+50"')
    ),
    "unit": Type(
        _unit, lambda field: "it must be one of " + ", ".join(units.units_of(str(field.of)))
    ),
    "interval": Type(_interval, _says('it must be such as "5 loads", "200 t", "30 m" or "30 min"')),
    "words": Type(
        _words,
        lambda field: (
            'it must be a table of texts, such as { a = "b" }'
            + (", for any of " + ", ".join(field.of) if field.of else "")
        ),
    ),
    "pairs": Type(
        _pairs, _says('it must be a list of pairs [back, ahead], such as [["2+600", "2+650"]]')
    ),
    "ref": Type(_text, _says("it must be text in quotes")),
    "free": Type(
        _free,
        _says(
            "it must be a table of texts, numbers, lists and tables, not too deep, dates in quotes"
        ),
    ),
}
"""Every type of field that holds a value; tables in tables are the reader's own."""
