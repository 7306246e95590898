"""Run the language-neutral cases in `vectors/*.json` on this interpreter; nothing else is needed.

    python -S -E tools/run_vectors.py [folder]

Each file is a list of cases {"function", "given", "expect"}. A function is named by its module
in the engine, such as "units.convert", and called with what is given by name, unless it has a
row of its own in `CALLS`; the cases of the book and of the words are read by the web tests too.
What comes back must equal what is expected: numbers at twelve significant digits, Decimals and
quantities as text, a refusal as {"error": its code}.
"""

import json
import sys
from collections.abc import Callable, Mapping
from dataclasses import asdict
from datetime import datetime
from decimal import Decimal
from importlib import import_module
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parent.parent
sys.path.insert(0, str(ROOT / "src"))

from matbook.book.entry import Entry, canonical, hash_of, moment, read_entry  # noqa: E402
from matbook.book.forms import place_faults  # noqa: E402
from matbook.book.kinds import Fault, faults, kind_named, unusual  # noqa: E402
from matbook.book.pen import Pen, new_id  # noqa: E402
from matbook.engine import rolling, units  # noqa: E402
from matbook.engine.cooling import FixedFilm, Layer, OpenSky, cool  # noqa: E402
from matbook.engine.stationing import Stationing  # noqa: E402
from matbook.engine.sun import equation_of_time, sun_position  # noqa: E402
from matbook.errors import MatbookError  # noqa: E402
from matbook.words import say  # noqa: E402


def on_road(method: str) -> Callable[..., object]:
    """A method of a road's stationing, with the road among what is given."""

    def call(style: str, foot: str = "ft", **given: object) -> object:
        equations: Any = given.pop("equations", ())
        return getattr(Stationing(style, equations, foot), method)(**given)

    return call


def distance_between_labels(style: str, equations: list[tuple[str, str]], a: str, b: str) -> float:
    """How far two labels are apart along a road [m]."""
    road = Stationing(style, equations)
    return road.distance_between(road.parse(a), road.parse(b))


def write(pen: Mapping[str, Any], said: Mapping[str, Any]) -> Mapping[str, Any]:
    """What a pen writes: the entry's hash and text."""
    return pair(Pen(**pen).write(**said)[0])


def pair(entry: Entry) -> Mapping[str, Any]:
    """An entry as it travels."""
    return {"hash": entry.hash, "text": entry.text}


def readings(rows: list[list[Any]]) -> list[rolling.DensityReading]:
    """Readings of a spot from [passes, density, temperature] of each."""
    return [rolling.DensityReading(*row) for row in rows]


def listed(found: list[Fault]) -> list[list[str]]:
    """Faults as field, what was given, what is allowed."""
    return [[fault.field, fault.given, fault.allowed] for fault in found]


def cooled(layers: list[Any], sky: Any, duration_s: float, ask: str, at: Any) -> object:
    """A question to a mat's curve; what comes back keeps to nine decimals."""

    def layer(*values: Any) -> Layer:
        fields = list(values)
        if isinstance(fields[4], list):
            fields[4] = tuple(map(tuple, fields[4]))
        return Layer(*fields)

    mat = [layer(*values) for values in layers]
    kind = {"fixed": FixedFilm, "open": OpenSky}
    weather = [(start, kind[name](*values)) for start, name, *values in sky]
    found: float | None = getattr(cool(mat, weather, duration_s), ask)(*at)
    return None if found is None else round(found, 6 if ask == "time_to" else 9)


CALLS: Mapping[str, Callable[..., object]] = {
    "cooling.cool": cooled,
    "units.si": lambda text: units.parse(text).si(),
    "units.to": lambda text, unit: units.parse(text).to(unit),
    "stationing.parse": on_road("parse"),
    "stationing.format": on_road("format"),
    "stationing.zone_of": on_road("zone_of"),
    "stationing.distance_between": distance_between_labels,
    "rolling.growth": lambda **given: asdict(
        rolling.growth(readings(given.pop("readings")), **given)
    ),
    "rolling.best_passes": lambda **given: asdict(
        rolling.best_passes([readings(rows) for rows in given.pop("places")], **given)
    ),
    "entry.canonical": canonical,
    "entry.hash_of": hash_of,
    "entry.instant": lambda text: str(round(moment(text).timestamp() * 1_000_000)),
    "entry.read_entry": lambda text, expected=None: pair(read_entry(text, expected)),
    "pen.new_id": lambda clock_ms, random: new_id(clock_ms, bytes.fromhex(random)),
    "pen.write": write,
    "kinds.faults": lambda kind, body: listed(faults(kind_named(kind), body)),
    "kinds.unusual": lambda kind, body: listed(unusual(kind_named(kind), body)),
    "kinds.place_faults": lambda place: listed(place_faults(kind_named("note"), place)),
    "sun.sun_position": lambda moment, **place: sun_position(
        moment=datetime.fromisoformat(moment), **place
    ),
    "sun.equation_of_time": lambda moment: equation_of_time(datetime.fromisoformat(moment)),
    "words.say": lambda code, arguments: say(code, **arguments),
}


def outcome(case: Mapping[str, Any]) -> object:
    """What a case's function makes of what it is given, as plain JSON."""
    module, _, name = case["function"].partition(".")
    call = CALLS.get(case["function"]) or getattr(import_module(f"matbook.engine.{module}"), name)
    try:
        return plain(call(**case["given"]))
    except MatbookError as refusal:
        return {"error": refusal.code}


def plain(value: object) -> object:
    """A value as vectors compare it."""
    if isinstance(value, bool) or value is None:
        return value
    if isinstance(value, (int, float)):
        return float(f"{value:.12g}")
    if isinstance(value, (Decimal, units.Quantity)):
        return str(value)
    if isinstance(value, (list, tuple)):
        return [plain(item) for item in value]
    return {key: plain(item) for key, item in value.items()} if isinstance(value, dict) else value


def failures(folder: Path) -> tuple[int, list[str]]:
    """How many cases a folder holds, and a line for each that fails."""
    found, count = [], 0
    for path in sorted(folder.glob("*.json")):
        for case in json.loads(path.read_text(encoding="utf-8")):
            count += 1
            got = outcome(case)
            if json.dumps(got) != json.dumps(plain(case["expect"])):
                found.append(f"{path.name}: {json.dumps(case)} gave {json.dumps(got)}")
    return count, found


def main(folder: Path) -> int:
    """Print what failed; 0 if nothing did and there was something to run."""
    count, found = failures(folder)
    for line in found:
        print(line)
    version = ".".join(map(str, sys.version_info[:3]))
    print(f"{count - len(found)} of {count} cases hold on Python {version}")
    return 1 if found or not count else 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]) if len(sys.argv) > 1 else ROOT / "vectors"))
