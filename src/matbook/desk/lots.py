"""Lots: a table of all, and each with every step to its pay factor, in words."""

from collections.abc import Mapping
from datetime import datetime
from typing import Any

from matbook.desk.asking import Asked
from matbook.engine.comparison import Difference
from matbook.errors import NotFound
from matbook.lots.calls import calls
from matbook.lots.drawn import Trail, trail
from matbook.lots.folded import Lot, Lots, lots
from matbook.lots.results import DENSITY, Result, decimals, tested_places
from matbook.lots.sides import Sides, sides
from matbook.lots.steps import result_name, steps
from matbook.lots.work import Work, places_of
from matbook.shift.calls import Call
from matbook.shift.display import fixed, signed
from matbook.shift.figure import Figure

NOTHING = Lots((), ())


def found(asked: Asked) -> Lots:
    """The lots of the job as far as the shift and moment asked about, by what the role may know."""
    work = _work(asked)
    return lots(work) if work.plan.lots else NOTHING


def _work(asked: Asked) -> Work:
    names = asked.book.shifts[: asked.book.shifts.index(asked.shift) + 1]
    shifts = [asked.book.facts(name) for name in names if asked.book.wrote(name)]
    whole = asked.whole or asked.book
    tested = tested_places(shifts)
    drawn = {draw.shift for draw in whole.of_kind("draw") if draw.id in tested}
    draws = [fact.entry for name in drawn for fact in whole.facts(name).of("draw")]
    return Work(shifts, asked.plan, asked.now, places_of(draws, tested))


def lot_calls(asked: Asked, seen: Lots) -> list[Call]:
    """What of the lots needs a person."""
    return list(calls(asked.plan, seen))


def lot_figures(asked: Asked) -> Mapping[str, Figure]:
    """Every figure of every lot by name."""
    return {name: one for lot in found(asked).lots for name, one in lot.figures().items()}


def all_lots(asked: Asked) -> list[dict[str, Any]]:
    """One row for each lot."""
    return [_row(asked, lot) for lot in found(asked).lots]


def _row(asked: Asked, lot: Lot) -> dict[str, Any]:
    worth = lot.worth
    state = asked.say("lot.complete" if lot.complete else "lot.open")
    if lot.provisional:
        state = f"{state}, {asked.say('lot.provisional')}"
    return {
        "lot": lot.name,
        "of": lot.rule.name,
        "results": asked.say("lot.count", n=len(lot.counted), of=lot.rule.planned),
        "mean": _mean(lot),
        "within": within_words(asked, lot),
        "factor": "—" if worth.pay is None else fixed(worth.pay.factor, 3),
        "money": _money(lot),
        "state": state,
    }


def _mean(lot: Lot) -> str:
    mean = lot.worth.figures.get("mean")
    return "—" if mean is None else f"{fixed(mean.value, decimals(lot.rule) + 1)} {lot.rule.unit}"


def within_words(asked: Asked, lot: Lot) -> str:
    """Percent within limits with its range, never without."""
    worth = lot.worth
    if worth.within is None or worth.pay is None:
        return asked.say("lot.within.none" if worth.why == "lot.few" else "lot.within.not")
    return asked.say(
        "lot.within",
        pct=fixed(worth.pay.measured, 1),
        low=fixed(worth.within.low_pct, 0),
        high=fixed(worth.within.high_pct, 0),
    )


def _money(lot: Lot) -> str:
    money = lot.worth.figures.get("money")
    return "" if money is None else signed(money.value, 2)


def lot_line(asked: Asked, lot: Lot) -> str:
    """A lot in one line: mean with its basis, percent within limits with its range, how sure."""
    mean = _mean(lot)
    if lot.rule.characteristic == DENSITY and "mean" in lot.worth.figures:
        mean = f"{mean.partition(' ')[0]} {asked.say(f'basis.{lot.rule.basis}')}"
    line = asked.say(
        "lot.line",
        lot=lot.name,
        mean=mean,
        n=len(lot.counted),
        of=lot.rule.planned,
        within=within_words(asked, lot),
    )
    return f"{line} · {asked.say('lot.provisional')}" if lot.provisional else line


def one_lot(asked: Asked) -> dict[str, Any]:
    """A lot, opened; raises NotFound."""
    seen, name = found(asked), asked.text("name")
    lot = seen.named(name)
    if lot is None:
        known = ", ".join(one.name for one in seen.lots)
        raise NotFound(f"There is no lot “{name[:40]}”; there is: {known or 'none yet'}.")
    return {
        **_row(asked, lot),
        "title": asked.say("lot.title", lot=lot.name, name=lot.rule.name),
        "schedule": lot.rule.schedule,
        "line": lot_line(asked, lot),
        "rule": _rule(asked, lot),
        "rows": [_result(asked, lot, one) for one in lot.results],
        "steps": [
            {"text": asked.say(f"lot.step.{one.code}", **one.says), "figure": one.figure}
            for one in steps(asked.plan, lot)
        ],
        "why": lot.worth.said or (asked.say(lot.worth.why) if lot.worth.why else ""),
        "ahead": _ahead(asked, lot),
        "sides": _sides(asked, sides(lot.results)),
        "draw": _draw(asked, lot, trail(_work(asked), lot.name)),
        "notes": _notes(asked, lot),
    }


def _rule(asked: Asked, lot: Lot) -> list[str]:
    """What it is judged and paid by, each with where that comes from."""
    rule, schedule = lot.rule, lot.worth.schedule
    pay = lot.worth.pay
    lower = rule.lower or ("" if pay is None or pay.lower is None else f"{pay.lower:g}")
    upper = rule.upper or ("" if pay is None or pay.upper is None else f"{pay.upper:g}")
    said = []
    if lower:
        said.append(asked.say("lot.rule.lower", limit=lower, unit=rule.unit))
    if upper:
        said.append(asked.say("lot.rule.upper", limit=upper, unit=rule.unit))
    said.append(asked.say("lot.rule.sublots", n=rule.sublots, each=rule.tests))
    said.append(
        asked.say(
            "lot.rule.schedule",
            title=schedule.title,
            source=schedule.source,
            standing=schedule.standing,
        )
    )
    if rule.clause or rule.source:
        source = " · ".join(text for text in (rule.clause, rule.source) if text)
        said.append(asked.say("lot.rule.source", source=source))
    return said


def _result(asked: Asked, lot: Lot, one: Result) -> dict[str, Any]:
    value, unit = one.value, lot.rule.unit
    state = asked.say(f"lot.state.{one.state}")
    if one.disputed:
        state = f"{state}, {asked.say('lot.disputed')}"
    return {
        "sublot": "—" if one.sublot is None else str(one.sublot),
        "at": _when(asked, one.fact.at),
        "station": one.fact.place("station"),
        "sample": one.sample,
        "value": "—" if value is None else f"{fixed(value.value, decimals(lot.rule))} {unit}",
        "counts": one.counts,
        "state": one.why or state,
        "by": asked.person(one.fact.entry.by),
        "id": one.fact.id,
        "figure": result_name(lot.name, one) if value is not None else None,
    }


def _ahead(asked: Asked, lot: Lot) -> list[str]:
    """The pay expected for the whole lot, and what the next result would do."""
    forecast, full = lot.worth.forecast, lot.worth.full
    if forecast is None or full is None:
        return []
    said = [
        asked.say(
            "lot.ahead.pay",
            low=fixed(forecast.low_factor, 3),
            middle=fixed(forecast.middle_factor, 3),
            high=fixed(forecast.high_factor, 3),
            full=fixed(100.0 * forecast.full, 0),
        )
    ]
    if not full:
        said.append(asked.say("lot.ahead.no-next"))
    more, unit = decimals(lot.rule), lot.rule.unit
    for low, high in full:
        ends = {"low": fixed(low, more), "high": fixed(high, more), "unit": unit}
        said.append(asked.say("lot.ahead.next", **ends))
    said.append(asked.say("lot.ahead.is"))
    return said


def _sides(asked: Asked, found: Sides | None) -> list[str]:
    if found is None:
        return []
    said = [asked.say("lot.sides", ours=len(found.owner), theirs=len(found.contractor))]
    if found.variances is not None:
        said.append(_compared(asked, "variances", found.variances))
    if found.means is not None:
        said.append(_compared(asked, "means" if found.equal else "means-unequal", found.means))
    if found.paired is not None:
        said.append(_compared(asked, "paired", found.paired))
    return [*said, found.said] if found.said else said


def _compared(asked: Asked, how: str, found: Difference) -> str:
    verdict = asked.say("lot.sides.differ" if found.differ else "lot.sides.agree")
    numbers = {"statistic": fixed(found.statistic, 2), "critical": fixed(found.critical, 2)}
    return asked.say(f"lot.sides.{how}", verdict=verdict, **numbers)


def _draw(asked: Asked, lot: Lot, found: Trail) -> list[str]:
    """Who committed, contributed and revealed what, and whether it fits."""
    by_mass = lot.rule.size is not None and lot.rule.size[1] == "mass"
    said = [
        asked.say(
            f"lot.draw.{step.text('step')}",
            who=asked.person(step.entry.by),
            at=_when(asked, step.at),
            number=step.text("number"),
        )
        for step in found.steps
    ]
    for one in found.places:
        sublot = f"{one.sublot}"
        along = asked.display.show(
            "mass" if by_mass else "length", one.at / (1 if by_mass else 1000)
        )
        said.append(asked.say("lot.draw.place", sublot=sublot, along=along))
    if found.steps:
        said.append(found.why or asked.say("lot.draw.fits" if found.seed else "lot.draw.waits"))
    return said


def _when(asked: Asked, at: datetime) -> str:
    return f"{asked.local(at):%Y-%m-%d %H:%M}"


def _notes(asked: Asked, lot: Lot) -> list[str]:
    said = []
    if lot.provisional:
        said.append(asked.say("lot.provisional.is"))
    until = lot.challenge_until
    if until is not None:
        code = "lot.challenge.open" if asked.now <= until else "lot.challenge.over"
        said.append(asked.say(code, until=_when(asked, until)))
    if lot.rule.floor:
        said.append(asked.say("lot.floor.is", floor=lot.rule.floor, unit=lot.rule.unit))
    else:
        said.append(asked.say("lot.floor.none"))
    said.append(asked.say("lot.source"))
    return said
