"""A job's book: its shifts in order, each with what the one before handed on."""

from bisect import insort
from collections.abc import Iterable
from datetime import datetime

from matbook.book.entry import Entry, moment
from matbook.book.forms import opened
from matbook.book.merge import merged
from matbook.book.pen import ShiftName
from matbook.errors import NotFound
from matbook.shift.carry import NOTHING, Carry, carry_of
from matbook.shift.facts import Facts, shifts_of
from matbook.shift.gathered import order_of
from matbook.shift.view import View, view


class JobBook:
    """Every entry of one job, folded shift by shift, each only when somebody looks."""

    def __init__(self, entries: Iterable[Entry]) -> None:
        self.entries = merged(entries)
        self.job = self.entries[0].job if self.entries else ""
        self.shifts = list(shifts_of(self.entries))
        """Names of the shifts, in order of working date, day before night."""
        self._facts: dict[str, Facts] = {}
        self._carries: dict[str, Carry] = {}
        self._here = {entry.hash for entry in self.entries}

    def add(self, entry: Entry) -> bool:
        """Take one more entry, anywhere in the order; False if it is here already."""
        if entry.hash in self._here:
            return False
        self._here.add(entry.hash)
        insort(self.entries, entry, key=order_of)
        self.job = self.job or entry.job
        if entry.shift and entry.shift not in self.shifts:
            self.shifts = list(shifts_of(self.entries))
            self._carries.clear()
        changed = {shift for shift, facts in self._facts.items() if facts.add(entry)}
        first = min((self.shifts.index(shift) for shift in changed), default=len(self.shifts))
        for shift in self.shifts[first:]:
            self._carries.pop(shift, None)
        return True

    def facts(self, shift: str) -> Facts:
        """The facts of one shift; raises NotFound."""
        if shift not in self.shifts:
            raise NotFound(
                f"There is no shift “{shift}” in this book. "
                f"It has: {', '.join(self.shifts) or 'none yet'}."
            )
        if shift not in self._facts:
            self._facts[shift] = Facts(ShiftName.read(shift), self.entries)
        return self._facts[shift]

    def carry_to(self, shift: str) -> Carry:
        """What the shifts before hand to this one."""
        place = self.shifts.index(shift)
        if place == 0:
            return NOTHING
        before = self.shifts[place - 1]
        if before not in self._carries:
            self._carries[before] = carry_of(self.facts(before), self.carry_to(before))
        return self._carries[before]

    def view(self, shift: str, now: datetime) -> View:
        """One shift as it stands at a moment."""
        facts = self.facts(shift)
        return view(facts, now, self.carry_to(shift))

    def latest(self) -> str:
        """The name of the last shift; raises NotFound if there is none."""
        if not self.shifts:
            raise NotFound("This book has no shift yet: begin one with `matbook add shift-open`.")
        return self.shifts[-1]

    def seal_of(self, shift: str) -> Entry | None:
        """The latest seal of a shift, if it has been sealed: no other names it as the one before.

        Seals whose body is not of their form don't count. Whether it holds is for whoever can
        check signatures.
        """
        seals = [e for e in self.seals_of(shift) if not opened(e).trouble]
        replaced = {seal.body.get("before") for seal in seals}
        return max(
            (seal for seal in seals if seal.hash not in replaced),
            key=lambda seal: (moment(seal.body["at"]), seal.hash),
            default=None,
        )

    def seals_of(self, shift: str) -> list[Entry]:
        """Every entry that says it is a seal of a shift."""
        return [e for e in self.entries if e.kind == "seal" and e.shift == shift]

    def last_moment(self, shift: str) -> datetime:
        """The latest moment that any entry of a shift speaks of; seals don't count."""
        own = [e.at for e in self.entries if e.shift == shift and e.kind != "seal"]
        return max(own, default=max(e.at for e in self.entries if e.shift == shift))
