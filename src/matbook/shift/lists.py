"""Checklists of the plan: the latest word on each line, and when a list falls due."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from matbook.plan.model import Checklist, ListLine, Plan
from matbook.shift.calls import Call, of_roles
from matbook.shift.events import Events
from matbook.shift.facts import Fact, Facts

HELD: Final = {"released": "done", "held": "not done", "reached": "not looked at"}
"""What the state of a hold point says of its line."""


NAMED: Final = 3
"""So many lines of a list are named in one sentence; the others are on the list."""


@dataclass(frozen=True, slots=True)
class Ticked:
    """One line and the latest word on it since its list last fell due."""

    line: ListLine
    fact: Fact | None

    @property
    def state(self) -> str:
        """done, not done, does not apply, or not looked at: what nobody wrote."""
        if self.fact is None:
            return "not looked at"
        written = self.fact.text("state")
        return HELD.get(written, written)

    @property
    def closed(self) -> bool:
        """Whether nothing more is to be done; a hold point waits until it is released."""
        return self.state in ("done", "does not apply")

    @property
    def seen(self) -> bool:
        """Whether somebody looked: “not done” is an answer too, yet releases no hold point."""
        return self.closed or (self.state == "not done" and not self.line.hold)


@dataclass(frozen=True, slots=True)
class Listed:
    """A checklist as it stands."""

    list: Checklist
    since: datetime | None
    """When it last fell due; None: not yet."""
    events: int
    """How often it fell due since every line last had a word, the latest included."""
    lines: tuple[Ticked, ...]

    @property
    def left(self) -> float | None:
        """As checks count: 0 once it is due, below where it fell due again; None: nothing due."""
        if self.since is None or all(line.seen for line in self.lines):
            return None
        return 1.0 - self.events


def lists(facts: Facts, now: datetime, events: Events) -> tuple[Listed, ...]:
    """Every checklist of the plan, in its order."""
    return tuple(_listed(facts, one, now, events) for one in facts.plan_at(now).lists)


def _listed(facts: Facts, one: Checklist, now: datetime, events: Events) -> Listed:
    found = [at for at in events.of(one.at) if at <= now]
    since = found[-1] if found else None
    # what is ticked before the first time it falls due counts too: people read plans early
    starts = since if len(found) > 1 else None
    lines = tuple(Ticked(line, _latest(facts, one, line, starts)) for line in one.lines)
    return Listed(one, since, _missed(facts, one, found), lines)


def _latest(facts: Facts, one: Checklist, line: ListLine, since: datetime | None) -> Fact | None:
    return next((fact for fact in _words(facts, one, line) if not since or fact.at >= since), None)


def _words(facts: Facts, one: Checklist, line: ListLine) -> list[Fact]:
    """Everything written of a line, the latest first."""
    kind, name = ("hold-point", "point") if line.hold else ("checklist", "item")
    found = (fact for fact in reversed(facts.of(kind)) if _same(fact.text(name), line.item))
    return [fact for fact in found if is_of(one, fact)]


def is_of(one: Checklist, fact: Fact) -> bool:
    """Whether a tick, or a word on a hold point, belongs to a list."""
    if fact.entry.kind == "hold-point":
        return any(line.hold and _same(fact.text("point"), line.item) for line in one.lines)
    return _same(fact.text("list"), one.id) or _same(fact.text("list"), one.name)


def _missed(facts: Facts, one: Checklist, found: Sequence[datetime]) -> int:
    """How many times in a row, up to now, it fell due and a line stayed without a word."""
    missed = 0
    for number in range(len(found) - 1, -1, -1):
        start = found[number] if number else None
        end = found[number + 1] if number + 1 < len(found) else None
        seen = all(
            any((not start or f.at >= start) and (not end or f.at < end) for f in words)
            for words in (_words(facts, one, line) for line in one.lines)
        )
        if seen and end is not None:
            break
        missed += 1
    return missed


def calls(found: Sequence[Listed], plan: Plan) -> Iterator[Call]:
    """Hold points that wait for their word though their time has come, and lines not done."""
    tell = of_roles(plan, "contractor", "supervisor")
    for one in found:
        if one.since is not None:
            yield from _waiting(one, one.since)
            yield from _of_lines(one, one.since, tell)


def _waiting(one: Listed, since: datetime) -> Iterator[Call]:
    """Lines that nobody has said a word on; a hold point is called for by itself."""
    waiting = [line.line.item for line in one.lines if not line.seen and not line.line.hold]
    if waiting:
        missed = one.left is not None and one.left < 0
        rest = str(len(waiting) - NAMED) if len(waiting) > NAMED else ""
        says: dict[str, object] = {"list": one.list.name, "n": float(len(waiting))}
        says |= {"times": one.events - 1.0, "items": "; ".join(waiting[:NAMED]), "rest": rest}
        code, grade = ("list.missed", "watch") if missed else ("list.due", "note")
        yield Call(code, one.list.id, grade, since, says)


def _of_lines(one: Listed, since: datetime, tell: tuple[str, ...]) -> Iterator[Call]:
    for line in one.lines:
        fact = line.fact
        says = {"item": line.line.item, "list": one.list.name, "state": line.state}
        subject = f"{one.list.id}/{line.line.item}"
        if line.line.hold and not line.closed:
            at, behind = (fact.at, (fact.id,)) if fact else (since, ())
            yield Call("list.held", subject, "watch", at, says, None, tell, behind)
        elif fact and line.state == "not done":
            says["note"] = fact.text("note").rstrip(".")
            yield Call("list.not-done", subject, "note", fact.at, says, None, tell, (fact.id,))


def _same(one: str, other: str) -> bool:
    return one.casefold() == other.casefold()
