"""The form of a plan file: every table, every key, what it takes. Data that drives the reading."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Key:
    """One key of a table: what it takes and whether it must be there."""

    takes: str
    """text, id, choice, amount, day, station, ids, table, tables, or every."""
    need: bool = False
    of: tuple[str, ...] = ()
    """Choices; or the dimension of an amount; or the table that ids come from."""
    low: str = ""
    high: str = ""


TEXT: Final = Key("text")
NAME: Final = Key("text", need=True)
ID: Final = Key("id", need=True)
DAY: Final = Key("day")
SOURCED: Final[Mapping[str, Key]] = {"clause": TEXT, "source": TEXT, "standing": TEXT}
TELL: Final = Key("people")


def amount(dimension: str, low: str, high: str, *, need: bool = False) -> Key:
    """A measured amount in a range outside which it can only be a slip."""
    return Key("amount", need, (dimension,), low, high)


def choice(*of: str, need: bool = False) -> Key:
    return Key("choice", need, of)


def ref(table: str, *, need: bool = False) -> Key:
    return Key("ref", need, (table,))


GRADES: Final = ("watch", "act")
SIDES: Final = ("min", "max", "within")
STAGES: Final = ("discharge", "delivery", "laydown", "breakdown", "intermediate", "finish")

TABLES: Final[Mapping[str, Mapping[str, Key]]] = {
    "roads": {
        "id": ID,
        "name": NAME,
        "place": TEXT,
        "stationing": choice("100ft", "100m", "1000m", need=True),
        "equations": Key("equations"),
    },
    "lanes": {
        "id": ID,
        "name": NAME,
        "road": ref("roads"),
        "from": Key("station", need=True),
        "to": Key("station", need=True),
        "width": amount("length", "0.3 m", "30 m"),
        "widths": Key("widths"),
    },
    "areas": {
        "id": ID,
        "name": NAME,
        "kind": choice("driveway", "taper", "handwork", "levelling", "ramp", "shoulder", need=True),
        "lift": ref("lifts"),
        "area": amount("area", "0 m2", "100000 m2"),
    },
    "mixes": {
        "id": ID,
        "name": NAME,
        "design": TEXT,
        "maximum_gravity": Key("number", low="1.5", high="4"),
        "target_density": amount("ratio", "50 %", "110 %"),
        "density_basis": choice("maximum", "strip", "laboratory"),
        "density": amount("density", "1000 kg/m3", "3500 kg/m3"),
        "temperatures": Key("temperatures"),
    },
    "lifts": {
        "id": ID,
        "name": NAME,
        "mix": ref("mixes", need=True),
        "lanes": Key("refs", need=True, of=("lanes",)),
        "thickness": amount("length", "5 mm", "500 mm"),
        "spread": amount("spread", "10 kg/m2", "1200 kg/m2"),
        "levelling": Key("levelling"),
        "budget": amount("mass", "0 t", "1000000 t"),
        "roll_down": amount("ratio", "0 %", "50 %"),
    },
    "limits": {
        "id": ID,
        "quantity": Key("quantity", need=True),
        "side": choice(*SIDES, need=True),
        "number": Key("number", need=True),
        "unit": Key("unit", need=True),
        "grade": choice(*GRADES, need=True),
        "method": choice("rounded", "absolute"),
        **SOURCED,
        "mix": ref("mixes"),
        "lift": ref("lifts"),
        "lane": ref("lanes"),
        "tell": TELL,
    },
    "checks": {
        "id": ID,
        "name": NAME,
        "kind": Key("kind", need=True),
        "first": Key("count"),
        "every": Key("every"),
        "of": Key("fields"),
        "resets": Key("choices", of=("lane", "lift", "stop")),
        "clause": TEXT,
        "source": TEXT,
    },
    "plants": {
        "id": ID,
        "name": NAME,
        "numbers": choice("job", "plant", "none", need=True),
        "unit": choice("t", "ton", "kg", "lb", need=True),
        "columns": Key("fields"),
    },
    "trucks": {
        "id": ID,
        "name": TEXT,
        "tare": amount("mass", "1 t", "60 t"),
        "legal_gross": amount("mass", "3 t", "150 t"),
        "limit_set": Key("limit_set"),
        "spacings": Key("amounts", of=("length",), low="0.5 m", high="30 m"),
    },
    "pavers": {
        "id": ID,
        "name": NAME,
        "holds": amount("mass", "0 t", "60 t"),
        "tow_arm": amount("length", "0.5 m", "6 m"),
        "width": amount("length", "0.3 m", "20 m"),
    },
    "rollers": {
        "id": ID,
        "name": NAME,
        "kind": TEXT,
        "width": amount("length", "0.3 m", "5 m"),
        "frequency": amount("frequency", "0 Hz", "120 Hz"),
    },
    "instruments": {
        "id": ID,
        "name": NAME,
        "kind": choice(
            "probe",
            "infrared",
            "gauge",
            "scale",
            "board",
            "level",
            "straightedge",
            "tape",
            "clock",
            "other",
            need=True,
        ),
        "serial": TEXT,
        "calibrated": DAY,
        "due": DAY,
    },
    "people": {
        "id": ID,
        "name": NAME,
        "role": choice("inspector", "technician", "supervisor", "contractor", "plant", need=True),
        "firm": TEXT,
        "phone": TEXT,
        "mail": TEXT,
    },
}

SINGLES: Final[Mapping[str, Mapping[str, Key]]] = {
    "job": {
        "id": ID,
        "name": NAME,
        "owner": NAME,
        "contract": TEXT,
        "time_zone": NAME,
        "units": choice("metric", "us", need=True),
        "paper": choice("a4", "us-letter"),
        "rounding": choice("half-even", "half-up", "truncate"),
        "note": TEXT,
    },
    "reading": {"station_error": amount("length", "0 m", "20 m")},
}

INNER: Final[Mapping[str, Mapping[str, Key]]] = {
    "widths": {
        "at": Key("station", need=True),
        "width": amount("length", "0.3 m", "30 m", need=True),
        "then": choice("step", "linear", "curve"),
    },
    "levelling": {
        "from": Key("station", need=True),
        "to": Key("station", need=True),
        "mass": amount("linear mass", "0 kg/m", "20000 kg/m", need=True),
    },
    "temperatures": {
        "stage": choice(*STAGES, need=True),
        "low": amount("temperature", "0 degC", "250 degC"),
        "high": amount("temperature", "0 degC", "250 degC"),
        "grade": choice(*GRADES),
        **SOURCED,
        "tell": TELL,
    },
}

OTHERS: Final = ("matbook", "adopt", "acceptance")
"""Top-level keys that are not a table of the forms above."""
