"""Density as it is tested: strips, gauges, cores and samples of a job, and what needs a person.

Calls speak of the latest shift alone: what can still be done again there.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from matbook.lots.control_strip import ControlStrip, Spot, control_strips
from matbook.lots.cores import Core, cores
from matbook.lots.custody import Custody, custodies
from matbook.lots.gauges import CORRECTED, Gauge, gauges
from matbook.lots.work import Work
from matbook.plan.judge import people_to_tell
from matbook.plan.model import Limit, Plan
from matbook.shift.calls import Call
from matbook.shift.display import Display, fixed
from matbook.shift.figure import Figure
from matbook.shift.loads import loads

OWNERS: Final = ("supervisor",)
"""Whom to tell of a chain of custody that has a gap."""


@dataclass(frozen=True, slots=True)
class Testing:
    """Everything that density is tested with and on."""

    strips: tuple[ControlStrip, ...]
    gauges: tuple[Gauge, ...]
    cores: tuple[Core, ...]
    custody: Mapping[str, Custody]

    def figures(self) -> Mapping[str, Figure]:
        """Every figure by name."""
        found: dict[str, Figure] = {}
        for strip in self.strips:
            found |= strip.figures()
        for gauge in self.gauges:
            found |= gauge.figures()
        for core in self.cores:
            found |= {f"core/{core.name}/{name}": each for name, each in core.figures.items()}
        return found


def testing(work: Work) -> Testing:
    """What density is tested with and on, as it stands."""
    return Testing(control_strips(work), gauges(work), cores(work), custodies(work))


def calls(work: Work, found: Testing) -> Iterator[Call]:
    """What of the latest shift needs a person."""
    if not work.shifts:
        return
    shift = str(work.shifts[-1].shift)
    for strip in found.strips:
        yield from _strip(work.plan, strip, shift)
    yield from _no_strip(work, found.strips)
    for gauge in found.gauges:
        yield from _counted(work.plan, gauge, shift)
        yield from _read(work.plan, gauge, shift)
        yield from _operated(work.plan, gauge, shift)
    for core in found.cores:
        if core.shift == shift:
            yield from _core(core)
    for custody in found.custody.values():
        if custody.state == "broken" and custody.latest.entry.shift == shift:
            yield _custody(work.plan, custody)


def told(plan: Plan, people: Sequence[str]) -> tuple[str, ...]:
    """Ids of the people to tell, of people and roles."""
    limit = Limit("", "", "min", "0", "", "watch", tell=tuple(people))
    return tuple(person.id for person in people_to_tell(plan, limit))


# Strips


def _strip(plan: Plan, strip: ControlStrip, shift: str) -> Iterator[Call]:
    tell = told(plan, strip.rule.tell if strip.rule else ())
    show = Display(plan.job.units)
    if strip.shift == shift:
        for spot in strip.spots:
            yield from _turned(strip, spot, tell, show)
    if strip.due and strip.laid is not None and strip.rule is not None:
        every = strip.rule.every_kg or 0.0
        yield Call(
            "strip.due",
            strip.name,
            "watch",
            strip.facts[-1].at,
            {
                "strip": strip.name,
                "laid": show.show("mass", strip.laid.value, 0),
                "every": show.show("mass", every, 0),
            },
            tell=tell,
        )
    last = strip.sections[-1] if strip.sections else None
    if last is not None and last.meets is False and last.facts[-1].entry.shift == shift:
        rule = strip.rule
        yield Call(
            "strip.section",
            f"{strip.name}/{last.number}",
            "act",
            last.facts[-1].at,
            {
                "strip": strip.name,
                "section": str(last.number),
                "mean": fixed(last.mean.value, 1),
                "least": fixed(last.least.value, 1),
                "mean_limit": (rule.mean if rule else "") or "—",
                "single_limit": (rule.single if rule else "") or "—",
            },
            tell=tell,
            entries=tuple(fact.id for fact in last.facts),
        )


def _turned(
    strip: ControlStrip, spot: Spot, tell: tuple[str, ...], show: Display
) -> Iterator[Call]:
    """A place that was rolled past its peak, or stopped since it was cold."""
    found = spot.growth
    if found is None or found.state not in ("falling", "cold"):
        return
    yield Call(
        "strip.falling" if found.state == "falling" else "strip.cold",
        f"{strip.name}/{spot.number}",
        "watch",
        spot.facts[-1].at,
        {
            "strip": strip.name,
            "station": spot.where[2],
            "passes": str(spot.readings[-1].passes),
            "top": str(found.passes),
            "drop": show.show("density", found.drop_kg_m3),
            "temp": show.show("temperature", found.temp_c),
        },
        tell=tell,
        entries=tuple(fact.id for fact in spot.facts),
    )


def _no_strip(work: Work, strips: Sequence[ControlStrip]) -> Iterator[Call]:
    """A mix that is laid without a strip, where the plan asks for one."""
    if work.plan.control_strip is None:
        return
    known = {strip.mix.id for strip in strips if strip.mix}
    rule = work.plan.control_strip
    laid = [load for load in loads(work.shifts[-1]) if load.counts and load.at <= work.now]
    for mix in dict.fromkeys(load.mix for load in laid):
        if mix in work.plan.mixes and mix not in known:
            first = next(load for load in laid if load.mix == mix)
            yield Call(
                "strip.none",
                mix,
                "watch",
                first.at,
                {"mix": mix},
                tell=told(work.plan, rule.tell),
                entries=(first.id,),
            )


# Gauges


def _counted(plan: Plan, gauge: Gauge, shift: str) -> Iterator[Call]:
    """A standard count that drifted, or none before the first reading."""
    mine = [one for one in gauge.counts if one.shift == shift]
    tell = told(plan, plan.gauge.tell)
    if mine and mine[-1].fails and mine[-1].found is not None:
        last, found = mine[-1], mine[-1].found
        assert found is not None
        yield Call(
            "gauge.failed" if last.fails > 1 else "gauge.drift",
            gauge.id,
            "act",
            last.fact.at,
            {
                "gauge": gauge.name,
                "drift": fixed(abs(found.drift_pct), 2),
                "most": plan.gauge.drift,
                "count": last.fact.text("density_count"),
                "usual": fixed(found.mean, 0),
            },
            tell=tell,
            entries=(last.fact.id,),
        )
    read = [one for one in gauge.readings if one.shift == shift]
    if read and not mine and gauge.id:
        first = read[0].fact
        says = {"gauge": gauge.name}
        yield Call("gauge.unchecked", gauge.id, "watch", first.at, says, entries=(first.id,))


def _read(plan: Plan, gauge: Gauge, shift: str) -> Iterator[Call]:
    """Its latest reading, where it should be taken again."""
    mine = [one for one in gauge.readings if one.shift == shift]
    if not mine:
        return
    last, show = mine[-1], Display(plan.job.units)
    where = {"gauge": gauge.name, "station": last.fact.place("station")}
    if last.turned is not None and last.turned.repeat:
        says = {
            **where,
            "apart": show.show("density", last.turned.difference_kg_m3),
            "most": show.show("density", plan.gauge.turned_kg_m3),
        }
        yield Call(
            "gauge.turned", last.fact.id, "watch", last.fact.at, says, entries=(last.fact.id,)
        )
    for thing in last.near:
        code = "gauge.near-correct" if thing in CORRECTED else "gauge.near"
        least = show.show("length", plan.gauge.clearances_m[thing])
        says = {**where, "thing": thing, "least": least}
        yield Call(code, last.fact.id, "watch", last.fact.at, says, entries=(last.fact.id,))


def _operated(plan: Plan, gauge: Gauge, shift: str) -> Iterator[Call]:
    """A certificate that was out of date when the gauge was used."""
    for one in gauge.operators:
        if one.state == "over" and one.shift == shift:
            says = {"who": one.person, "gauge": gauge.name, "due": one.due}
            tell = told(plan, plan.gauge.tell)
            yield Call(
                "gauge.certificate",
                f"{gauge.id}/{one.person}",
                "act",
                one.last.at,
                says,
                tell=tell,
                entries=(one.last.id,),
            )


# Cores


def _core(core: Core) -> Iterator[Call]:
    """A core that the method doesn't hold for, or whose masses can't be; of a lot, the lot says."""
    fact = core.fact
    if core.holds is False:
        absorbed = core.figures.get("absorption")
        open_voids = fact.text("voids") == "open"
        says = {"core": core.name, "absorbed": fixed(absorbed.value, 2) if absorbed else "—"}
        code = "core.open" if open_voids else "core.absorbs"
        yield Call(code, core.name, "watch", fact.at, says, entries=(fact.id,))
    if core.why and not core.lot:
        says = {"core": core.name, "why": core.why}
        yield Call("core.refused", core.name, "watch", fact.at, says, entries=(fact.id,))


def _custody(plan: Plan, custody: Custody) -> Call:
    return Call(
        "custody.broken",
        custody.name,
        "watch",
        custody.latest.at,
        {"sample": custody.name, "custody_why": custody.fault},
        tell=told(plan, OWNERS),
        entries=custody.entries,
    )
