"""Calls of lots: a trend that fails, the owner's stop rule, single values, results left out."""

from collections.abc import Iterator
from datetime import datetime
from typing import Final

from matbook.lots.folded import Lot, Lots
from matbook.lots.results import Result, decimals
from matbook.plan.judge import people_to_tell
from matbook.plan.model import Limit, Plan
from matbook.plan.rules import Deduction, LotRule
from matbook.shift.calls import Call
from matbook.shift.display import fixed
from matbook.shift.facts import Fact

LEFT_OUT: Final = ("not-drawn", "sublot", "basis", "method", "unit", "refused")
"""States of an acceptance result that somebody should know of."""


def calls(plan: Plan, found: Lots, now: datetime) -> Iterator[Call]:
    """What of the lots needs a person at a moment."""
    for lot in found.lots:
        yield from _worth(plan, lot)
        yield from _doubts(plan, lot)
        yield from _challenge(plan, lot, now)
        for one in lot.results:
            yield from _single(plan, lot, one)
    for rule, fact in found.events:
        yield _event(rule, fact)
    for small in found.small:
        yield Call("lot.small", small.id, "watch", now, {"name": small.name})
    for one in (*found.loose, *(one for lot in found.lots for one in lot.results)):
        if one.state in LEFT_OUT:
            yield _left_out(plan, one)


def _worth(plan: Plan, lot: Lot) -> Iterator[Call]:
    """The gravest that its worth gives rise to."""
    worth, rule = lot.worth, lot.rule
    found = _gravest(lot)
    if found is None:
        return
    code, grade = found
    pay, ends = worth.pay, lot.range_pct
    forecast = worth.forecast
    yield Call(
        code,
        lot.name,
        grade,
        lot.latest,
        {
            "lot": lot.name,
            **_standing(lot),
            "expected": "—" if forecast is None else fixed(forecast.middle_factor, 3),
            "stop": rule.stop,
            "within": "—" if ends is None or pay is None else fixed(pay.measured, 1),
            "from_pct": "—" if ends is None else fixed(ends[0], 0),
            "to_pct": "—" if ends is None else fixed(ends[1], 0),
        },
        tell=_told(plan, rule),
        entries=tuple(one.fact.id for one in lot.counted),
    )


def _standing(lot: Lot) -> dict[str, str]:
    """How far a lot is: results of how many, factor, mean."""
    worth, rule = lot.worth, lot.rule
    mean = worth.figures["mean"].value
    return {
        "results": str(len(worth.values)),
        "of": str(lot.planned),
        "factor": "—" if worth.pay is None else fixed(worth.pay.factor, 3),
        "mean": f"{fixed(mean, decimals(rule) + 1)} {rule.unit}",
    }


def _gravest(lot: Lot) -> tuple[str, str] | None:
    """The code and grade of what a lot's worth calls for; None where it calls for nothing.

    On two results nothing but the expected factor is looked at: nearly any two leave the worst
    possible.
    """
    pay, forecast = lot.worth.pay, lot.worth.forecast
    stop = float(lot.rule.stop) if lot.rule.stop else 0.0
    if pay is not None and pay.rejected:
        return "lot.rejected", "act"
    if pay is not None and pay.factor < stop:
        return "lot.stop", "act"
    likely = [pay.factor] if pay is not None else []
    worst = list(likely)
    if forecast is not None:
        likely.append(forecast.middle_factor)
        worst.append(forecast.low_factor if pay is not None else forecast.middle_factor)
    if worst and min(worst) < stop:
        return ("lot.stop-near" if pay is not None else "lot.stop-early"), "watch"
    if likely and min(likely) < 1.0:
        return ("lot.failing" if pay is not None else "lot.failing-early"), "watch"
    return None


def _single(plan: Plan, lot: Lot, one: Result) -> Iterator[Call]:
    """A single result below the plan's floor: without a floor, one result is no failure."""
    floor = lot.rule.floor
    if one.counts and floor and one.value is not None and one.value.value < float(floor):
        yield Call(
            "lot.floor",
            one.fact.id,
            "act",
            one.known_at,
            {
                "lot": lot.name,
                "sublot": str(one.sublot),
                "result": f"{fixed(one.value.value, decimals(lot.rule))} {lot.rule.unit}",
                "floor": f"{floor} {lot.rule.unit}",
                "station": one.fact.place("station"),
            },
            tell=_told(plan, lot.rule),
            entries=(one.fact.id,),
        )


def _doubts(plan: Plan, lot: Lot) -> Iterator[Call]:
    """A result too far from the rest, and places outside their sublot."""
    far, tell = lot.far, _told(plan, lot.rule)
    if far is not None and far.result.value is not None:
        one = far.result
        says = {
            "lot": lot.name,
            "sublot": str(one.sublot),
            "station": one.fact.place("station"),
            "result": f"{fixed(far.found.value, decimals(lot.rule))} {lot.rule.unit}",
            "t": fixed(far.found.statistic, 2),
            "critical": fixed(far.found.critical, 2),
        }
        id_ = one.fact.id
        yield Call("lot.outlier", id_, "watch", one.known_at, says, tell=tell, entries=(id_,))
    for place in lot.elsewhere:
        fact = place.result.fact
        says = {
            "lot": lot.name,
            "sublot": str(place.result.sublot),
            "station": fact.place("station"),
            "laid_lot": place.lot,
            "laid_sublot": "—" if place.sublot is None else str(place.sublot),
        }
        yield Call("lot.elsewhere", fact.id, "watch", fact.at, says, entries=(fact.id,))


def _challenge(plan: Plan, lot: Lot, now: datetime) -> Iterator[Call]:
    """The end of the time to ask for a retest, of a lot that isn't paid in full or is disputed."""
    since, until, pay = lot.challenge_called, lot.challenge_until, lot.worth.pay
    if since is None or until is None or not since <= now <= until:
        return
    if not lot.disputed and (pay is None or pay.factor >= 1.0):
        return
    local = until.astimezone(now.tzinfo)
    says = {"lot": lot.name, "until": f"{local:%Y-%m-%d %H:%M}", **_standing(lot)}
    behind = tuple(one.fact.id for one in lot.counted)
    tell = _told(plan, lot.rule)
    yield Call("lot.challenge", lot.name, "watch", lot.latest, says, tell=tell, entries=behind)


def _event(rule: Deduction, fact: Fact) -> Call:
    says = {
        "name": rule.name,
        "sign": fact.text("sign"),
        "each": rule.each,
        "station": fact.place("station") or fact.place("from"),
    }
    return Call("lot.event", fact.id, "watch", fact.at, says, entries=(fact.id,))


def _left_out(plan: Plan, one: Result) -> Call:
    says = {"lot": one.lot or one.rule.name, "station": one.fact.place("station")}
    says |= {"why": one.why} if one.why else {"lot_state": one.state}
    return Call(
        "lot.no-value" if one.why else "lot.left-out",
        one.fact.id,
        "watch",
        one.fact.at,
        says,
        entries=(one.fact.id,),
    )


def _told(plan: Plan, rule: LotRule) -> tuple[str, ...]:
    limit = Limit(rule.id, "", "min", "0", "", "watch", tell=rule.tell)
    return tuple(person.id for person in people_to_tell(plan, limit))
