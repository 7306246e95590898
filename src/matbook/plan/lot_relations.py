"""What the plan's lots, composites and deductions must agree on; as `relations` has the rest."""

from collections.abc import Iterator
from typing import Final

from matbook.engine.paying import Terms, checked
from matbook.engine.schedule_reader import (
    pay_composite,
    pay_composites,
    pay_schedule,
    pay_schedules,
    read_schedule,
)
from matbook.engine.schedules import PaySchedule
from matbook.engine.units import UNITS
from matbook.errors import FileRefused, NotFound, Refused
from matbook.plan.draft import Draft, Mistake, Row, near

DENSITY: Final = "density"
BY: Final = ("mass", "distance")
"""What lots may be cut by."""
FALSE_ALARMS: Final = (0.001, 0.25)
"""Chances of calling a sound result an outlier that make sense."""


def lots(draft: Draft) -> Iterator[Mistake]:
    """Limits, target and schedule fit; size and price make sense together."""
    for row in draft.rows["lots"]:
        unit, size = row.get("unit"), row.get("size")
        if row.get("characteristic") == DENSITY:
            if unit and unit != "%":
                yield row.wrong("unit", "a density is judged in percent of its basis: %")
        elif unit and unit not in UNITS:
            yield row.wrong("unit", "it must be a unit, such as %, mm or degC")
        if size and size[1] not in BY:
            yield row.wrong("size", "it must be a mass or a length, such as 2000 t or 500 m")
        near_by = row.get("near")
        if near_by and near_by[1] != (size[1] if size else ""):
            yield row.wrong("near", "it must be a mass or a length, as the lot's size is")
        if "price" in row.raw and "size" not in row.raw:
            yield row.wrong("price", "a lot by the day has no size to pay for: give size as well")
        if row.get("cut") == "load" and size and size[1] != "mass":
            yield row.wrong("cut", "only a lot by mass ends with a load")
        yield from _outliers(row)
        yield from _terms(draft, row)


def _outliers(row: Row) -> Iterator[Mistake]:
    alpha, (low, high) = row.get("outlier"), FALSE_ALARMS
    if alpha is not None and not low <= float(alpha) <= high:
        yield row.wrong("outlier", f"it must be a chance from {low:g} to {high:g}, such as 0.05")
    if "outliers" in row.raw and "outlier" not in row.raw:
        yield row.wrong("outlier", "say at which chance a result is an outlier, such as 0.05")


def _terms(draft: Draft, row: Row) -> Iterator[Mistake]:
    """What is wrong between a schedule and what it would judge by."""
    name = row.get("schedule")
    own = draft.schedules.get(name)
    if own is None and (name not in pay_schedules() or name in draft.keys("schedules")):
        return
    given = {end: row.get(end) for end in ("lower", "upper", "target")}
    values = {end: float(text) for end, text in given.items() if text}
    try:
        checked(own if isinstance(own, PaySchedule) else pay_schedule(name), Terms(**values))
    except (Refused, NotFound) as error:
        field = error.field if isinstance(error, Refused) else "schedule"
        allowed = error.allowed if isinstance(error, Refused) else str(error).rstrip(".")
        yield row.wrong(field if field in row.table.fields else "schedule", allowed)


def schedules(draft: Draft) -> Iterator[Mistake]:
    """The owner's own pay schedules can be read, and aren't called as one that ships."""
    for row in draft.rows["schedules"]:
        if row.key in pay_schedules():
            yield row.wrong("id", "one that ships is called so: call it something else")
        text = row.get("text")
        if text is None:
            continue
        try:
            draft.schedules[row.key] = read_schedule(text, row.key)
        except FileRefused as error:
            for fault in str(error).split("\n"):
                yield Mistake(row.order, f"{row.place}, text", fault)


def composites(draft: Draft) -> Iterator[Mistake]:
    """A composite takes each characteristic of its recipe from lots of one lift and size."""
    rules = {row.key: row for row in draft.rows["lots"]}
    for row in draft.rows["composites"]:
        of, recipe = row.get("of") or {}, row.get("recipe")
        if recipe in pay_composites():
            wanted = pay_composite(recipe).weights
            if of and of.keys() != wanted.keys():
                names = ", ".join(wanted)
                yield row.wrong("of", f"“{recipe}” takes exactly these: {names}", ", ".join(of))
        for rule in of.values():
            if rule not in rules:
                yield row.wrong("of", near(rule, list(rules), "the plan's lots"), rule)
        if any(row.key == rule or row.key.startswith(f"{rule}-") for rule in rules):
            yield row.wrong("id", "lots of the plan are named so, and names of lots must differ")
        yield from _alike(row, [rules[rule] for rule in of.values() if rule in rules])
        yield from _joint(row, of)


def _alike(row: Row, parts: list[Row]) -> Iterator[Mistake]:
    """Its lots are the same stretches of one lift, and bring no money of their own."""
    sizes = {part.get("size") for part in parts if "size" not in part.raw or _sized(part)}
    if len(sizes) > 1 or len({part.get("lift") for part in parts}) > 1:
        yield row.wrong("of", "its lots must be of one lift and one size", ", ".join(
            part.key for part in parts))  # fmt: skip
    if row.get("price") and any("price" in part.raw for part in parts):
        yield row.wrong("price", "its lots have a price already: the same money can't move twice")
    if row.get("price") and any("size" not in part.raw for part in parts):
        yield row.wrong("price", "lots by the day have no size to pay for: give them a size")


def _sized(part: Row) -> bool:
    """Whether its size can be taken: one that can't is said already."""
    size = part.get("size")
    return size is not None and size[1] in BY


def _joint(row: Row, of: object) -> Iterator[Mistake]:
    joint = row.get("joint")
    if joint is not None and isinstance(of, dict) and joint not in of:
        yield row.wrong("joint", near(joint, list(of), "the characteristics in of"))
    if ("joint" in row.raw) != ("band" in row.raw):
        missing = "band" if "joint" in row.raw else "joint"
        yield row.wrong(missing, "a joint counts by its area: give joint and band together")


def deductions(draft: Draft) -> Iterator[Mistake]:
    """What an event takes away is money."""
    for row in draft.rows["deductions"]:
        each = row.get("each")
        if each is not None and not float(each) > 0.0:
            yield row.wrong("each", "it must be above 0: it is taken away")
