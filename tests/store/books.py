"""Entries for the tests of stores: two devices, a copied one that forks, two shifts, two jobs."""

from collections.abc import Iterator
from copy import copy
from itertools import count

from matbook.book.entry import Entry
from matbook.store.contract import Written
from tests.scribe import SHIFT, Scribe

NIGHT = "ridge/2026-05-12/a/night"
NOW = "2026-05-12T12:00:00+00:00"


def pair(entry: Entry) -> Written:
    return entry.hash, entry.text


def pairs(entries: list[Entry]) -> list[Written]:
    return [pair(entry) for entry in entries]


def book() -> list[Entry]:
    """One of everything a store has to keep apart; in the order it was written."""
    ana, bo, far = Scribe(), Scribe("phone-2", "bo"), Scribe("phone-3", "cy", job="vale")
    entries = [ana.write("plan", {"text": "invented"})]
    for minute in range(1, 6):
        entries.append(ana.write("note", {"text": f"a {minute}"}, minute))
        entries.append(bo.write("note", {"text": "a\nb \u2603 \u007f"}, minute, shift=NIGHT))
        entries.append(far.write("note", {"text": "c"}, minute, shift="vale/2026-05-12/a/day"))
    twin = copy(ana)
    for minute in range(6, 9):
        entries.append(ana.write("note", {"text": "the phone"}, minute))
        entries.append(twin.write("note", {"text": "its copy"}, minute))
    return entries


def notes(job: str = "ridge", device: str = "phone-1") -> Iterator[Written]:
    """One device's chain without end."""
    scribe, shift = Scribe(device, job=job), SHIFT.replace("ridge", job)
    for number in count():
        yield pair(scribe.write("note", {"number": number}, number / 60, shift=shift))
