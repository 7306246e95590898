"""Writes entries for tests as a person's device would: one chain per device, ids that count up."""

from datetime import datetime, timedelta, tzinfo
from typing import Any

from matbook.book.entry import Entry
from matbook.book.pen import Pen, new_id

DAY = datetime.fromisoformat("2026-05-12T07:00:00-03:00")
SHIFT = "ridge/2026-05-12/a/day"


class Scribe:
    """One device in one person's hand."""

    def __init__(self, device: str = "phone-1", by: str = "ana", job: str = "ridge") -> None:
        self.pen = Pen(device, by)
        self.job = job

    def write(
        self,
        kind: str,
        body: dict[str, Any] | None = None,
        minute: float = 0,
        *,
        late: float = 0,
        shift: str = SHIFT,
        id: str | None = None,  # noqa: A002  (it is the entry's field)
        by: str | None = None,
        v: int = 1,
        zone: tzinfo | None = DAY.tzinfo,
        **envelope: Any,
    ) -> Entry:
        """An entry at so many minutes after seven, written `late` minutes after that."""
        at = (DAY + timedelta(minutes=minute)).astimezone(zone)
        pen = self.pen if by is None else Pen(self.pen.device, by, self.pen.seq, self.pen.prev)
        number = self.pen.seq + 1
        entry, after = pen.write(
            id
            or new_id(int(at.timestamp() * 1000), f"{self.pen.device[-5:]}{number:05d}".encode()),
            self.job,
            kind,
            body or {},
            at=at.isoformat(),
            written=(at + timedelta(minutes=late)).isoformat(),
            v=v,
            shift="" if kind == "plan" else shift,
            **envelope,
        )
        self.pen = Pen(after.device, self.pen.by, after.seq, after.prev)
        return entry
