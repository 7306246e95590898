"""Ways into a plan's document, such as lifts/surface/spread: set one value, list what differs.

A step is the name of a field, or what names one table among its like (its id; inner tables have
the key that `form.toml` gives). The values are texts: what is text in the plan stands as it is,
anything else as JSON (`["E", "W"]`, `3`). None stands for what isn't there.
"""

import json
from collections.abc import Collection, Iterator, Mapping, Sequence
from typing import Any, Final, NamedTuple, NoReturn, TypeGuard

from matbook.errors import Refused
from matbook.plan.draft import near
from matbook.plan.form import ROOT, Table, form, inner

Document = Mapping[str, Any]
"""The TOML of a plan that reads without a mistake."""

Difference = tuple[str, str | None, str | None]
"""Path, old text, new text."""

_AS_JSON: Final = ("count", "pairs")
_LIKE: Final = '["E", "W"], 3 or "text"'


class _Spot(NamedTuple):
    """What the form knows of a place: its table, if it is one, and how a value is written there."""

    table: Table | None
    written: str
    """row, tables, text, json, or either: text unless it can be read as JSON."""


def change(document: Document, path: str, new: str | None) -> dict[str, Any]:
    """A document with one value set or added, or taken away where `new` is None.

    Raises:
        Refused: The path leads nowhere, or what is new can't be read as what belongs there.

    Example:
        >>> plan = {"lifts": [{"id": "top", "spread": "118 kg/m2"}]}
        >>> change(plan, "lifts/top/spread", "115 kg/m2")
        {'lifts': [{'id': 'top', 'spread': '115 kg/m2'}]}
    """
    spot, steps = _spot(path), path.split("/")
    value = None if new is None else _value(path, new, spot)
    return _listed(_set(path, _keyed(document, form()[ROOT]), steps, value), form()[ROOT])


def text_at(document: Document, path: str) -> str | None:
    """The value at a path as text; None where there is nothing. Raises Refused as `change` does."""
    spot = _spot(path)
    node: Any = _keyed(document, form()[ROOT])
    for step in path.split("/"):
        node = node.get(step) if isinstance(node, dict) else None
    return _text(node, spot)


def differences(old: Document, new: Document) -> list[Difference]:
    """Every value that differs; making these changes one by one leads from old to new.

    The order of tables is no difference.

    Example:
        >>> differences({"matbook": 1}, {"matbook": 1, "adopt": ["a/b"]})
        [('adopt', None, '["a/b"]')]
    """
    root = form()[ROOT]
    return list(_differences(_keyed(old, root), _keyed(new, root), ""))


def _spot(path: str) -> _Spot:
    """What belongs at a path; raises Refused where the form knows of nothing."""
    spot = _Spot(form()[ROOT], "row")
    for step in path.split("/"):
        spot = _below(path, spot, step)
    if spot.written == "tables":
        raise Refused("path", path, "it leads to tables: go on to one of them by its name")
    return spot


def _below(path: str, spot: _Spot, step: str) -> _Spot:
    if spot.table is None:
        if spot.written not in ("words", "either") or not step:
            _nowhere(path, step, ())
        return _Spot(None, "text" if spot.written == "words" else "either")
    if spot.written == "tables":
        return _Spot(spot.table, "row")
    field = spot.table.fields.get(step)
    if field is None or step == spot.table.key:
        _nowhere(path, step, [name for name in spot.table.fields if name != spot.table.key])
    if field.type in ("table", "tables"):
        return _Spot(inner(field), "row" if field.type == "table" else "tables")
    containers = {"words": "words", "free": "either"}
    as_text = "json" if field.many or field.type in _AS_JSON else "text"
    return _Spot(None, containers.get(field.type, as_text))


def _nowhere(path: str, step: str, known: Collection[str]) -> NoReturn:
    what = near(step, known, "what there is") if known else "nothing more is inside"
    raise Refused("path", path, f"at “{step[:40]}”, {what}")


# A document with its lists of tables as tables by key: every step of a path is then a key.


def _keyed(row: Document, table: Table) -> dict[str, Any]:
    found = dict(row)
    for name, field in table.fields.items():
        below = inner(field)
        if field.type == "tables" and below is not None:
            rows = {each[below.key]: _keyed(each, below) for each in row.get(name, ())}
            found[name] = {key: _without(each, below.key) for key, each in rows.items()}
        elif field.type in ("words", "free"):
            found.setdefault(name, {})
    return found


def _listed(row: Document, table: Table) -> dict[str, Any]:
    """Back again; what has been set as a list, or is no table, stays for the reader to judge."""
    found = dict(row)
    for name, field in table.fields.items():
        below, value = inner(field), found.get(name)
        if field.type in ("tables", "words", "free") and value == {}:
            del found[name]
        elif field.type == "tables" and below is not None and _is_tables(value):
            found[name] = [
                {below.key: key, **_listed(_without(each, below.key), below)}
                for key, each in value.items()
            ]
    return found


def _is_tables(value: object) -> TypeGuard[dict[str, dict[str, Any]]]:
    return isinstance(value, dict) and all(isinstance(each, dict) for each in value.values())


def _without(row: Document, name: str) -> dict[str, Any]:
    return {key: value for key, value in row.items() if key != name}


def _set(path: str, node: Document, steps: Sequence[str], value: object) -> dict[str, Any]:
    step, *rest = steps
    below = node.get(step)
    if rest and isinstance(below, dict):
        return {**node, step: _set(path, below, rest, value)}
    if rest or (value is None and below is None):
        _nowhere(path, *((step, node) if below is None else (rest[0], ())))
    return _without(node, step) if value is None else {**node, step: value}


def _differences(old: Document, new: Document, path: str) -> Iterator[Difference]:
    for name in dict.fromkeys((*old, *new)):
        here, before, after = f"{path}{name}", old.get(name), new.get(name)
        if isinstance(before, dict) and isinstance(after, dict):
            yield from _differences(before, after, f"{here}/")
        elif before != after or type(before) is not type(after):
            spot = _spot(here)
            yield here, _text(before, spot), _text(after, spot)


# Values as text


def _value(path: str, text: str, spot: _Spot) -> object:
    if spot.written == "text" and not text.startswith('"'):
        return text
    try:
        value = json.loads(text, parse_constant=_no_constant)
    except (ValueError, RecursionError):
        if spot.written == "either":
            return text
        raise Refused("new", text, f"at {path} it must be JSON, such as {_LIKE}") from None
    if spot.table is not None and not isinstance(value, dict):
        raise Refused("new", text, 'it must be a table as JSON, such as {"name": "Lane 1"}')
    return value


def _text(value: object, spot: _Spot) -> str | None:
    if value is None:
        return None
    if isinstance(value, str) and value and _value_is(value, spot):
        return value
    if spot.table is not None and isinstance(value, dict):
        value = _listed(value, spot.table)
    return json.dumps(value, ensure_ascii=False)


def _value_is(text: str, spot: _Spot) -> bool:
    """Whether a text stands for itself."""
    return spot.written in ("text", "either") and _value("", text, spot) is text


def _no_constant(name: str) -> NoReturn:
    raise ValueError(f"{name} is no number")
