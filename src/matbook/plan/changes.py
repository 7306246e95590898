"""The plan in force at any moment: the first import, and every change agreed since."""

from bisect import bisect_right
from collections.abc import Mapping, Sequence
from copy import deepcopy
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from typing import Any, Final

from matbook.book.entry import Entry
from matbook.errors import PlanRefused, Refused
from matbook.plan.model import Job, Plan
from matbook.plan.reader import STATION_ERROR_M, plan_of, read_plan

_NO_PLAN: Final = Plan(
    job=Job("", "no plan yet", "", "metric", "UTC"),
    roads={},
    lanes={},
    areas={},
    lifts={},
    mixes={},
    limits=(),
    checks=(),
    plants={},
    trucks={},
    pavers={},
    rollers={},
    instruments={},
    people={},
    station_error_m=STATION_ERROR_M,
    acceptance={},
    document={},
)
"""What holds while no plan has arrived: nothing is planned, nothing is limited."""


@dataclass(frozen=True, slots=True)
class Change:
    """One change to the plan that came into force."""

    entry: Entry
    path: str
    old: str
    new: str
    agreed: str


@dataclass(frozen=True)
class Plans:
    """Every plan a job had, in order, with the changes between them."""

    moments: tuple[float, ...]
    plans: tuple[Plan, ...]
    changes: tuple[Change, ...]
    troubles: tuple[tuple[Entry, str], ...]
    """Changes that could not be applied, each with the reason; the plan stayed as it was."""

    @classmethod
    def of(cls, entries: Sequence[Entry]) -> "Plans":
        """The plans from `plan` entries that stand, in reading order."""
        moments: list[float] = []
        plans: list[Plan] = []
        changes: list[Change] = []
        troubles: list[tuple[Entry, str]] = []
        for entry in entries:
            try:
                plan = _applied(plans[-1] if plans else _NO_PLAN, entry)
            except (PlanRefused, Refused) as error:
                troubles.append((entry, str(error)))
                continue
            moments.append(entry.at.timestamp())
            plans.append(plan)
            if "path" in entry.body:
                changes.append(_change(entry))
        return cls(tuple(moments), tuple(plans), tuple(changes), tuple(troubles))

    def at(self, moment: datetime) -> Plan:
        """The plan in force at a moment; before the first one, the first one."""
        if not self.plans:
            return _NO_PLAN
        place = bisect_right(self.moments, moment.timestamp())
        return self.plans[max(0, place - 1)]

    @property
    def latest(self) -> Plan:
        """The plan with every change so far."""
        return self.plans[-1] if self.plans else _NO_PLAN


def change(document: Mapping[str, Any], path: str, old: str, new: str) -> dict[str, Any]:
    """A plan's document with one value changed, such as lifts/surface/spread.

    Raises:
        Refused: There is no such path, or it doesn't hold the old value.
    """
    changed = deepcopy(dict(document))
    *way, last = path.split("/")
    table: Any = changed
    for step in way:
        table = _step(table, step)
    if not isinstance(table, dict) or (last not in table and old):
        raise Refused("path", path, "the plan has no such place")
    held = table.get(last, "")
    if str(held) != old:
        raise Refused("old", old, f"the plan holds “{held}” at {path}")
    table[last] = type(held)(new) if isinstance(held, int) and new.isdecimal() else new
    return changed


def _step(table: Any, step: str) -> Any:
    """One step down: into a table by key, or into a list of tables by id."""
    if isinstance(table, list):
        return next((r for r in table if isinstance(r, dict) and r.get("id") == step), None)
    return table.get(step) if isinstance(table, dict) else None


def _applied(plan: Plan, entry: Entry) -> Plan:
    body = entry.body
    if "toml" in body:
        return _read(str(body["toml"]))
    path, old, new = (str(body.get(name, "")) for name in ("path", "old", "new"))
    return plan_of(change(plan.document, path, old, new))


@lru_cache(maxsize=32)
def _read(text: str) -> Plan:
    return read_plan(text)


def _change(entry: Entry) -> Change:
    body = entry.body
    path, old, new, agreed = (str(body.get(n, "")) for n in ("path", "old", "new", "agreed"))
    return Change(entry, path, old, new, agreed)
