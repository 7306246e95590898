"""Write the book's forms for the app: `python -m tools.write_forms` (`--check` only compares).

With them go the commonest kinds, in the order of the hand. Each measured field has the unit its
number pad writes, and its range in that unit, for metric and for US jobs, so that the app itself
converts nothing.
"""

import json
import sys
from pathlib import Path
from typing import Any, Final

from matbook.book.kinds import Field, Kind, kinds
from matbook.desk.forms import CAUTIONS, COMMONEST
from matbook.engine.rounding import round_to
from matbook.engine.units import parse
from matbook.shift.display import sign

ROOT: Final = Path(__file__).resolve().parent.parent
FILE: Final = ROOT / "web" / "src" / "generated" / "forms.json"

US: Final = {
    "t": "ton",
    "mm": "in",
    "m": "ft",
    "degC": "degF",
    "m/min": "ft/min",
    "m/s": "mph",
    "km/h": "mph",
    "L": "gal",
    "m2": "yd2",
    "kg/m3": "pcf",
}
"""What a US job writes in place of a metric unit; laboratory masses stay in grams."""


def forms() -> dict[str, Any]:
    """Every form by its kind's name."""
    return {name: _form(kind) for name, kind in kinds().items()}


def _form(kind: Kind) -> dict[str, Any]:
    return {
        "name": kind.name,
        "v": kind.v,
        "group": kind.group,
        "writers": list(kind.writers),
        "place": list(kind.place),
        "cautions": list(CAUTIONS.get(kind.name, ())),
        "fields": [_field(field) for field in kind.fields.values()],
    }


def _field(field: Field) -> dict[str, Any]:
    measured = field.type == "quantity" and field.low is not None
    metric = parse(str(field.low)).unit if measured else ""
    counted = field.type == "count"
    return {
        "name": field.name,
        "type": field.type,
        "need": field.need,
        "many": field.many,
        "most": field.most,
        "of": list(field.of) if field.type == "choice" else [],
        "low": field.low if counted else None,
        "high": field.high if counted else None,
        "metric": _measure(field, metric) if measured else None,
        "us": _measure(field, US.get(metric, metric)) if measured else None,
    }


def _measure(field: Field, unit: str) -> dict[str, Any]:
    return {
        "unit": unit,
        "sign": sign(unit),
        "low": _in(str(field.low), unit),
        "high": _in(str(field.high), unit),
        "usual": [_in(end, unit) for end in field.usual] if field.usual else None,
    }


def _in(written: str, unit: str) -> float:
    return float(round_to(parse(written).to(unit), 1, "half-even"))


def text() -> str:
    """The file as it should be."""
    whole = {"commonest": list(COMMONEST), "kinds": forms()}
    return json.dumps(whole, ensure_ascii=False, indent=1) + "\n"


def main(*arguments: str) -> None:
    """Write the file, or say that it isn't as it should be."""
    if "--check" in arguments:
        if not FILE.exists() or FILE.read_text(encoding="utf-8") != text():
            sys.exit(f"{FILE.name} is not current: python -m tools.write_forms")
        return
    FILE.parent.mkdir(parents=True, exist_ok=True)
    FILE.write_text(text(), encoding="utf-8")


if __name__ == "__main__":
    main(*sys.argv[1:])
