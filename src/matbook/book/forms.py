"""Opening an entry's body by the form of its kind; what can't be opened rests in quarantine.

An entry with an intact envelope is always kept and passed on. Quarantine is worked out on
reading, so a newer version of this program may take what an older one could not.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, Final

from matbook.book.entry import Entry
from matbook.book.kinds import Fault, Kind, faults, kinds
from matbook.engine import units
from matbook.errors import MatbookError

Up = Callable[[Mapping[str, Any]], Mapping[str, Any]]

UPS: Final[Mapping[tuple[str, int], Up]] = {}
"""(kind, version) -> what brings a body of that version to the next. Pure, and never edited."""

PLACE_TEXTS: Final = ("road", "lane", "lift", "paver", "area", "station", "from", "to")


@dataclass(frozen=True, slots=True)
class Opened:
    """A body brought up to today's form, or the reason why it rests in quarantine."""

    body: Mapping[str, Any]
    trouble: str = ""


def opened(
    entry: Entry,
    forms: Mapping[str, Kind] | None = None,
    ups: Mapping[tuple[str, int], Up] = UPS,
) -> Opened:
    """Open an entry's body: bring it up to today's version, then check it field by field."""
    kind = (forms or kinds()).get(entry.kind)
    if kind is None:
        return Opened(entry.body, f"the kind “{entry.kind}” is not known here.")
    if entry.v > kind.v:
        return Opened(entry.body, f"{entry.kind} is of version {entry.v}; this knows {kind.v}.")
    body = entry.body
    for version in range(entry.v, kind.v):
        body = ups[(entry.kind, version)](body)
    found = faults(kind, body) + place_faults(kind, entry.place)
    return Opened(body, " ".join(str(fault) for fault in found))


def place_faults(kind: Kind, place: Mapping[str, Any]) -> list[Fault]:
    """Everything wrong with where an entry says it was."""
    found = []
    for name, value in place.items():
        if name in PLACE_TEXTS:
            good = isinstance(value, str) and 0 < len(value) <= 64
            allowed = "it must be text of 1 to 64 characters"
        elif name == "offset":
            good, allowed = _is_length(value), "it must be a length with its unit, such as 1.2 m"
        elif name == "fix":
            good, allowed = isinstance(value, dict), "it must be an object"
        else:
            good, allowed = False, "a place has no such field"
        if not good:
            found.append(Fault(f"place.{name}", str(value), allowed))
    return found


def _is_length(value: object) -> bool:
    try:
        return isinstance(value, str) and units.dimension(units.parse(value).unit) == "length"
    except MatbookError:
        return False
