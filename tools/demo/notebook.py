"""What people write on their devices during a job, and at the end every device's chain."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Any

from matbook.book.entry import Entry
from matbook.book.pen import Pen, new_id
from tools.demo.dice import Dice


@dataclass(frozen=True)
class Draft:
    """An entry before it has its place on a chain."""

    id: str
    by: str
    device: str
    kind: str
    body: Mapping[str, Any]
    at: datetime
    written: datetime
    envelope: Mapping[str, Any]


class Notebook:
    """All drafts of one job.

    Args:
        job: The job's id.
        devices: Person -> the device they write on.
        local: A moment as the clocks on site show it, with the offset in force.
    """

    def __init__(
        self, job: str, devices: Mapping[str, str], local: Callable[[datetime], datetime]
    ) -> None:
        self.job = job
        self.shift = ""
        self.drafts: list[Draft] = []
        self._devices = devices
        self._local = local
        self._dice = Dice(f"{job}/notebook")

    def write(
        self,
        by: str,
        kind: str,
        body: Mapping[str, Any],
        at: datetime,
        after: timedelta | None = None,
        **envelope: Any,
    ) -> str:
        """Write an entry down, a little after it happened; gives its id."""
        at = self._local(at).replace(microsecond=0)
        later = timedelta(seconds=self._dice.whole(12, 55)) if after is None else after
        written = self._local(at + later).replace(microsecond=0)
        made = new_id(int(written.timestamp() * 1000), self._dice.bytes(10))
        envelope = {"shift": self.shift, **envelope}
        device = self._devices[by]
        self.drafts.append(Draft(made, by, device, kind, body, at, written, envelope))
        return made

    def correct(
        self,
        wrong: str,
        by: str,
        why: str,
        written: datetime,
        /,
        **changes: Any,
    ) -> str:
        """Strike an entry with one that has some of its fields changed.

        Args:
            wrong: Id of the entry to strike.
            by: Who corrects.
            why: The reason they give.
            written: When.
            changes: `body` and `place`: fields to set, or to leave out where None.
        """
        was = next(draft for draft in self.drafts if draft.id == wrong)
        body = _changed(was.body, changes.get("body", {}))
        envelope = dict(was.envelope)
        if "place" in changes:
            envelope["place"] = _changed(envelope.get("place", {}), changes["place"])
        envelope |= {"strikes": wrong, "why": why}
        return self.write(by, was.kind, body, was.at, written - was.at, **envelope)

    def entries(self) -> list[Entry]:
        """Every entry on its device's chain, in the order in which they were written."""
        pens: dict[str, Pen] = {}
        found = []
        for draft in sorted(self.drafts, key=lambda draft: draft.written):
            pen = pens.get(draft.device, Pen(draft.device, draft.by))
            entry, pens[draft.device] = pen.write(
                draft.id,
                self.job,
                draft.kind,
                draft.body,
                at=draft.at.isoformat(),
                written=draft.written.isoformat(),
                **draft.envelope,
            )
            found.append(entry)
        return found


def _changed(was: Mapping[str, Any], changes: Mapping[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in {**was, **changes}.items() if value is not None}
