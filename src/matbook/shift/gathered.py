"""The entries of one shift, gathered from those of the whole job: ids, strikes and chains."""

from bisect import insort
from collections import defaultdict
from collections.abc import Iterator, Sequence
from datetime import datetime

from matbook.book.chain import Chain, chains
from matbook.book.entry import Entry
from matbook.book.forms import Opened, opened
from matbook.book.pen import ShiftName
from matbook.shift.clocks import Clocks

EVERY_SHIFT = ("plan",)
"""Kinds that belong to the job as a whole and so to each of its shifts."""

NOT_ITS_CLOCK = (*EVERY_SHIFT, "seal")
"""Kinds that are written elsewhere, by a clock that need not be the shift's."""

Order = tuple[float, float, str, int, str]


class Gathered:
    """What belongs to one shift of all that was written for a job.

    A correction belongs where what it strikes belongs, whatever shift it was written in.
    """

    def __init__(self, shift: ShiftName) -> None:
        self.shift = shift
        self._job: dict[str, Entry] = {}
        self._job_ids: dict[str, list[Entry]] = defaultdict(list)
        self._job_strikes: dict[str, list[Entry]] = defaultdict(list)
        self._forget()

    def _forget(self) -> None:
        """Begin again with nothing gathered; what was seen of the job stays."""
        self._all: dict[str, Entry] = {}
        self._ordered: list[Entry] = []
        self._by_id: dict[str, list[Entry]] = defaultdict(list)
        self._named: dict[str, list[Entry]] = defaultdict(list)
        self._bodies: dict[str, Opened] = {}
        self._numbers: dict[tuple[str, int], list[Entry]] = defaultdict(list)
        self._forks: dict[str, set[int]] = defaultdict(set)
        self._breaks: dict[str, set[str]] = defaultdict(set)
        self.clocks = Clocks()

    def _see(self, entry: Entry) -> bool:
        """Note an entry of the job, of any shift; False if it was seen or is of another job."""
        if entry.job != self.shift.job or entry.hash in self._job:
            return False
        self._job[entry.hash] = entry
        insort(self._job_ids[entry.id], entry, key=order_of)
        if entry.strikes:
            self._job_strikes[entry.strikes].append(entry)
        return True

    def _mine(self, entry: Entry) -> bool:
        """Whether an entry belongs to this shift: by itself, or by what it corrects."""
        if entry.kind in EVERY_SHIFT:
            return True
        passed = set()
        while entry.strikes in self._job_ids and entry.id not in passed:
            passed.add(entry.id)
            entry = self._job_ids[entry.strikes][0]
        return entry.shift == str(self.shift) or entry.kind in EVERY_SHIFT

    def _moved_by(self, entry: Entry) -> list[Entry]:
        """An entry and everything that strikes it, or strikes that: their home may change."""
        found: dict[str, Entry] = {}
        todo = [entry, *self._job_ids[entry.id]]
        while todo:
            member = todo.pop()
            if member.hash not in found:
                found[member.hash] = member
                todo.extend(self._job_strikes.get(member.id, ()))
        return list(found.values())

    def _take(self, entry: Entry) -> None:
        self._all[entry.hash] = entry
        insort(self._ordered, entry, key=order_of)
        insort(self._by_id[entry.id], entry, key=order_of)
        if entry.strikes:
            insort(self._named[entry.strikes], entry, key=order_of)
        self._bodies[entry.hash] = opened(entry)
        if entry.kind not in NOT_ITS_CLOCK:
            self.clocks.note(entry.at)
        self._link(entry)

    def _link(self, entry: Entry) -> None:
        """Set an entry into its device's chain, and look at its neighbours again."""
        device, seq = entry.device, entry.seq
        here = self._numbers[device, seq]
        here.append(entry)
        if len(here) > 1:
            self._forks[device].add(seq)
        for one in (*here, *self._numbers.get((device, seq + 1), ())):
            before = self._numbers.get((device, one.seq - 1), ())
            if before and one.prev not in {other.hash for other in before}:
                self._breaks[device].add(one.hash)
            else:
                self._breaks[device].discard(one.hash)

    # Reading

    def local(self, at: datetime) -> datetime:
        """A moment on the shift's own clock, whatever clock it was written by."""
        return self.clocks.local(at)

    def entries(self) -> list[Entry]:
        """Every entry, struck and quarantined ones too, in reading order."""
        return list(self._ordered)

    def find(self, id: str) -> Entry | None:  # noqa: A002
        """An entry by its id, whether it stands or not."""
        return next(iter(self._by_id.get(id, ())), None)

    def trouble(self, entry: Entry) -> str:
        """Why an entry rests in quarantine; empty if it doesn't."""
        return self._bodies[entry.hash].trouble

    def chains(self) -> dict[str, Chain]:
        """Each device's chain, as far as this shift's entries show it."""
        return chains(self._all.values())

    def chain_troubles(self) -> Iterator[tuple[str, Sequence[int], Sequence[str]]]:
        """Devices whose chain forks or doesn't fit: the numbers used twice, the misfits."""
        for device in sorted({*self._forks, *self._breaks}):
            forks, breaks = sorted(self._forks[device]), sorted(self._breaks[device])
            if forks or breaks:
                yield device, forks, breaks

    def _family(self, entry: Entry) -> list[Entry]:
        """Every entry tied to this one by strikes or by sharing its id, in reading order."""
        found: dict[str, Entry] = {}
        todo = [entry]
        while todo:
            member = todo.pop()
            if member.hash in found:
                continue
            found[member.hash] = member
            todo.extend(self._by_id[member.id])
            todo.extend(self._by_id.get(member.strikes, ()))
            todo.extend(self._named.get(member.id, ()))
            todo.extend(self._named.get(member.strikes, ()) if member.strikes else ())
        return sorted(found.values(), key=order_of)

    def _first(self, entry: Entry) -> bool:
        """Whether an entry is the first text under its id; later ones are twins or contests."""
        return self._by_id[entry.id][0] is entry


def order_of(entry: Entry) -> Order:
    """The reading order, as a key to sort by."""
    return entry.order


def twins(one: Entry, other: Entry) -> bool:
    """Whether two texts under one id say the same: a file of tickets taken on two machines."""
    return (one.kind, one.body, one.place) == (other.kind, other.body, other.place)
