"""From a draft without mistakes to the plan's records."""

from collections.abc import Callable, Iterator, Mapping
from typing import Any, TypeVar

from matbook.engine.spread import Width, WidthLaw
from matbook.plan.draft import Draft, Row
from matbook.plan.limit_sets import ready
from matbook.plan.model import (
    Area,
    Check,
    Checklist,
    Ground,
    Hauling,
    Instrument,
    Job,
    Lane,
    Lift,
    Limit,
    ListLine,
    Machine,
    Mix,
    Order,
    Person,
    Phase,
    Plan,
    Plant,
    Reach,
    Road,
    Side,
    Site,
    Tack,
    Truck,
)
from matbook.plan.relations import road_of
from matbook.plan.rules import CompositeRule, Deduction, GaugeRule, LotRule, StripRule

T = TypeVar("T")


def build(draft: Draft, document: Mapping[str, Any]) -> Plan:
    """The plan; the draft must have no mistakes."""
    root = draft.root
    return Plan(
        job=Job(**_given(root.get("job"))),
        roads=_each(draft, "roads", lambda row: _road(draft, row)),
        lanes=_each(draft, "lanes", lambda row: _lane(draft, row)),
        areas=_each(draft, "areas", lambda row: Area(**_given(row))),
        lifts=_each(draft, "lifts", _lift),
        mixes=_each(draft, "mixes", _mix),
        limits=tuple(_limits(draft)),
        checks=tuple(_check(row) for row in draft.rows["checks"]),
        plants=_each(draft, "plants", lambda row: Plant(**_given(row))),
        trucks=_each(draft, "trucks", lambda row: Truck(**_given(row))),
        pavers=_each(draft, "pavers", lambda row: Machine(**{"kind": "paver", **_given(row)})),
        rollers=_each(draft, "rollers", lambda row: Machine(**_given(row))),
        instruments=_each(draft, "instruments", lambda row: Instrument(**_given(row))),
        people=_each(draft, "people", lambda row: Person(**_given(row))),
        station_error_m=root.get("reading").get("station_error"),
        acceptance=root.get("acceptance") or {},
        document=document,
        site=_site(root.get("site")),
        ground=tuple(Ground(**_given(row)) for row in draft.rows["ground"]),
        phases=tuple(_phase(row) for row in draft.rows["phases"]),
        even_within_m=root.get("reading").get("even_within") or 50.0,
        orders=tuple(Order(**_given(row)) for row in draft.rows["orders"]),
        lists=tuple(_list(row) for row in draft.rows["checklists"]),
        **_joints(root.get("joints")),
        release=tuple(root.get("release") or ()),
        lots=tuple(LotRule(**_given(row)) for row in draft.rows["lots"]),
        control_strip=_whole(StripRule, root.get("control_strip")),
        gauge=_whole(GaugeRule, root.get("gauge")) or GaugeRule(),
        composites=tuple(CompositeRule(**_given(row)) for row in draft.rows["composites"]),
        deductions=tuple(Deduction(**_given(row)) for row in draft.rows["deductions"]),
        schedules=draft.schedules,
        tack=Tack(**_given(tack)) if (tack := root.get("tack")) is not None else None,
        haul=Hauling(**_given(haul)) if (haul := root.get("haul")) is not None else Hauling(),
    )


def _each(draft: Draft, table: str, make: Callable[[Row], T]) -> dict[str, T]:
    return {row.key: make(row) for row in draft.rows[table]}


def _given(row: Row, *but: str) -> dict[str, Any]:
    """What was written in a row, by the names that the record has for it."""
    fields = row.table.fields
    return {fields[name].into: value for name, value in row.values.items() if name not in but}


def _road(draft: Draft, row: Row) -> Road:
    given = _given(row, "stationing", "foot", "equations")
    return Road(**given, stationing=draft.roads[row.key])


def _lane(draft: Draft, row: Row) -> Lane:
    from_m, to_m = row.metres["from"], row.metres["to"]
    widths: WidthLaw = tuple(
        Width(each.metres["at"], each.get("width"), each.get("then") or "step")
        for each in row.get("widths") or ()
    )
    if not widths:
        widths = (Width(min(from_m, to_m), row.get("width")),)
    return Lane(row.key, row.get("name"), road_of(draft, row), from_m, to_m, widths)


def _site(row: Row | None) -> Site | None:
    if row is None:
        return None
    given = _given(row)
    degrees = {f"{name}_deg": float(given.pop(name)) for name in ("latitude", "longitude")}
    return Site(**degrees, **given)


def _whole(record: Callable[..., T], row: Row | None) -> T | None:
    """A table that there is once, as its record."""
    return None if row is None else record(**_given(row))


def _joints(row: Row | None) -> dict[str, Any]:
    return {} if row is None else _given(row)


def _phase(row: Row) -> Phase:
    return Phase(**_given(row, "density"), makes_density=row.get("density") != "no")


def _lift(row: Row) -> Lift:
    levelling = tuple(
        Reach(each.metres["from"], each.metres["to"], each.get("mass"))
        for each in row.get("levelling") or ()
    )
    unsaid = {"thickness_m": None, "spread_kg_m2": None}
    return Lift(**{**unsaid, **_given(row, "levelling")}, levelling=levelling)


def _mix(row: Row) -> Mix:
    given = _given(row, "temperatures", "adopt")
    if "target_density" in given:
        given["target_density"] = str(given["target_density"])
    return Mix(**given)


def _limits(draft: Draft) -> Iterator[Limit]:
    """Limits as written, those of the mixes' temperatures, and the ready-made ones adopted."""
    for row in draft.rows["limits"]:
        yield Limit(**_given(row))
    for row in draft.rows["temperatures"]:
        yield from _temperatures(row)
    for row in (draft.root, *draft.rows["mixes"]):
        for name in dict.fromkeys(row.get("adopt") or ()):
            mix = "" if row is draft.root else row.key
            yield ready()[name].limit(name.partition("/")[0], mix)


def _temperatures(row: Row) -> Iterator[Limit]:
    assert row.parent is not None  # temperatures stand in a mix
    stage, mix = row.key, row.parent.key
    shared = _given(row, "stage", "low", "high")
    sides: tuple[tuple[str, Side], ...] = (("low", "min"), ("high", "max"))
    for end, side in sides:
        printed = row.get(end)
        if printed is not None:
            yield Limit(
                id=f"{mix}-{stage}-{end}",
                quantity=f"temperature.{stage}",
                side=side,
                number=printed.digits,
                unit=printed.unit,
                mix=mix,
                **shared,
            )


def _check(row: Row) -> Check:
    given = _given(row, "every")
    if "every" in row.values:
        given["every"], given["per"] = row.get("every")
    elif given.get("at"):
        given["per"] = "events"
    return Check(**given)


def _list(row: Row) -> Checklist:
    lines = tuple(
        ListLine(each.get("item"), each.get("why") or "", each.get("hold") == "yes")
        for each in row.get("lines") or ()
    )
    return Checklist(**_given(row, "lines"), lines=lines)
