"""What the book itself needs said: quarantine, contests, gaps, forks, who wrote what, who waits."""

from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta
from typing import Final

from matbook.book.entry import Entry
from matbook.book.kinds import kinds
from matbook.shift.calls import Call
from matbook.shift.display import clock
from matbook.shift.facts import Facts
from matbook.shift.told import Matter

WRITTEN_LATER = timedelta(minutes=30)
"""Further than this from `at`, an entry shows as written later."""
CLOCK_AHEAD = timedelta(minutes=2)
"""An entry written before it happened: the device's clock, or the time typed, is wrong."""
TO_COME = timedelta(minutes=5)
"""An entry of a moment so far after now: its device's clock is wrong, or that of whoever looks."""

ANSWER_WITHIN: Final = timedelta(minutes=10)
"""Until then nobody is late with an answer; common practice, no published source."""


def calls(facts: Facts, now: datetime, told: Sequence[Matter]) -> Iterator[Call]:
    """Every call about entries, chains, people and open notices."""
    yield from facts.watched("book", lambda entry: (*_entry(facts, entry), *_writer(facts, entry)))
    yield from _chains(facts, now)
    yield from _to_come(facts, now)
    for trouble, sentence in facts.plans.troubles:
        yield Call(
            "plan.change-refused",
            trouble.id,
            "act",
            trouble.at,
            {"why": sentence},
            entries=(trouble.id,),
        )
    yield from _instruments(facts, now)
    for matter in told:
        if not matter.settled:
            yield _waiting(matter, now)
    for fact in facts.of("disagreement"):
        yield Call(
            "book.disagreement",
            fact.text("about"),
            "watch",
            fact.at,
            {"who": fact.entry.by, "says": fact.text("says")},
            entries=(fact.id, fact.text("about")),
        )


def written_later(entry: Entry) -> timedelta | None:
    """How long after it happened an entry was written, where that is worth saying."""
    if entry.kind == "seal" or entry.body.get("witness") == "plant":
        return None  # a file of tickets comes when the day is over
    later = entry.written - entry.at
    return later if later > WRITTEN_LATER else None


def _entry(facts: Facts, entry: Entry) -> Iterator[Call]:
    state = facts.state(entry)
    says = {"kind": entry.kind, "who": entry.by}
    if state == "quarantine":
        says |= {"why": facts.trouble(entry)}
        yield Call("book.quarantine", entry.id, "watch", entry.at, says, entries=(entry.id,))
    elif state == "refused":
        yield Call(
            "book.strike-refused",
            entry.id,
            "watch",
            entry.at,
            says,
            entries=(entry.id, entry.strikes),
        )
    elif state == "contender":
        first = facts.settled(entry).standing
        yield Call(
            "book.contested",
            first.id if first else entry.id,
            "watch",
            entry.at,
            says | {"versions": _versions(first, entry) if first else ""},
            entries=(entry.id, *((first.id,) if first else ())),
        )
    elif state == "stands" and entry.strikes and facts.find(entry.strikes) is None:
        yield Call("book.strike-waits", entry.id, "note", entry.at, says, entries=(entry.id,))
    if entry.written - entry.at < -CLOCK_AHEAD:
        yield Call("book.clock", entry.device, "note", entry.at, says, entries=(entry.id,))


def _versions(first: Entry, other: Entry) -> str:
    """Where two versions of one observation differ, field by field, what counts standing first."""
    names = [n for n in {**first.body, **other.body} if first.body.get(n) != other.body.get(n)]
    names = [name for name in names if name != "note"]
    return "; ".join(f"{n} {first.body.get(n, '—')} or {other.body.get(n, '—')}" for n in names)


def _writer(facts: Facts, entry: Entry) -> Iterator[Call]:
    kind = kinds().get(entry.kind)
    if kind is None or "installation" in kind.writers:
        return
    person = facts.plan_at(entry.at).people.get(entry.by)
    says = {"who": entry.by, "kind": entry.kind}
    if person is None:
        yield Call("book.writer-unknown", entry.by, "note", entry.at, says, entries=(entry.id,))
    elif person.role not in kind.writers:
        yield Call(
            "book.writer-role",
            entry.id,
            "watch",
            entry.at,
            {**says, "role": person.role},
            entries=(entry.id,),
        )


def _chains(facts: Facts, now: datetime) -> Iterator[Call]:
    for device, forks, breaks in facts.chain_troubles():
        if forks:
            says: dict[str, object] = {"device": device, "count": len(forks), "first": forks[0]}
            yield Call("book.fork", device, "act", now, says)
        if breaks:
            yield Call("book.break", device, "act", now, {"device": device, "count": len(breaks)})


def _to_come(facts: Facts, now: datetime) -> Iterator[Call]:
    """Entries of this shift that bear a time still to come, the first of each device."""
    name, found = str(facts.shift), dict[str, Entry]()
    for entry in reversed(facts.entries()):
        if entry.at - now <= TO_COME:
            break
        if entry.shift == name and entry.kind != "seal":
            found[entry.device] = entry
    for device, entry in found.items():
        says = {"who": entry.by, "when": clock(facts.local(entry.at))}
        yield Call("book.to-come", device, "note", entry.at, says, entries=(entry.id,))


def _instruments(facts: Facts, now: datetime) -> Iterator[Call]:
    """Instruments used after their calibration was due."""
    plan, date = facts.plan_at(now), facts.shift.date
    over = {i.id: i for i in plan.instruments.values() if i.due and i.due < date}
    if not over:
        return
    used = facts.watched(
        "instruments", lambda e: (e,) if e.instrument and facts.state(e) == "stands" else ()
    )
    first = {entry.instrument: entry for entry in reversed(list(used))}
    for name, entry in first.items():
        if name in over:
            says = {"instrument": over[name].name, "due": over[name].due}
            yield Call("instrument.overdue", name, "watch", entry.at, says, entries=(entry.id,))


def _waiting(matter: Matter, now: datetime) -> Call:
    waited = matter.waited(now)
    late = matter.answered or waited >= ANSWER_WITHIN
    return Call(
        "notice.answered-open" if matter.answered else "notice.unanswered",
        matter.id,
        "watch" if late else "note",
        matter.at,
        {"to": list(matter.to), "minutes": waited.total_seconds() / 60, "text": matter.text},
        entries=(matter.id,),
    )
