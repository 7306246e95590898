"""What a mat is laid on, as somebody looked at it: dry, damp, wet or frozen, and where."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final

from matbook.plan.model import Plan
from matbook.shift.calls import Call
from matbook.shift.facts import Fact, Facts
from matbook.shift.laid import Piece, Strip, pieces
from matbook.shift.places import metres

KINDS: Final = ("surface",)
AROUND_M: Final = 50.0
"""A look at one station speaks for the base so far around it; assumed."""
NEARLY_M: Final = 2.0
"""Stations are read to a metre or so: what is left between two pieces is no gap."""
WARNED: Final = {"damp": "base.wet", "wet": "base.wet", "frozen": "base.frozen"}


@dataclass(frozen=True, slots=True)
class Look:
    """One look at the base; the lane is empty, and the ends are None, where it spoke of all."""

    fact: Fact
    lane: str
    low_m: float | None
    high_m: float | None

    @property
    def state(self) -> str:
        return self.fact.text("state")

    def covers(self, lane: str, at_m: float | None) -> bool:
        """Whether it speaks of a station of a lane; None stands for all of the lane."""
        if self.lane not in ("", lane):
            return False
        if self.low_m is None or self.high_m is None:
            return True
        return at_m is not None and self.low_m <= at_m <= self.high_m

    def replaced_by(self, later: "Look") -> bool:
        """Whether a later look covers all of this one's place."""
        return all(later.covers(self.lane, end) for end in (self.low_m, self.high_m))


def looks(facts: Facts) -> tuple[Look, ...]:
    """Every look at the base that says how wet it was, in order of time."""
    return facts.remembered("looks", KINDS, lambda: _looks(facts))


def state_at(facts: Facts, lane: str, at_m: float, at: datetime, since: datetime | None) -> str:
    """What the base was like at a station at a moment; dry where nobody said otherwise.

    Looks from before `since`, when another lift was laid there, are of what lies below that one.
    """
    for look in reversed(looks(facts)):
        fresh = look.fact.at <= at and (since is None or look.fact.at > since)
        if fresh and look.covers(lane, at_m):
            return look.state
    return "dry"


def calls(facts: Facts, now: datetime, restarts: Mapping[Strip, float]) -> Iterator[Call]:
    """A damp, wet or frozen base, where it was seen, until it is looked at again or laid over."""
    laid = pieces(facts, restarts)
    seen = [look for look in looks(facts) if look.fact.at <= now]
    for n, look in enumerate(seen):
        if look.state not in WARNED or any(look.replaced_by(one) for one in seen[n + 1 :]):
            continue
        if _laid_over(look, laid, now):
            continue
        plan, fact = facts.plan_at(look.fact.at), look.fact
        tell = tuple(one.id for one in plan.people.values() if one.role == "contractor")
        says = {"state": look.state, "station": _place(plan, fact)}
        yield Call(WARNED[look.state], fact.id, "watch", fact.at, says, None, tell, (fact.id,))


def _laid_over(look: Look, laid: Sequence[Piece], now: datetime) -> bool:
    """Whether mat lies on all of a place by now; a look without stations is never laid over.

    Mat of the lift that the look was for, or any that was laid since.
    """
    if look.low_m is None or look.high_m is None:
        return False
    reached = look.low_m
    ends = (
        sorted((piece.from_m, piece.to_m))
        for piece in laid
        if piece.lane == look.lane
        and piece.at <= now
        and (piece.lift == look.fact.place("lift") or piece.at >= look.fact.at)
    )
    for low, high in sorted(ends):
        if low <= reached + NEARLY_M:
            reached = max(reached, high)
    return reached >= look.high_m - NEARLY_M


def _place(plan: Plan, fact: Fact) -> str:
    """Where it was, as people write it: the lane's name, and the stations."""
    lane, ends = fact.place("lane"), (fact.place("from"), fact.place("to"))
    stations = fact.place("station") or " – ".join(end for end in ends if end)
    name = plan.lanes[lane].name if lane in plan.lanes else lane
    return " ".join(part for part in (name, stations) if part)


def _looks(facts: Facts) -> tuple[Look, ...]:
    found = []
    for fact in facts.of("surface"):
        if fact.text("state"):
            plan = facts.plan_at(fact.at)
            at_m = metres(plan, fact)
            ends = (
                [metres(plan, fact, name) for name in ("from", "to")]
                if at_m is None
                else [at_m - AROUND_M, at_m + AROUND_M]
            )
            known = sorted(end for end in ends if end is not None)
            low, high = (known[0], known[-1]) if len(known) == 2 else (None, None)
            found.append(Look(fact, fact.place("lane"), low, high))
    return tuple(found)
