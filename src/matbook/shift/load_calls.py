"""What the loads need said: limits, weights, numbers, differences, and where they went."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime, timedelta
from functools import partial
from math import fsum, inf

from matbook.engine.weight import legal_gross, limit_set, net_mass, over_gross
from matbook.plan.judge import judge, limits_for
from matbook.plan.model import Plan, Truck
from matbook.shift.calls import Call, beyond
from matbook.shift.facts import Fact, Facts
from matbook.shift.laid import Strip, unplaced
from matbook.shift.loads import Load, load_of, loads
from matbook.shift.measured import judged
from matbook.shift.numbers import numberings
from matbook.shift.parts import NOTHING_KG, Account, accounts, orphans

ADDS_UP_KG = 20.0
"""Scales print to 20 kg or finer: gross - tare further than this from net is a mistake."""
TIES_KG = 5.0
"""Half of the last digit that day sums are printed with; sums further apart don't tie."""


def calls(
    facts: Facts, now: datetime, tickets: Mapping[str, int], restarts: Mapping[Strip, float]
) -> Iterator[Call]:
    """Every call about loads and tickets."""
    for found in facts.each("calls", loads(facts), partial(_own, facts)):
        yield from found
    yield from _numbers(facts, now, tickets)
    yield from _back_too_soon(facts)
    yield from _where(facts, restarts)
    yield from _ties(facts)


def _own(facts: Facts, load: Load) -> tuple[Call, ...]:
    """What one load needs said, whatever else was written."""
    return of_load(facts.plan_at(load.at), load)


def of_load(plan: Plan, load: Load) -> tuple[Call, ...]:
    """What one load needs said under a plan."""
    return (
        *_limits(plan, load),
        *_weight(plan, load),
        *_mix_and_job(plan, load),
        *_witnesses(load),
    )


def _say(code: str, load: Load, grade: str = "watch", /, **says: object) -> Call:
    arguments = {"load": load.label, "truck": load.truck, **says}
    return Call(code, load.id, grade, load.at, arguments, entries=load.ids)


def _limits(plan: Plan, load: Load) -> Iterator[Call]:
    """Temperature on delivery and age: said of loads turned away too, as the reason why."""
    looked, age = load.looked_at, load.age
    temp_c = looked.si("temp") if looked else None
    values = []
    if looked and temp_c is not None and looked.text("temp_how") != "infrared":
        values.append(("temperature.delivery", temp_c, "degC", "load.temperature"))
    if age is not None:
        values.append(("age", age.total_seconds() / 60, "min", "load.age"))
    for quantity, value, unit, code in values:
        for judgement in judged(plan, load.fact, quantity, value, unit, mix=load.mix):
            if not judgement.ok:
                yield beyond(
                    judgement,
                    plan,
                    code,
                    None if load.counts else "note",
                    load.id,
                    load.at,
                    load.ids,
                    load=load.label,
                    truck=load.truck,
                    decision=load.decision,
                    value=value,
                    unit=unit,
                    by=judgement.by,
                )


def _weight(plan: Plan, load: Load) -> Iterator[Call]:
    weighed = next((f for f in (load.fact, *load.witnesses) if f.si("gross")), load.fact)
    gross, tare, net = weighed.si("gross"), weighed.si("tare"), weighed.si("net")
    truck = plan.trucks.get(load.truck)
    if gross is None and net is not None and truck and truck.tare_kg is not None:
        gross = net + truck.tare_kg
    legal = legal_gross_of(truck) if truck else inf
    if gross is not None and legal < gross:
        over = over_gross(gross, legal)
        yield _say("load.overweight", load, "act", kg=over, gross_kg=gross, legal_kg=legal)
    if gross is not None and tare is not None and gross < tare:
        yield _say("load.gross-below-tare", load, "watch", gross_kg=gross, tare_kg=tare)
    elif weighed.si("gross") and gross and tare is not None and net is not None:
        off = net - net_mass(gross, tare)
        if abs(off) > ADDS_UP_KG:
            yield _say("load.does-not-add-up", load, "watch", kg=abs(off))
    spent = load.since_loading
    if spent is not None and spent < timedelta():
        yield _say("load.loaded-later", load, "watch", minutes=-spent.total_seconds() / 60)
    if load.counts and load.net_kg is None:
        yield _say("load.no-mass", load)


def legal_gross_of(truck: Truck) -> float:
    """What a truck may weigh [kg]: as the plan says, else by its axles and the law it names."""
    if truck.legal_gross_kg is not None:
        return truck.legal_gross_kg
    if truck.limit_set and truck.spacings_m:
        return legal_gross(truck.spacings_m, limit_set(truck.limit_set))
    return inf


def _mix_and_job(plan: Plan, load: Load) -> Iterator[Call]:
    grade = "act" if load.counts else "note"
    if load.mix and load.mix not in plan.mixes:
        yield _say("load.mix-unknown", load, grade, mix=load.mix, decision=load.decision)
    yield from _mix_for(plan, load, load.fact)
    job = load.first("job_on_ticket")
    if job and job not in (plan.job.id, plan.job.contract, plan.job.name):
        yield _say("load.job-wrong", load, grade, job=job, decision=load.decision)


def _mix_for(plan: Plan, load: Load, fact: Fact) -> Iterator[Call]:
    """A known mix that is not the one planned for the lift where an entry says it went."""
    lift = plan.lifts.get(fact.place("lift"))
    if load.mix in plan.mixes and lift is not None and lift.mix != load.mix:
        yield _say(
            "load.mix-wrong",
            load,
            "act" if load.counts else "note",
            mix=load.mix,
            wanted=lift.mix,
            decision=load.decision,
        )


def _witnesses(load: Load) -> Iterator[Call]:
    for field, ours, theirs in load.differences():
        code = "load.differs"
        yield Call(
            code,
            f"{load.id}/{field}",
            "watch",
            load.at,
            {"load": load.label, "field": field, "ours": ours, "theirs": theirs},
            entries=load.ids,
        )
    if load.counts and not load.seen_on_road:
        yield _say("load.unseen", load, "note")
    if load.fact.contenders:
        yield _say("load.contested", load, "watch", count=1 + len(load.fact.contenders))


def _numbers(facts: Facts, now: datetime, tickets: Mapping[str, int]) -> Iterator[Call]:
    plan = facts.plan_at(now)
    for found in numberings(plan, loads(facts), tickets):
        for group in found.repeated:
            yield Call(
                "ticket.repeated",
                f"{found.plant}/{group[0].number}",
                "act",
                group[-1].at,
                {"number": group[0].label, "count": len(group), "plant": found.plant},
                entries=tuple(entry for load in group for entry in load.ids),
            )
        for first, last, after in found.missing:
            yield Call(
                "ticket.missing",
                f"{found.plant}/{first}-{last}",
                "watch",
                after.at,
                {
                    "numbers": str(first) if first == last else f"{first}–{last}",
                    "count": last - first + 1,
                    "after": after.label,
                    "plant": found.plant,
                },
                entries=after.ids,
            )
        for load in found.backwards:
            yield _say("ticket.out-of-order", load, "note", plant=found.plant)


def _back_too_soon(facts: Facts) -> Iterator[Call]:
    """A truck turned away that comes back sooner than it could have been loaded again."""
    gone: dict[str, Load] = {}
    for load in loads(facts):
        if load.decision == "turned away" and load.truck:
            gone[load.truck] = load
            continue
        before = gone.pop(load.truck, None) if load.counts else None
        if before is not None:
            yield from _suspicious(facts.plan_at(load.at), before, load)


def _suspicious(plan: Plan, before: Load, load: Load) -> Iterator[Call]:
    if before.net_kg is None or load.net_kg is None:
        return
    minutes = (load.at - before.at).total_seconds() / 60
    apart = abs(load.net_kg - before.net_kg)
    near = limits_for(plan, "mass.similar")
    if not near or not judge(near[0], apart, "kg", plan.job.rounding).ok:
        return
    for limit in limits_for(plan, "return"):
        judgement = judge(limit, minutes, "min", plan.job.rounding)
        if not judgement.ok:
            yield beyond(
                judgement,
                plan,
                "load.back-too-soon",
                None,
                load.id,
                load.at,
                (*before.ids, *load.ids),
                load=load.label,
                truck=load.truck,
                before=before.label,
                minutes=minutes,
                kg=apart,
            )


def _where(facts: Facts, restarts: Mapping[Strip, float]) -> Iterator[Call]:
    for found in facts.each("where", accounts(facts), partial(_went, facts)):
        yield from found
    for fact in facts.of("placed"):
        of = load_of(facts, fact.text("load"))
        if of is not None and not of.counts and fact.text("to") in ("mainline", "area"):
            yield _say("load.placed-not-taken", of, "watch", decision=of.decision)
    waiting: dict[Strip, list[Load]] = {}
    for lost in unplaced(facts, restarts):
        if lost.missing == "station":
            waiting.setdefault(lost.part.strip, []).append(lost.part.load)
        else:
            yield _say("load.no-area", lost.part.load, "watch", missing=lost.missing)
    for strip, those in waiting.items():
        yield _wait(facts, strip, those)
    for fact in orphans(facts):
        yield Call("part.no-load", fact.id, "watch", fact.at, {}, entries=(fact.id,))


def _wait(facts: Facts, strip: Strip, found: Sequence[Load]) -> Call:
    """Loads that get their area with the next station; once the shift is closed, none comes."""
    ids = tuple(dict.fromkeys(name for load in found for name in load.ids))
    says = {"n": len(found), "first": found[0].label, "last": found[-1].label}
    grade = "watch" if facts.of("shift-close") else "note"
    return Call("load.no-station", "/".join(strip), grade, found[-1].at, says, entries=ids)


def _went(facts: Facts, account: Account) -> tuple[Call, ...]:
    """What the account of one load needs said, whatever else was written."""
    load = account.load
    found = []
    if account.state == "over-placed":
        found.append(_say("load.over-placed", load, "watch", kg=-account.left_kg))
    elif account.left_kg > NOTHING_KG and load.counts:
        found.append(_say("load.not-placed", load, "watch", kg=account.left_kg))
    for part in account.parts:
        found += _mix_for(facts.plan_at(load.at), load, part.fact)
    return tuple(found)


def _ties(facts: Facts) -> Iterator[Call]:
    for fact in facts.of("tie-out"):
        yield from _tie(facts, fact)


def _tie(facts: Facts, fact: Fact) -> Iterator[Call]:
    """The plant's count and sum against ours: loads taken, and loads taken or turned away."""
    plant, mix = fact.text("plant"), fact.text("mix")
    said = [
        load
        for load in loads(facts)
        if load.plant == plant and (not mix or load.mix == mix) and load.decision != "void"
    ]
    taken = [load for load in said if load.counts]
    theirs, theirs_kg = int(fact.body["count"]), fact.si("mass") or 0.0
    ours_kg, said_kg = _mass(taken), _mass(said)
    arguments = {
        "plant": plant,
        "of_mix": mix,
        "ours": len(taken),
        "turned": len(said) - len(taken),
    }
    if theirs not in (len(taken), len(said)):
        yield Call(
            "tie.count",
            fact.id,
            "act",
            fact.at,
            {**arguments, "theirs": theirs},
            entries=(fact.id,),
        )
    if min(abs(theirs_kg - ours_kg), abs(theirs_kg - said_kg)) > TIES_KG:
        masses = {"theirs_kg": theirs_kg, "ours_kg": ours_kg, "kg": abs(theirs_kg - ours_kg)}
        yield Call("tie.mass", fact.id, "act", fact.at, {**arguments, **masses}, entries=(fact.id,))


def _mass(said: Sequence[Load]) -> float:
    return fsum(load.net_kg or 0.0 for load in said)
