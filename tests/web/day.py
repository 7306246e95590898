"""The demo's paving day as people would write it again: drafts for devices, and what to expect."""

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from matbook.desk.open_book import OpenBook
from tests.web.harness import JOB, Device
from tests.web.office import Office, demo_pairs

DAY = "harrow/2026-06-16/a/day"
AT = "2030-01-01T00:00:00+00:00"
"""Long after: a past shift is shown as it stood at its last entry, so no clock plays a part."""
LOADS = 110
BY_THE_INSPECTOR = ("shift-open", "paver", "placed", "load")
BY_THE_TECHNICIAN = ("temperature", "width")


@dataclass(frozen=True)
class Line:
    """One entry to be written: the draft, and the id it had in the demo's book."""

    was: str
    draft: dict[str, Any]

    @property
    def at(self) -> datetime:
        return datetime.fromisoformat(self.draft["at"])


def planned() -> list[tuple[str, str]]:
    """The plan alone, as the office has it before anybody paves."""
    return [pair for pair in demo_pairs() if not json.loads(pair[1]).get("shift")]


def lines(person: str, kinds: Sequence[str], loads: int = LOADS) -> list[Line]:
    """What a person wrote on that day of these kinds, with no more than so many loads."""
    found: list[Line] = []
    left = loads
    for entry in (json.loads(text) for _, text in demo_pairs()):
        if (entry.get("shift"), entry["by"]) != (DAY, person) or entry["kind"] not in kinds:
            continue
        if entry["kind"] == "load" and not entry.get("strikes"):
            left -= 1
        if left < 0:
            break
        names = ("job", "shift", "kind", "body", "at", "place", "strikes", "why")
        draft = {name: entry[name] for name in names if name in entry}
        found.append(Line(entry["id"], draft))
    return found


class Writer:
    """Somebody who writes the day on a device: what refers to an entry refers to the new one."""

    def __init__(self) -> None:
        self.ids: dict[str, str] = {}
        self.hashes: list[str] = []

    def write(self, device: Device, todo: Iterable[Line]) -> None:
        """Write each line when it happened, by the device's clock."""
        for line in todo:
            device.page.clock.set_fixed_time(line.at)
            kept = device.run("return m.keep(a)", self._now(line.draft))
            self.ids[line.was] = kept["id"]
            self.hashes.append(kept["hash"])

    def _now(self, draft: dict[str, Any]) -> dict[str, Any]:
        body = dict(draft["body"])
        if "load" in body:
            body["load"] = self.ids[body["load"]]
        strikes = {"strikes": self.ids[draft["strikes"]]} if "strikes" in draft else {}
        return {**draft, "body": body, **strikes}


QUESTIONS: tuple[tuple[str, dict[str, str]], ...] = (
    ("figures", {}),
    ("loads", {}),
    *(("now", {"language": language}) for language in ("en", "es", "fr")),
)
"""What is asked of every device: each figure at its display digits, each answer in words."""


def answers_on(device: Device, shift: str = DAY) -> list[Any]:
    """What the core in this browser makes of what the device holds."""
    found: list[Any] = device.run(
        """
        window.core ??= m.startCore({ base: document.baseURI });
        await core.ready;
        await core.open(a.job, await m.pairs(a.job));
        const answers = [];
        for (const [question, given] of a.questions) answers.push(await core.ask(question, given));
        return answers;
        """,
        {"job": JOB, "questions": _questions(shift)},
    )
    return found


def answers_of(pairs: Iterable[dict[str, Any]], shift: str = DAY) -> list[Any]:
    """What the core in CPython makes of these entries."""
    book = OpenBook(JOB)
    book.add((pair["hash"], pair["text"]) for pair in pairs)
    found: list[Any] = json.loads(json.dumps([book.ask(*one) for one in _questions(shift)]))
    return found


def _questions(shift: str) -> list[tuple[str, dict[str, str]]]:
    return [(question, {"shift": shift, "at": AT, **given}) for question, given in QUESTIONS]


def assert_same_figures(office: Office, *devices: Device) -> list[Any]:
    """Every device shows what CPython shows of the server's entries; gives those answers."""
    expected = answers_of(office.entries(JOB))
    for device in devices:
        for found, wanted in zip(answers_on(device), expected, strict=True):
            assert found == wanted
    return expected
