"""Loads: every truck of mix, accounted for.

The plant's file and the people's entries are two witnesses to one load: they meet by plant,
production day and ticket number, the mass counts once, and what they say differently is listed.
Two different loads that share a number stay two loads with a repeated number.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import cached_property, partial
from itertools import chain

from matbook.engine.weight import net_mass
from matbook.shift.display import clock
from matbook.shift.facts import Fact, Facts
from matbook.shift.figure import Figure, figure, read
from matbook.shift.gathered import Order

KINDS = ("load",)
SAME_MASS_KG = 1.0
"""Net masses this close are the same printed number, whatever unit it was written in."""

SAME_TIME = timedelta(minutes=5)
"""A clock at the plant and one at the road may stand this far apart."""


@dataclass(frozen=True)
class Load:
    """One load, with everyone who saw it; what is asked of it over and over is kept with it."""

    id: str
    """Of the entry that counts."""
    plant: str
    number: str
    decision: str
    fact: Fact
    """The witness whose word counts: the road's, or the plant's where the road has none."""
    witnesses: tuple[Fact, ...]
    """The others: the plant's file, a colleague, a reprint."""
    net_kg: float | None
    key: tuple[str, ...]
    """Hashes of everything this load was made from: equal keys, equal loads."""

    @cached_property
    def at(self) -> datetime:
        return self.fact.at

    @cached_property
    def mix(self) -> str:
        return self.first("mix")

    @cached_property
    def truck(self) -> str:
        return self.first("truck")

    @cached_property
    def counts(self) -> bool:
        """Whether its mass is the owner's to pay for: taken, neither turned away nor void."""
        return self.decision == "taken"

    @cached_property
    def ids(self) -> tuple[str, ...]:
        return (self.id, *(fact.id for fact in self.witnesses))

    @cached_property
    def label(self) -> str:
        return self.number or "—"

    @cached_property
    def seen_on_road(self) -> bool:
        return any(fact.text("witness") != "plant" for fact in (self.fact, *self.witnesses))

    def first(self, name: str) -> str:
        """A field from the witness that counts, or from the first other one that has it."""
        own = self.fact.text(name)
        return own or next((said for f in self.witnesses if (said := f.text(name))), "")

    @cached_property
    def looked_at(self) -> Fact | None:
        """The witness who took the mix's temperature on the road; a ticket's is the plant's."""
        return next(
            (
                fact
                for fact in (self.fact, *self.witnesses)
                if fact.text("temp")
                and fact.text("witness") != "plant"
                and fact.text("temp_how") != "ticket"
            ),
            None,
        )

    @property
    def temp(self) -> str:
        """Temperature on delivery as written; empty if nobody on the road took it."""
        return self.looked_at.text("temp") if self.looked_at else ""

    @cached_property
    def _moments(self) -> dict[str, datetime | None]:
        return {}

    def moment(self, name: str) -> datetime | None:
        """A moment from the witness that counts, or from the first other one that has it."""
        if name not in self._moments:
            said = (fact.moment(name) for fact in (self.fact, *self.witnesses))
            self._moments[name] = next((at for at in said if at is not None), None)
        return self._moments[name]

    @cached_property
    def age(self) -> timedelta | None:
        """From loading at the plant to discharge, or to the look at the load."""
        spent = self.since_loading
        return None if spent is None or spent < timedelta() else spent

    @cached_property
    def since_loading(self) -> timedelta | None:
        """The same, below zero where a clock is wrong."""
        loaded = self.moment("loaded")
        return None if loaded is None else (self.moment("discharged") or self.at) - loaded

    def net(self) -> Figure | None:
        """Net mass, from the ticket's own net, or gross - tare; opens to the entry."""
        for fact in (self.fact, *self.witnesses):
            if fact.si("net") is not None:
                low, high = fact.spread("net") or (None, None)
                words = "contest" if low is not None else ""
                inputs = {"net": read(fact, "net")}
                return Figure(fact.si("net") or 0.0, "kg", None, inputs, low, high, words)
            if fact_net(fact) is not None:
                return figure(
                    net_mass, "kg", gross_kg=read(fact, "gross"), tare_kg=read(fact, "tare")
                )
        return None

    def differences(self) -> list[tuple[str, str, str]]:
        """Where the plant and the road say different things: field, road, plant."""
        found = []
        for other in self.witnesses:
            for name in ("truck", "mix", "decision"):
                ours, theirs = self.fact.text(name), other.text(name)
                if ours and theirs and ours != theirs:
                    found.append((name, ours, theirs))
            ours_at, theirs_at = self.fact.moment("loaded"), other.moment("loaded")
            if ours_at and theirs_at and abs(ours_at - theirs_at) > SAME_TIME:
                theirs_at = theirs_at.astimezone(ours_at.tzinfo)
                found.append(("loaded", clock(ours_at), clock(theirs_at)))
            ours_kg, theirs_kg = fact_net(self.fact), fact_net(other)
            if _apart(ours_kg, theirs_kg):
                found.append(("net", _weighed(self.fact), _weighed(other)))
        return found


def loads(facts: Facts) -> tuple[Load, ...]:
    """All loads of the shift in reading order of the witness that counts."""
    return facts.remembered("loads", KINDS, lambda: _loads(facts))


def load_of(facts: Facts, entry: str) -> Load | None:
    """The load that an entry's id belongs to, through corrections and witnesses."""
    by_id = facts.remembered("loads.by_id", KINDS, lambda: _by_id(loads(facts)))
    return by_id.get(entry) or by_id.get(facts.current(entry))


def fact_net(fact: Fact) -> float | None:
    """Net mass [kg] as one witness has it: printed, or gross - tare; None if it can't be told."""
    net = fact.si("net")
    if net is not None:
        return net
    gross, tare = fact.si("gross"), fact.si("tare")
    if gross is None or tare is None or gross < tare:
        return None
    return net_mass(gross, tare)


def _weighed(fact: Fact) -> str:
    """Net mass as one witness wrote it."""
    return fact.text("net") or f"{fact.text('gross')} − {fact.text('tare')}"


def _by_id(all_loads: Iterable[Load]) -> dict[str, Load]:
    return {entry: load for load in all_loads for entry in load.ids}


def _loads(facts: Facts) -> tuple[Load, ...]:
    numbered: dict[tuple[str, str], list[Fact]] = defaultdict(list)
    alone: list[Fact] = []
    named = facts.each("ticket", facts.of("load"), _ticket)
    for fact, ticket in zip(facts.of("load"), named, strict=True):
        if ticket[1]:
            numbered[ticket].append(fact)
        else:
            alone.append(fact)
    seen: list[list[Fact]] = []
    for group in numbered.values():
        if len(group) == 1:
            alone += group
        else:
            seen += _paired(group)
    found = facts.each("load", alone, lambda fact: load_from([fact]))
    found += [facts.once(("load", _key(group)), partial(load_from, group)) for group in seen]
    return tuple(sorted(found, key=lambda load: load.fact.order))


def _ticket(fact: Fact) -> tuple[str, str]:
    """What ties witnesses together: the plant, and the ticket's number however it was written."""
    return fact.text("plant"), fact.text("ticket").strip().casefold()


def _key(witnesses: Sequence[Fact]) -> tuple[str, ...]:
    return tuple(chain.from_iterable(fact.key for fact in witnesses))


def _paired(group: Sequence[Fact]) -> list[list[Fact]]:
    """Part the entries under one number into loads: each load once, with its witnesses."""
    parted: list[list[Fact]] = []
    lines = [fact for fact in group if fact.text("witness") == "plant"]
    for fact in sorted((f for f in group if f not in lines), key=_precedence):
        matching = [seen for seen in parted if _same_load(seen, fact)]
        if matching:
            min(matching, key=lambda seen: _distance(seen[0], fact)).append(fact)
        else:
            parted.append([fact])
    pairs = [
        (_distance(seen[0], line), line.order, line, seen) for line in lines for seen in parted
    ]
    for _, _, line, seen in sorted(pairs, key=lambda pair: pair[:2]):
        if line in lines and all(fact.text("witness") != "plant" for fact in seen):
            seen.append(line)
            lines.remove(line)
    return [*parted, *([line] for line in lines)]


def _precedence(fact: Fact) -> tuple[bool, Order]:
    """An original before its reprint, then reading order."""
    return fact.text("form") == "reprint", fact.order


def _same_load(seen: Sequence[Fact], fact: Fact) -> bool:
    """Whether an entry from the road is one more witness to a load already seen.

    A reprint joins its original; a second person's entry joins when truck and mass agree. The same
    person writing the same number twice is a repeated number, for that person to clear up. The
    plant's lines join afterwards, each the load on the road that it is most like.
    """
    if fact.text("form") == "reprint":
        return True
    other_people = all(other.entry.by != fact.entry.by for other in seen)
    return other_people and _distance(seen[0], fact) <= SAME_MASS_KG


def _distance(one: Fact, other: Fact) -> float:
    """How unlike two witnesses are: another truck outweighs any difference in mass."""
    trucks = {one.text("truck"), other.text("truck")} - {""}
    masses = (fact_net(one), fact_net(other))
    apart = abs(masses[0] - masses[1]) if masses[0] is not None and masses[1] is not None else 0.0
    return apart + (1e9 if len(trucks) > 1 else 0.0)


def load_from(witnesses: Sequence[Fact]) -> Load:
    """One load from those who saw it, the one whose word counts first."""
    first, *others = witnesses
    net = next((kg for fact in witnesses if (kg := fact_net(fact)) is not None), None)
    return Load(
        id=first.id,
        plant=first.text("plant"),
        number=first.text("ticket").strip(),
        decision=first.text("decision"),
        fact=first,
        witnesses=tuple(others),
        net_kg=net,
        key=_key(witnesses),
    )


def _apart(ours_kg: float | None, theirs_kg: float | None) -> bool:
    return ours_kg is not None and theirs_kg is not None and abs(ours_kg - theirs_kg) > SAME_MASS_KG
