"""The second invented day of the metric demo, written into a book as if it happened now.

Its people write on their own devices, into the store that the server serves, so the app hears of it
by the server's own news. Every entry is at the time at which it happens, the paver keeps its pace
and trucks take the time that trucks take: a day played faster than the clock would have a mat
laid at 170 m/min. So the replay goes faster than the clock only to catch up with it: when it
begins, the latest minutes of what happened are still to come, like the entries of phones that
had no signal; when they are in, the day goes on by the clock.

A person may write beside it. A load they take stands for the replay's next one, whose truck it
was, and a ticket number that is in the book already is not used again. A replay that was stopped
goes on where the book ends, as if the crew had gone on meanwhile; first it waits a little, so that
the app can send what was written without it.
"""

import json
from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import datetime, timedelta
from itertools import pairwise, takewhile
from typing import Any, Final

from matbook.book.entry import Entry
from matbook.book.pen import Pen
from matbook.bootstrap import Installation, moment_text
from matbook.demo.moved import JOB, Moved, Script

BEFORE: Final = timedelta(hours=2, minutes=32)
"""How long today's shift has been open when the replay begins for the first time."""
MOST_BEHIND: Final = timedelta(minutes=90)
"""At any speed the day's first hour is there at once: the shift is in full swing."""
CATCHING_UP: Final = timedelta(seconds=90)
"""About how long it takes to catch up, at any speed."""
WAITS: Final = timedelta(seconds=10)
"""Before it goes on, when it was stopped before."""
SAME_TRUCK: Final = timedelta(minutes=3)
"""A load that somebody took is the replay's next one that is emptied later than so long before."""


class Replay:
    """Writes what is due, and knows what is there.

    Args:
        here: The installation; its clock gives the present.
        script: The two invented days.
        moved: Where and when they are now.
        speed: How many times faster than the clock it catches up, from 1: not at all.
    """

    def __init__(self, here: Installation, script: Script, moved: Moved, speed: float) -> None:
        self._here, self._moved = here, moved
        self._script = script.today
        self._devices = {entry.device for entry in script.today}
        taken = [entry for entry in script.today if _is_taken(entry)]
        self._before = {load.id: before for before, load in pairwise(taken)}
        self._done = 0
        self._left_out: list[Entry] = []
        now = here.clock()
        before = [entry for entry in self._held() if self._is_ours(entry)]
        if before:
            self._begins = now + WAITS
            self._from = max(datetime.fromisoformat(entry["written"]) for entry in before)
        else:
            self._begins = now
            self._from = now - min(CATCHING_UP * (speed - 1), MOST_BEHIND)
        self._speed = max(speed, 1 + (self._begins - self._from) / CATCHING_UP)

    def reached(self) -> datetime:
        """Up to when the replay has come: a moment in the past, or the present."""
        now = self._here.clock()
        since = max(now - self._begins, timedelta())
        return min(now, self._from + since * self._speed)

    def _held(self) -> list[dict[str, Any]]:
        return [json.loads(one.text) for one in self._here.store.entries(JOB)]

    def _is_ours(self, entry: Mapping[str, Any]) -> bool:
        """Whether it is of today's shift, and was written by the replay."""
        return entry.get("shift") == self._moved.shift and entry["device"] in self._devices

    @property
    def ends(self) -> datetime:
        """When its last entry is written."""
        return self._moved.now(self._script[-1].written)

    def write_due(self) -> int:
        """Write what is due and not there; gives how many entries that was.

        Raises:
            StoreBusy: Another process is writing; nothing of it was kept.
        """
        until = self.reached() - self._moved.by
        due = list(takewhile(lambda entry: entry.written <= until, self._script[self._done :]))
        if not due:
            return 0
        written, left_out = self._written(due)
        pairs = [(entry.hash, entry.text) for entry in written]
        self._here.store.append(pairs, moment_text(self._here.clock()))
        self._done, self._left_out = self._done + len(due), left_out
        return len(written)

    def _written(self, due: Sequence[Entry]) -> tuple[list[Entry], list[Entry]]:
        """What of this is to be written, and all that was left out so far."""
        held = self._held()
        there = {entry["id"] for entry in held}
        used = {number_of(entry.get("body", {})) for entry in held if entry["kind"] == "load"}
        taken, left_out = self._taken_by_others(held), [*self._left_out]
        pens: dict[str, Pen] = {}
        found = []
        for entry in (one for one in due if self._moved.id_of(one) not in there):
            loads_left = sum(one.kind == "load" for one in left_out)
            latest = self._moved.now(entry.at) + SAME_TRUCK
            met = _is_taken(entry) and any(at <= latest for at in taken[loads_left:])
            if met or _speaks_of(entry, left_out):
                left_out.append(entry)
                continue
            ticket, place = "", {}
            if entry.kind == "load":
                number = free(number_of(entry.body), used)
                used.add(number)
                ticket, place = str(number), self._after(entry, left_out)
            pen = pens.get(entry.device) or self._pen(entry)
            now = self._moved.now
            made, pens[entry.device] = self._moved.write(pen, entry, now, ticket, place)
            found.append(made)
        return found, left_out

    def _after(self, load: Entry, left_out: Sequence[Entry]) -> dict[str, str]:
        """Where a load began, which is said only if the one before it is not the replay's."""
        before = self._before.get(load.id)
        if before is None or all(one.id != before.id for one in left_out):
            return {}
        return {"from": str(before.place["to"])}

    def _taken_by_others(self, held: Iterable[dict[str, Any]]) -> list[datetime]:
        """When others took the loads of this shift that stand, in order."""
        struck = {entry.get("strikes") for entry in held}
        return sorted(
            datetime.fromisoformat(entry["at"])
            for entry in held
            if entry["kind"] == "load"
            and entry.get("shift") == self._moved.shift
            and not self._is_ours(entry)
            and entry.get("body", {}).get("decision") == "taken"
            and entry["id"] not in struck
        )

    def _pen(self, entry: Entry) -> Pen:
        heads = self._here.store.heads(JOB).get(entry.device, ())
        last = max(heads, key=lambda head: head.seq, default=None)
        if last is None:
            return Pen(entry.device, entry.by)
        return Pen(entry.device, entry.by, last.seq, last.hash)


def _is_taken(entry: Entry) -> bool:
    return entry.kind == "load" and entry.body["decision"] == "taken"


def _speaks_of(entry: Entry, left_out: Iterable[Entry]) -> bool:
    """Whether an entry is about one that was left out."""
    body = entry.body
    return any(
        one.id in body.get("about", ()) or one.id in (body.get("load"), body.get("notice"))
        for one in left_out
    )


def number_of(body: Mapping[str, Any]) -> int:
    """The ticket number of a load; 0 where it isn't a plain number."""
    ticket = str(body.get("ticket", ""))
    return int(ticket) if ticket.isdecimal() else 0


def free(number: int, used: Collection[int]) -> int:
    """This ticket number, or the one after the last if it is in the book already.

    Example:
        >>> free(1131, {1129, 1130}), free(1131, {1130, 1131, 1135})
        (1131, 1136)
    """
    return number if number not in used else max(used) + 1
