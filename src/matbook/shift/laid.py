"""What was laid in the lanes: each mainline part of a load as a piece of mat with its area.

Only mainline parts become pieces; driveways, tapers, waste and returned mix never enter yield.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import cached_property
from math import fsum
from typing import NamedTuple

from matbook.engine.spread import area, mass_for
from matbook.plan.model import Lane, Lift, Plan
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

Reach = tuple[float, float, float, str, bool]
"""From, to, area, how the width is known, start inferred or not: as a piece has them."""


@dataclass(frozen=True)
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
    planned_kg: float
    """Mass that the plan has for its place, by spread or by mass per station."""
    shared: str = ""
    """The entry whose end it was parted from, by mass, with loads whose end nobody wrote."""
    emptied: bool = False
    """Its run is over, so nothing of it waits in the paver unlaid."""

    @cached_property
    def at(self) -> datetime:
        return self.part.fact.at

    @cached_property
    def mass_kg(self) -> float:
        return self.part.mass_kg

    @cached_property
    def key(self) -> tuple[object, ...]:
        """Everything that figures about this piece are made from: equal keys, equal figures."""
        area = self.from_m, self.area_m2, self.width_by
        how = self.to_m, self.shared, self.emptied
        return (*self.part.fact.key, self.mass_kg, *area, *how, self.part.load.key)

    @property
    def ends_as_written(self) -> bool:
        """Whether somebody wrote where it ends."""
        return self.shared in ("", self.part.fact.id)

    @cached_property
    def length_m(self) -> float:
        return abs(self.to_m - self.from_m)

    @cached_property
    def strip(self) -> Strip:
        return self.lane, self.lift, self.paver


@dataclass(frozen=True, slots=True)
class Unplaced:
    """A mainline part that can't be given an area, and what is missing."""

    part: Part
    missing: str
    """lane, lift, from, to, range, length or mass; station: it waits for a later load's end."""


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
    laying = _Laying(facts, dict(restarts))
    for part in mainline(facts):
        laying.take(part)
    laying.end()
    laid = sorted(laying.laid, key=lambda piece: piece.part.fact.order)
    lost = sorted(laying.lost, key=lambda one: one.part.fact.order)
    return _emptied(facts, laid), tuple(lost), laying.ends


class _Known(NamedTuple):
    """Where a part lay when this was last worked out: it stays while what it is made from does."""

    end: float | None
    """Where its paver went on [m]."""
    widths: int
    part: Part
    reach: Reach | str
    piece: Piece | None


class _Laying:
    """Parts as they are laid, one after the other.

    A station is written every few loads. Loads whose end nobody wrote wait for the end of a later
    one of their paver, lane, lift and mix: then all of them lie up to there, each by its mass.
    """

    def __init__(self, facts: Facts, ends: dict[Strip, float]) -> None:
        self.facts, self.ends = facts, ends
        self.laid: list[Piece] = []
        self.lost: list[Unplaced] = []
        self._waiting: dict[str, list[Part]] = {}
        self._latest: dict[str, Piece] = {}
        self._run = 0
        self._known: dict[str, _Known] = facts.once("laid before", dict)
        self._widths = facts.stamp("width")

    def take(self, part: Part) -> None:
        """The next part, in reading order."""
        waiting = self._waiting.pop(part.strip[2], [])
        if waiting and not _continues(waiting[-1], part):
            self._give_up(waiting, "to")
            waiting = []
        known = self._of(part)
        if known.reach == "to" and part.mass_kg > 0.0:
            if (begins := metres(self.facts.plan_at(part.fact.at), part.fact, "from")) is not None:
                self.ends[part.strip] = begins
            self._waiting[part.strip[2]] = [*waiting, part]
        elif isinstance(known.reach, str):
            self._give_up([*waiting, part], known.reach)
        elif waiting:
            for one, reach in _parted(self.facts, [*waiting, part], known.reach):
                self._lay(_Known(None, 0, one, reach, None), reach, part.fact.id)
        else:
            self._lay(known, known.reach)

    def end(self) -> None:
        """Nothing more comes: what waits has no area yet."""
        for waiting in self._waiting.values():
            self._give_up(waiting, "station")

    def _of(self, part: Part) -> _Known:
        known, end = self._known.get(part.fact.entry.hash), self.ends.get(part.strip)
        if known is None or known[:2] != (end, self._widths) or known.part is not part:
            return _Known(end, self._widths, part, _reach_of(self.facts, part, end), None)
        return known

    def _lay(self, known: _Known, reach: Reach, shared: str = "") -> None:
        part = known.part
        before = self._latest.get(part.strip[2])
        goes_on = before is not None and _goes_on(before, part, reach)
        if not goes_on:
            self._run += 1
        run = before.run if goes_on and before else self._run
        piece = known.piece
        if piece is None or piece.run != run:
            piece = _piece(self.facts, part, reach, run, shared)
            if not shared:
                self._known[part.fact.entry.hash] = known._replace(piece=piece)
        self._latest[piece.paver] = piece
        self.ends[part.strip] = piece.to_m
        self.laid.append(piece)

    def _give_up(self, parts: Sequence[Part], missing: str) -> None:
        """Go past parts without an area: on to where the last ended, or to nowhere known."""
        self.lost += [Unplaced(part, missing) for part in parts]
        last = parts[-1]
        to_m = metres(self.facts.plan_at(last.fact.at), last.fact, "to")
        if to_m is None:
            self.ends.pop(last.strip, None)
        else:
            self.ends[last.strip] = to_m


def _continues(before: Part, part: Part) -> bool:
    """Whether a part was laid on from one whose end nobody wrote."""
    same = before.strip == part.strip and before.load.mix == part.load.mix
    return same and not part.fact.place("from")


def _parted(facts: Facts, parts: Sequence[Part], whole: Reach) -> Iterator[tuple[Part, Reach]]:
    """What several parts cover together, each by its mass."""
    begins, ends, *_ = whole
    mass_kg = fsum(part.mass_kg for part in parts)
    at_m = begins
    for n, part in enumerate(parts, 1):
        laid_kg = fsum(one.mass_kg for one in parts[:n])
        to_m = ends if n == len(parts) else begins + (ends - begins) * laid_kg / mass_kg
        area_m2, by = _area(facts, facts.plan_at(part.fact.at), part.fact, at_m, to_m)
        yield part, (at_m, to_m, area_m2, by, True)
        at_m = to_m


def _emptied(facts: Facts, laid: Sequence[Piece]) -> tuple[Piece, ...]:
    """Mark the last piece of each run that is over: the paver went elsewhere, or ended."""
    latest = facts.remembered("paver.latest", ("paver",), lambda: _latest(facts))
    after: dict[str, int] = {}
    marked = []
    for piece in reversed(laid):
        following = after.get(piece.paver)
        ended = following is None and latest.get(piece.paver) == "end"
        over = ended or following not in (None, piece.run)
        marked.append(replace(piece, emptied=True) if over else piece)
        after[piece.paver] = piece.run
    return tuple(reversed(marked))


def _latest(facts: Facts) -> Mapping[str, str]:
    """What was written last of each paver."""
    return {fact.place("paver"): fact.text("event") for fact in facts.of("paver")}


def mainline(facts: Facts) -> Sequence[Part]:
    """The parts of loads that went into a lane, in reading order."""
    return facts.remembered("mainline", PART_KINDS, lambda: _mainline(facts))


def _mainline(facts: Facts) -> Sequence[Part]:
    parts = [part for a in accounts(facts) for part in a.parts if part.to == "mainline"]
    return sorted(parts, key=lambda part: part.fact.order)


def _goes_on(before: Piece, part: Part, reach: Reach) -> bool:
    same = before.strip == part.strip and before.mix == part.load.mix
    return same and abs(before.to_m - reach[0]) <= JOINED_M


def _piece(facts: Facts, part: Part, reach: Reach, run: int, shared: str) -> Piece:
    from_m, to_m, area_m2, by, inferred = reach
    lift = facts.plan_at(part.fact.at).lifts[part.strip[1]]
    planned = _planned_kg(lift, from_m, to_m, area_m2)
    where = (*part.strip, part.load.mix)
    return Piece(part, *where, from_m, to_m, area_m2, by, inferred, run, planned, shared)


def _planned_kg(lift: Lift, from_m: float, to_m: float, area_m2: float) -> float:
    if lift.spread_kg_m2 is not None:
        return mass_for(area_m2, lift.spread_kg_m2)
    low, high = sorted((from_m, to_m))
    return fsum(
        max(0.0, min(high, max(reach.from_m, reach.to_m)) - max(low, min(reach.from_m, reach.to_m)))
        * reach.mass_kg_m
        for reach in lift.levelling
    )


def beyond(lane: Lane, at_m: float) -> bool:
    """Whether a station [m] lies so far outside a lane that it was misread."""
    low, high = sorted((lane.from_m, lane.to_m))
    return not low - BEYOND_M <= at_m <= high + BEYOND_M


def _reach_of(facts: Facts, part: Part, end: float | None) -> Reach | str:
    """Where a part lies, given where its paver went on; or what is missing."""
    found = _reach(facts, part.fact, end)
    return "mass" if part.mass_kg <= 0 and not isinstance(found, str) else found


def _reach(facts: Facts, fact: Fact, end: float | None) -> Reach | str:
    """Where a part lies by its own entry; or what is missing."""
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
    if beyond(lane, from_m) or beyond(lane, to_m):
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
