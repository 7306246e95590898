"""What fields of a plan must agree on with one another: names, stations, units, either-or.

Each relation reads the draft, adds what it works out, and gives the mistakes it finds. It passes
over a value that is missing or was a mistake, so that one mistake is said once.
"""

from collections.abc import Callable, Collection, Iterator, Mapping
from decimal import Decimal
from itertools import pairwise
from typing import Final, get_args

from matbook.book.kinds import kinds
from matbook.engine import weight
from matbook.engine.materials import materials
from matbook.engine.schedule_reader import pay_composites, pay_schedules
from matbook.engine.stationing import Stationing
from matbook.errors import Refused
from matbook.plan.draft import Draft, Mistake, Row, near
from matbook.plan.limit_sets import ready
from matbook.plan.lot_relations import composites, deductions, lots, schedules
from matbook.plan.model import Role
from matbook.plan.quantities import quantities

ROLES: Final[tuple[str, ...]] = get_args(Role)
DENSITY_KG_M3: Final = (1000.0, 3500.0)
"""Spread over thickness outside this is no asphalt: one of the two is in the wrong unit."""

Relation = Callable[[Draft], Iterator[Mistake]]

CATALOGUES: Final[Mapping[str, tuple[str, Callable[[], Collection[str]]]]] = {
    # what a field points to that isn't a table of the plan: how it is said, and its names
    "quantities": ("the quantities that limits speak of", lambda: quantities()),
    "kinds": ("the kinds of entry", lambda: kinds()),
    "materials": ("the materials of a mat and its ground", lambda: materials()),
    "ready": ("the ready-made limits", lambda: ready()),
    "schedules": ("the pay schedules", lambda: pay_schedules()),
    "recipes": ("the composites that ship", lambda: pay_composites()),
    "weights": ("the sets of legal weights", lambda: weight.limit_sets()),
}


def names(draft: Draft) -> Iterator[Mistake]:
    """Whatever is pointed to is there."""
    for row in draft.all_rows():
        for field in row.table.fields.values():
            value = row.get(field.name)
            if field.type != "ref" or value is None:
                continue
            said, known = _known(draft, str(field.of))
            for given in value if field.many else [value]:
                if given not in known and (given or field.many):
                    yield row.wrong(field.name, near(given, known, said), given)


def _known(draft: Draft, of: str) -> tuple[str, Collection[str]]:
    if of in CATALOGUES:
        said, catalogue = CATALOGUES[of]
        return said, [*catalogue(), *(draft.keys(of) if of in draft.rows else ())]
    if of == "tell":
        return "the plan's people and roles", [*draft.keys("people"), *ROLES]
    return f"the plan's {of}", draft.keys(of)


def people(draft: Draft) -> Iterator[Mistake]:
    """A person isn't called as a role is, since both can be told."""
    for row in draft.rows["people"]:
        if row.key in ROLES:
            yield row.wrong("id", "that is the name of a role: call the person something else")


def instruments(draft: Draft) -> Iterator[Mistake]:
    for row in draft.rows["instruments"]:
        calibrated, due = row.get("calibrated"), row.get("due")
        if calibrated and due and due < calibrated:
            yield row.wrong("due", f"it must not be before the calibration, {calibrated}")


def roads(draft: Draft) -> Iterator[Mistake]:
    """Station equations can be read; every road's stationing is kept for the stations on it."""
    for row in draft.rows["roads"]:
        style = row.get("stationing")
        if style is None or (row.get("equations") is None and "equations" in row.raw):
            continue
        try:
            draft.roads[row.key] = Stationing(
                style, row.get("equations") or (), row.get("foot") or "ft"
            )
        except Refused as error:
            yield row.wrong("equations", error.allowed, error.given)


def lanes(draft: Draft) -> Iterator[Mistake]:
    for row in draft.rows["lanes"]:
        if not row.raw.get("road") and len(draft.rows["roads"]) > 1:
            yield row.wrong("road", "the plan has more than one road: say which")
        stationing = draft.roads.get(road_of(draft, row))
        yield from _reach(row, stationing)
        if ("width" in row.raw) == bool(row.raw.get("widths")):
            yield row.wrong("width", "give width, or else widths where it changes, and not both")
        yield from _widths(row.get("widths") or (), stationing)


def road_of(draft: Draft, lane: Row) -> str:
    """The road of a lane: as it says, or the only one; empty if that isn't clear."""
    keys = draft.keys("roads")
    return lane.get("road") or (keys[0] if len(keys) == 1 else "")


def _station(row: Row, name: str, stationing: Stationing | None) -> Iterator[Mistake]:
    label = row.get(name)
    if stationing is None or label is None:
        return
    try:
        row.metres[name] = stationing.parse(label)
    except Refused as error:
        yield row.wrong(name, error.allowed)


def _reach(row: Row, stationing: Stationing | None) -> Iterator[Mistake]:
    """Both ends can be read, and differ."""
    yield from _station(row, "from", stationing)
    yield from _station(row, "to", stationing)
    if len(row.metres) == 2 and row.metres["from"] == row.metres["to"]:
        yield row.wrong("to", "it must be another station than from")


def _widths(rows: tuple[Row, ...], stationing: Stationing | None) -> Iterator[Mistake]:
    for row in rows:
        yield from _station(row, "at", stationing)
    for before, row in pairwise([row for row in rows if "at" in row.metres]):
        if row.metres["at"] <= before.metres["at"]:
            yield row.wrong("at", "widths must stand in the order of the road's stations")


def lifts(draft: Draft) -> Iterator[Mistake]:
    for row in draft.rows["lifts"]:
        if ("spread" in row.raw) == bool(row.raw.get("levelling")):
            yield row.wrong("spread", "give spread, or else levelling by station, and not both")
        spread, thickness = row.get("spread"), row.get("thickness")
        low, high = DENSITY_KG_M3
        if spread and thickness and not low <= spread / thickness <= high:
            yield row.wrong(
                "spread",
                f"over the thickness that makes {spread / thickness:.0f} kg/m3, "
                f"and no mix is outside {low:.0f} to {high:.0f}: look at both units",
            )
        yield from _levelling(draft, row)


def _levelling(draft: Draft, lift: Row) -> Iterator[Mistake]:
    on = {row.key: road_of(draft, row) for row in draft.rows["lanes"]}
    found = {on[lane] for lane in lift.get("lanes") or () if lane in on}
    if "levelling" in lift.raw and len(found) > 1:
        yield lift.wrong("lanes", "levelling goes by the stations of one road: split the lift")
    stationing = draft.roads.get(found.pop()) if len(found) == 1 else None
    for row in lift.get("levelling") or ():
        yield from _reach(row, stationing)


def temperatures(draft: Draft) -> Iterator[Mistake]:
    for row in draft.rows["temperatures"]:
        low, high = row.get("low"), row.get("high")
        if "low" not in row.raw and "high" not in row.raw:
            yield row.wrong("low", "give low, high, or both")
        if low and high and low.si() >= high.si():
            yield row.wrong("low", f"it must be below high, {high}")


def limits(draft: Draft) -> Iterator[Mistake]:
    """The unit measures what the quantity is, and the side and number make sense of it."""
    for row in draft.rows["limits"]:
        quantity = quantities().get(row.get("quantity"))
        unit, side, number = row.get("unit"), row.get("side"), row.get("number")
        if quantity and unit and unit not in quantity.units:
            measures = f"{quantity.name} is a {quantity.dimension}"
            yield row.wrong("unit", f"{measures}, in one of {', '.join(quantity.units)}")
        if quantity and side and side not in quantity.sides:
            yield row.wrong(
                "side", f"{quantity.name} is judged as it is, not by a deviation: min or max"
            )
        if side == "within" and number and Decimal(number) < 0:
            yield row.wrong("number", "plus or minus so much can't be below zero")


def limit_ids(draft: Draft) -> Iterator[Mistake]:
    """Limits that come from a mix's temperatures have ids too."""
    taken = {row.key for row in draft.rows["limits"]}
    for row in draft.rows["temperatures"]:
        for end in ("low", "high"):
            made = f"{row.parent.key if row.parent else ''}-{row.key}-{end}"
            if end in row.raw and made in taken:
                yield row.wrong(end, f"it makes the limit “{made}”, and one in limits has that id")


def checks(draft: Draft) -> Iterator[Mistake]:
    for row in draft.rows["checks"]:
        counted = row.raw.get("first") or "every" in row.raw
        if not counted and not row.raw.get("at"):
            yield row.wrong("every", "give first, every, or both; or at, alone")
        elif counted and row.raw.get("at"):
            yield row.wrong("at", "give it alone, without first and every")
        kind = kinds().get(row.get("kind"))
        for name in row.get("of") or () if kind else ():
            if kind and name not in kind.fields:
                said = f"the fields of {kind.name}"
                yield row.wrong("of", near(name, kind.fields, said), name)


def percentages(draft: Draft) -> Iterator[Mistake]:
    """What strips and gauges are held against can be percentages of a density."""
    for table, name, low, high in (
        ("control_strip", "mean", 50, 110),
        ("control_strip", "single", 50, 110),
        ("gauge", "drift", Decimal("0.1"), 20),
    ):
        for row in draft.rows[table]:
            printed = row.get(name)
            if printed and not low <= Decimal(printed) <= high:
                yield row.wrong(name, f"it must be from {low} to {high} %")


def trucks(draft: Draft) -> Iterator[Mistake]:
    for row in draft.rows["trucks"]:
        tare, legal = row.get("tare"), row.get("legal_gross")
        if tare and legal and tare >= legal:
            yield row.wrong("tare", f"it must be below the legal gross, {row.raw['legal_gross']}")
        if ("limit_set" in row.raw) != ("spacings" in row.raw):
            missing = "spacings" if "limit_set" in row.raw else "limit_set"
            yield row.wrong(missing, "a law on axles needs limit_set and spacings together")


RELATIONS: Final[tuple[Relation, ...]] = (
    names,
    people,
    instruments,
    roads,
    lanes,
    lifts,
    temperatures,
    limits,
    limit_ids,
    checks,
    schedules,
    lots,
    percentages,
    composites,
    deductions,
    trucks,
)
"""In this order: stations need the roads read first."""
