"""Every number opens: the figures of a shift by name, and one of them with all behind it."""

from collections.abc import Mapping
from typing import Any, Final

from matbook.desk.seen import Seen
from matbook.errors import NotFound
from matbook.shift.display import fixed, signed, written
from matbook.shift.figure import Agreed, Figure, Input, Read, Whole, plain, shown
from matbook.shift.speak import limit_words
from matbook.words import has, say

SHOWN_AS: Final[Mapping[str, str]] = {"kg": "mass", "kg/m2": "spread", "m": "thickness"}
"""By which measure a figure of this unit is shown."""

INPUTS: Final[Mapping[str, str]] = {
    "_kg_m2": "spread",
    "_kg": "mass",
    "_m2": "area",
    "_m": "length",
    "target": "spread",
}
"""By which measure a bare input is shown: names of arguments carry their unit."""


def figures(seen: Seen) -> list[dict[str, str]]:
    """Every figure of the shift, by name, as it is shown."""
    return [
        {"name": name, "title": _title(name, seen.language), "value": _shown(seen, name, found)}
        for name, found in seen.view.figures()
    ]


def figure(seen: Seen) -> dict[str, Any]:
    """One figure: its formula in words, its inputs and where they come from, how sure it is."""
    name = seen.asked("name")
    found = dict(seen.view.figures()).get(name)
    if found is None:
        raise NotFound(f"There is no figure “{name[:80]}” in this shift.")
    opened = found.open(depth=2)
    low, high = found.low, found.high
    return {
        "name": name,
        "title": _title(name, seen.language),
        "value": _shown(seen, name, found),
        "formula": opened.get("formula") or say("figure.as-written", seen.language),
        "source": opened.get("source", "definition"),
        "inputs": [_input(seen, title, value) for title, value in found.inputs.items()],
        "range": None
        if low is None or high is None
        else {
            "low": _amount(seen, name, found.unit, low),
            "high": _amount(seen, name, found.unit, high),
            "is": _worded(found.range_words, seen.language),
        },
        "limit": limit_words(found.limit, seen.language) if found.limit else None,
        "flags": [_worded(flag, seen.language) for flag in found.flags],
        "exact": opened,
    }


def _title(name: str, language: str) -> str:
    first, _, rest = name.partition("/")
    code = f"figure.{first}"
    title = say(code, language) if has(code, language) else first
    return f"{title} {rest}".strip()


def _shown(seen: Seen, name: str, found: Figure) -> str:
    return _amount(seen, name, found.unit, found.value)


def _amount(seen: Seen, name: str, unit: str, value: float) -> str:
    if name.endswith("/deviation"):
        return f"{signed(value, 1)} {unit}"
    measure = "load" if name.startswith("net/") else SHOWN_AS.get(unit)
    return seen.display.show(measure, value) if measure else f"{fixed(value, 1)} {unit}".rstrip()


def _input(seen: Seen, name: str, value: Input) -> dict[str, Any]:
    suffix = next((end for end in INPUTS if name.endswith(end)), "")
    number = plain(value)
    text = seen.display.show(INPUTS[suffix], number) if suffix else shown(number)
    origin: dict[str, Any] = {}
    if isinstance(value, Read):
        text, origin = written(value.written), {"entry": value.entry}
    elif isinstance(value, Agreed):
        origin = {"plan": value.path}
    elif isinstance(value, Whole):
        origin = {"set": value.of, "count": value.count}
    elif isinstance(value, Figure):
        text = _amount(seen, "", value.unit, value.value)
    title = name.removesuffix(suffix if suffix.startswith("_") else "").replace("_", " ")
    return {"name": name, "title": title, "value": text, "from": origin}


def _worded(code: str, language: str) -> str:
    return say(code, language) if has(code, language) else code
