"""The kinds of entry: declarative forms, in `kinds/*.toml`, one table per kind.

The same data gives the checks here, the schema of the HTTP API and the fields of the app.
Relations between entries are not checked here: they become calls of the shift.
"""

import tomllib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources
from typing import Any, Final

from matbook.book.entry import moment
from matbook.engine import units
from matbook.errors import EntryRefused, MatbookError, NotFound

WRITERS: Final = ("inspector", "technician", "supervisor")
"""Who may write a kind that doesn't say."""

_HEX: Final = frozenset("0123456789abcdef")


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a form: what it takes, whether it must be there, its range."""

    name: str
    type: str
    need: bool = False
    many: bool = False
    most: int = 2000
    of: str | tuple[str, ...] = ""
    low: str | int | None = None
    high: str | int | None = None
    usual: tuple[str, str] | None = None
    """Outside this a person is asked once; what they wrote is then kept as written."""


@dataclass(frozen=True, slots=True)
class Kind:
    """A form: what it is about, its version, its fields, who may write it."""

    name: str
    v: int
    about: str
    group: str
    writers: tuple[str, ...]
    place: tuple[str, ...]
    fields: Mapping[str, Field]


@dataclass(frozen=True, slots=True)
class Fault:
    """One thing wrong with a body: the field, what was given, what is allowed."""

    field: str
    given: str
    allowed: str

    def __str__(self) -> str:
        return f"{self.field} is “{self.given[:60]}”; {self.allowed}."


@lru_cache(maxsize=1)
def kinds() -> Mapping[str, Kind]:
    """Every kind, by name, in the order of the forms."""
    return {kind.name: kind for kind in _read_all()}


def kind_named(name: str) -> Kind:
    """One kind by name; raises NotFound."""
    try:
        return kinds()[name]
    except KeyError:
        raise NotFound(f"There is no kind of entry called “{name[:60]}”.") from None


def faults(kind: Kind, body: Mapping[str, Any]) -> list[Fault]:
    """Everything wrong with a body, field by field; an empty list if nothing is.

    Example:
        >>> [str(f) for f in faults(kind_named("width"), {"width": "3.65 kg"})]
        ['width is “3.65 kg”; it must be a length with its unit, such as 3.65 m.']
    """
    found = [
        Fault(name, "", "it must be given")
        for name, field in kind.fields.items()
        if field.need and name not in body
    ]
    for name, value in body.items():
        field = kind.fields.get(name)
        if field is None:
            found.append(Fault(name, str(value), f"the kind {kind.name} has no such field"))
        else:
            found.extend(_field_faults(field, value))
    return found


def unusual(kind: Kind, body: Mapping[str, Any]) -> list[Fault]:
    """Values outside their usual range: to be asked about once, then kept as written."""
    found = []
    for name, value in body.items():
        field = kind.fields.get(name)
        if field is None or field.usual is None or [*_field_faults(field, value)]:
            continue
        low, high = field.usual
        if not _si(low) <= _si(value) <= _si(high):
            found.append(Fault(name, value, f"usually {low} to {high}"))
    return found


def _field_faults(field: Field, value: object) -> Iterator[Fault]:
    if field.many:
        if not isinstance(value, list):
            yield Fault(field.name, str(value), "it must be a list")
            return
        items = value
    else:
        items = [value]
    for item in items:
        allowed = CHECKS[field.type](field, item)
        if allowed:
            yield Fault(field.name, str(item), allowed)


# Each check gives what is allowed, or nothing when the value is.


def _text(field: Field, value: object) -> str:
    good = isinstance(value, str) and 0 < len(value) <= field.most
    return "" if good else f"it must be text of 1 to {field.most} characters"


def _choice(field: Field, value: object) -> str:
    return "" if value in field.of else "it must be one of " + ", ".join(field.of)


def _count(field: Field, value: object) -> str:
    low, high = int(field.low or 0), int(field.high or 0)
    good = type(value) is int and low <= value <= high
    return "" if good else f"it must be a whole number from {low} to {high}"


def _quantity(field: Field, value: object) -> str:
    measure = str(field.of)
    if not isinstance(value, str) or " " not in value:
        return _with_unit(measure)
    try:
        quantity = units.parse(value)
    except MatbookError:
        return _with_unit(measure)
    if str(quantity) != value:
        return f"it must be written {quantity}"
    if measure == "any":
        return ""
    if units.dimension(quantity.unit) != measure:
        return _with_unit(measure)
    if field.low is not None and not _si(str(field.low)) <= quantity.si() <= _si(str(field.high)):
        return f"it must be from {field.low} to {field.high}"
    return ""


def _with_unit(measure: str) -> str:
    example = EXAMPLES.get(measure, "12.5 t")
    what = "an amount" if measure == "any" else f"a {measure}"
    return f"it must be {what} with its unit, such as {example}"


def _moment(field: Field, value: object) -> str:
    try:
        moment(str(value))
    except EntryRefused:
        return "it must be a date and time with its offset, such as 2026-05-12T09:41:00-04:00"
    return ""


def _entry(field: Field, value: object) -> str:
    return "" if isinstance(value, str) and 0 < len(value) <= 64 else "it must be an entry's id"


def _person(field: Field, value: object) -> str:
    good = isinstance(value, str) and 0 < len(value) <= 100
    return "" if good else "it must be a person's id in the plan, or a name"


def _file(field: Field, value: object) -> str:
    good = isinstance(value, str) and len(value) == 64 and _HEX.issuperset(value)
    return "" if good else "it must be the SHA-256 of the original, 64 hexadecimal digits"


def _map(field: Field, value: object) -> str:
    return "" if isinstance(value, dict) else "it must be an object"


CHECKS: Final[Mapping[str, Callable[[Field, object], str]]] = {
    "text": _text,
    "choice": _choice,
    "count": _count,
    "quantity": _quantity,
    "moment": _moment,
    "entry": _entry,
    "person": _person,
    "file": _file,
    "map": _map,
}

EXAMPLES: Final[Mapping[str, str]] = {
    "mass": "22.40 t",
    "length": "3.65 m",
    "temperature": "142 degC",
    "ratio": "2.0 %",
    "area": "24 m2",
    "volume": "1850 L",
    "speed": "4.5 m/min",
    "time": "8.5 h",
    "density": "2360 kg/m3",
    "frequency": "50 Hz",
}


@lru_cache(maxsize=4096)
def _si(text: str) -> float:
    return units.parse(text).si()


def _read_all() -> Iterator[Kind]:
    folder = resources.files("matbook.book") / "kinds"
    for name in ("shift", "delivery", "paving", "rolling", "joints", "people", "record"):
        tables = tomllib.loads((folder / f"{name}.toml").read_text(encoding="utf-8"))
        for kind, table in tables.items():
            yield Kind(
                name=kind,
                v=table.get("v", 1),
                about=table["about"],
                group=name,
                writers=tuple(table.get("writers", WRITERS)),
                place=tuple(table.get("place", ())),
                fields={
                    field: _field(field, spec) for field, spec in table.get("fields", {}).items()
                },
            )


def _field(name: str, spec: Mapping[str, Any]) -> Field:
    given: dict[str, Any] = {
        key: tuple(value) if isinstance(value, list) else value for key, value in spec.items()
    }
    return Field(name=name, **given)
