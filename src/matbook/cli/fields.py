"""FIELD=VALUE as a person types it: values, places, references to other entries, files."""

import re
from collections.abc import Mapping
from pathlib import Path
from typing import Any, Final

from matbook.book.entry import Entry
from matbook.book.forms import PLACE_TEXTS
from matbook.book.kinds import EXAMPLES, Field, Kind
from matbook.desk.job import JobBook
from matbook.engine import units
from matbook.errors import NotFound, Refused
from matbook.store.contract import Store

SHORTEST_ID: Final = 8
ID_LENGTH: Final = 36
SHA256: Final = re.compile("[0-9a-f]{64}")
ENVELOPE: Final = ("instrument", "by", "at", "shift", "strikes", "why", "job")
"""What is said as an option, not as a field."""


def read_fields(
    book: JobBook, form: Kind, said: tuple[str, ...]
) -> tuple[dict[str, Any], dict[str, Any]]:
    """FIELD=VALUE arguments as a body and a place."""
    body: dict[str, Any] = {}
    place: dict[str, Any] = {}
    for one in said:
        name, equals, value = one.partition("=")
        if not equals:
            raise Refused("FIELD=VALUE", one, "write the field's name, an equals sign, its value")
        field = form.fields.get(name.removeprefix("body."))
        if field is not None and not name.startswith("place."):
            typed = read_value(book, field, value)
            _once(body, field.name, many=field.many)
            body[field.name] = [*body.get(field.name, []), typed] if field.many else typed
        elif name.removeprefix("place.") in (*PLACE_TEXTS, "offset"):
            _once(place, name.removeprefix("place."))
            place[name.removeprefix("place.")] = value
        elif name in ENVELOPE:
            raise Refused("field", name, f"say it as --{name}")
        else:
            allowed = ", ".join([*form.fields, *form.place])
            raise Refused("field", name, f"{form.name} takes {allowed}")
    return body, place


def _once(given: dict[str, Any], name: str, *, many: bool = False) -> None:
    if name in given and not many:
        raise Refused(name, str(given[name]), "it is given twice; say it once")


def read_value(book: JobBook, field: Field, value: str) -> Any:
    """A value as typed, in the form that entries keep; left alone where it can't be read."""
    if field.type == "count" and value.isdecimal():
        return int(value)
    if field.type == "quantity" and value:
        try:
            return str(units.parse(value))
        except Refused as error:
            example = EXAMPLES.get(str(field.of), "12.5 t")
            raise Refused(field.name, value, f"{error.allowed} (for this one: {example})") from None
    if field.type == "entry" and value:
        return referred(book, field.name, value)
    return value


def referred(book: JobBook, field: str, value: str) -> str:
    """The id of an entry named by its id, the beginning of it, or a load's ticket number."""
    if (len(value) >= SHORTEST_ID and value.count("-")) or len(value) == ID_LENGTH:
        return entry_named(book, value, field).id
    loads = [e for e in book.entries if e.kind == "load" and e.body.get("ticket") == value]
    ids = {e.id for e in loads if e.body.get("witness") != "plant"} or {e.id for e in loads}
    if len(ids) != 1:
        allowed = f"{len(ids)} loads carry this ticket; give the id of an entry, see: show entries"
        raise Refused(field, value, allowed)
    return ids.pop()


def entry_named(book: JobBook, name: str, field: str = "--strikes") -> Entry:
    """The entry whose id is this or, alone in the book, begins like this."""
    if len(name) < SHORTEST_ID:
        raise Refused(field, name, f"give {SHORTEST_ID} or more characters of the entry's id")
    found = {entry.id: entry for entry in book.entries if entry.id.startswith(name.lower())}
    if not found:
        raise NotFound(f"There is no entry “{name}” in this book; see: matbook show entries")
    if len(found) > 1:
        ids = ", ".join(list(found)[:3]) + (" …" if len(found) > 3 else "")
        raise Refused(field, name, f"{len(found)} ids begin like this, give more of it: {ids}")
    return next(iter(found.values()))


def attached(store: Store, form: Kind, body: dict[str, Any]) -> dict[str, Any]:
    """The body with each file that was named by its path kept, and named by its SHA-256."""
    files = {field.name for field in form.fields.values() if field.type == "file"}
    return {
        name: _kept(store, name, value) if name in files and value else value
        for name, value in body.items()
    }


def _kept(store: Store, field: str, value: str) -> str:
    if SHA256.fullmatch(value):
        return value
    try:
        with Path(value).open("rb") as original:
            return store.attach(original)
    except (OSError, ValueError):
        allowed = "it must be a file that is there to be read, or the SHA-256 of one kept before"
        raise Refused(field, value, allowed) from None


def takes(field: Field) -> str:
    """What a field takes, in words."""
    what: Mapping[str, str] = {
        "choice": ", ".join(field.of),
        "quantity": f"{field.of} with its unit, {field.low} to {field.high}",
        "count": f"a whole number, {field.low} to {field.high}",
        "moment": "a date and time with its offset",
        "entry": "the id of an entry",
        "person": "a person's id in the plan, or a name",
        "file": "a file on this machine, or the SHA-256 of one kept before",
        "map": "an object",
        "text": f"text, up to {field.most} characters",
    }
    found = what[field.type]
    if field.of == "any":
        found = "an amount with its unit"
    return found + (" (may be given more than once)" if field.many else "")
