"""A small paving job for tests, all of it invented: two lanes, three lifts, three plants.

Numbers are chosen so that they can be checked by hand: lane E is 3.50 m wide and binder goes down
at 120 kg/m2, so 21 t lay 50 m.
"""

from collections.abc import Iterable
from datetime import datetime, timedelta
from typing import Any

from matbook.book.entry import Entry
from matbook.book.pen import ShiftName
from matbook.shift.calls import Call
from matbook.shift.carry import NOTHING, Carry
from matbook.shift.facts import Facts
from matbook.shift.view import View, view
from tests.scribe import DAY, SHIFT, Scribe

NAME = ShiftName.read(SHIFT)
NEXT = "ridge/2026-05-13/a/day"

PLAN = """
matbook = 1
[job]
id = "ridge"
name = "Ridge Road"
owner = "Farrow County"
contract = "FC-7"
time_zone = "America/Halifax"
units = "metric"
note = "Invented."
[reading]
station_error = "0.5 m"
[[roads]]
id = "ridge-road"
name = "Ridge Road"
stationing = "1000m"
[[lanes]]
id = "E"
name = "Eastbound"
road = "ridge-road"
from = "0+000"
to = "2+000"
width = "3.50 m"
[[lanes]]
id = "W"
name = "Westbound"
road = "ridge-road"
from = "2+000"
to = "0+000"
widths = [
    { at = "0+000", width = "3.00 m", then = "linear" },
    { at = "1+000", width = "4.00 m" },
]
[[areas]]
id = "drive-7"
name = "Driveway of no. 7"
kind = "driveway"
[[mixes]]
id = "ac16"
name = "AC 16 binder"
density = "2400 kg/m3"
[[mixes.temperatures]]
stage = "delivery"
low = "115 degC"
high = "180 degC"
grade = "act"
clause = "4.1"
tell = ["plant"]
[[mixes.temperatures]]
stage = "laydown"
low = "110 degC"
grade = "watch"
[[mixes]]
id = "ac8"
name = "AC 8 surface"
density = "2400 kg/m3"
[[lifts]]
id = "level"
name = "Levelling"
mix = "ac16"
lanes = ["E"]
levelling = [
    { from = "0+000", to = "0+400", mass = "100 kg/m" },
    { from = "0+400", to = "0+600", mass = "250 kg/m" },
]
[[lifts]]
id = "binder"
name = "Binder"
mix = "ac16"
lanes = ["E", "W"]
thickness = "50 mm"
spread = "120 kg/m2"
budget = "1700 t"
roll_down = "20 %"
[[lifts]]
id = "surface"
name = "Surface"
mix = "ac8"
lanes = ["E"]
thickness = "40 mm"
spread = "96 kg/m2"
LIMITS
CHECKS
[[plants]]
id = "north"
name = "North plant"
numbers = "job"
unit = "t"
[[plants]]
id = "south"
name = "South plant"
numbers = "plant"
unit = "t"
[[plants]]
id = "mobile"
name = "Mobile plant"
numbers = "none"
unit = "kg"
[[trucks]]
id = "11"
tare = "12 t"
legal_gross = "36 t"
[[trucks]]
id = "12"
tare = "12 t"
[[trucks]]
id = "14"
limit_set = "eu-96-53"
spacings = ["3.6 m", "5.6 m", "1.3 m", "1.3 m"]
[[pavers]]
id = "P1"
name = "First paver"
holds = "6 t"
[[pavers]]
id = "P2"
name = "Second paver"
[[instruments]]
id = "probe-1"
name = "Probe 1"
kind = "probe"
due = "2026-04-01"
[[instruments]]
id = "board-1"
name = "Board 1"
kind = "board"
due = "2027-04-01"
[[people]]
id = "ana"
name = "Ana Vale"
role = "inspector"
[[people]]
id = "wyn"
name = "Wyn Orr"
role = "inspector"
[[people]]
id = "tess"
name = "Tess Lund"
role = "technician"
[[people]]
id = "greta"
name = "Greta Moss"
role = "supervisor"
[[people]]
id = "cole"
name = "Cole Reed"
role = "contractor"
[[people]]
id = "pia"
name = "Pia Holt"
role = "plant"
"""

LIMITS = (
    # id, quantity, side, number, unit, grade, whom to tell
    ("yield-load", "yield.load", "within", "20", "%", "watch", "contractor"),
    ("yield-last", "yield.last", "within", "5.0", "%", "watch", "contractor"),
    ("yield-lift", "yield.lift", "within", "4.0", "%", "watch", "contractor"),
    ("yield-shift", "yield.shift", "within", "3.0", "%", "act", "supervisor"),
    ("warm", "temperature.delivery", "min", "125", "degC", "watch", "plant"),
    ("depth", "loose-depth", "within", "6", "mm", "watch", "contractor"),
    ("slope", "cross-slope", "within", "0.5", "%", "watch", "contractor"),
    ("width", "width", "within", "50", "mm", "watch", "contractor"),
    ("overlap", "overlap", "min", "20", "mm", "watch", "contractor"),
    ("smooth", "straightedge", "max", "5", "mm", "watch", "contractor"),
    ("ramp", "ramp.ratio", "min", "20", "1", "act", "contractor"),
    ("rolling", "roller-speed", "max", "5.0", "km/h", "watch", "contractor"),
    ("stop", "stop", "max", "10", "min", "watch", "contractor"),
    ("age", "age", "max", "90", "min", "act", "plant"),
    ("return", "return", "min", "60", "min", "watch", "plant"),
    ("similar", "mass.similar", "max", "0.50", "t", "watch", "plant"),
    ("air", "air.temperature", "min", "5", "degC", "watch", "contractor"),
    ("ground", "surface.temperature", "min", "5", "degC", "watch", "contractor"),
)

CHECKS = """
[[checks]]
id = "delivery"
name = "Temperature on delivery"
kind = "load"
first = 3
every = "5 loads"
of = { temp = "*" }
[[checks]]
id = "depth"
name = "Loose depth"
kind = "loose-depth"
every = "100 m"
resets = ["lane", "stop"]
[[checks]]
id = "slope"
name = "Cross slope"
kind = "slope"
every = "100 t"
resets = ["lift"]
[[checks]]
id = "weather"
name = "Weather"
kind = "weather"
every = "60 min"
[[checks]]
id = "edge"
name = "Straightedge"
kind = "straightedge"
first = 1
"""


def limit(
    name: str, quantity: str, side: str, number: str, unit: str, grade: str, tell: str
) -> str:
    return (
        f'[[limits]]\nid = "{name}"\nquantity = "{quantity}"\nside = "{side}"\n'
        f'number = "{number}"\nunit = "{unit}"\ngrade = "{grade}"\ntell = ["{tell}"]\n'
    )


PLAN = PLAN.replace("LIMITS", "".join(limit(*row) for row in LIMITS)).replace("CHECKS", CHECKS)
US_PLAN = PLAN.replace('units = "metric"', 'units = "us"')
"""The same job told in US units; its stations stay metric."""


def station(at_m: float) -> str:
    """120.5 -> 0+120.5"""
    return f"{int(at_m) // 1000}+{at_m % 1000:05.1f}"


def on(
    lane: str = "E",
    lift: str = "binder",
    start: float | None = None,
    end: float | None = None,
    paver: str = "P1",
) -> dict[str, str]:
    """A place in a lane, from station to station in metres."""
    place = {"lane": lane, "lift": lift, "paver": paver}
    if start is not None:
        place["from"] = station(start)
    if end is not None:
        place["to"] = station(end)
    return place


def at(
    station_m: float, lane: str = "E", lift: str = "binder", paver: str = "P1"
) -> dict[str, str]:
    """A place in a lane at one station."""
    return {"lane": lane, "lift": lift, "paver": paver, "station": station(station_m)}


def moment(minute: float) -> str:
    return (DAY + timedelta(minutes=minute)).isoformat()


class Site:
    """One shift being written, each person with a device of their own."""

    def __init__(self, plan: str = PLAN) -> None:
        self.scribes: dict[str, Scribe] = {}
        self.entries: list[Entry] = []
        if plan:
            self.write("plan", {"toml": plan}, -60)

    def write(
        self,
        kind: str,
        body: dict[str, Any] | None = None,
        minute: float = 0,
        *,
        by: str = "ana",
        **envelope: Any,
    ) -> Entry:
        scribe = self.scribes.setdefault(by, Scribe(f"phone-{by}", by, "ridge"))
        entry = scribe.write(kind, body, minute, **envelope)
        self.entries.append(entry)
        return entry

    def load(
        self,
        ticket: str | None,
        minute: float = 0,
        *,
        by: str = "ana",
        place: dict[str, str] | None = None,
        strikes: str = "",
        why: str = "",
        shift: str = SHIFT,
        late: float = 0,
        **body: str | None,
    ) -> Entry:
        """A load of 21 t of ac16 from the north plant, taken; a field given as None is left out."""
        usual = {"plant": "north", "truck": "11", "mix": "ac16", "net": "21.00 t"}
        said = {"ticket": ticket, "decision": "taken", **usual, **body}
        return self.write(
            "load",
            {name: value for name, value in said.items() if value is not None},
            minute,
            by=by,
            place=place or {},
            strikes=strikes,
            why=why,
            shift=shift,
            late=late,
        )

    def lay(
        self, nets: Iterable[str], start: float = 0, step: float = 50, minute: float = 0
    ) -> list[Entry]:
        """Loads one after the other along lane E, ten minutes apart; tickets from 101 on."""
        return [
            self.load(
                str(101 + n),
                minute + 10 * n,
                net=net,
                place=on("E", "binder", start + n * step, start + (n + 1) * step),
            )
            for n, net in enumerate(nets)
        ]

    @property
    def facts(self) -> Facts:
        return Facts(NAME, self.entries)

    def view(self, minute: float = 240, carry: Carry = NOTHING) -> View:
        return view(self.facts, DAY + timedelta(minutes=minute), carry)

    def calls(
        self, code: str = "", minute: float = 240, carry: Carry = NOTHING
    ) -> tuple[Call, ...]:
        """The calls of one code, or all."""
        return tuple(c for c in self.view(minute, carry).calls if not code or c.code == code)

    def call(self, code: str, minute: float = 240, carry: Carry = NOTHING) -> Call:
        """The one call of this code."""
        (found,) = self.calls(code, minute, carry)
        return found


def clock(minute: float) -> datetime:
    return DAY + timedelta(minutes=minute)
