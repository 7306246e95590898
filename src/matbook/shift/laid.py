"""What was laid in the lanes: each mainline part of a load as a piece of mat with its area.

Only mainline parts become pieces; driveways, tapers, waste and returned mix never enter yield.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from math import fsum

from matbook.engine.spread import area
from matbook.plan.model import Plan
from matbook.shift.facts import Fact, Facts
from matbook.shift.parts import KINDS as PART_KINDS
from matbook.shift.parts import Part, accounts
from matbook.shift.places import metres

KINDS = (*PART_KINDS, "width", "paver")
JOINED_M = 0.05
"""Stations closer than this are one station, written with fewer digits."""
BEYOND_M = 20.0
"""How far a mat may run past the ends of its lane; further out, a station was misread."""

Strip = tuple[str, str, str]
"""Lane, lift and paver."""


@dataclass(frozen=True, slots=True)
class Piece:
    """One part of a load in a lane, from one station to another."""

    part: Part
    lane: str
    lift: str
    paver: str
    mix: str
    from_m: float
    to_m: float
    area_m2: float
    width_by: str
    """planned, measured, or area: how the width is known."""
    inferred: bool
    """The start was not written; it is where the piece before ended."""
    run: int
    """Changes with lane, lift, mix or paver, and after a skip."""
    emptied: bool = False
    """Its run is over, so nothing of it waits in the paver unlaid."""

    @property
    def at(self) -> datetime:
        return self.part.fact.at

    @property
    def mass_kg(self) -> float:
        return self.part.mass_kg

    @property
    def key(self) -> tuple[object, ...]:
        """Everything that figures about this piece are made from: equal keys, equal figures."""
        fact = self.part.fact
        entries = tuple(e.hash for e in (fact.entry, *fact.contenders))
        area = self.from_m, self.area_m2, self.width_by
        return (*entries, self.mass_kg, *area, self.emptied, self.part.load.key)

    @property
    def length_m(self) -> float:
        return abs(self.to_m - self.from_m)

    @property
    def strip(self) -> Strip:
        return self.lane, self.lift, self.paver


@dataclass(frozen=True, slots=True)
class Unplaced:
    """A mainline part that can't be given an area, and what is missing."""

    part: Part
    missing: str
    """lane, lift, from, to, range, length or mass."""


def pieces(facts: Facts, restarts: Mapping[Strip, float] | None = None) -> tuple[Piece, ...]:
    """Every piece of mat laid this shift, in reading order."""
    return _both(facts, restarts or {})[0]


def unplaced(facts: Facts, restarts: Mapping[Strip, float] | None = None) -> tuple[Unplaced, ...]:
    """Mainline parts whose place is not known well enough to have an area."""
    return _both(facts, restarts or {})[1]


def ends(facts: Facts, restarts: Mapping[Strip, float] | None = None) -> Mapping[Strip, float]:
    """Where each paver goes on in its lane and lift, as far as that is known."""
    return _both(facts, restarts or {})[2]


def _both(
    facts: Facts, restarts: Mapping[Strip, float]
) -> tuple[tuple[Piece, ...], tuple[Unplaced, ...], Mapping[Strip, float]]:
    key = ("pieces", tuple(sorted(restarts.items())))
    return facts.remembered(key, KINDS, lambda: _lay(facts, restarts))


def _lay(
    facts: Facts, restarts: Mapping[Strip, float]
) -> tuple[tuple[Piece, ...], tuple[Unplaced, ...], Mapping[Strip, float]]:
    laid: list[Piece] = []
    lost: list[Unplaced] = []
    ends = dict(restarts)
    latest: dict[str, Piece] = {}
    run = 0
    for part in _mainline(facts):
        piece = _piece(facts, part, ends)
        if isinstance(piece, Unplaced):
            lost.append(piece)
            _go_past(facts, part.fact, ends)
            continue
        before = latest.get(piece.paver)
        if before is None or not _goes_on(before, piece):
            run += 1
            piece = replace(piece, run=run)
        else:
            piece = replace(piece, run=before.run)
        latest[piece.paver] = piece
        ends[piece.strip] = piece.to_m
        laid.append(piece)
    return _emptied(facts, laid), tuple(lost), ends


def _go_past(facts: Facts, fact: Fact, ends: dict[Strip, float]) -> None:
    """Go past a part without an area: on to where it ended, or to nowhere known."""
    strip = fact.place("lane"), fact.place("lift"), fact.place("paver")
    to_m = metres(facts.plan_at(fact.at), fact, "to")
    if to_m is None:
        ends.pop(strip, None)
    else:
        ends[strip] = to_m


def _emptied(facts: Facts, laid: Sequence[Piece]) -> tuple[Piece, ...]:
    """Mark the last piece of each run that is over: the paver went elsewhere, or ended."""
    latest = {fact.place("paver"): fact.text("event") for fact in facts.of("paver")}
    after: dict[str, int] = {}
    marked = []
    for piece in reversed(laid):
        following = after.get(piece.paver)
        ended = following is None and latest.get(piece.paver) == "end"
        over = ended or following not in (None, piece.run)
        marked.append(replace(piece, emptied=True) if over else piece)
        after[piece.paver] = piece.run
    return tuple(reversed(marked))


def _mainline(facts: Facts) -> list[Part]:
    parts = [part for a in accounts(facts) for part in a.parts if part.to == "mainline"]
    return sorted(parts, key=lambda part: part.fact.order)


def _goes_on(before: Piece, piece: Piece) -> bool:
    same = (before.strip, before.mix) == (piece.strip, piece.mix)
    return same and abs(before.to_m - piece.from_m) <= JOINED_M


def _piece(facts: Facts, part: Part, ends: Mapping[Strip, float]) -> Piece | Unplaced:
    fact = part.fact
    strip = fact.place("lane"), fact.place("lift"), fact.place("paver")
    end = ends.get(strip)
    widths = facts.stamp("width")
    found = facts.once(("reach", fact.entry.hash, end, widths), lambda: _reach(facts, fact, end))
    if isinstance(found, str):
        return Unplaced(part, found)
    if part.mass_kg <= 0:
        return Unplaced(part, "mass")
    from_m, to_m, area_m2, by, inferred = found
    return Piece(part, *strip, part.load.mix, from_m, to_m, area_m2, by, inferred, run=0)


def _reach(
    facts: Facts, fact: Fact, end: float | None
) -> tuple[float, float, float, str, bool] | str:
    """From, to, area, how the width is known, start inferred or not; or what is missing."""
    plan = facts.plan_at(fact.at)
    if fact.place("lane") not in plan.lanes:
        return "lane"
    if fact.place("lift") not in plan.lifts:
        return "lift"
    to_m = metres(plan, fact, "to")
    if to_m is None:
        return "to"
    written = metres(plan, fact, "from")
    from_m = written if written is not None else end
    if from_m is None:
        return "from"
    lane = plan.lanes[fact.place("lane")]
    low, high = sorted((lane.from_m, lane.to_m))
    if min(from_m, to_m) < low - BEYOND_M or max(from_m, to_m) > high + BEYOND_M:
        return "range"
    area_m2, by = _area(facts, plan, fact, from_m, to_m)
    if area_m2 <= 0 or from_m == to_m:
        return "length"
    return from_m, to_m, area_m2, by, written is None


def _area(facts: Facts, plan: Plan, fact: Fact, from_m: float, to_m: float) -> tuple[float, str]:
    """Area as measured, or length x measured width, or by the plan's widths."""
    measured = fact.si("measured_area") if fact.entry.kind == "placed" else None
    if measured is not None:
        return measured, "area"
    length = abs(to_m - from_m)
    width = fact.si("width") if fact.entry.kind == "placed" else None
    if width is not None:
        return length * width, "measured"
    seen = _widths_within(facts, plan, fact, sorted((from_m, to_m)))
    if seen:
        return length * fsum(seen) / len(seen), "measured"
    return area(plan.lanes[fact.place("lane")].widths, from_m, to_m), "planned"


def _widths_within(facts: Facts, plan: Plan, fact: Fact, reach: Sequence[float]) -> list[float]:
    lane, lift, low, high = fact.place("lane"), fact.place("lift"), *reach
    return [
        width
        for seen in facts.of("width")
        if (seen.place("lane"), seen.place("lift")) == (lane, lift)
        and (at := metres(plan, seen)) is not None
        and low <= at <= high
        and (width := seen.si("width")) is not None
    ]
