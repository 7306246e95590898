"""The haul as the shift saw it: the trucks' rhythm, where each is now, and the coming hour.

A load's entry is written when its turn comes at the paver. The plant's time is on its ticket, and
when it arrived is written now and then; nobody writes where a truck is in between, so a truck that
was not seen again may be anywhere on its round, and may be waiting by the paver already.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from itertools import pairwise
from math import fsum
from statistics import median
from typing import Final, NamedTuple

from matbook.engine.fleet import OVERDUE
from matbook.engine.haul import (
    Bunching,
    Haul,
    Outlook,
    Remedy,
    Rhythm,
    Truck,
    bunching,
    forecast,
    rhythm,
    steady_pace,
    trucks_to_add,
)
from matbook.shift.calls import Call
from matbook.shift.facts import Facts
from matbook.shift.figure import Figure, Input, Whole
from matbook.shift.loads import Load, loads
from matbook.shift.pavers import Line, Stop, lines

KINDS: Final = ("load", "paver")
AHEAD_S: Final = 3600.0
FUTURES: Final = 100
TRIED: Final = 50
"""Futures of the answer, and for each pace that is tried: few, so that it is soon there."""
ALLOWED: Final = 0.1
"""A chance of a stop within the hour that needs no other pace: ours."""
SOON_S: Final = 1200.0
LIKELY: Final = 0.5
"""A stop as likely as this within so long is said: ours."""
FEWEST: Final = 3
"""Times of one leg before anything is forecast from them: ours."""
CLOSE_S: Final = 120.0
HEADWAY_S: Final = 30.0
"""Arrivals so close count as a bunch, and a truck that can't pass follows so close: assumed."""
FOR_MIX: Final = ("waiting for mix", "truck change")
ENOUGH_TO_BUNCH: Final = 8
PAUSE: Final = 3.0
"""A time so many times as long as the usual one is a pause, or a wrong clock: ours."""


class Turn(NamedTuple):
    """A load whose turn came at a paver, and when its truck was empty, as far as that is known."""

    load: Load
    emptied: datetime | None


@dataclass(frozen=True)
class Hauled:
    """The haul of one paver, and the coming hour; what can't be worked out says why."""

    paver: str
    why: str = ""
    """Code of the sentence that says why there is no forecast; empty if there is one."""
    haul: Haul | None = None
    trucks: tuple[Truck, ...] = ()
    outlook: Outlook | None = None
    entries: tuple[str, ...] = ()
    """Loads that the rhythm was read from."""
    bunched: Bunching | None = None
    """Whether trucks came in bunches, where enough of them said when they arrived."""

    @cached_property
    def more(self) -> Remedy | None:
        """How many trucks more would keep it moving at its pace; None where no number would."""
        if self.haul is None:
            return None
        return trucks_to_add(self.haul, self.trucks, AHEAD_S, 0.0, ALLOWED, TRIED, self.paver)

    @cached_property
    def pace(self) -> Remedy | None:
        """The pace that would keep it moving, where that is another one and there is one."""
        if self.haul is None or self.outlook is None:
            return None
        if self.outlook.stops_by(AHEAD_S).value <= ALLOWED:
            return None
        moving = 1.0 - self.outlook.standing_s.middle / AHEAD_S
        return steady_pace(
            self.haul, self.trucks, AHEAD_S, 0.0, ALLOWED, TRIED, self.paver, max(moving, 0.25)
        )


def hauls(facts: Facts, now: datetime) -> tuple[Hauled, ...]:
    """The haul of every paver at work, to the minute; kept until a load or a paver is written."""
    minute = now.replace(second=0, microsecond=0)
    held: dict[datetime, tuple[Hauled, ...]] = facts.remembered("haul", KINDS, dict)
    if minute not in held:
        held.clear()
        taken = _taken(facts, now)
        held[minute] = tuple(
            _hauled(facts, line, taken, now)
            for line in lines(facts)
            if _waits_for_mix_at_most(line)
        )
    return held[minute]


def _waits_for_mix_at_most(line: Line) -> bool:
    """Whether a paver is at work: of one that stands for another reason nobody knows until when."""
    standing = line.standing
    return line.working and (standing is None or standing.reason in FOR_MIX)


def _hauled(facts: Facts, line: Line, taken: Sequence[Load], now: datetime) -> Hauled:
    turns = _turns([load for load in taken if load.fact.place("paver") == line.paver], now)
    laying = _laying(turns, line.stops)
    if len(laying) < FEWEST:
        return Hauled(line.paver, "haul.few-loads")
    out, back = _rounds(turns)
    if len(back) < FEWEST:
        return Hauled(line.paver, "haul.few-rounds")
    bunched = _bunched(turns)
    haul = _haul(facts, line.paver, turns, (laying, out, back), bunched, now)
    trucks = _trucks(facts, turns, haul, {load.truck: load.at for load in taken}, now)
    outlook = forecast(haul, trucks, AHEAD_S, 0.0, FUTURES, line.paver)
    behind = tuple(turn.load.id for turn in turns)
    return Hauled(line.paver, "", haul, trucks, outlook, behind, bunched)


def _turns(taken: Sequence[Load], now: datetime) -> list[Turn]:
    """The loads that a paver took, in order; each truck is empty when the next one's turn is."""
    found = []
    for load, after in zip(taken, [*taken[1:], None], strict=False):
        discharged = load.moment("discharged")
        emptied = after.at if after else None
        if discharged is not None and load.at <= discharged <= (emptied or now):
            emptied = discharged
        found.append(Turn(load, emptied))
    return found


def _taken(facts: Facts, now: datetime) -> list[Load]:
    """The loads that any paver took so far, in the order of their turns."""
    seen = [load for load in loads(facts) if load.seen_on_road and load.counts and load.at <= now]
    return sorted(seen, key=lambda load: load.at)


def _laying(turns: Sequence[Turn], stops: Sequence[Stop]) -> list[float]:
    """From one load to the next, less what the paver stood [s]; pauses left out."""
    times = []
    for here, after in pairwise(turns):
        begins, ends = here.load.at, after.load.at
        stood = _stood(stops, begins, ends) if stops else 0.0
        times.append((ends - begins).total_seconds() - stood)
    return _usual(times)


def _stood(stops: Sequence[Stop], begins: datetime, ends: datetime) -> float:
    """How long the paver stood between two moments [s]."""
    return fsum(
        max(0.0, (min(stop.ended or ends, ends) - max(stop.started, begins)).total_seconds())
        for stop in stops
    )


def _usual(times: Sequence[float]) -> list[float]:
    """Times as they are usual: a pause is none, nor is what a wrong clock made."""
    above = [time for time in times if time > 0.0]
    most = PAUSE * median(above) if above else 0.0
    return [time for time in above if time <= most]


def _rounds(turns: Sequence[Turn]) -> tuple[list[float], list[float]]:
    """The ways out, and from empty until loaded again [s]; what clocks made impossible is left out.

    A way out ends with arriving where enough loads say when; else with the load's turn. Where the
    tickets don't say when they were loaded, a round is not taken apart: from empty until there.
    """
    timed = [turn for turn in turns if turn.load.moment("loaded")]
    if len(timed) < FEWEST:
        return [], _backs(turns, "arrived")
    seen = [turn for turn in timed if turn.load.moment("arrived")]
    ways = [
        _between(turn.load.moment("loaded"), turn.load.moment("arrived") or turn.load.at)
        for turn in (seen if len(seen) >= FEWEST else timed)
    ]
    return _usual(ways), _backs(turns, "loaded")


def _backs(turns: Sequence[Turn], until: str) -> list[float]:
    """From empty until the same truck is seen again: loaded, or there [s]."""
    before: dict[str, Turn] = {}
    found = []
    for turn in turns:
        last = before.get(turn.load.truck)
        again = turn.load.moment(until) or (turn.load.at if until == "arrived" else None)
        if last is not None and again is not None:
            found.append(_between(last.emptied or last.load.at, again))
        if turn.load.truck:
            before[turn.load.truck] = turn
    return _usual(found)


def _between(since: datetime | None, to: datetime) -> float:
    return (to - since).total_seconds() if since is not None else 0.0


def _haul(
    facts: Facts,
    paver: str,
    turns: Sequence[Turn],
    legs: tuple[list[float], ...],
    bunched: Bunching | None,
    now: datetime,
) -> Haul:
    laying, out, back = (rhythm(times) if times else Rhythm(0.0) for times in legs)
    machine = facts.plan_at(now).pavers.get(paver)
    masses = [turn.load.net_kg for turn in turns if turn.load.net_kg]
    rate_kg_s = fsum(masses) / len(masses) / laying.mean_s if masses else 0.0
    holds_kg = machine.holds_kg if machine is not None else 0.0
    return Haul(
        loading=Rhythm(0.0),  # a part of the way back, as it was seen
        out=out,
        laying=laying,
        back=back,
        spare_s=holds_kg / rate_kg_s if rate_kg_s else 0.0,
        headway_s=HEADWAY_S,
        held_up=bunched.held_up if bunched else 0.0,
    )


def _bunched(turns: Sequence[Turn]) -> Bunching | None:
    arrivals = [at.timestamp() for turn in turns if (at := turn.load.moment("arrived"))]
    return bunching(arrivals, CLOSE_S) if len(arrivals) >= ENOUGH_TO_BUNCH else None


def _trucks(
    facts: Facts,
    turns: Sequence[Turn],
    haul: Haul,
    last_at: Mapping[str, datetime],
    now: datetime,
) -> tuple[Truck, ...]:
    """Where each truck is: by its last turn, or by the plant's word that it has left since."""
    found: dict[str, Truck] = {}
    for turn in turns:
        if last_at[turn.load.truck] > turn.load.at:
            continue  # it came again, here or at another paver
        emptied = turn.emptied
        if emptied is None and _between(turn.load.at, now) <= PAUSE * haul.laying.mean_s:
            found[turn.load.truck] = Truck("laying", max(0.0, _between(turn.load.at, now)))
        else:
            gone_s = _between(emptied or turn.load.at, now)
            found[turn.load.truck] = Truck("back", max(0.0, gone_s), watched=False)
    for load in loads(facts):
        loaded = None if load.seen_on_road else load.moment("loaded")
        if loaded is not None and load.truck in found and loaded <= now:
            gone_s = _between(loaded, now)
            if gone_s < found[load.truck].for_s:
                found[load.truck] = Truck("out", gone_s, watched=False)
    longest_s = haul.back.likely[OVERDUE] + haul.out.likely[OVERDUE]
    return tuple(truck for truck in found.values() if truck.for_s <= longest_s)


# What is said of it


def calls(facts: Facts, now: datetime) -> Iterator[Call]:
    """A stop that is likely soon, by those who can still send a truck or slow the paver down."""
    plan = facts.plan_at(now)
    tell = tuple(p.id for p in plan.people.values() if p.role in ("contractor", "plant"))
    for one in hauls(facts, now):
        if one.outlook is None or one.outlook.stands_now:
            continue
        chance = one.outlook.stops_by(SOON_S)
        if chance.value >= LIKELY:
            says = {
                "paver": one.paver,
                "chance": 100.0 * chance.value,
                "least": 100.0 * chance.least,
                "most": 100.0 * chance.most,
                "minutes": SOON_S / 60.0,
            }
            yield Call("haul.soon", one.paver, "watch", now, says, None, tell, one.entries[-1:])


def figures(facts: Facts, now: datetime) -> Iterator[tuple[str, Figure]]:
    """The chance that each paver comes to a stop within the hour; it opens to the trucks' times."""
    for one in hauls(facts, now):
        if one.outlook is not None and one.haul is not None:
            yield f"haul/{one.paver}", _figure(one, one.haul, one.outlook)


def _figure(one: Hauled, haul: Haul, outlook: Outlook) -> Figure:
    chance = outlook.stops_by(AHEAD_S)
    legs = {"laying_s": haul.laying, "out_s": haul.out, "back_s": haul.back}
    inputs: dict[str, Input] = {
        name: Whole(leg.mean_s, "times seen", leg.count, lambda: one.entries)
        for name, leg in legs.items()
        if leg.count
    }
    inputs["trucks"] = float(len(one.trucks))
    inputs["futures"] = float(len(outlook.futures))
    return Figure(
        chance.value, "1", forecast, inputs, chance.least, chance.most, "range.futures",
    )  # fmt: skip
