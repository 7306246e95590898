"""What is laid of a lot, what is in doubt about it, and lots paid together: in sentences."""

from collections.abc import Iterator, Sequence
from typing import Any

from matbook.desk.asking import Asked
from matbook.lots.doubts import Dispute
from matbook.lots.extent import Extent, Reach
from matbook.lots.folded import Lot
from matbook.lots.results import Result, decimals
from matbook.lots.together import Together
from matbook.lots.together_steps import together_steps
from matbook.lots.worth import Worth
from matbook.shift.display import fixed, signed
from matbook.shift.places import label

# What is laid


def laid_line(asked: Asked, extent: Extent) -> str:
    """How much of a lot is laid, of how much."""
    laid = _amount(asked, extent.per, extent.laid)
    if extent.planned is None:
        return asked.say("lot.laid.day", laid=laid)
    code = "lot.laid.over" if extent.over and extent.laid != extent.planned else "lot.laid.open"
    return asked.say(code, laid=laid, planned=_amount(asked, extent.per, extent.planned))


def laid_lines(asked: Asked, lot: Lot) -> Iterator[str]:
    """How much of a lot and of each sublot is laid, of which loads, and where."""
    extent = lot.extent
    if extent is None:
        return
    labels = extent.labels
    ends = {"first": labels[0], "last": labels[-1]}
    loads = asked.say("lot.laid.loads", n=len(labels), **ends)
    yield f"{laid_line(asked, extent)}; {loads}; {_where(asked, extent.reaches)}"
    for one in extent.sublots:
        if not one.laid:
            yield asked.say("lot.laid.sublot.none", sublot=one.number)
            continue
        yield asked.say(
            "lot.laid.sublot",
            sublot=one.number,
            laid=_amount(asked, extent.per, one.laid),
            planned=_amount(asked, extent.per, one.end - one.start),
            where=_where(asked, one.reaches),
        )
    mean = lot.worth.figures.get("mean.weighted")
    if mean is not None:
        weights = "; ".join(fixed(weight, 3) for weight in lot.worth.weights)
        shown = f"{fixed(mean.value, decimals(lot.rule) + 1)} {lot.rule.unit}"
        yield asked.say("lot.laid.unequal", weights=weights, mean=shown)
        if lot.worth.within is not None:
            yield asked.say("lot.laid.unweighted")


def _amount(asked: Asked, per: str, counted: int) -> str:
    by_mass = per == "mass"
    return asked.display.show(
        "mass" if by_mass else "length", float(counted) if by_mass else counted / 1000.0
    )


def _where(asked: Asked, reaches: Sequence[Reach]) -> str:
    if not reaches:
        return asked.say("lot.laid.nowhere")
    return ", ".join(
        asked.say(
            "lot.laid.reach",
            lane=asked.plan.lanes[one.lane].name,
            **{"from": label(asked.plan, one.lane, one.from_m)},
            to=label(asked.plan, one.lane, one.to_m),
        )
        for one in reaches
    )


# What is in doubt


def within_words(asked: Asked, worth: Worth, ends: tuple[float, float] | None = None) -> str:
    """Percent within limits with its range, never without; a wider range where one is given."""
    if worth.within is None or worth.pay is None:
        return asked.say("lot.within.none" if worth.why == "lot.few" else "lot.within.not")
    low, high = ends or (worth.within.low_pct, worth.within.high_pct)
    pct = fixed(worth.pay.measured, 1)
    return asked.say("lot.within", pct=pct, low=fixed(low, 0), high=fixed(high, 0))


def valued(lot: Lot, one: Result) -> str:
    """A result at the digits of its lot's limits, with its unit."""
    value, unit = one.value, lot.rule.unit
    return "—" if value is None else f"{fixed(value.value, decimals(lot.rule))} {unit}"


def doubt_lines(asked: Asked, lot: Lot) -> Iterator[str]:
    """Disputed results with what each side makes of the lot, an outlier, places outside."""
    for dispute in lot.disputes:
        yield _dispute(asked, lot, dispute)
    far = lot.far
    if far is not None:
        yield asked.say(
            "lot.far.left-out" if far.left_out else "lot.far.said",
            sublot=far.result.sublot,
            value=valued(lot, far.result),
            t=fixed(far.found.statistic, 2),
            critical=fixed(far.found.critical, 2),
            chance=lot.rule.outlier,
        )
    for place in lot.elsewhere:
        yield asked.say(
            "lot.elsewhere",
            sample=place.result.sample or asked.say("lot.elsewhere.result"),
            sublot=place.result.sublot,
            station=place.result.fact.place("station"),
            laid_lot=place.lot,
            laid_sublot="—" if place.sublot is None else place.sublot,
        )


def _dispute(asked: Asked, lot: Lot, one: Dispute) -> str:
    says = {
        "sublot": one.result.sublot,
        "value": valued(lot, one.result),
        "within": within_words(asked, lot.worth),
        "factor": factor_of(lot.worth),
        "within_other": within_words(asked, one.worth),
        "factor_other": factor_of(one.worth),
    }
    if one.other is None:
        return asked.say("lot.dispute.without", **says)
    code = "lot.dispute.contest" if one.contested else "lot.dispute.other"
    return asked.say(code, **says, other=valued(lot, one.other))


def factor_of(worth: Worth) -> str:
    return "—" if worth.pay is None else fixed(worth.pay.factor, 3)


# Lots paid together


def together_row(asked: Asked, one: Together) -> dict[str, Any]:
    """One row of the table of lots for a composite, in the columns that lots have."""
    factor, money = one.figures.get("composite"), one.figures.get("money")
    state = asked.say("lot.complete" if one.complete else "lot.open")
    if one.provisional:
        state = f"{state}, {asked.say('lot.provisional')}"
    return {
        "lot": one.name,
        "of": one.rule.name,
        "results": asked.say("lot.count", n=len(one.lots), of=len(one.parts)),
        "mean": "—",
        "within": asked.say("lot.together.of", parts=", ".join(one.parts.values())),
        "factor": "—" if factor is None else fixed(factor.value, 3),
        "money": "" if money is None else signed(money.value, 2),
        "state": state,
    }


def together_line(asked: Asked, one: Together) -> str:
    """A composite in one line: its factor and what it is made of, or what it waits for."""
    if "composite" not in one.figures:
        waits = ", ".join(one.missing) or "—"
        return asked.say("lot.together.waits", lot=one.name, parts=waits)
    factor = fixed(one.figures["composite"].value, 3)
    parts = ", ".join(one.parts.values())
    return asked.say("lot.together.line", lot=one.name, factor=factor, parts=parts)


def together_opened(asked: Asked, one: Together) -> dict[str, Any]:
    """A composite, opened, in the fields that a lot has."""
    recipe = one.recipe
    about = {"title": recipe.title, "source": recipe.source, "standing": recipe.standing}
    rule = [asked.say("lot.together.recipe", **about)]
    if one.rule.clause or one.rule.source:
        source = " · ".join(text for text in (one.rule.clause, one.rule.source) if text)
        rule.append(asked.say("lot.rule.source", source=source))
    doubts = []
    if one.rejected:
        doubts.append(asked.say("lot.together.rejected", lots=", ".join(one.rejected)))
    if f"part.{one.rule.joint}" in one.figures and "joint" not in one.figures:
        doubts.append(asked.say("lot.together.area", part=one.rule.joint))
    return {
        **together_row(asked, one),
        "title": asked.say("lot.title", lot=one.name, name=one.rule.name),
        "line": together_line(asked, one),
        "rule": rule,
        "rows": [],
        "steps": [
            {"text": asked.say(f"lot.step.{step.code}", **step.says), "figure": step.figure}
            for step in together_steps(asked.plan, one)
        ],
        "why": "" if "composite" in one.figures else together_line(asked, one),
        "laid": [],
        "doubts": doubts,
        "ahead": [],
        "sides": [],
        "custody": [],
        "draw": [],
        "notes": [asked.say("lot.source")],
        "parts": [lot.name for lot in one.lots.values()],
    }
