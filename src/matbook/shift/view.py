"""The state of a shift at a given moment: each subject worked out only when somebody looks."""

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cached_property, reduce
from math import fsum
from operator import add, attrgetter
from typing import Final

from matbook.plan.model import Limit, Plan
from matbook.shift import (
    bases,
    behind,
    book_calls,
    cutoff,
    depths,
    evenness,
    haul,
    joints,
    load_calls,
    mat_calls,
    mat_checks,
    ramps,
    roller_calls,
    rolling,
    rounds,
    seen,
    smooth,
    tack,
    tonight,
)
from matbook.shift.calls import Call
from matbook.shift.carry import NOTHING, Carry, added
from matbook.shift.display import QUANTITIES
from matbook.shift.due import Due, due
from matbook.shift.events import Events
from matbook.shift.facts import Facts
from matbook.shift.figure import Figure
from matbook.shift.laid import Piece, Strip, ends, pieces, unplaced
from matbook.shift.lists import Listed, lists
from matbook.shift.lists import calls as list_calls
from matbook.shift.loads import Load, load_of, loads
from matbook.shift.mat_checks import Checked, checked
from matbook.shift.mats import Mat, mats
from matbook.shift.measured import MEASURES, Reading, readings
from matbook.shift.numbers import Numbering, numberings
from matbook.shift.parts import Account, accounts
from matbook.shift.pavers import Line, lines
from matbook.shift.told import Matter, matters
from matbook.shift.yields import (
    Course,
    Finish,
    Reaches,
    Row,
    Total,
    Yield,
    by_course,
    covered,
    cumulative,
    finishes,
    of_shift,
    rows,
    totals,
)

JUDGED: Final = frozenset(
    {
        *("age", "return", "mass.similar", "stop", "surface-differential", "recheck.advance"),
        *("yield.load", "yield.last", "yield.lift", "yield.shift"),
        *QUANTITIES,
    }
)
"""What a shift sets against the plan's limits; and temperatures at every stage."""


@dataclass(frozen=True)
class View:
    """One shift, seen at `now`, with what the shift before handed on."""

    facts: Facts
    now: datetime
    carry: Carry = NOTHING

    @property
    def plan(self) -> Plan:
        return self.facts.plan_at(self.now)

    @property
    def unjudged(self) -> tuple[Limit, ...]:
        """The plan's limits that nothing in a shift is set against yet: for people to watch."""
        return tuple(
            limit
            for limit in self.plan.limits
            if limit.quantity not in JUDGED and not limit.quantity.startswith("temperature.")
        )

    # Delivery

    @property
    def loads(self) -> tuple[Load, ...]:
        return loads(self.facts)

    @property
    def taken_kg(self) -> float:
        """Mass on the tickets of every load that was taken [kg]."""
        return fsum(load.net_kg or 0.0 for load in self.loads if load.counts)

    @property
    def accounts(self) -> tuple[Account, ...]:
        return accounts(self.facts)

    @property
    def numberings(self) -> tuple[Numbering, ...]:
        return numberings(self.plan, self.loads, self.carry.tickets)

    @property
    def last_load(self) -> Load | None:
        """The latest load that the road looked at."""
        return next((load for load in reversed(self.loads) if load.seen_on_road), None)

    # Paving

    @property
    def pieces(self) -> tuple[Piece, ...]:
        return pieces(self.facts, self.carry.restarts)

    @property
    def ends(self) -> Mapping[Strip, float]:
        """Where each paver goes on in its lane and lift [m], as far as that is known."""
        return ends(self.facts, self.carry.restarts)

    @property
    def rows(self) -> tuple[Row, ...]:
        return rows(self.facts, self.carry.restarts)

    @cached_property
    def by_course(self) -> Mapping[Course, Yield]:
        return by_course(self.facts, self.carry.restarts)

    @cached_property
    def shift_yield(self) -> Yield | None:
        return of_shift(self.facts, self.carry.restarts)

    @cached_property
    def totals(self) -> Mapping[Course, Total]:
        """Cumulative over all shifts so far, by lane and lift."""
        return added(self.carry.totals, totals(self.facts, self.carry.restarts))

    @cached_property
    def covered(self) -> Mapping[Course, Reaches]:
        """The stretches laid so far, over all shifts, by lane and lift."""
        return covered(self.carry.covered, self.pieces)

    @cached_property
    def finishes(self) -> tuple[Finish, ...]:
        return finishes(self.plan, self.totals, self.covered, self._unmeasured)

    @property
    def _unmeasured(self) -> Mapping[str, float]:
        """Mass laid in the lanes without an area, by lift: it left the budget all the same."""
        found: dict[str, float] = {}
        for lost in unplaced(self.facts, self.carry.restarts):
            lift = lost.part.fact.place("lift")
            found[lift] = found.get(lift, 0.0) + lost.part.mass_kg
        return found

    @property
    def pavers(self) -> tuple[Line, ...]:
        return lines(self.facts)

    @property
    def hauls(self) -> tuple[haul.Hauled, ...]:
        """The haul of every paver at work: its rhythm, its trucks, and the coming hour."""
        return haul.hauls(self.facts, self.now)

    @cached_property
    def last_loads(self) -> tuple[cutoff.Last, ...]:
        """How many loads more each paver takes, and by when the last one must leave."""
        return cutoff.last_loads(self.facts, self.now, self.carry.restarts)

    @property
    def depths(self) -> tuple[depths.Depth, ...]:
        """The loose depth of every strip: what to set, its drift, a change that waits."""
        return depths.depths(self.facts, self.carry.restarts)

    @property
    def tacked(self) -> tack.Tally | None:
        """The tack of the shift, all spreads together."""
        return tack.tally(self.facts, self.plan)

    @property
    def mats(self) -> tuple[Mat, ...]:
        """Every piece of mat whose cooling can be forecast, in the order it was laid."""
        return mats(self.facts, self.carry.restarts)

    @cached_property
    def behind(self) -> tuple[behind.Behind, ...]:
        """The mat behind each paver: how far and how long it can still be rolled."""
        return behind.behind(self.facts, self.now, self.carry.restarts)

    @cached_property
    def kept(self) -> roller_calls.Kept:
        """Whether the rollers of each phase keep up, by lane and lift."""
        return roller_calls.kept(self.facts, self.now, self.behind, self.checked.weights)

    @property
    def checked(self) -> Checked:
        """Readings of the mat beside what was forecast for them."""
        return checked(self.facts, self.now, self.carry.restarts)

    def readings(self, kind: str) -> tuple[Reading, ...]:
        return readings(self.facts, kind)

    # What is left when the paver goes

    @cached_property
    def left(self) -> tuple[joints.End, ...]:
        """Where mat of this shift ends and its paver has gone."""
        return joints.left(self.facts, self.carry.restarts)

    @cached_property
    def tonight(self) -> tuple[tonight.Item, ...]:
        """What traffic meets: each item present, missing or not looked at."""
        edges = joints.open_edges(self.facts, self.carry.open_edges)
        return tonight.tonight(self.facts, self.plan, self.left, edges)

    # What waits

    @cached_property
    def lists(self) -> tuple[Listed, ...]:
        """The plan's checklists, line by line."""
        return lists(self.facts, self.now, self._events)

    @cached_property
    def due(self) -> tuple[Due, ...]:
        return due(self.facts, self.now, self._events)

    @cached_property
    def _events(self) -> Events:
        return Events(self.facts, self.pieces)

    @cached_property
    def matters(self) -> tuple[Matter, ...]:
        return matters(self.facts, self.carry.matters)

    @cached_property
    def calls(self) -> tuple[Call, ...]:
        """Everything that needs a person, most urgent first; of one id the most urgent."""
        if not self.facts.plans.plans:
            return (Call("plan.missing", str(self.facts.shift), "act", self.now),)
        said = (
            *self.calls_of_entries,
            *haul.calls(self.facts, self.now),
            *cutoff.calls(self.facts.plan_at(self.now), self.now, self.last_loads),
        )
        found: dict[str, Call] = {}
        for call in sorted(said, key=attrgetter("urgency")):
            found.setdefault(call.id, call)
        return tuple(found.values())

    @cached_property
    def calls_of_entries(self) -> tuple[Call, ...]:
        """Calls about what was seen and done; all but those of what the haul has yet to bring."""
        return (
            *load_calls.calls(self.facts, self.now, self.carry.tickets, self.carry.restarts),
            *mat_calls.calls(self.facts, self.now, self.carry.restarts, self.due),
            *behind.calls(self.facts, self.now, self.behind, self.checked),
            *rounds.calls(self.facts),
            *tack.calls(self.facts),
            *smooth.calls(self.facts),
            *depths.calls(self.facts, self.carry.restarts),
            *roller_calls.calls(self.facts, self.now, self.carry.restarts, self.kept),
            *evenness.calls(self.facts),
            *seen.calls(self.facts),
            *joints.calls(self.facts, self.now, self.carry.restarts, self.carry.open_edges),
            *tonight.calls(self.facts, self.plan, self.left),
            *list_calls(self.lists, self.plan),
            *bases.calls(self.facts, self.now, self.carry.restarts),
            *mat_checks.calls(self.facts, self.now, self.carry.restarts),
            *book_calls.calls(self.facts, self.now, self.matters),
        )

    def told(self, call: Call) -> Matter | None:
        """The notice that answers a call, if somebody was told: a settled one, else the first."""
        if call.code not in self._by_code:
            return None
        found = self.notices_of(call)
        return next((matter for matter in found if matter.settled), next(iter(found), None))

    def notices_of(self, call: Call) -> tuple[Matter, ...]:
        """Every notice about a call.

        A notice names the call as it then was; what it is about may have been corrected since.
        """
        return tuple(
            matter
            for matter in self._by_code.get(call.code, ())
            if self._same_subject(matter.call.partition(":")[2], call.subject)
        )

    def told_of(self, call: str, entry: str) -> Matter | None:
        """The notice that names a call by its id, or is about an entry; the latest."""
        for matter in reversed(self.matters):
            if (call and matter.call == call) or (entry and entry in matter.about):
                return matter
        return None

    @cached_property
    def _by_code(self) -> Mapping[str, list[Matter]]:
        """The notices by the code of the call that each names."""
        found: dict[str, list[Matter]] = {}
        for matter in self.matters:
            found.setdefault(matter.call.partition(":")[0], []).append(matter)
        return found

    def _same_subject(self, one: str, other: str) -> bool:
        if one == other:
            return True
        (first, *rest), (second, *others) = one.split("/"), other.split("/")
        loads = load_of(self.facts, first), load_of(self.facts, second)
        same = loads[0] is not None and loads[0] is loads[1]
        return rest == others and (same or self.facts.current(first) == second)

    # Figures by name, for whoever wants to open one

    def figures(self) -> Iterator[tuple[str, Figure]]:
        """Every figure of the shift by name; where loads share a number, the next ones as #2 ..."""
        counts = Counter[str]()
        for name, found in self._figures():
            counts[name] += 1
            yield name if counts[name] == 1 else f"{name}#{counts[name]}", found

    def _figures(self) -> Iterator[tuple[str, Figure]]:
        for load in self.loads:
            net = load.net()
            if net is not None:
                yield f"net/{load.label}", net
        for row in self.rows:
            place = _place(row)
            yield from _yield_figures(f"yield.load/{place}", row.own)
            if row.last is not None:
                yield from _yield_figures(f"yield.last/{place}", row.last)
        for (lane, lift), found in self.by_course.items():
            yield from _yield_figures(f"yield.lift/{lane}/{lift}", found)
        if self.shift_yield is not None:
            yield from _yield_figures("yield.shift", self.shift_yield)
        for (lane, lift), total in self.totals.items():
            yield from cumulative(self.plan, lane, lift, total)
        for finish in self.finishes:
            if finish.mass is not None:
                yield f"finish.mass/{finish.lift}", finish.mass
            if finish.rate is not None:
                yield f"finish.rate/{finish.lift}", finish.rate
        yield from behind.figures(self.facts, self.now, self.behind)
        yield from haul.figures(self.facts, self.now)
        yield from cutoff.figures(self.last_loads)
        yield from tack.figures(self.facts, self.now)
        yield from smooth.figures(self.facts)
        yield from depths.figures(self.facts, self.carry.restarts)
        yield from rolling.figures(self.kept)
        yield from evenness.figures(self.facts)
        yield from self.joint_figures()
        for kind in MEASURES:
            for reading in self.readings(kind):
                yield f"reading/{reading.fact.id}/{reading.quantity}", reading.value

    def joint_figures(self) -> Iterator[tuple[str, Figure]]:
        """What the ramps written, and one at each end of the mat, take."""
        ends = {strip[:2]: at_m for strip, at_m in self.ends.items()}
        return ramps.figures(self.facts, self.plan, ends)

    def yield_figure(self, code: str, strip: str) -> str | None:
        """The name of the latest deviation of one load or of the last five in a strip."""
        found = [(row, one) for row in self.rows if (one := _of(row, code)) and one.deviation]
        latest = [row for row, _ in found if "/".join(row.piece.strip) == strip]
        if not latest:
            return None
        place = _place(latest[-1])
        count = [_place(row) for row, _ in found].count(place)
        return f"{code}/{place}/deviation" + (f"#{count}" if count > 1 else "")

    @cached_property
    def stood(self) -> timedelta:
        """How long pavers stood this shift, all together."""
        spans = [stop.lasted(self.now) for line in self.pavers for stop in line.stops]
        return reduce(add, spans, timedelta())


def view(facts: Facts, now: datetime, carry: Carry = NOTHING) -> View:
    """The state of a shift at `now`, given what the shift before handed on."""
    return View(facts, now, carry)


def _place(row: Row) -> str:
    return f"{row.piece.lane}/{row.piece.lift}/{row.piece.part.load.label}"


def _of(row: Row, code: str) -> Yield | None:
    return row.own if code == "yield.load" else row.last


def _yield_figures(name: str, found: Yield) -> Iterator[tuple[str, Figure]]:
    yield f"{name}/rate", found.rate
    if found.deviation is not None:
        yield f"{name}/deviation", found.deviation
    if found.thickness is not None:
        yield f"{name}/thickness", found.thickness
