"""Calls of lots: a trend that fails, the owner's stop rule, single values, results left out."""

from collections.abc import Iterator
from typing import Final

from matbook.lots.folded import Lot, Lots
from matbook.lots.results import Result, decimals
from matbook.plan.judge import people_to_tell
from matbook.plan.model import Limit, LotRule, Plan
from matbook.shift.calls import Call
from matbook.shift.display import fixed

LEFT_OUT: Final = ("not-drawn", "sublot", "basis", "method", "unit", "refused")
"""States of an acceptance result that somebody should know of."""


def calls(plan: Plan, found: Lots) -> Iterator[Call]:
    """What of the lots needs a person."""
    for lot in found.lots:
        yield from _worth(plan, lot)
        for one in lot.results:
            yield from _single(plan, lot, one)
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
    within, pay = worth.within, worth.pay
    forecast = worth.forecast
    yield Call(
        code,
        lot.name,
        grade,
        lot.latest,
        {
            "lot": lot.name,
            "results": str(len(worth.values)),
            "of": str(rule.planned),
            "factor": "—" if pay is None else fixed(pay.factor, 3),
            "expected": "—" if forecast is None else fixed(forecast.middle_factor, 3),
            "stop": rule.stop,
            "within": "—" if within is None or pay is None else fixed(pay.measured, 1),
            "from_pct": "—" if within is None else fixed(within.low_pct, 0),
            "to_pct": "—" if within is None else fixed(within.high_pct, 0),
            "mean": f"{fixed(worth.figures['mean'].value, decimals(rule) + 1)} {rule.unit}",
        },
        tell=_told(plan, rule),
        entries=tuple(one.fact.id for one in lot.counted),
    )


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
        return "lot.stop-near", "watch"
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
