"""The shift's own clock: the offset that its entries were written by, so that times agree.

Entries carry the offset of the device that wrote them, and one laptop left on another zone must
not show the hours of a shift in two ways. A time-zone database is never asked.
"""

from collections import Counter
from datetime import datetime, timedelta, timezone
from typing import Final

CHANGED_BY: Final = timedelta(hours=1)
"""So far, at most, a clock is put forward or back within a shift; common practice."""


class Clocks:
    """The offsets met in one shift, each with how often, when first and when last.

    Example:
        >>> clocks = Clocks()
        >>> for text in ("08:00:00-03:00", "08:10:00-03:00", "11:20:00+00:00"):
        ...     clocks.note(datetime.fromisoformat(f"2026-05-12T{text}"))
        >>> clocks.local(datetime.fromisoformat("2026-05-12T11:20:00+00:00")).isoformat()
        '2026-05-12T08:20:00-03:00'
    """

    def __init__(self) -> None:
        self._often: Counter[timedelta] = Counter()
        self._first: dict[timedelta, datetime] = {}
        self._last: dict[timedelta, datetime] = {}
        self._usual: timedelta | None = None
        """The commonest offset; of two alike the one met first."""

    def note(self, at: datetime) -> None:
        """Take in the moment of one entry, in any order."""
        offset = _offset(at)
        self._often[offset] += 1
        self._first[offset] = min(at, self._first.get(offset, at))
        self._last[offset] = max(at, self._last.get(offset, at))
        most = max(self._often.values())
        likely = (offset for offset, often in self._often.items() if often == most)
        self._usual = min(likely, key=self._first.__getitem__)

    @property
    def several(self) -> bool:
        """Whether more than one offset was met, so that equal moments may be told differently."""
        return len(self._often) > 1

    def own(self, offset: timedelta) -> bool:
        """Whether an offset is the shift's: the commonest, or one that its clock was changed to.

        A clock was changed where one offset ends before the other begins, an hour apart at most.
        """
        usual = self._usual
        if usual is None or offset == usual:
            return True
        if offset not in self._often or abs(offset - usual) > CHANGED_BY:
            return False
        after = self._first[offset] > self._last[usual]
        return after or self._last[offset] < self._first[usual]

    def local(self, at: datetime) -> datetime:
        """A moment on the shift's clock; as it is where that is its own, or nothing is known."""
        if self._usual is None or self.own(_offset(at)):
            return at
        return at.astimezone(timezone(self._usual))


def _offset(at: datetime) -> timedelta:
    offset = at.utcoffset()
    assert offset is not None  # moments are refused without one
    return offset
