"""When each row of a ticket file was loaded: written dates and times, placed in one shift.

The shift's working date decides what a file leaves open: which of two dates is meant, on which
side of midnight a bare time lies, which rows belong to another shift. The windows below are
ours: common practice, no published source.
"""

from collections.abc import Callable, Sequence
from datetime import date, datetime, time, timedelta
from functools import lru_cache
from itertools import pairwise
from typing import Final, NamedTuple

from matbook.book.pen import ShiftName
from matbook.errors import FileRefused, Refused
from matbook.records.moments import Written, date_order, dated

OffsetAt = Callable[[datetime, int], str]
"""The offset of local time at the job, such as -04:00, by local time and fold (PEP 495)."""

NOON: Final = time(12)
LATEST_OF_DAY: Final = time(3)
"""Until when a day shift may run past midnight."""

LATEST_LUNCH: Final = 5
"""A step from 12 to an hour up to this is the afternoon of a 12-hour clock; one to a later hour
is a ticket out of order."""

_DAY: Final = timedelta(days=1)
_DAY_S: Final = 86_400
_MS: Final = timedelta(milliseconds=1)
_EPOCH: Final = datetime(1970, 1, 1)


class Placed(NamedTuple):
    """When a row happened; `loaded` if the row itself says so."""

    at: str
    """In the form of an entry, with its offset."""
    ms: int
    """The same instant, in milliseconds since 1970 by UTC."""
    loaded: bool
    flags: tuple[str, ...] = ()


class Placing(NamedTuple):
    """How a file's moments were read, and every row's place or what keeps it from one."""

    order: str
    rows: list[Placed | Refused]


class Local(NamedTuple):
    """A moment whose date, if it has one, is settled."""

    day: date | None
    clock: time | None
    offset: str


def placed(rows: Sequence[Written | Refused], shift: ShiftName, offset_at: OffsetAt) -> Placing:
    """Place the moments of a file's rows, in their order, in a shift.

    Raises:
        Refused: The shift's working date is no date.
        FileRefused: The file's dates or times can't be told.
    """
    working = _working_date(shift)
    opened = {w.day for w in rows if isinstance(w, Written) and isinstance(w.day, tuple)}
    order = date_order(opened, working)
    found: list[Placed | Refused | Local] = [_settled(row, order) for row in rows]
    told = [(at, row) for at, row in enumerate(found) if isinstance(row, Local)]
    if {row.clock for _, row in told if row.clock} == {time()}:
        told = [(at, row._replace(clock=None)) for at, row in told]  # dates kept as midnights
    if _newest_first([row for _, row in told]):
        told.reverse()
    ordered = [row for _, row in told]
    _require_24_hours(ordered)
    days = _days(ordered, working, shift.part)
    clock = _Clock(offset_at, _window(shift.part, working, ordered, days), working)
    for (at, row), day in zip(told, days, strict=True):
        try:
            found[at] = clock.place(row, day)
        except Refused as refusal:
            found[at] = refusal
    return Placing(order, [row for row in found if not isinstance(row, Local)])


def _working_date(shift: ShiftName) -> date:
    try:
        working = date.fromisoformat(shift.date)
    except ValueError:
        working = date.min
    if not 1900 <= working.year < 3000:
        raise Refused("The shift", str(shift), "its working date must be a date of our time")
    return working


def _settled(row: Written | Refused, order: str) -> Local | Refused:
    if isinstance(row, Refused):
        return row
    if not isinstance(row.day, tuple):
        return Local(row.day, row.clock, row.offset)
    day = dated(row.day, order)
    if day is None:
        return Refused("loaded", "/".join(map(str, row.day)), f"read as {order}, it is no date")
    return Local(day, row.clock, row.offset)


def _newest_first(rows: Sequence[Local]) -> bool:
    """Whether more rows go back in time, from the one above, than go on."""
    timed = [(row.day, _seconds(row.clock)) for row in rows if row.clock]
    back = onward = 0
    for (day, above), (next_day, below) in pairwise(timed):
        ahead = below - above
        if day is not next_day and day and next_day:
            ahead += (next_day - day).days * _DAY_S
        elif abs(ahead) > _DAY_S / 2 and not (day and next_day):
            ahead = -ahead  # midnight lies between them
        back += ahead < 0
        onward += ahead > 0
    return back > onward


def _seconds(clock: time) -> int:
    return clock.hour * 3600 + clock.minute * 60 + clock.second


def _require_24_hours(rows: Sequence[Local]) -> None:
    """Refuse a clock of twelve hours that doesn't say which half of the day it means."""
    if any(row.clock.hour > 12 for row in rows if row.clock):
        return
    timed = [(row.day, row.clock) for row in rows if row.clock]
    for (day, above), (next_day, below) in pairwise(timed):
        if day == next_day and above.hour == 12 and 1 <= below.hour <= LATEST_LUNCH:
            raise FileRefused(
                f"The times go from {above:%H:%M} to {below:%H:%M} on one day and none is later "
                "than 12:59: they are hours of a 12-hour clock. Export them with AM and PM, or by "
                "the 24-hour clock."
            )


def _days(rows: Sequence[Local], working: date, part: str) -> list[date]:
    """The calendar day of every row: its own, or told by the working date and the order."""
    night = part == "night"
    given = {row.day for row in rows}
    if night and given == {working} and _cross_midnight(rows):
        rows = [row._replace(day=None) for row in rows]  # the column holds the working date
    days = []
    late = night
    for row in rows:
        clock = row.clock or NOON
        late = late or clock >= NOON
        after = late and clock < (NOON if night else LATEST_OF_DAY)
        days.append(row.day or (working + _DAY if after else working))
    return days


def _cross_midnight(rows: Sequence[Local]) -> bool:
    evenings = [row.clock >= NOON for row in rows if row.clock]
    return evenings[:1] == [True] and False in evenings


Window = tuple[datetime, datetime]


def _window(part: str, working: date, rows: Sequence[Local], days: Sequence[date]) -> Window:
    """What may belong to the shift: its day, or the night its working date begins or ends."""
    noon = datetime.combine(working, NOON)
    if part == "day":
        return datetime.combine(working, time()), datetime.combine(working + _DAY, LATEST_OF_DAY)
    timed = [
        datetime.combine(day, row.clock) for row, day in zip(rows, days, strict=True) if row.clock
    ]
    if not any(noon <= at < noon + _DAY for at in timed) and any(
        noon - _DAY <= at < noon for at in timed
    ):
        return noon - _DAY, noon
    return noon, noon + _DAY


class _Clock:
    """The job's clock, read row by row in the order they were loaded."""

    def __init__(self, offset_at: OffsetAt, window: Window, working: date) -> None:
        self._offset_at = lru_cache(maxsize=None)(offset_at)
        self._window = window
        # Far days are refused first: near the ends of the calendar there is no other time zone.
        self._first, self._last_day = working - 2 * _DAY, working + 2 * _DAY
        self._before = datetime.min
        self._second_pass = False
        noon = datetime.combine(working, NOON)
        self._last = self._at(noon, offset_at(noon, 0), loaded=False, flags=())

    def place(self, row: Local, day: date) -> Placed:
        """Place one row; raises Refused where it belongs to another shift, or can't be."""
        begins, ends = self._window
        self._require(self._first <= day <= self._last_day, day)
        if row.clock is None:
            midnight = datetime.combine(day, time())
            self._require(midnight < ends and midnight + _DAY > begins, day)
            return self._last._replace(loaded=False, flags=("no-time",))
        naive = datetime.combine(day, row.clock)
        flags: tuple[str, ...] = ()
        if row.offset:
            naive, offset = self._brought_here(naive, row.offset)
        else:
            offset, flags = self._offset(naive)
        self._require(begins <= naive < ends, naive)
        self._before = naive
        placed = self._at(naive, offset, loaded=True, flags=flags)
        self._last = placed
        return placed

    def _require(self, within: bool, given: date) -> None:
        if not within:
            begins, ends = (f"{moment:%Y-%m-%d %H:%M}" for moment in self._window)
            raise Refused("loaded", str(given), f"it is outside this shift, {begins} to {ends}")

    def _offset(self, naive: datetime) -> tuple[str, tuple[str, ...]]:
        """The offset at a local time; where a time comes twice, the order of rows tells which."""
        minute = naive.replace(second=0)
        first, second = self._offset_at(minute, 0), self._offset_at(minute, 1)
        if first == second:
            return first, ()
        if _delta(first) < _delta(second):
            raise Refused(
                "loaded", str(naive), "the clocks skipped this time when they went forward"
            )
        self._second_pass = self._second_pass or naive < self._before
        return (second if self._second_pass else first), ("clock-repeats",)

    def _brought_here(self, naive: datetime, offset: str) -> tuple[datetime, str]:
        """A moment that came with an offset of its own, on the job's clock."""
        utc = naive - _delta(offset)
        about = utc + _delta(self._offset_at(naive.replace(second=0), 0))
        for fold in (0, 1):
            here = self._offset_at(about.replace(second=0), fold)
            local = utc + _delta(here)
            if self._offset_at(local.replace(second=0), fold) == here:
                return local, here
        return naive, offset

    @staticmethod
    def _at(naive: datetime, offset: str, *, loaded: bool, flags: tuple[str, ...]) -> Placed:
        ms = (naive - _EPOCH - _delta(offset)) // _MS
        return Placed(f"{naive.isoformat()}{offset}", ms, loaded, flags)


@lru_cache(maxsize=256)
def _delta(offset: str) -> timedelta:
    """An offset as a length of time.

    Example:
        >>> _delta("-03:30")
        datetime.timedelta(days=-1, seconds=73800)
    """
    sign = -1 if offset.startswith("-") else 1
    return sign * timedelta(hours=int(offset[1:3]), minutes=int(offset[4:6]))
