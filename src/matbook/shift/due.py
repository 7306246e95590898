"""Checks due: what the plan asks for after so many loads, tonnes, metres or minutes."""

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import datetime
from itertools import accumulate

from matbook.plan.model import Check
from matbook.shift.events import Events
from matbook.shift.facts import Fact, Facts
from matbook.shift.lists import Listed, lists
from matbook.shift.loads import loads


@dataclass(frozen=True, slots=True)
class Due:
    """Where one check stands: how much is left until it falls due, in what it counts by."""

    check: Check
    left: float | None
    """Loads, kg, metres or seconds until due; zero or less: due now; None: nothing to count yet.

    Of a check that falls due at events, and of a checklist: 0 once, below where it was again.
    """
    done: int
    """How many were done since the count last began again."""
    last: Fact | None
    lines: int | None = None
    """Of a checklist: how many lines it has."""

    @property
    def overdue(self) -> bool:
        """Due and passed over: more than one load, or the count itself, went by without it."""
        return self.left is not None and self.left < 0


Course = Sequence[tuple[datetime, float]]
"""A running total in time: moments and what had been reached by then."""


def due(facts: Facts, now: datetime, events: Events) -> tuple[Due, ...]:
    """Every check of the plan, the most pressing first.

    Args:
        facts: The shift's facts.
        now: The moment it is looked at.
        events: What happened in it so far, and the mat that was laid.
    """
    closed = facts.of("shift-close")
    now = min(now, closed[-1].at) if closed else now  # nothing falls due after the close
    plan = facts.plan_at(now)
    courses = _courses(facts, events)
    found = [_due(facts, check, courses, events, now) for check in plan.checks]
    found += [_of_list(one) for one in lists(facts, now, events)]
    return tuple(sorted(found, key=_pressing))


def _pressing(item: Due) -> tuple[bool, float]:
    if item.left is None:
        return True, 0.0
    return False, item.left / (item.check.every or 1.0)


def _courses(facts: Facts, events: Events) -> dict[str, Course]:
    taken = [load for load in loads(facts) if load.counts]
    started = [fact.at for fact in (*facts.of("shift-open")[:1], *facts.of("load")[:1])]
    return {
        "loads": [(load.at, float(n)) for n, load in enumerate(taken, 1)],
        "mass": _running([(load.at, load.net_kg or 0.0) for load in taken]),
        "distance": _running([(piece.at, piece.length_m) for piece in events.laid]),
        "time": [(min(started), 0.0)] if started else [],
    }


def _running(steps: Sequence[tuple[datetime, float]]) -> Course:
    totals = accumulate(amount for _, amount in steps)
    return [(at, total) for (at, _), total in zip(steps, totals, strict=True)]


def _reached(
    per: str, course: Course, at: datetime, cut: Callable[..., int] = bisect_right
) -> float:
    """How far a count had come by a moment, or short of it (cut by `bisect_left`)."""
    if per == "time":
        return max(0.0, (at - course[0][0]).total_seconds())
    place = cut(course, at, key=lambda point: point[0])
    return course[place - 1][1] if place else 0.0


def _of_list(one: Listed) -> Due:
    """A checklist as one check: its lines are looked at together."""
    seen = [line for line in one.lines if line.seen]
    latest = max((line.fact for line in one.lines if line.fact), key=lambda f: f.at, default=None)
    check = Check(one.list.id, one.list.name, "checklist", per="events", at=one.list.at)
    return Due(check, one.left, len(seen), latest, len(one.lines))


def _at_events(facts: Facts, check: Check, events: Events, now: datetime) -> Due:
    """Due at each event; overdue once another has come without it."""
    done = [fact for fact in _done(facts, check) if fact.at <= now]
    found = [at for at in events.of(check.at) if at <= now]
    last = done[-1] if done else None
    missed = [at for at in found if last is None or at > last.at]
    return Due(check, 1.0 - len(missed) if missed else None, len(done), last)


def _due(
    facts: Facts,
    check: Check,
    courses: dict[str, Course],
    events: Events,
    now: datetime,
) -> Due:
    if check.at:
        return _at_events(facts, check, events, now)
    course = courses[check.per]
    began = _began_again(check, events)
    done = _done(facts, check)
    since = done[bisect_left(done, began.timestamp(), key=_moment) :] if began else done
    last = since[-1] if since else None
    if not course:
        return Due(check, None, len(since), last)
    here = _reached(check.per, course, now)
    begun = _reached(check.per, course, began, bisect_left) if began else 0.0
    if len(since) < check.first:
        return Due(check, _left_of_first(check, here - begun, len(since)), len(since), last)
    if check.every is None:
        return Due(check, None, len(since), last)
    from_there = _reached(check.per, course, last.at) if last else begun
    return Due(check, from_there + check.every - here, len(since), last)


def _left_of_first(check: Check, reached: float, done: int) -> float | None:
    """The first few are due at once, one for each load where loads are what counts."""
    if reached <= 0 and check.per != "time":
        return None
    return done + 1 - reached if check.per == "loads" else 0.0


def _done(facts: Facts, check: Check) -> list[Fact]:
    """The entries that a check is done by, in reading order."""
    return facts.remembered(
        ("due.done", check.id),
        (check.kind,),
        lambda: [fact for fact in facts.of(check.kind) if _fulfils(fact, check)],
    )


def _moment(fact: Fact) -> float:
    return fact.order[0]


def _fulfils(fact: Fact, check: Check) -> bool:
    return fact.text("witness") != "plant" and all(
        fact.text(name) == wanted or (wanted == "*" and fact.text(name) != "")
        for name, wanted in check.of.items()
    )


def _began_again(check: Check, events: Events) -> datetime | None:
    """The latest moment at which the plan lets the count of a check begin again.

    Lane and lift are each paver's own: two of them side by side change neither.
    """
    return max(events.of(check.resets), default=None)
