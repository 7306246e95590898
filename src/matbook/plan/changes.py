"""The plan in force at any moment: its first text, and every change agreed since.

A change that can't be made leaves the plan as it was, and is kept with the reason why.
"""

import json
from bisect import bisect_right
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache
from typing import Any, Final

from matbook.book.entry import Entry
from matbook.errors import PlanRefused, Refused
from matbook.plan.model import Job, Plan
from matbook.plan.paths import change, differences, text_at
from matbook.plan.reader import read_document, read_plan

NO_PLAN: Final = Plan(
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
    station_error_m=0.0,
    acceptance={},
    document={},
)
"""What holds until a plan arrives: nothing is planned and nothing limited."""


@dataclass(frozen=True, slots=True)
class Change:
    """One change that came into force: for printing, what wasn't there is empty."""

    entry: Entry
    path: str
    old: str
    new: str
    agreed: str


@dataclass(frozen=True, slots=True)
class Plans:
    """Every plan that a job had, in order of the moments they came into force."""

    moments: tuple[float, ...]
    plans: tuple[Plan, ...]
    changes: tuple[Change, ...]
    troubles: tuple[tuple[Entry, str], ...]
    """Plan entries that couldn't be applied, each with the reason."""

    @classmethod
    def of(cls, entries: Sequence[Entry]) -> "Plans":
        """The plans that the `plan` entries of one job make."""
        steps: list[tuple[float, Plan]] = []
        changes: list[Change] = []
        troubles: list[tuple[Entry, str]] = []
        for entry in sorted(entries, key=lambda entry: entry.order):
            try:
                before = steps[-1][1] if steps else None
                plan = _after(before, entry)
            except (PlanRefused, Refused) as error:
                troubles.append((entry, _sentence(error)))
                continue
            steps.append((entry.at.timestamp(), plan))
            if before is not None:
                changes += _changes(entry, before, plan)
        moments, plans = tuple(at for at, _ in steps), tuple(plan for _, plan in steps)
        return cls(moments, plans, tuple(changes), tuple(troubles))

    def at(self, moment: datetime) -> Plan:
        """The plan in force at a moment; before the first one, the first one."""
        if not self.plans:
            return NO_PLAN
        return self.plans[max(0, bisect_right(self.moments, moment.timestamp()) - 1)]

    @property
    def latest(self) -> Plan:
        """The plan with every change so far."""
        return self.plans[-1] if self.plans else NO_PLAN


def why_not(before: Plan, body: Mapping[str, Any]) -> str:
    """Why a change can't be made to a plan, in a sentence; empty if it can.

    Args:
        before: The plan in force.
        body: The body of a `plan` entry with `path`, `old` and `new`.
    """
    try:
        _read_document(json.dumps(_changed(before.document, body), ensure_ascii=False))
    except (PlanRefused, Refused) as error:
        return _sentence(error)
    return ""


def _after(before: Plan | None, entry: Entry) -> Plan:
    """The plan once an entry is in force; raises PlanRefused or Refused."""
    body = entry.body
    if "toml" in body:
        plan = _read_text(str(body["toml"]))
    elif "path" not in body:
        raise Refused("plan entry", "empty", "it must hold the text of a plan, or a path into it")
    elif before is None:
        raise Refused("path", str(body["path"]), "there is no plan yet that it could change")
    else:
        plan = _read_document(json.dumps(_changed(before.document, body), ensure_ascii=False))
    if before is not None and plan.job.id != before.job.id:
        raise Refused("job id", plan.job.id, f"it must stay “{before.job.id}”")
    return plan


def _changed(document: Mapping[str, Any], body: Mapping[str, Any]) -> dict[str, Any]:
    path, old = str(body["path"]), body.get("old")
    held = text_at(document, path)
    if held != old:
        shown = "nothing there" if held is None else f"“{held}” there"
        raise Refused("old", "nothing" if old is None else str(old), f"the plan has {shown}")
    new = body.get("new")
    return change(document, path, None if new is None else str(new))


def _changes(entry: Entry, before: Plan, after: Plan) -> list[Change]:
    body = entry.body
    found = differences(before.document, after.document) if "toml" in body else []
    if "path" in body:
        found = [(str(body["path"]), body.get("old"), body.get("new"))]
    agreed = str(body.get("agreed", ""))
    return [Change(entry, path, old or "", new or "", agreed) for path, old, new in found]


@lru_cache(maxsize=16)
def _read_text(text: str) -> Plan:
    return read_plan(text)


@lru_cache(maxsize=64)
def _read_document(text: str) -> Plan:
    """A changed plan, remembered: the whole chain is gone through again at every new change."""
    return read_document(json.loads(text))


def _sentence(error: PlanRefused | Refused) -> str:
    if isinstance(error, Refused):
        return str(error)
    (place, sentence), *more = error.mistakes
    return f"{place}: {sentence}" + (f" (And {len(more)} more.)" if more else "")
