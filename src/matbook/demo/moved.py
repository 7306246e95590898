"""The metric demo moved to the present: the first day is yesterday, the second one is now.

Everything else about an entry stays: who wrote it on which device, what it says, how long after
it happened. The day that is over keeps its times of day; the day that is replayed is moved to the
second. Yesterday is yesterday, and not a day in June, because what is open from then is handed on
to today with its age, and instruments whose calibration was in order should be so still. Clocks
show the time of this machine, not that of the job's place, so that what the replay writes and what
a person writes beside it agree on what time it is.
"""

import json
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from hashlib import sha256
from types import MappingProxyType
from typing import Any, Final

from matbook.book.entry import Entry, read_entry
from matbook.book.pen import Pen, new_id
from matbook.demo import files

JOB: Final = "harrow"
CLOSED_DAY: Final = date(2026, 6, 16)
TODAY: Final = date(2026, 6, 17)
TICKETS: Final = "tickets-2026-06-16.csv"
LATEST_MORNING: Final = 16
"""A shift that opens from this hour on, or before `EARLIEST`, is a night's."""
EARLIEST: Final = 4

PLAN_SAYS: Final = (
    ('name = "Harrowfen Road, binder course"', 'name = "Harrowfen Road, invented demo"'),
    (
        "# daylight time, -03:00, on the days of this demo",
        "# replayed by the clock at hand instead",
    ),
)
"""What the plan says otherwise once it is moved."""

_MOMENT: Final = r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d[+-]\d\d:\d\d"
_ID: Final = r"[0-9a-f]{8}-[0-9a-f]{4}-7[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}"
_MONTHS: Final = {"May": 5, "June": 6}
_MOVABLE: Final = re.compile(rf"({_MOMENT})|({_ID})|(\d{{4}}-\d\d-\d\d)|\b(\d\d?) (May|June)\b")

Clock = Callable[[datetime], datetime]


@dataclass(frozen=True)
class Script:
    """What was written on the two days, as invented: the day that is over, and the other one."""

    closed: tuple[Entry, ...]
    today: tuple[Entry, ...]

    @property
    def opened(self) -> datetime:
        """When the second day's shift opened."""
        return self.today[0].at


def script() -> Script:
    """Both days in the order of writing, the plan among the first."""
    held = files(JOB)
    entries = [*_read(held["entries.jsonl"].read_text("utf-8"))]
    entries += _read(held["rest-of-the-day.jsonl"].read_text("utf-8"))
    today = tuple(entry for entry in entries if f"/{TODAY}/" in entry.shift)
    return Script(tuple(entry for entry in entries if f"/{TODAY}/" not in entry.shift), today)


def _read(text: str) -> Iterable[Entry]:
    for line in text.splitlines():
        pair = json.loads(line)
        yield read_entry(pair["text"], pair["hash"])


class Moved:
    """Where and when everything of the script is, if its second shift opened at this moment.

    Args:
        script: The two invented days.
        opened: When today's shift opened, with the offset of this place.
    """

    def __init__(self, script: Script, opened: datetime) -> None:
        self.by = opened - script.opened
        self.working_date = opened.date()
        self._days = self.working_date - TODAY
        part = "day" if EARLIEST <= opened.hour < LATEST_MORNING else "night"
        self.shift = f"{JOB}/{self.working_date}/a/{part}"
        self.closed_shift = f"{JOB}/{self.working_date - timedelta(days=1)}/a/day"
        self._ids = {entry.id: _new_id(entry, self.over) for entry in script.closed}
        self._ids |= {entry.id: _new_id(entry, self.now) for entry in script.today}

    def over(self, at: datetime) -> datetime:
        """A moment of a day that is over: the same time of day, so many days later."""
        return (at.replace(tzinfo=None) + self._days).astimezone()

    def now(self, at: datetime) -> datetime:
        """A moment of the day that is replayed."""
        return (at + self.by).astimezone()

    def id_of(self, entry: Entry) -> str:
        return self._ids[entry.id]

    def closed(self, entries: Iterable[Entry]) -> list[Entry]:
        """The days that are over, on their devices' chains."""
        pens: dict[str, Pen] = {}
        found = []
        for entry in entries:
            pen = pens.get(entry.device, Pen(entry.device, entry.by))
            moved, pens[entry.device] = self.write(pen, entry, self.over)
            found.append(moved)
        return found

    def write(
        self,
        pen: Pen,
        entry: Entry,
        clock: Clock,
        ticket: str = "",
        place: Mapping[str, str] = MappingProxyType({}),
    ) -> tuple[Entry, Pen]:
        """Write an entry of the script where and when it is now.

        Args:
            pen: The device's, where its chain has reached.
            entry: As invented.
            clock: `over` or `now`.
            ticket: Its number, if not as invented.
            place: What its place has besides.
        """
        data = self._value(_envelope(entry), clock)
        body = self._value(entry.body, clock) | ({"ticket": ticket} if ticket else {})
        if entry.shift.startswith(f"{JOB}/{TODAY}"):
            data["shift"] = self.shift
        if place:
            data["place"] = {**entry.place, **place}
        return pen.write(body=body, **data)

    def text(self, text: str, clock: Clock) -> str:
        """A text with its moments, dates and ids moved."""

        def moved(found: re.Match[str]) -> str:
            moment, name, day, number, month = found.groups()
            if moment:
                return clock(datetime.fromisoformat(moment)).isoformat()
            if name:
                return self._ids.get(name, name)
            if day:
                return str(date.fromisoformat(day) + self._days)
            there = date(TODAY.year, _MONTHS[month], int(number)) + self._days
            return f"{there.day} {there:%B}"

        return _MOVABLE.sub(moved, text)

    def _value(self, value: Any, clock: Clock) -> Any:
        if isinstance(value, str):
            for was, says in PLAN_SAYS if len(value) > 1000 else ():
                value = value.replace(was, says)
            return self.text(value, clock)
        if isinstance(value, Mapping):
            return {name: self._value(item, clock) for name, item in value.items()}
        return [self._value(item, clock) for item in value] if isinstance(value, list) else value


def _envelope(entry: Entry) -> dict[str, Any]:
    """An entry's envelope without what belongs to the chain and the person writing."""
    return {
        name: value
        for name, value in entry.data.items()
        if name not in ("body", "by", "device", "seq", "prev")
    }


def _new_id(entry: Entry, clock: Clock) -> str:
    """The same for the same entry moved to the same moment, so that a replay can go on."""
    chance = sha256(entry.id.encode()).digest()[:10]
    return new_id(int(clock(entry.written).timestamp() * 1000), chance)
