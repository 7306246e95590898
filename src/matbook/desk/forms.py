"""The kinds of entry as forms: titles in words, units as the job uses them, ranges, choices."""

from collections.abc import Mapping
from typing import Any, Final

from matbook.book.kinds import Field, Kind, kinds
from matbook.desk.asking import Asked
from matbook.desk.entries import choice_words, field_title, kind_title
from matbook.engine import units
from matbook.engine.units import convert
from matbook.plan.model import Plan
from matbook.shift.display import System, sign
from matbook.words import has

Row = dict[str, Any]

COMMONEST: Final = (
    *("load", "paver", "temperature", "loose-depth"),
    *("roller", "density", "photo", "note"),
)
"""The eight that a shift writes most, in the order of the hand."""

USUAL: Final[Mapping[str, Mapping[System, tuple[str, ...]]]] = {
    # unit that a form's range is written in -> units to type in, the job's usual one first
    "t": {"metric": ("t", "kg"), "us": ("ton", "lb", "t", "kg")},
    "g": {"metric": ("g", "kg"), "us": ("g", "lb")},
    "mm": {"metric": ("mm", "cm"), "us": ("in", "ft", "mm")},
    "m": {"metric": ("m", "mm"), "us": ("ft", "in", "m")},
    "degC": {"metric": ("degC",), "us": ("degF", "degC")},
    "m/min": {"metric": ("m/min",), "us": ("ft/min", "m/min")},
    "km/h": {"metric": ("km/h", "m/min"), "us": ("mph", "ft/min", "km/h")},
    "m/s": {"metric": ("km/h", "m/s"), "us": ("mph",)},
    "L": {"metric": ("L",), "us": ("gal", "L")},
    "m2": {"metric": ("m2",), "us": ("yd2", "ft2", "m2")},
    "kg/m3": {"metric": ("kg/m3",), "us": ("pcf", "kg/m3")},
    "%": {"metric": ("%",), "us": ("%",)},
    "h": {"metric": ("h", "min"), "us": ("h", "min")},
    "Hz": {"metric": ("Hz",), "us": ("Hz",)},
}
ANY: Final[Mapping[System, tuple[str, ...]]] = {
    "metric": ("t", "kg", "m", "m2", "m3", "L", "%", "degC", "h"),
    "us": ("ton", "lb", "ft", "yd2", "yd3", "gal", "%", "degF", "h"),
}

CAUTIONS: Final[Mapping[str, tuple[str, ...]]] = {
    # kind -> the hazards at which it is written
    "shift-open": ("night",),
    "load": ("backing", "bed", "hot-mix", "lines"),
    "placed": ("backing", "between", "lines"),
    "weigh-back": ("backing",),
    "paver": ("between",),
    "temperature": ("hot-mix", "bed", "roller", "holes"),
    "loose-depth": ("between", "hot-mix", "holes"),
    "width": ("between",),
    "slope": ("roller", "spotter"),
    "overlap": ("between", "hot-mix"),
    "edge": ("traffic", "roller"),
    "tack": ("tank", "backing", "hot-mix", "fumes"),
    "roller": ("roller",),
    "density": ("gauge", "roller", "spotter", "holes"),
    "gauge-check": ("gauge",),
    "core": ("roller", "spotter", "holes"),
    "sample": ("bed", "hot-mix", "backing"),
    "joint-longitudinal": ("roller", "hot-mix", "traffic"),
    "joint-transverse": ("roller", "hot-mix", "dust"),
    "ramp": ("traffic", "night"),
    "straightedge": ("roller", "spotter"),
    "markings": ("traffic", "night"),
    "opened-to-traffic": ("traffic", "night"),
    "traffic-control": ("traffic", "night"),
    "surface": ("dust",),
    "defect": ("roller", "spotter"),
    "plant-change": ("fumes", "tank"),
    "photo": ("backing", "traffic"),
}


def forms(asked: Asked) -> Row:
    """Every form, in order, and the eight commonest."""
    return {
        "kinds": [_form(asked, kind) for kind in kinds().values() if kind.name != "seal"],
        "commonest": list(COMMONEST),
        "groups": {kind.group: asked.say(f"group.{kind.group}") for kind in kinds().values()},
    }


def _form(asked: Asked, kind: Kind) -> Row:
    about = f"about.{kind.name}"
    return {
        "name": kind.name,
        "title": kind_title(asked, kind.name),
        "about": asked.say(about) if has(about, asked.words) else kind.about,
        "group": kind.group,
        "v": kind.v,
        "writers": list(kind.writers),
        "place": [_place(asked, name) for name in kind.place],
        "fields": [_field(asked, kind, field) for field in kind.fields.values()],
        "cautions": cautions(asked, kind.name),
    }


def cautions(asked: Asked, kind: str) -> list[str]:
    """Short cautions at the hazards of a kind, ending with what rules them all."""
    found = [asked.say(f"caution.{hazard}") for hazard in CAUTIONS.get(kind, ())]
    return [*found, asked.say("caution.defer")] if found else []


def _place(asked: Asked, name: str) -> Row:
    """One part of a place: its title, and what the plan has of it."""
    plan = asked.plan
    held: Mapping[str, Any] = {
        "road": plan.roads,
        "lane": plan.lanes,
        "lift": plan.lifts,
        "paver": plan.pavers,
        "area": plan.areas,
    }.get(name, {})
    return {
        "name": name,
        "title": asked.say(f"title.{name}"),
        "type": "quantity" if name == "offset" else "station" if not _held(name) else "choice",
        "units": list(USUAL["m"][plan.job.units]) if name == "offset" else [],
        "choices": [{"value": one, "title": found.name} for one, found in held.items()],
    }


def _held(name: str) -> bool:
    return name in ("road", "lane", "lift", "paver", "area")


def _field(asked: Asked, kind: Kind, field: Field) -> Row:
    typed = units_of(field, asked.plan.job.units)
    usual = [_bound(one, typed) for one in field.usual] if field.usual else None
    return {
        "name": field.name,
        "title": field_title(asked, kind.name, field.name),
        "type": field.type,
        "need": field.need,
        "many": field.many,
        "of": list(field.of) if isinstance(field.of, tuple) else field.of,
        "most": field.most,
        "units": typed,
        "signs": [sign(unit) for unit in typed],
        "low": _bound(field.low, typed),
        "high": _bound(field.high, typed),
        "usual": usual,
        "choices": _choices(asked, kind, field),
    }


def units_of(field: Field, system: System) -> list[str]:
    """The units that a measured field is typed in, the job's usual one first."""
    if field.type != "quantity":
        return []
    if field.of == "any":
        return list(ANY[system])
    return list(USUAL[units.parse(str(field.high)).unit][system])


def _bound(bound: str | int | None, typed: list[str]) -> str | int | None:
    """A bound of a form in the first of the units it is typed in."""
    if not isinstance(bound, str) or not typed:
        return bound
    found = units.parse(bound)
    if found.unit == typed[0]:
        return bound
    return f"{convert(float(found.number), found.unit, typed[0]):.4g} {typed[0]}"


def _choices(asked: Asked, kind: Kind, field: Field) -> list[Row]:
    if field.type == "choice":
        return [
            {"value": one, "title": choice_words(asked, kind.name, field.name, one)}
            for one in field.of
        ]
    held = _known(asked.plan, field)
    return [{"value": one, "title": name} for one, name in held.items()]


def _known(plan: Plan, field: Field) -> dict[str, str]:
    """What the plan knows that may be named here; other words are taken too."""
    if field.type == "person":
        return {person.id: person.name for person in plan.people.values()}
    held: Mapping[str, Mapping[str, Any]] = {
        "plant": plan.plants,
        "mix": plan.mixes,
        "truck": plan.trucks,
        "roller": plan.rollers,
        "area": plan.areas,
    }
    if field.type != "text" or field.name not in held:
        return {}
    return {one: found.name or one for one, found in held[field.name].items()}
