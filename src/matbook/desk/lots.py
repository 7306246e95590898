"""Lots: a table of all, and each with every step to its pay factor, in words."""

from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Any

from matbook.desk.asking import Asked
from matbook.desk.custody import custody_line
from matbook.desk.lot_lines import (
    doubt_lines,
    factor_of,
    laid_line,
    laid_lines,
    together_line,
    together_opened,
    together_row,
    valued,
    within_words,
)
from matbook.engine.comparison import Difference
from matbook.errors import NotFound
from matbook.lots.calls import calls
from matbook.lots.custody import custodies
from matbook.lots.drawn import Trail, trail
from matbook.lots.folded import Lot, Lots, lots
from matbook.lots.results import DENSITY, Result, decimals, tested_places
from matbook.lots.sides import Sides, sides
from matbook.lots.steps import result_name, steps
from matbook.lots.together import Together, together
from matbook.lots.work import Work, places_of
from matbook.plan.rules import LotRule
from matbook.shift.calls import Call
from matbook.shift.display import fixed, signed
from matbook.shift.figure import Figure

NOTHING = Lots((), ())


def found(asked: Asked) -> Lots:
    """The lots of the job as far as the shift and moment asked about, by what the role may know."""
    return _found(work_of(asked))


def _found(work: Work) -> Lots:
    return lots(work) if work.plan.lots else NOTHING


def work_of(asked: Asked) -> Work:
    """The shifts of the job as far as the one asked about, with the places that were tested."""
    names = asked.book.shifts[: asked.book.shifts.index(asked.shift) + 1]
    shifts = [asked.book.facts(name) for name in names if asked.book.wrote(name)]
    whole = asked.whole or asked.book
    tested = tested_places(shifts)
    drawn = {draw.shift for draw in whole.of_kind("draw") if draw.id in tested}
    draws = [fact.entry for name in drawn for fact in whole.facts(name).of("draw")]
    restarts = {
        str(facts.shift): asked.book.carry_to(str(facts.shift)).restarts for facts in shifts
    }
    return Work(shifts, asked.plan, asked.now, places_of(draws, tested), restarts)


def lot_calls(asked: Asked, seen: Lots) -> list[Call]:
    """What of the lots needs a person."""
    return list(calls(asked.plan, seen, asked.now))


def lot_figures(asked: Asked) -> Mapping[str, Figure]:
    """Every figure of every lot, and of lots paid together, by name."""
    seen = found(asked)
    own = {name: one for lot in seen.lots for name, one in lot.figures().items()}
    for one in _together(asked, seen):
        own |= {f"lot/{one.name}/{name}": each for name, each in one.figures.items()}
    return own


def _together(asked: Asked, seen: Lots) -> list[Together]:
    return list(together(asked.plan, seen.lots))


def all_lots(asked: Asked) -> list[dict[str, Any]]:
    """One row for each lot, and for lots paid together."""
    seen = found(asked)
    both = _together(asked, seen)
    return [
        *(_row(asked, lot) for lot in seen.lots),
        *(together_row(asked, one) for one in both),
    ]


def standing_lines(asked: Asked) -> list[str]:
    """Every lot that this shift laid or tested, and every one that is still open, in a line."""
    seen = found(asked)
    return [
        *(lot_line(asked, lot) for lot in seen.lots if is_open(lot) or _of_shift(asked, lot)),
        *(together_line(asked, one) for one in _together(asked, seen) if not one.complete),
    ]


def open_lines(asked: Asked) -> list[str]:
    """Every lot that more results are to come of, or that something may still change."""
    return [lot_line(asked, lot) for lot in found(asked).lots if is_open(lot)]


def is_open(lot: Lot) -> bool:
    """Whether more results are to come of a lot, or something may still change it."""
    return not lot.complete or lot.provisional or lot.disputed


def _of_shift(asked: Asked, lot: Lot) -> bool:
    """Whether the shift asked about laid something of a lot, or tested it."""
    day = asked.facts.shift.date
    laid = lot.extent is not None and any(one.day == day for one in lot.extent.stretches)
    return laid or any(one.shift == asked.shift for one in lot.results)


def _row(asked: Asked, lot: Lot) -> dict[str, Any]:
    state = asked.say("lot.complete" if lot.complete else "lot.open")
    if lot.provisional:
        state = f"{state}, {asked.say('lot.provisional')}"
    if lot.disputed:
        state = f"{state}, {asked.say('lot.disputed')}"
    return {
        "lot": lot.name,
        "of": lot.rule.name,
        "results": asked.say("lot.count", n=len(lot.counted), of=lot.planned),
        "mean": _mean(lot),
        "within": within_words(asked, lot.worth, lot.range_pct),
        "factor": factor_of(lot.worth),
        "money": _money(lot),
        "state": state,
    }


def _mean(lot: Lot) -> str:
    mean = lot.worth.figures.get("mean")
    return "—" if mean is None else f"{fixed(mean.value, decimals(lot.rule) + 1)} {lot.rule.unit}"


def _money(lot: Lot) -> str:
    """What it moves, less what events take away."""
    money = lot.money
    return "" if money is None else signed(money.value - lot.taken_away, 2)


def lot_line(asked: Asked, lot: Lot) -> str:
    """A lot in one line: mean with its basis, percent within limits with its range, how sure."""
    laid = "" if lot.extent is None else laid_line(asked, lot.extent)
    if not lot.results:
        return asked.say("lot.line.laid", lot=lot.name, laid=laid)
    mean = _mean(lot)
    if lot.rule.characteristic == DENSITY and "mean" in lot.worth.figures:
        mean = f"{mean.partition(' ')[0]} {asked.say(f'basis.{lot.rule.basis}')}"
    line = asked.say(
        "lot.line",
        lot=lot.name,
        mean=mean,
        n=len(lot.counted),
        of=lot.planned,
        within=within_words(asked, lot.worth, lot.range_pct),
    )
    marks = [asked.say("lot.provisional")] if lot.provisional else []
    if lot.disputed:
        marks.append(asked.say("lot.disputed"))
    if lot.extent is not None and lot.extent.laid != lot.extent.planned:
        marks.append(laid)
    return " · ".join([line, *marks])


def one_lot(asked: Asked) -> dict[str, Any]:
    """A lot, opened; raises NotFound."""
    work, name = work_of(asked), asked.text("name")
    seen = _found(work)
    lot, both = seen.named(name), _together(asked, seen)
    if lot is None:
        whole = next((one for one in both if one.name == name), None)
        if whole is not None:
            return together_opened(asked, whole)
        known = ", ".join([*(one.name for one in seen.lots), *(one.name for one in both)])
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
        "laid": list(laid_lines(asked, lot)),
        "doubts": list(doubt_lines(asked, lot)),
        "ahead": _ahead(asked, lot),
        "sides": _sides(asked, sides(lot.results)),
        "custody": _custody(asked, lot, work),
        "draw": _draw(asked, lot, trail(work, lot.name)),
        "notes": list(_notes(asked, lot, seen)),
        "parts": [],
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
    said += [_cut(asked, rule), asked.say("lot.rule.sublots", n=rule.sublots, each=rule.tests)]
    if rule.retests == "instead":
        said.append(asked.say("lot.rule.retests"))
    if rule.outlier:
        code = "left-out" if rule.outliers == "left out" else "said"
        said.append(asked.say(f"lot.rule.outlier.{code}", chance=rule.outlier))
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


def _cut(asked: Asked, rule: LotRule) -> str:
    """Where its lots end."""
    if rule.size is None:
        return asked.say("lot.rule.cut.day")
    size, per = rule.size
    shown = asked.display.show("mass" if per == "mass" else "length", size, 0)
    return asked.say("lot.rule.cut.load" if rule.cut == "load" else "lot.rule.cut.mass", size=shown)


def _result(asked: Asked, lot: Lot, one: Result) -> dict[str, Any]:
    state = asked.say(f"lot.state.{one.state}")
    if one.disputed:
        state = f"{state}, {asked.say('lot.disputed')}"
    return {
        "sublot": "—" if one.sublot is None else str(one.sublot),
        "at": _when(asked, one.fact.at),
        "station": one.fact.place("station"),
        "sample": one.sample,
        "value": valued(lot, one),
        "counts": one.counts,
        "state": one.why or state,
        "by": asked.person(one.fact.entry.by),
        "id": one.fact.id,
        "figure": result_name(lot.name, one) if one.value is not None else None,
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


def _custody(asked: Asked, lot: Lot, work: Work) -> list[str]:
    """Through whose hands each core and sample of the lot went, and what is missing."""
    chains = custodies(work)
    names = dict.fromkeys(one.sample for one in lot.results if one.sample in chains)
    return [custody_line(asked, chains[name]) for name in names]


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


def _notes(asked: Asked, lot: Lot, seen: Lots) -> Iterator[str]:
    if lot.provisional:
        yield asked.say("lot.provisional.is")
    until = lot.challenge_until
    if until is not None:
        code = "lot.challenge.open" if asked.now <= until else "lot.challenge.over"
        yield asked.say(code, until=_when(asked, until))
    if lot.rule in seen.small:
        yield asked.say("lot.laid.small", name=lot.rule.name)
    if lot.rule.floor:
        yield asked.say("lot.floor.is", floor=lot.rule.floor, unit=lot.rule.unit)
    else:
        yield asked.say("lot.floor.none")
    yield asked.say("lot.source")
