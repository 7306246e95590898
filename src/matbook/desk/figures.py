"""Every number opens: its formula in words, its inputs and where they came from, how sure it is."""

from collections.abc import Mapping
from typing import Any, Final

from matbook.desk.asking import Asked
from matbook.desk.entries import field_title, title
from matbook.desk.lots import lot_figures
from matbook.desk.testing import (
    FAMILIES,
    kind_of,
    testing_figures,
    testing_title,
    testing_value,
)
from matbook.errors import NotFound
from matbook.shift.display import Display, fixed, sign, signed, written
from matbook.shift.figure import Agreed, Figure, Input, Read, Whole, shown
from matbook.shift.speak import limit_words
from matbook.words import has

BY_UNIT: Final[Mapping[str, str]] = {
    "kg": "mass",
    "kg/m2": "spread",
    "m2": "area",
    "m": "length",
    "degC": "temperature",
    "m/s": "pace",
    "m3/m2": "application",
}
BY_ENDING: Final[Mapping[str, tuple[str, str]]] = {
    # ending of an engine argument's name -> the measure it is shown as, and its SI unit
    "_m3_m2": ("application", "m3/m2"),
    "_kg_m2": ("spread", "kg/m2"),
    "_kg_m3": ("", "kg/m3"),
    "_m2": ("area", "m2"),
    "_m3": ("volume", "m3"),
    "_c": ("temperature", "degC"),
    "_kg": ("mass", "kg"),
    "_m": ("length", "m"),
    "spread": ("spread", "kg/m2"),
    "target": ("spread", "kg/m2"),
}


def figures(asked: Asked) -> list[dict[str, Any]]:
    """Every figure of the shift by name, with its value as it is shown."""
    return [
        {
            "name": name,
            "title": figure_title(asked, name),
            "value": figure_value(asked.display, name, found.value, found.unit),
            "unit": found.unit,
            "exact": shown(found.value),
        }
        for name, found in asked.view.figures()
    ]


def figure(asked: Asked) -> dict[str, Any]:
    """One figure, opened; raises NotFound."""
    name = asked.text("name")
    named = dict(_named_like(asked, name.partition("/")[0]))
    found = named.get(name)
    if found is None:
        raise NotFound(f"There is no figure “{name[:120]}” in this shift; see: show figures")
    exact = found.open(depth=2)
    names = {id(one): other for other, one in named.items()}
    return {
        "name": name,
        "title": figure_title(asked, name),
        "value": figure_value(asked.display, name, found.value, found.unit),
        "formula": exact.get("formula", asked.say("figure.as-written")),
        "source": exact.get("source", ""),
        "inputs": [_input(asked, names, one, value) for one, value in found.inputs.items()],
        "range": _range(asked, name, found),
        "limit": limit_words(found.limit, asked.words) if found.limit else None,
        "flags": [asked.say(flag) for flag in found.flags],
        "exact": exact,
    }


def _named_like(asked: Asked, family: str) -> Mapping[str, Figure]:
    """The figures among which one of a family is: of lots, of what density is tested with, all."""
    if family == "lot":
        return lot_figures(asked)
    return testing_figures(asked) if family in FAMILIES else dict(asked.view.figures())


def _range(asked: Asked, name: str, found: Figure) -> dict[str, str] | None:
    if found.low is None or found.high is None:
        return None
    low, high = (
        figure_value(asked.display, name, end, found.unit) for end in (found.low, found.high)
    )
    return {"low": low, "high": high, "is": asked.say(found.range_words)}


def figure_value(display: Display, name: str, value: float, unit: str) -> str:
    """A figure's number with its unit, at the digits it is shown with everywhere."""
    family, _, rest = name.partition("/")
    what = rest.rpartition("/")[2].partition("#")[0]
    if family == "reading":
        return display.of(what, value)
    if family == "joint":
        return _of_joint(display, what, value)
    if family == "lot":
        return fixed(value, 2) if "/taken/" in rest else lot_value(what, value, unit)
    if family in FAMILIES:
        return testing_value(display, kind_of(name), value, unit)
    if family == "cooling":
        return f"{value:.0f} min"
    if family == "uneven":
        return display.apart("temperature", value)
    if family in ("haul", "rolling.asked", "rolling.chance"):
        return f"{100.0 * value:.0f} %"
    if family in ("rolling.needed", "haul.last"):
        return f"{value:.0f}"
    if family == "smooth":
        return display.of("iri", value)
    if family == "depth":
        return _of_depth(display, what, value)
    if unit == "%":
        return f"{signed(value, 1)} %"
    if family == "net":
        return display.show("load", value)
    if what == "thickness":
        return display.show("thickness", value)
    if unit in BY_UNIT:
        return display.show(BY_UNIT[unit], value)
    return f"{fixed(value, 2)} {sign(unit)}".rstrip()


def _of_joint(display: Display, what: str, value: float) -> str:
    if what == "paper":
        return f"{value:.0f}"
    if what == "strips":
        return display.show("thickness", value, 1 if display.system == "metric" else 2)
    return display.show("load", value) if what == "mass" else display.show("length", value, 2)


def _of_depth(display: Display, what: str, value: float) -> str:
    if what == "drift":
        return display.drift(value)
    return display.show("length" if what == "recheck" else "thickness", value, 1)


LOT_DIGITS: Final[Mapping[str, int]] = {
    "pay": 3,
    "sd": 3,
    "mean": 2,
    "mean.weighted": 2,
    "within": 1,
    "composite": 3,
    "joint": 4,
}


def lot_value(what: str, value: float, unit: str) -> str:
    """A lot's number: a percentage without a sign, money with one."""
    if unit == "money":
        return signed(value, 2)
    digits = 4 if what.startswith(("quality.", "part.")) else LOT_DIGITS.get(what, 1)
    return f"{fixed(value, digits)} {sign(unit)}".rstrip()


def figure_title(asked: Asked, name: str) -> str:
    """What a figure is a number of, in words."""
    family, _, rest = name.partition("/")
    steps = rest.split("/") if rest else []
    if family == "reading":
        entry = asked.facts.find(steps[0])
        at = str((entry.place if entry else {}).get("station", ""))
        return f"{asked.say(f'quantity.{steps[1]}')} {at}".rstrip()
    if family == "lot":
        code = "part" if steps[1].startswith("part.") else steps[1]
        return asked.say(f"figure.lot.{code}", lot=steps[0])
    if family in FAMILIES:
        return testing_title(asked, name)
    if family == "uneven":
        entry = asked.facts.find(steps[0])
        at = str((entry.place if entry else {}).get("station", ""))
        return f"{asked.say('quantity.surface-differential')}, {asked.say(f'way.{steps[1]}')} {at}"
    if family == "joint":
        entry = asked.facts.find(steps[0])
        at = str((entry.place if entry else {}).get("station", ""))
        place = at if entry else _named(asked, steps[:-1])
        return asked.say(f"figure.joint.{steps[-1]}", place=place)
    if family == "tack":
        code = "figure.tack.residual" if steps[0] == "all" else "figure.tack.applied"
        return asked.say(code, place=_station(asked, steps[0]))
    if family == "smooth":
        return asked.say("figure.smooth", place=_station(asked, steps[0]), n=_section(steps[1]))
    if family in ("depth", "haul.last"):
        what = f".{steps[-1]}" if family == "depth" else ""
        return asked.say(f"figure.{family}{what}", place=_named(asked, steps[:3]))
    if family == "net":
        return asked.say("figure.net", load=rest)
    if family.startswith("finish."):
        lift = asked.plan.lifts[rest].name if rest in asked.plan.lifts else rest
        return asked.say(f"figure.{family}", lift=lift)
    if family in ("cooling", "haul") or family.startswith("rolling."):
        return asked.say(f"figure.{family}", place=_named(asked, steps))
    *where, what = steps
    place = _named(asked, where)
    told = asked.say(f"figure.{what.partition('#')[0]}")
    of = asked.say(f"quantity.{family}")
    return f"{of}, {place}: {told}" if place else f"{of}: {told}"


def _station(asked: Asked, name: str) -> str:
    """Where an entry says it was; empty where it isn't one."""
    entry = asked.facts.find(name)
    place = entry.place if entry else {}
    return str(place.get("station") or place.get("from") or "")


def _section(name: str) -> str:
    """The number of a section as people count; a dash for all of them."""
    return str(int(name) + 1) if name.isdecimal() else "–"


def _named(asked: Asked, ids: list[str]) -> str:
    """Lanes, lifts and pavers by their names."""
    phases, plan = {one.id: one for one in asked.plan.phases}, asked.plan
    names: dict[str, Any] = {**phases, **plan.pavers, **plan.lanes, **plan.lifts}
    return ", ".join(names[one].name if one in names else one for one in ids)


# Inputs


def _input(asked: Asked, names: Mapping[int, str], name: str, value: Input) -> dict[str, Any]:
    row: dict[str, Any] = {"name": name, "title": _input_title(asked, name, value)}
    if isinstance(value, Read):
        entry = asked.facts.find(value.entry)
        said = title(asked, entry) if entry else value.entry
        return {**row, "value": written(value.written), "from": {"entry": value.entry, "is": said}}
    number = value.value if isinstance(value, Figure | Agreed | Whole) else value
    row["value"] = _input_value(asked.display, names.get(id(value), ""), name, value, number)
    if isinstance(value, Figure):
        known = names.get(id(value))
        source: Any = {"figure": known} if known else {"opened": value.open(1)}
    elif isinstance(value, Agreed):
        source = {"plan": value.path}
    elif isinstance(value, Whole):
        source = {"set": value.of, "count": value.count, "entries": list(value.entries())}
    else:
        source = None
    return {**row, "from": source}


def _input_title(asked: Asked, name: str, value: Input) -> str:
    if has(f"input.{name}"):
        return asked.say(f"input.{name}")
    if isinstance(value, Read):
        entry = asked.facts.find(value.entry)
        return field_title(asked, entry.kind if entry else "", value.field)
    return name.replace("_", " ")


def _input_value(display: Display, known: str, name: str, value: Input, number: float) -> str:
    if isinstance(value, Figure):
        return figure_value(display, known, number, value.unit)
    for ending, (measure, unit) in BY_ENDING.items():
        if name.endswith(ending):
            if measure:
                return display.show(measure, number)
            return f"{number:.6g} {sign(unit)}".rstrip()
    if name.endswith("_s") and not name.endswith("_m_s"):
        return f"{number / 60.0:.1f} min"
    return f"{number:.6g}"
