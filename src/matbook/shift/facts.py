"""Facts: the entries of one shift, indexed by kind, with corrections worked through.

`add` takes an entry at any time, in any order, backdated or struck; the result is always the
same as reading everything from scratch. Subjects remember what they worked out while none of
the kinds they read has changed (see `subject`).
"""

from bisect import bisect_left, insort
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property, lru_cache
from typing import Any, TypeVar

from matbook.book.corrections import Settled, settle
from matbook.book.entry import Entry
from matbook.book.pen import ShiftName
from matbook.engine import units
from matbook.errors import Refused
from matbook.plan.changes import Plans
from matbook.plan.model import Plan
from matbook.shift.gathered import EVERY_SHIFT, Gathered, Order, twins

K = TypeVar("K")
T = TypeVar("T")


@lru_cache(maxsize=65536)
def si(text: str) -> float:
    """A measured value as written, in the SI unit of what it measures."""
    return units.parse(text).si()


@dataclass(frozen=True)
class Fact:
    """An entry that stands, with its body opened; `contenders` would replace it in a contest.

    What is asked of it over and over is kept with it.
    """

    entry: Entry
    body: Mapping[str, Any]
    contenders: tuple[Entry, ...] = ()

    @cached_property
    def id(self) -> str:
        return self.entry.id

    @cached_property
    def key(self) -> tuple[str, ...]:
        """Hashes of all that it says: equal keys, equal facts."""
        return (self.entry.hash, *[entry.hash for entry in self.contenders])

    @cached_property
    def at(self) -> datetime:
        return self.entry.at

    @cached_property
    def order(self) -> Order:
        return self.entry.order

    def text(self, name: str) -> str:
        """A field of the body as written; empty if it isn't there."""
        return str(self.body.get(name, ""))

    def place(self, name: str) -> str:
        """A field of the place as written; empty if it isn't there."""
        return str(self.entry.place.get(name, ""))

    def si(self, name: str) -> float | None:
        """A measured field in SI units; None if it isn't there."""
        written = self.body.get(name)
        return None if written is None else si(written)

    def moment(self, name: str) -> datetime | None:
        """A field that is a moment; None if it isn't there."""
        written = self.body.get(name)
        return None if written is None else datetime.fromisoformat(written)

    def spread(self, name: str) -> tuple[float, float] | None:
        """Lowest and highest of a measured field over a contest; None when there is none."""
        values = [si(str(e.body[name])) for e in self.contenders if name in e.body]
        own = self.si(name)
        if not values or own is None:
            return None
        return min(own, *values), max(own, *values)


class Facts(Gathered):
    """The facts of one shift; feed it any entries of the job, it keeps what belongs here."""

    def __init__(self, shift: ShiftName, entries: Iterable[Entry] = ()) -> None:
        super().__init__(shift)
        self._standing: dict[str, list[Fact]] = defaultdict(list)
        self._states: dict[str, tuple[str, Settled]] = {}
        self._counts: dict[str, int] = defaultdict(int)
        self._remembered: dict[object, tuple[object, object]] = {}
        self._kept: dict[object, object] = {}
        self._changed: list[Entry] = []
        self._watches: dict[object, _Watch] = {}
        self._plans: Plans | None = None
        for entry in entries:
            self._see(entry)
        self._gather()

    # Adding

    def add(self, entry: Entry) -> bool:
        """Take one entry, anywhere in the order; False if that changes nothing in this shift."""
        if not self._see(entry):
            return False
        moved = self._moved_by(entry)
        fresh = [one for one in moved if self._mine(one) and one.hash not in self._all]
        if any(one.hash in self._all and not self._mine(one) for one in moved):
            self._gather()  # what waited here for its target belongs elsewhere after all
            return True
        for one in fresh:
            self._take(one)
        if any(m.kind == "plan" for one in fresh for m in self._family(one)):
            self._read_all()
        else:
            for one in fresh:
                self._settle(one)
        return bool(fresh)

    def _gather(self) -> None:
        self._forget()
        for entry in self._job.values():
            if self._mine(entry):
                self._take(entry)
        self._read_all()

    def _read_all(self) -> None:
        """Work through everything: at the start, and when the plan (and so the roles) changes."""
        self._standing.clear()
        self._states.clear()
        self._kept.clear()
        self._watches.clear()
        self._plans = None
        for kind in {entry.kind for entry in self._all.values()} | {*self._counts, "plan"}:
            self._counts[kind] += 1
        todo = list(self._all.values())
        for _ in range(2):  # the second time with the roles that the plan gives
            for entry in (entry for entry in todo if entry.kind == "plan"):
                self._settle(entry)
            self._plans = Plans.of([fact.entry for fact in self._standing["plan"]])
        for entry in todo:
            if entry.hash not in self._states:
                self._settle(entry)

    def _settle(self, entry: Entry) -> None:
        """Settle again every observation that this entry is tied to by strikes."""
        family = self._family(entry)
        self._changed += family
        for member in family:
            self._unstand(member)
        strikers = {
            member.id: found
            for member in family
            if self._first(member) and (found := self._strikers(member, family))
        }
        for roots in self._roots(family):
            self._settle_one(roots, strikers)
        for member in family:
            if member.hash not in self._states:
                self._states[member.hash] = self._aside(member), Settled(None, ())

    def _roots(self, family: Sequence[Entry]) -> Iterable[list[Entry]]:
        """What strikes nothing that is here; corrections of one missing entry go together."""
        groups: dict[str, list[Entry]] = defaultdict(list)
        for member in family:
            if self._first(member) and not self._by_id.get(member.strikes):
                groups[member.strikes or member.id].append(member)
        return groups.values()

    def _settle_one(self, roots: Sequence[Entry], strikers: Mapping[str, list[Entry]]) -> None:
        """Settle one observation: one root, or several corrections of one missing entry."""
        settled = settle(roots[0], strikers)
        rivals = [settle(root, strikers) for root in roots[1:]]
        doubles = [m for root in roots for m in self._by_id[root.id] if m is not root]
        twin = {m.hash for m in doubles if twins(m, self._by_id[m.id][0])}
        stands = settled.standing
        contenders = (
            *settled.contenders,
            *(rival.standing for rival in rivals if rival.standing is not None),
            *(m for m in doubles if m.hash not in twin and stands is self._by_id[m.id][0]),
        )
        self._mark(doubles, "twin", settled)
        for one in (settled, *rivals):
            self._mark(one.struck, "struck", settled)
            self._mark(one.contenders, "contender", settled)
        self._mark(contenders, "contender", settled)
        if stands is not None:
            self._mark((stands,), "stands", settled)
            self._stand(stands, contenders)

    def _mark(self, entries: Iterable[Entry], state: str, settled: Settled) -> None:
        for entry in entries:
            self._states[entry.hash] = state, settled

    def _aside(self, entry: Entry) -> str:
        """The state of an entry that belongs to no observation of its own."""
        target = self.find(entry.strikes)
        if target is not None and not self.may_strike(entry, target):
            return "refused"
        return "withdrawal" if entry.kind == "note" else "struck"

    def _strikers(self, target: Entry, family: Sequence[Entry]) -> list[Entry]:
        """Who strikes this entry with the right to, in a form that can be read."""
        return [
            member
            for member in family
            if member.strikes == target.id
            and member.id != target.id
            and self._first(member)
            and not self.trouble(member)
            and self.may_strike(member, target)
        ]

    def struck_by(self, target: Entry) -> Entry | None:
        """The first entry that strikes this one with the right to; None if nobody did."""
        return next(iter(self._strikers(target, self._family(target))), None)

    def may_strike(self, striker: Entry, target: Entry) -> bool:
        """Only the writer of an entry, or a supervisor, strikes it."""
        if striker.by == target.by:
            return True
        person = self.plan_at(striker.at).people.get(striker.by) if self._plans else None
        return person is not None and person.role == "supervisor"

    def _stand(self, entry: Entry, contenders: tuple[Entry, ...]) -> None:
        body = self._bodies[entry.hash]
        if not body.trouble:
            good = tuple(e for e in contenders if not self._bodies[e.hash].trouble)
            insort(self._standing[entry.kind], Fact(entry, body.body, good), key=_order)
        self._counts[entry.kind] += 1

    def _unstand(self, entry: Entry) -> None:
        self._states.pop(entry.hash, None)
        standing = self._standing[entry.kind]
        place = bisect_left(standing, entry.order, key=_order)
        if place < len(standing) and standing[place].entry.hash == entry.hash:
            del standing[place]
        self._counts[entry.kind] += 1

    # Reading

    def of(self, kind: str) -> Sequence[Fact]:
        """What stands of one kind, in reading order."""
        return self._standing[kind]

    def current(self, id: str) -> str:  # noqa: A002
        """The id of what now stands for an entry: itself, or its correction."""
        entry = self.find(id)
        settled = self.settled(entry) if entry else None
        return settled.standing.id if settled and settled.standing else id

    def settled(self, entry: Entry) -> Settled:
        """How the observation that this entry belongs to ended."""
        return self._states[entry.hash][1]

    def state(self, entry: Entry) -> str:
        """stands, struck, withdrawal, contender, twin, refused, or quarantine."""
        return "quarantine" if self.trouble(entry) else self._states[entry.hash][0]

    # The plan

    @property
    def plans(self) -> Plans:
        assert self._plans is not None
        return self._plans

    def plan_at(self, at: datetime) -> Plan:
        """The plan in force at a moment."""
        return self.plans.at(at)

    # Remembering

    def remembered(self, key: object, kinds: tuple[str, ...], work: Callable[[], T]) -> T:
        """What `work` gives, kept for as long as none of these kinds changes."""
        stamp = tuple(self._counts[kind] for kind in (*kinds, *EVERY_SHIFT))
        held = self._remembered.get(key)
        if held is None or held[0] != stamp:
            held = (stamp, work())
            self._remembered[key] = held
        return held[1]  # type: ignore[return-value]

    def stamp(self, kind: str) -> int:
        """A number that changes whenever what stands of a kind does."""
        return self._counts[kind]

    def once(self, key: object, work: Callable[[], T]) -> T:
        """What `work` gives, kept until the plan changes; `key` names all else it depends on."""
        if key not in self._kept:
            self._kept[key] = work()
        return self._kept[key]  # type: ignore[return-value]

    def each(self, key: object, items: Iterable[K], work: Callable[[K], T]) -> list[T]:
        """What `work` makes of each item; it is kept while that same object comes, or to the plan.

        `work` may look at nothing else that changes.
        """
        held: dict[int, tuple[K, T]] = self.once(("each", key), dict)
        now = {}
        for item in items:
            now[id(item)] = held.get(id(item)) or (item, work(item))
        self._kept["each", key] = now
        return [made for _, made in now.values()]

    def watched(self, key: object, look: Callable[[Entry], Sequence[T]]) -> Iterator[T]:
        """What `look` sees in every entry, looking again only at those whose state changed."""
        watch = self._watches.setdefault(key, _Watch())
        fresh = {entry.hash: entry for entry in self._changed[watch.reached :]}
        if watch.reached == 0:
            fresh = self._all
        for digest, entry in fresh.items():
            found = look(entry)
            if found:
                watch.seen[digest] = entry.order, found
            else:
                watch.seen.pop(digest, None)
        watch.reached = len(self._changed)
        for _, seen in sorted(watch.seen.values(), key=lambda pair: pair[0]):
            yield from seen


class _Watch:
    """How far one look at the entries has come, and where it saw something."""

    def __init__(self) -> None:
        self.reached = 0
        self.seen: dict[str, tuple[Any, Sequence[Any]]] = {}


def facts_as_known(shift: ShiftName, entries: Iterable[Entry], at: datetime) -> Facts:
    """The facts as they could be known at a moment: only what had been written by then."""
    return Facts(shift, (entry for entry in entries if entry.written <= at))


def shifts_of(entries: Iterable[Entry]) -> Iterator[str]:
    """The names of all shifts that occur, in order of working date, day before night."""
    names = (_shift(entry_shift) for entry_shift in {entry.shift for entry in entries})
    found = [name for name in names if name is not None]
    yield from (str(name) for name in sorted(found, key=lambda n: (n.date, n.part, n.crew)))


def _shift(name: str) -> ShiftName | None:
    """A shift's name taken apart; None where it isn't one: one bad name must not hide the rest."""
    try:
        return ShiftName.read(name)
    except Refused:
        return None


def _order(item: Entry | Fact) -> Order:
    return item.order
