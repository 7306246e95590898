"""From several lots' factors to the one they are paid by, for a person with a calculator."""

from collections.abc import Iterator
from math import fsum

from matbook.engine.units import convert
from matbook.lots.steps import TIMES, Step, shown_quantity
from matbook.lots.together import Together
from matbook.lots.worth import lot_size
from matbook.plan.model import Plan
from matbook.shift.display import fixed, signed
from matbook.shift.figure import plain


def together_steps(plan: Plan, one: Together) -> tuple[Step, ...]:
    """Every step from the factors of its lots to the money, as far as they go."""
    return tuple(_steps(plan, one))


def _steps(plan: Plan, one: Together) -> Iterator[Step]:
    for part, lot in one.parts.items():
        if f"part.{part}" in one.figures:
            factor = fixed(one.figures[f"part.{part}"].value, 4)
            says = {"part": part, "lot": lot, "factor": factor}
            yield Step("part", says, f"lot/{lot}/pay")
    if "joint" in one.figures:
        yield _joint(plan, one)
    if "composite" in one.figures:
        yield _factor(one)
        cap = one.recipe.cap
        if cap is not None and one.figures["composite"].value >= cap:
            yield Step("pay.cap", {"cap": fixed(cap, 3)}, f"lot/{one.name}/composite")
    for name in ("money", "money.laid"):
        if name in one.figures:
            yield _money(plan, one, name)


def _joint(plan: Plan, one: Together) -> Step:
    """By area, in metres or in feet throughout."""
    found = one.figures["joint"]
    worked = found.inputs["factor"]
    inputs = getattr(worked, "inputs", {})
    unit = "ft" if plan.job.units == "us" else "m"
    square = convert(plain(inputs["lot_m2"]), "m2", f"{unit}2")
    says = {
        "part": one.rule.joint,
        "factor": fixed(plain(inputs["factor"]), 4),
        "joint": fixed(convert(plain(inputs["joint_m"]), "m", unit), 1),
        "band": fixed(convert(plain(inputs["band_m"]), "m", unit), 2),
        "area": fixed(square, 0),
        "unit": unit,
        "weighted": fixed(found.value, 4),
    }
    return Step("joint", says, f"lot/{one.name}/joint")


def _factor(one: Together) -> Step:
    inputs = one.figures["composite"].inputs
    factors = [fixed(plain(value), 4) for value in inputs.values()]
    says = {"recipe": one.recipe.title, "factor": fixed(one.figures["composite"].value, 4)}
    name = f"lot/{one.name}/composite"
    if one.recipe.how == "lowest":
        return Step("composite.lowest", {**says, "factors": "; ".join(factors)}, name)
    weights = [one.recipe.weights[part] for part in inputs]
    pairs = zip(weights, factors, strict=True)
    says["terms"] = " + ".join(f"{weight:g} {TIMES} {factor}" for weight, factor in pairs)
    return Step("composite.weighted", {**says, "weights": f"{fsum(weights):g}"}, name)


def _money(plan: Plan, one: Together, name: str) -> Step:
    found = one.figures[name]
    rule = next(iter(one.lots.values())).rule
    says = {
        "factor": fixed(plain(found.inputs["factor"]), 4),
        "quantity": shown_quantity(plain(found.inputs["quantity"])),
        "unit": lot_size(plan, rule)[1],
        "price": one.rule.price,
        "money": signed(found.value, 2),
    }
    return Step(f"composite.{name}", says, f"lot/{one.name}/{name}")
