"""A day of the demo that is over: the plant's file is taken, and the shift sealed."""

from dataclasses import dataclass, replace
from datetime import timedelta

from matbook.book.pen import ShiftName
from matbook.bootstrap import Installation
from matbook.cli.importing import offset_at
from matbook.records.sheets import read_sheet
from matbook.records.tickets import tickets


@dataclass(frozen=True)
class TicketFile:
    """What a plant sent of one shift."""

    name: str
    raw: bytes


def finished(here: Installation, job: str, shift: str, sent: TicketFile | None) -> Installation:
    """Take the plant's file as the person at the plant would, and seal the shift if it is closed.

    Returns:
        The same installation, its clock set to when that shift's last entry was written: what the
        installation adds to a day that is over belongs to that day too.
    """
    book = here.book(job)
    last = max(entry.written for entry in book.entries if entry.shift == shift)
    now = last + timedelta(minutes=1)
    here = replace(here, clock=lambda: now)
    if sent is not None:
        _take(here, job, shift, sent)
        book = here.book(job)
    if book.seal_of(shift) is None and book.facts(shift).of("shift-close"):
        here.seal(job, shift)
    return here


def _take(here: Installation, job: str, shift: str, sent: TicketFile) -> None:
    plan = here.book(job).facts(shift).plans.latest
    plant, now = next(iter(plan.plants.values())), here.clock()
    sheet = read_sheet(sent.raw, sent.name, tuple(plant.columns.values()))
    offset = offset_at(plan.job.time_zone, now)
    found = tickets(sheet, plan, plant.id, ShiftName.read(shift), offset, now)
    by = next(person.id for person in plan.people.values() if person.role == "plant")
    here.write_all(job, "load", found.drafts, by, shift)
