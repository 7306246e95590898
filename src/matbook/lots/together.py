"""Lots paid together: several characteristics, or mat and joint, by one factor made of theirs."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from matbook.engine.acceptance import (
    Composite,
    composite_adjustment,
    composite_of,
    joint_weighted,
    pay_composite,
)
from matbook.engine.rounding import round_to
from matbook.lots.folded import Lot
from matbook.lots.work import number_of
from matbook.lots.worth import as_printed, laid_quantity, lot_size
from matbook.plan.model import Plan
from matbook.plan.rules import CompositeRule, LotRule
from matbook.shift.figure import Agreed, Figure, Input, Whole, figure, plain


@dataclass(frozen=True, slots=True)
class Together:
    """Lots of one number, and the factor that is made of theirs."""

    name: str
    rule: CompositeRule
    recipe: Composite
    parts: Mapping[str, str]
    """Characteristic -> name of the lot whose factor it takes."""
    lots: Mapping[str, Lot]
    """Those of them that there are, by characteristic."""
    figures: Mapping[str, Figure]
    """part.<characteristic>, joint, composite, money, money.laid: those that there are."""

    @property
    def missing(self) -> tuple[str, ...]:
        """Names of the lots whose factor isn't there yet."""
        lots = self.lots
        return tuple(
            name
            for part, name in self.parts.items()
            if part not in lots or lots[part].worth.pay is None
        )

    @property
    def rejected(self) -> tuple[str, ...]:
        """Names of the lots that their schedule rejects: a mean of factors can't hide one."""
        pays = ((lot.name, lot.worth.pay) for lot in self.lots.values())
        return tuple(name for name, pay in pays if pay is not None and pay.rejected)

    @property
    def provisional(self) -> bool:
        return any(lot.provisional for lot in self.lots.values())

    @property
    def complete(self) -> bool:
        return len(self.lots) == len(self.parts) and all(lot.complete for lot in self.lots.values())


def together(plan: Plan, found: Sequence[Lot]) -> Iterator[Together]:
    """Every composite of which any lot is there, by rule and then by number."""
    rules = {rule.id: rule for rule in plan.lots}
    for rule in plan.composites:
        own = [lot for lot in found if lot.rule.id in rule.of.values()]
        numbers = {lot.name.removeprefix(f"{lot.rule.id}-"): lot for lot in own}
        ordered = sorted(numbers, key=lambda n: number_of(numbers[n].rule, numbers[n].name))
        for number in ordered:
            parts = {part: f"{of}-{number}" for part, of in rule.of.items()}
            named = {lot.name: lot for lot in own}
            lots = {part: named[name] for part, name in parts.items() if name in named}
            yield _made(plan, rule, rules, f"{rule.id}-{number}", parts, lots)


def _made(
    plan: Plan,
    rule: CompositeRule,
    rules: Mapping[str, LotRule],
    name: str,
    parts: Mapping[str, str],
    lots: Mapping[str, Lot],
) -> Together:
    recipe = pay_composite(rule.recipe)
    figures: dict[str, Figure] = {}
    for part, lot in lots.items():
        if "pay" in lot.worth.figures:
            figures[f"part.{part}"] = _printed(plan, lot.worth.figures["pay"])
    weighted = _joint(plan, rule, lots, figures)
    if weighted is not None:
        figures["joint"] = weighted
    counted = {
        part: figures["joint"] if part == rule.joint else figures[f"part.{part}"]
        for part in parts
        if f"part.{part}" in figures and (part != rule.joint or "joint" in figures)
    }
    if len(counted) == len(parts):
        factors = {part: plain(one) for part, one in counted.items()}
        inputs: dict[str, Input] = {**counted}
        figures["composite"] = Figure(composite_of(recipe, factors), "1", composite_of, inputs)
        first = next(iter(parts))
        figures |= _money(plan, rule, rules[rule.of[first]], lots[first], figures["composite"])
    return Together(name, rule, recipe, parts, lots, figures)


def _printed(plan: Plan, factor: Figure) -> Figure:
    """A factor at the digits that it is printed with, which everything goes on from."""
    return Figure(as_printed(plan, factor.value), "1", round_to, {"factor": factor})


def _joint(
    plan: Plan, rule: CompositeRule, lots: Mapping[str, Lot], figures: Mapping[str, Figure]
) -> Figure | None:
    """A joint's factor as it counts for the lot's area; None where the lot isn't known as laid."""
    lot, own = lots.get(rule.joint), figures.get(f"part.{rule.joint}")
    extent = lot.extent if lot is not None else None
    if own is None or extent is None or rule.band_m is None or extent.area_m2 <= 0.0:
        return None
    loads = "loads", len(extent.loads), lambda: extent.loads
    return _printed(
        plan,
        figure(
            joint_weighted,
            "1",
            factor=own,
            joint_m=Whole(rule.joints * extent.length_m, *loads),
            band_m=Agreed(rule.band_m, f"composites/{rule.id}/band"),
            lot_m2=Whole(extent.area_m2, *loads),
        ),
    )


def _money(
    plan: Plan, rule: CompositeRule, of: LotRule, lot: Lot, factor: Figure
) -> dict[str, Figure]:
    """What the factor moves over the planned lot, and over what is laid of it."""
    if not rule.price or of.size is None:
        return {}
    printed = _printed(plan, factor)
    price = Agreed(float(rule.price), f"composites/{rule.id}/price")

    def moved(quantity: Input) -> Figure:
        inputs: dict[str, Input] = {"factor": printed, "quantity": quantity, "unit_price": price}
        found = composite_adjustment(printed.value, plain(quantity), price.value)
        return Figure(found, "money", composite_adjustment, inputs)

    figures = {"money": moved(Agreed(lot_size(plan, of)[0], f"lots/{of.id}/size"))}
    if lot.extent is not None and lot.extent.laid != lot.extent.planned:
        figures["money.laid"] = moved(laid_quantity(plan, lot.extent))
    return figures
