"""Calls of lots: a trend that fails, the owner's stop rule, single values, results left out."""

from collections.abc import Iterator
from typing import Final

from matbook.lots.folded import Lot, Lots
from matbook.lots.results import Result
from matbook.plan.judge import people_to_tell
from matbook.plan.model import Limit, LotRule, Plan
from matbook.shift.calls import Call

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
    if worth.pay is None:
        return
    stop = float(rule.stop) if rule.stop else None
    low = worth.forecast.low_factor if worth.forecast else worth.pay.factor
    expected = worth.forecast.middle_factor if worth.forecast else worth.pay.factor
    factor = worth.pay.factor
    if worth.pay.rejected:
        code, grade = "lot.rejected", "act"
    elif stop is not None and factor < stop:
        code, grade = "lot.stop", "act"
    elif stop is not None and low < stop:
        code, grade = "lot.stop-near", "watch"
    elif min(factor, expected) < 1.0:
        code, grade = "lot.failing", "watch"
    else:
        return
    within = worth.within
    yield Call(
        code,
        lot.name,
        grade,
        lot.latest,
        {
            "lot": lot.name,
            "n": len(worth.values),
            "of": rule.planned,
            "factor": f"{factor:.3f}",
            "stop": rule.stop,
            "within": "" if within is None else f"{worth.pay.measured:.0f}",
            "from_pct": "" if within is None else f"{within.low_pct:.0f}",
            "to_pct": "" if within is None else f"{within.high_pct:.0f}",
            "mean": f"{worth.pay.mean:.2f}",
        },
        tell=_told(plan, rule),
        entries=tuple(one.fact.id for one in lot.counted),
    )


def _single(plan: Plan, lot: Lot, one: Result) -> Iterator[Call]:
    """A single result below the plan's floor: without a floor, one result is no failure."""
    floor = lot.rule.floor
    if one.counts and floor and one.value is not None and one.value.value < float(floor):
        yield Call(
            "lot.floor",
            one.fact.id,
            "act",
            one.fact.at,
            {
                "lot": lot.name,
                "sublot": str(one.sublot),
                "result": f"{one.value.value:g} {lot.rule.unit}",
                "floor": f"{floor} {lot.rule.unit}",
                "station": one.fact.place("station"),
            },
            tell=_told(plan, lot.rule),
            entries=(one.fact.id,),
        )


def _left_out(plan: Plan, one: Result) -> Call:
    return Call(
        "lot.left-out",
        one.fact.id,
        "watch",
        one.fact.at,
        {
            "lot": one.lot or one.rule.name,
            "station": one.fact.place("station"),
            "lot_state": one.state,
            "why": one.why,
        },
        entries=(one.fact.id,),
    )


def _told(plan: Plan, rule: LotRule) -> tuple[str, ...]:
    limit = Limit(rule.id, "", "min", "0", "", "watch", tell=rule.tell)
    return tuple(person.id for person in people_to_tell(plan, limit))
