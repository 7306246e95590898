"""The pen: writes entries onto one device's chain."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from matbook.book.entry import FIRST, Entry, written_entry
from matbook.errors import Refused


@dataclass(frozen=True)
class Pen:
    """A device at the point its chain has reached; writing gives the entry and the next pen.

    Example:
        >>> pen = Pen("phone-1", "ana")
        >>> entry, pen = pen.write(
        ...     new_id(1_760_000_000_000, bytes(10)),
        ...     "harrow",
        ...     "note",
        ...     {"text": "Started"},
        ...     at="2026-05-12T07:00:00-04:00",
        ...     written="2026-05-12T07:00:02-04:00",
        ... )
        >>> entry.seq, pen.seq, pen.prev == entry.hash
        (1, 1, True)
    """

    device: str
    by: str
    seq: int = 0
    prev: str = FIRST

    def write(
        self,
        id: str,  # noqa: A002  (it is the entry's field)
        job: str,
        kind: str,
        body: Mapping[str, Any],
        *,
        at: str,
        written: str,
        v: int = 1,
        **envelope: Any,
    ) -> tuple[Entry, "Pen"]:
        """Write one entry; empty envelope fields are left out.

        Raises:
            EntryRefused: The entry would not have an intact envelope.
        """
        data = {name: value for name, value in envelope.items() if value not in ("", None, {})}
        data |= {"id": id, "job": job, "kind": kind, "v": v, "at": at, "written": written}
        data |= {"by": self.by, "device": self.device, "seq": self.seq + 1, "prev": self.prev}
        data["body"] = dict(body)
        entry = written_entry(data)
        return entry, replace(self, seq=entry.seq, prev=entry.hash)


def new_id(clock_ms: int, random: bytes) -> str:
    """A UUID of version 7 (RFC 9562, section 5.7) from the device's clock and ten random bytes.

    Example:
        >>> new_id(1_760_000_000_000, bytes(10))
        '0199c82c-c000-7000-8000-000000000000'
    """
    digits = f"{clock_ms:012x}{random.hex()}"
    variant = "89ab"[int(digits[16], 16) & 3]
    return f"{digits[:8]}-{digits[8:12]}-7{digits[13:16]}-{variant}{digits[17:20]}-{digits[20:32]}"


_SHIFT = re.compile(r"([a-z0-9-]{1,64})/(\d{4}-\d\d-\d\d)/([a-z0-9-]{1,20})/(day|night)")


@dataclass(frozen=True)
class ShiftName:
    """Job, working date, crew, day or night: the same on every device without asking.

    The working date, not the calendar, decides where a night belongs.

    Example:
        >>> str(ShiftName.read("harrow/2026-05-12/a/day"))
        'harrow/2026-05-12/a/day'
    """

    job: str
    date: str
    crew: str
    part: str

    @classmethod
    def read(cls, text: str) -> "ShiftName":
        found = _SHIFT.fullmatch(text)
        if not found:
            raise Refused(
                "The shift",
                text,
                "it must be job/working date/crew/day or night, such as harrow/2026-05-12/a/day",
            )
        return cls(*found.groups())

    def __str__(self) -> str:
        return f"{self.job}/{self.date}/{self.crew}/{self.part}"
