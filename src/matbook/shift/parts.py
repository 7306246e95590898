"""Where each load went: laid in a lane, in an area outside it, wasted, or returned."""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import fsum

from matbook.shift.facts import Fact, Facts
from matbook.shift.loads import KINDS as LOAD_KINDS
from matbook.shift.loads import Load, load_of, loads

KINDS = (*LOAD_KINDS, "placed", "weigh-back")
NOTHING_KG = 0.5
"""Less than the last printed digit of any ticket: nothing is left."""


@dataclass(frozen=True)
class Part:
    """A part of a load: where it went and how its mass is known."""

    load: Load
    to: str
    """mainline, area, waste or returned."""
    mass_kg: float
    how: str
    """weighed, estimated, or rest: what the ticket leaves after the parts that were sized."""
    fact: Fact
    """The entry that says so: a placed part, a weigh-back, or the load itself."""

    @cached_property
    def strip(self) -> tuple[str, str, str]:
        """Lane, lift and paver, as its entry says."""
        return self.fact.place("lane"), self.fact.place("lift"), self.fact.place("paver")

    @cached_property
    def key(self) -> tuple[object, ...]:
        """Everything that it was made from: equal keys, equal parts."""
        return (*self.fact.key, self.mass_kg, self.how, self.load.key)


@dataclass(frozen=True)
class Account:
    """A load and where all of it went."""

    load: Load
    parts: tuple[Part, ...]
    left_kg: float
    """Not yet said where it went; below zero when more was placed than the truck brought."""

    @cached_property
    def key(self) -> tuple[object, ...]:
        """Everything that it was made from: equal keys, equal accounts."""
        return (self.load.key, self.left_kg, *[part.key for part in self.parts])

    @cached_property
    def state(self) -> str:
        """turned away, void, not placed, placed, part used, returned, wasted, or over-placed."""
        load = self.load
        if not load.counts:
            return load.decision
        if self.left_kg < -NOTHING_KG:
            return "over-placed"
        uses = {part.to for part in self.parts if part.mass_kg > NOTHING_KG}
        if self.left_kg > NOTHING_KG or not uses:
            return "not placed"
        if uses <= {"returned"}:
            return "returned"
        if uses <= {"waste"}:
            return "wasted"
        return "part used" if uses & {"returned", "waste"} else "placed"

    def mass_to(self, *uses: str) -> float:
        return fsum(part.mass_kg for part in self.parts if part.to in uses)


def accounts(facts: Facts) -> tuple[Account, ...]:
    """The account of every load, in reading order."""
    return facts.remembered("accounts", KINDS, lambda: _accounts(facts))


def orphans(facts: Facts) -> tuple[Fact, ...]:
    """Parts and weigh-backs whose load isn't here: kept, shown, and counted nowhere."""
    return tuple(
        fact
        for kind in ("placed", "weigh-back")
        for fact in facts.of(kind)
        if load_of(facts, fact.text("load")) is None
    )


def _accounts(facts: Facts) -> tuple[Account, ...]:
    by_load: dict[str, list[Fact]] = defaultdict(list)
    for kind in ("placed", "weigh-back"):
        for fact in facts.of(kind):
            load = load_of(facts, fact.text("load"))
            if load is not None:
                by_load[load.id].append(fact)
    return tuple(_kept(facts, load, by_load.get(load.id, ())) for load in loads(facts))


def _kept(facts: Facts, load: Load, said: Sequence[Fact]) -> Account:
    """The account of a load, kept while nobody says anything else of it."""
    key = ("account", load.key, *[fact.key for fact in said])
    return facts.once(key, lambda: _account(load, said))


def _account(load: Load, said: Sequence[Fact]) -> Account:
    if not load.counts or load.net_kg is None:
        return Account(load, (), 0.0)
    said = _weighed_back(said)
    sized = [_sized(load, fact) for fact in said if _mass(fact) is not None]
    left = load.net_kg - fsum(part.mass_kg for part in sized)
    open_ended = [fact for fact in said if _mass(fact) is None]
    laid = any(fact.text("to") in ("mainline", "area") for fact in open_ended)
    own = next(
        (f for f in (load.fact, *load.witnesses) if f.place("lane") or f.place("area")), None
    )
    if own is not None and not laid:
        open_ended.append(own)
    if not open_ended or left <= NOTHING_KG:
        unsized = [_rest(load, fact, 0.0) for fact in open_ended]
        return Account(load, _in_order([*sized, *unsized]), left)
    share = left / len(open_ended)
    rest = [_rest(load, fact, share) for fact in open_ended]
    if len(rest) > 1:
        rest = [replace(part, how="estimated") for part in rest]
    return Account(load, _in_order([*sized, *rest]), 0.0)


def _weighed_back(said: Sequence[Fact]) -> list[Fact]:
    """Without the parts that only say something came back, where the scale says how much."""
    if not any(fact.entry.kind == "weigh-back" for fact in said):
        return list(said)
    return [f for f in said if f.text("to") != "returned" or _mass(f) is not None]


def _in_order(parts: Sequence[Part]) -> tuple[Part, ...]:
    return tuple(sorted(parts, key=lambda part: part.fact.order))


def _mass(fact: Fact) -> float | None:
    return fact.si("net") if fact.entry.kind == "weigh-back" else fact.si("mass")


def _sized(load: Load, fact: Fact) -> Part:
    if fact.entry.kind == "weigh-back":
        return Part(load, "returned", _mass(fact) or 0.0, "weighed", fact)
    how = fact.text("how") or "estimated"
    return Part(load, fact.text("to"), _mass(fact) or 0.0, how, fact)


def _rest(load: Load, fact: Fact, mass_kg: float) -> Part:
    if fact.entry.kind == "load":
        return Part(load, "area" if fact.place("area") else "mainline", mass_kg, "rest", fact)
    return Part(load, fact.text("to"), mass_kg, "rest", fact)
