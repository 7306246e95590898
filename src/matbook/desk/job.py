"""A job's book: its shifts in order, each with what the one before handed on.

Entries may come at any time, a few or thousands, in any order: what was worked out and isn't
touched by them stays, and what comes out is always the same as reading everything from scratch.
"""

from bisect import insort
from collections import defaultdict
from collections.abc import Iterable, Sequence
from datetime import datetime

from matbook.book.entry import Entry, moment
from matbook.book.forms import opened
from matbook.book.merge import merged
from matbook.book.pen import ShiftName
from matbook.book.sending import Sending
from matbook.errors import NotFound
from matbook.plan.changes import Plans
from matbook.shift.carry import NOTHING, Carry, carry_of
from matbook.shift.facts import Facts, shifts_of
from matbook.shift.gathered import EVERY_SHIFT, order_of
from matbook.shift.view import View, view

FEW = 200
"""Up to so many new entries are put in their places one by one; more are sorted in together."""


class JobBook:
    """Every entry of one job, folded shift by shift, each only when somebody looks."""

    def __init__(self, entries: Iterable[Entry] = ()) -> None:
        self.entries: list[Entry] = []
        self.job = ""
        self.shifts: list[str] = []
        """Names of the shifts, in order of working date, day before night."""
        self.changes = 0
        """Grows with every entry that was new."""
        self.sendings: dict[str, tuple[Sending, ...]] = {}
        """What became of notices on their way out, by id: beside the book, and in no figure."""
        self._known: dict[str, Entry] = {}
        self._own: dict[str, list[Entry]] = defaultdict(list)
        self._spoken: dict[str, datetime] = {}
        self._by_id: dict[str, list[Entry]] = defaultdict(list)
        self._by_kind: dict[str, list[Entry]] = defaultdict(list)
        self._struck: set[str] = set()
        self._plans: tuple[int, Plans] | None = None
        self._facts: dict[str, Facts] = {}
        self._carries: dict[str, Carry] = {}
        self.add(entries)

    # Adding

    def add(self, entries: Iterable[Entry]) -> list[Entry]:
        """Take entries of the job in any order; gives those that were not here before."""
        fresh = list({e.hash: e for e in entries if e.hash not in self._known}.values())
        if not fresh:
            return []
        for entry in fresh:
            self._note(entry)
        if len(fresh) <= FEW:
            for entry in fresh:
                insort(self.entries, entry, key=order_of)
        else:
            self.entries = merged(self.entries, fresh)
        self.job = self.entries[0].job
        self.changes += len(fresh)
        touched = self._tell_facts(fresh)
        if any(entry.shift and entry.shift not in self.shifts for entry in fresh):
            self.shifts = list(shifts_of(self.entries))
            touched |= {entry.shift for entry in fresh}
        self._forget_carries(touched)
        return fresh

    def _note(self, entry: Entry) -> None:
        self._known[entry.hash] = entry
        self._own[entry.shift].append(entry)
        if entry.kind != "seal":
            last = self._spoken.get(entry.shift)
            self._spoken[entry.shift] = entry.at if last is None else max(last, entry.at)
        self._by_id[entry.id].append(entry)
        self._by_kind[entry.kind].append(entry)
        if entry.strikes:
            self._struck.add(entry.strikes)

    def _tell_facts(self, fresh: Sequence[Entry]) -> set[str]:
        """Hand new entries to the shifts that somebody looked at; gives those they changed."""
        shared = {e.hash: e for e in fresh if self._for_all(e)}
        for entry in fresh:  # what is struck was its own shift's alone until now
            shared |= {e.hash: e for e in self._by_id.get(entry.strikes, ())}
        touched = set()
        for shift, facts in self._facts.items():
            own = [entry for entry in fresh if entry.shift == shift and entry.hash not in shared]
            changed = [facts.add(entry) for entry in (*own, *shared.values())]
            if any(changed):
                touched.add(shift)
        return touched

    def _for_all(self, entry: Entry) -> bool:
        """Whether every shift must see an entry: it may belong to another shift than it says."""
        return entry.kind in EVERY_SHIFT or bool(entry.strikes) or entry.id in self._struck

    def _forget_carries(self, touched: set[str]) -> None:
        """What the first shift that changed hands on, and every shift after it."""
        places = [self.shifts.index(shift) for shift in touched if shift in self.shifts]
        for shift in self.shifts[min(places, default=len(self.shifts)) :]:
            self._carries.pop(shift, None)

    def know_sendings(self, found: Iterable[Sending]) -> None:
        """What is known now of notices on their way out; it takes the place of what was."""
        by_notice: dict[str, list[Sending]] = defaultdict(list)
        for one in found:
            by_notice[one.entry].append(one)
        self.sendings = {name: tuple(ones) for name, ones in by_notice.items()}

    # Reading

    def facts(self, shift: str) -> Facts:
        """The facts of one shift; raises NotFound."""
        if shift not in self.shifts:
            raise NotFound(
                f"There is no shift “{shift}” in this book. "
                f"It has: {', '.join(self.shifts) or 'none yet'}."
            )
        if shift not in self._facts:
            own = [e for e in self.entries if e.shift == shift or self._for_all(e)]
            self._facts[shift] = Facts(ShiftName.read(shift), own)
        return self._facts[shift]

    def carry_to(self, shift: str) -> Carry:
        """What the shifts before hand to this one."""
        carry = NOTHING
        for before in self.shifts[: self.shifts.index(shift)]:
            if before not in self._carries:
                self._carries[before] = carry_of(self.facts(before), carry)
            carry = self._carries[before]
        return carry

    def shift_of(self, name: str) -> str:
        """The shift that an entry was written in, by its id; empty if there is no such entry."""
        return next((one.shift for one in self._by_id.get(name, ()) if one.shift), "")

    def has_any(self, hashes: Iterable[str]) -> bool:
        """Whether any of these entries is in the book."""
        return any(digest in self._known for digest in hashes)

    def of_kind(self, kind: str) -> Sequence[Entry]:
        """Every entry of one kind, whether it stands or not."""
        return self._by_kind.get(kind, ())

    @property
    def plans(self) -> Plans:
        """Every plan of the job, whether a shift has begun or not."""
        if self._plans is None or self._plans[0] != self.changes:
            found = self.facts(self.shifts[-1]).plans if self.shifts else None
            self._plans = self.changes, found or Plans.of(self.of_kind("plan"))
        return self._plans[1]

    def view(self, shift: str, now: datetime) -> View:
        """One shift as it stands at a moment."""
        facts = self.facts(shift)
        return view(facts, now, self.carry_to(shift))

    def as_known(self, at: datetime) -> "JobBook":
        """The book as it could be known at a moment: only what had been written by then."""
        known = JobBook(entry for entry in self.entries if entry.written <= at)
        known.job, known.shifts = self.job, list(self.shifts)
        every = (one for ones in self.sendings.values() for one in ones)
        known.know_sendings(one for one in every if moment(one.at) <= at)
        return known

    def wrote(self, shift: str) -> bool:
        """Whether anything is written in a shift yet."""
        return bool(self._own.get(shift))

    def latest(self) -> str:
        """The name of the last shift in which anything stands; raises NotFound if there is none."""
        if not self.shifts:
            raise NotFound("This book has no shift yet: begin one with `matbook add shift-open`.")
        return next((one for one in reversed(self.shifts) if self.holds(one)), self.shifts[-1])

    def holds(self, shift: str) -> bool:
        """Whether anything stands in a shift: one begun by mistake is struck, and holds nothing."""
        facts = self.facts(shift)
        own = (entry for entry in facts.entries() if entry.kind not in EVERY_SHIFT)
        return any(facts.state(entry) not in ("struck", "withdrawal") for entry in own)

    def closed(self, shift: str) -> bool:
        """Whether its close stands, sealed or not."""
        return bool(self.facts(shift).of("shift-close"))

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
        seals = (e for e in self.of_kind("seal") if e.shift == shift)
        return sorted(seals, key=order_of)

    def last_moment(self, shift: str) -> datetime:
        """The latest moment that any entry of a shift speaks of; seals don't count."""
        return self._spoken.get(shift) or max(entry.at for entry in self._own[shift])
