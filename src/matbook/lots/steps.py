"""The way to a lot's pay factor as a person with a calculator can follow it, step by step.

Each step has a code that `words` has a sentence for, and the numbers in it as they are shown.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from math import fsum

from matbook.engine.density import WATER_KG_M3
from matbook.engine.quality import closed_form, percent_within_limits
from matbook.engine.quality import convention as table_named
from matbook.engine.schedules import Bands, Polynomial
from matbook.lots.bulk import MASSES
from matbook.lots.folded import Lot
from matbook.lots.results import Result, decimals
from matbook.lots.worth import QUANTITY_PLACES, Worth, as_printed, lot_size
from matbook.plan.model import Plan
from matbook.shift.display import fixed, signed, written
from matbook.shift.figure import Agreed, Figure, Input, Read, Whole, plain

TIMES, MINUS = "×", "−"


@dataclass(frozen=True, slots=True)
class Step:
    """One line of the working."""

    code: str
    """Names the sentence in `words`, as lot.step.<code>."""
    says: Mapping[str, str]
    figure: str = ""
    """Name of the figure that the step comes to."""


def steps(plan: Plan, lot: Lot) -> tuple[Step, ...]:
    """Every step from the results that count to the money, as far as they go."""
    return tuple(_steps(plan, lot))


def _steps(plan: Plan, lot: Lot) -> Iterator[Step]:
    worth, more = lot.worth, decimals(lot.rule)
    yield from _maximum(lot)
    for one in lot.counted:
        yield _result(lot, one, more)
    if not worth.values:
        return
    yield from _spread(lot, more)
    if worth.pay is None:
        return
    if worth.within is not None:
        yield from _percentage(lot, more)
    yield from _factor(plan, lot)
    if "money" in worth.figures:
        yield _money(plan, lot, "money")
    if "money.laid" in worth.figures:
        yield _money(plan, lot, "money.laid")
    yield from _taken(lot)


# Results


def result_name(lot: str, one: Result) -> str:
    """The name of the figure of a single result."""
    return f"lot/{lot}/result/{one.fact.id}"


def _maximum(lot: Lot) -> Iterator[Step]:
    """Which maximum gravity the percentages stand on."""
    held = (one.value.inputs.get("maximum") for one in lot.counted if one.value is not None)
    maximum = next((one for one in held if isinstance(one, Figure)), None)
    if maximum is None:
        return
    maximum = _as_gravity(maximum)
    says = {"maximum": _gravity(maximum)}
    (given,) = maximum.inputs.values()
    if isinstance(given, Whole):
        yield Step("maximum.mean", {**says, "n": str(given.count)})
    else:
        yield Step("maximum.own" if isinstance(given, Read) else "maximum.design", says)


def _as_gravity(maximum: Figure) -> Figure:
    """The gravity of a maximum; a gauge's is a density that was made from one."""
    inner = maximum.inputs.get("gravity")
    return inner if isinstance(inner, Figure) else maximum


def _result(lot: Lot, one: Result, more: int) -> Step:
    """How one result came about."""
    assert one.value is not None
    name = result_name(lot.name, one)
    says = {"sublot": str(one.sublot), "value": _valued(lot, one.value.value, more)}
    inputs = one.value.inputs
    bulk, maximum = inputs.get("bulk"), inputs.get("maximum")
    if bulk is None or maximum is None:
        return Step("written", {**says, "written": _as_written(inputs)}, name)
    assert isinstance(maximum, Figure)
    says["maximum"] = _gravity(_as_gravity(maximum))
    if isinstance(bulk, Read):
        density = {"written": written(bulk.written), "bulk": fixed(bulk.value, 1)}
        return Step("gauge", {**says, **density, "water": f"{WATER_KG_M3:g}"}, name)
    assert isinstance(bulk, Figure)
    if "dry_g" in bulk.inputs:
        masses = {side: fixed(plain(bulk.inputs[f"{side}_g"]), 1) for side in MASSES}
        return Step("core", {**says, **masses, "bulk": _gravity(bulk)}, name)
    return Step("percent", {**says, "bulk": _gravity(bulk)}, name)


def _as_written(inputs: Mapping[str, Input]) -> str:
    (given,) = inputs.values()
    assert isinstance(given, Read)
    return written(given.written)


def _gravity(value: Figure) -> str:
    """A gravity to four decimals as worked out, or with the digits it was written with."""
    (given, *_) = value.inputs.values()
    if isinstance(given, Read) and value.made_by is None:
        return written(given.written).removesuffix(" 1")
    return fixed(value.value, 3 if isinstance(given, Agreed) else 4)


def _valued(lot: Lot, value: float, digits: int) -> str:
    unit = lot.rule.unit
    return fixed(value, digits) + ("" if unit == "1" else f" {unit}")


# Mean, spread, percentage


def _spread(lot: Lot, more: int) -> Iterator[Step]:
    worth = lot.worth
    n, mean = len(worth.values), worth.figures["mean"].value
    added = " + ".join(fixed(value, more) for value in worth.values)
    shown = fixed(mean, more + 2)
    yield Step("mean", {"sum": added, "n": str(n), "mean": shown}, _name(lot, "mean"))
    if "mean.weighted" in worth.figures:
        yield _weighted(lot, more)
    if "sd" in worth.figures:
        squares = fsum((value - mean) ** 2 for value in worth.values)
        each = " + ".join(f"({fixed(value, more)} {MINUS} {shown})²" for value in worth.values)
        says = {"each": each, "squares": fixed(squares, 4), "less": str(n - 1)}
        sd = fixed(worth.figures["sd"].value, 4)
        yield Step("sd", {**says, "sd": sd}, _name(lot, "sd"))


def _weighted(lot: Lot, more: int) -> Step:
    """The mean by the shares of unequal sublots."""
    worth = lot.worth
    pairs = zip(worth.weights, worth.values, strict=True)
    terms = " + ".join(f"{fixed(w, 4)} {TIMES} {fixed(value, more)}" for w, value in pairs)
    whole = " + ".join(fixed(w, 4) for w in worth.weights)
    mean = fixed(worth.figures["mean.weighted"].value, more + 2)
    says = {"terms": terms, "weights": whole, "mean": mean}
    return Step("mean.weighted", says, _name(lot, "mean.weighted"))


def _percentage(lot: Lot, more: int) -> Iterator[Step]:
    worth = lot.worth
    assert worth.pay is not None
    assert worth.within is not None
    shares = []
    for side, limit in (("lower", worth.pay.lower), ("upper", worth.pay.upper)):
        if limit is None:
            continue
        index = worth.figures[f"quality.{side}"].value
        says = {
            "mean": fixed(worth.pay.mean, more + 2),
            "limit": fixed(limit, more),
            "sd": fixed(worth.pay.sd, 4),
            "q": fixed(index, 4),
        }
        yield Step(f"index.{side}", says, _name(lot, f"quality.{side}"))
        yield from _share(worth, index)
        shares.append(side)
    pct = fixed(worth.pay.measured, 2)
    if len(shares) == 2:
        yield Step("both", {"pct": pct}, _name(lot, "within"))
    says = {
        "pct": pct,
        "low": fixed(worth.within.low_pct, 0),
        "high": fixed(worth.within.high_pct, 0),
    }
    yield Step("range", says, _name(lot, "within"))


def _share(worth: Worth, index: float) -> Iterator[Step]:
    """Percent within one limit by its index: by the closed form for this n, or by a table."""
    n = len(worth.values)
    convention = worth.schedule.convention
    says = {"q": fixed(index, 4), "n": str(n), "less": str(n - 1)}
    if convention != "exact":
        yield Step("table", {**says, "table": table_named(convention).title})
        return
    by_q, odd, factors = closed_form(n)
    u = index * by_q
    if abs(u) >= 1.0:
        yield Step("beyond.all" if u > 0.0 else "beyond.none", {**says, "u": fixed(u, 4)})
        return
    w = 1.0 - u * u
    says |= {"u": fixed(u, 4), "w": fixed(w, 4), "series": _series(factors)}
    code = ("odd" if factors else "three") if odd else "even"
    pct = percent_within_limits(index, n)
    yield Step(f"share.{code}", {**says, "pct": fixed(pct, 2)})


def _series(factors: tuple[float, ...]) -> str:
    """0.25 w + 0.5, from the highest power down."""
    terms = []
    for power, factor in zip(range(len(factors) - 1, -1, -1), factors, strict=True):
        w = "" if power == 0 else " w" if power == 1 else f" w^{power}"
        terms.append(f"{fixed(factor, 6).rstrip('0')}{w}")
    return " + ".join(terms)


# Factor and money


def _factor(plan: Plan, lot: Lot) -> Iterator[Step]:
    worth = lot.worth
    pay, schedule = worth.pay, worth.schedule
    assert pay is not None
    name = _name(lot, "pay")
    measured, factor = fixed(pay.measured, 2), fixed(as_printed(plan, pay.factor), 4)
    says = {"measured": measured, "factor": factor, "n": str(pay.n), "schedule": schedule.title}
    group = schedule.groups[schedule.group_for(pay.n)]
    if schedule.blend and schedule.blend[0] <= pay.n <= schedule.blend[1]:
        yield Step("pay.blend", says, name)
    elif isinstance(group.curve, Polynomial):
        yield Step("pay.polynomial", {**says, "terms": _polynomial(group.curve, measured)}, name)
    elif isinstance(group.curve, Bands):
        band = next(b for b in group.curve.bands if b.start <= pay.measured <= b.end)
        ends = {"from": f"{band.start:g}", "to": f"{band.end:g}"}
        first, last = (fixed(one, 4).rstrip("0").rstrip(".") for one in band.factor)
        yield Step("pay.band", {**says, **ends, "first": first, "last": last}, name)
    else:
        rows = [row for row in group.curve.rows if pay.measured >= row[1]]
        least = f"{rows[0][1]:g}" if rows else "0"
        yield Step("pay.least", {**says, "least": least}, name)
    cap = group.cap if group.cap is not None else schedule.tries[pay.attempt].cap
    if cap is not None and pay.factor >= cap:
        yield Step("pay.cap", {**says, "cap": fixed(cap, 3)}, name)
    if pay.rejected:
        yield Step("pay.rejected", says, name)


def _polynomial(curve: Polynomial, measured: str) -> str:
    terms = []
    for power, factor in enumerate(curve.factors):
        number = f"{abs(factor):g}"
        if power:
            number += f" {TIMES} ({measured} / 100)" + ("" if power == 1 else f"^{power}")
        sign = (
            ("" if factor >= 0.0 else MINUS)
            if not power
            else " + "
            if factor >= 0.0
            else f" {MINUS} "
        )
        terms.append(f"{sign}{number}")
    return "".join(terms)


def _money(plan: Plan, lot: Lot, name: str) -> Step:
    worth = lot.worth
    assert worth.pay is not None
    found = worth.figures[name]
    quantity, unit = plain(found.inputs["quantity"]), lot_size(plan, lot.rule)[1]
    share = worth.schedule.share_above if worth.pay.factor > 1.0 else worth.schedule.share_below
    says = {
        "share": f"{share:.2f}",
        "factor": fixed(as_printed(plan, worth.pay.factor), 4),
        "quantity": shown_quantity(quantity),
        "unit": unit,
        "price": lot.rule.price,
        "money": signed(found.value, 2),
    }
    return Step(name, says, _name(lot, name))


def shown_quantity(value: float) -> str:
    """Whole where it is; else to a hundredth, as tickets print it."""
    return fixed(value, 0 if value == round(value) else QUANTITY_PLACES)


def _taken(lot: Lot) -> Iterator[Step]:
    """What single events take away, and what is left in all."""
    for one in lot.taken:
        says = {
            "name": one.rule.name,
            "n": str(len(one.events)),
            "each": one.rule.each,
            "money": fixed(one.figure.value, 2),
        }
        yield Step("taken", says, _name(lot, f"taken/{one.rule.id}"))
    money = lot.money
    if lot.taken and money is not None:
        total = signed(money.value - lot.taken_away, 2)
        taken = fixed(lot.taken_away, 2)
        yield Step("total", {"money": signed(money.value, 2), "taken": taken, "total": total})


def _name(lot: Lot, what: str) -> str:
    return f"lot/{lot.name}/{what}"
