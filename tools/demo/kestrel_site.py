"""Kestrel: who is on site, and how they write down what every load and reading needs."""

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any, Final

from matbook.engine.stationing import Stationing
from tools.demo.dice import Dice
from tools.demo.kestrel_loads import FOOT, SPLIT, local, night, whole_night
from tools.demo.notebook import Notebook
from tools.demo.paving import Load

SHIFT: Final = "kestrel/2026-10-31/b/night"
DEVICES: Final = {
    "wade": "phone-wade",
    "june": "phone-june",
    "lena": "phone-lena",
    "hal": "tablet-hal",
    "roy": "phone-roy",
    "tess": "desk-ferrin",
}
ROAD: Final = Stationing("100ft", [("141+87.50", "143+20.00")])
HANDED_OVER: Final = night("00:04")
TYPED_BY_HAND: Final = "22:46"
"""The hour of loading that the back-dated ticket says."""


def tons(hundredths: int) -> str:
    return f"{hundredths / 100:.2f} ton"


def station(at_m: float) -> str:
    """A station as people read it off the stakes: to the foot."""
    return ROAD.format(at_m, 0)


def place(
    paver: str, at_m: float | None = None, lift: str = "surface", **more: str
) -> dict[str, str]:
    """A place behind a paver: paver 1 lays lane 1, paver 2 lane 2."""
    here = {} if at_m is None else {"station": station(at_m)}
    return {"lane": paver[-1], "lift": lift, "paver": paver, **here, **more}


def lane(name: str, at_m: float | None = None, **more: str) -> dict[str, str]:
    here = {} if at_m is None else {"station": station(at_m)}
    return {"lane": name, "lift": "surface", **here, **more}


def stretch(name: str, begin: str, end: str) -> dict[str, str]:
    return {**lane(name), "from": begin, "to": end}


class Night:
    """The night's loads and lines, and the notebook that is written in."""

    def __init__(self) -> None:
        self.notes = Notebook("kestrel", DEVICES, local)
        self.notes.shift = SHIFT
        self.loads, self.lines = whole_night()
        self.dice = Dice("kestrel/night on site")

    @property
    def start_m(self) -> float:
        return self.lines.surface["P1"].track[0][1]

    @property
    def end_m(self) -> float:
        return self.lines.surface["P1"].station_m

    def tagged(self, tag: str) -> Load:
        return next(load for load in self.loads if load.tag == tag)

    def inspector(self, at: datetime) -> str:
        """Who has the shift."""
        return "wade" if at < HANDED_OVER else "june"

    def write_loads(self) -> None:
        """Every load as the inspector wrote it when the truck was empty."""
        begun: set[tuple[str, str]] = set()
        for load in sorted(self.loads, key=lambda load: (load.at, load.ticket)):
            first = (load.paver, load.lift) not in begun
            begun.add((load.paver, load.lift))
            load.id = self._load(load, first and load.decision == "taken")

    def _load(self, load: Load, first: bool) -> str:
        where = place(load.paver, lift=load.lift)
        if load.decision == "taken" and not load.elsewhere:
            where["to"] = station(load.to_m + self.dice.near(0, 1.2) * FOOT)
        if first:
            where["from"] = station(load.from_m)
        body = {**ticket_of(load), **REMARKS.get(load.tag, {})}
        more: dict[str, Any] = {"place": where}
        if load.temp is not None:
            body |= {"temp": f"{load.temp} degF", "temp_how": "probe"}
            more["instrument"] = "probe-31"
        by, after = self.inspector(load.at), None
        if load.tag == "written later":
            by, after = "june", timedelta(minutes=46, seconds=20)
        return self.notes.write(by, "load", body, load.at, after, **more)

    def part(self, load: Load, to: str, at: datetime, where: dict[str, str], **more: Any) -> None:
        """Where a part of a load went."""
        body = {"load": load.id, "to": to, **more}
        self.notes.write(self.inspector(at), "placed", body, at, place=where)

    def notice(self, at: datetime, to: Sequence[str], how: str, text: str, **about: Any) -> str:
        """The inspector on duty tells somebody; `about` has the entries and the call."""
        body = {"to": list(to), "how": how, "text": text, **about}
        return self.notes.write(self.inspector(at), "notice", body, at)

    def reply(self, by: str, at: datetime, notice: str, text: str, settles: str = "yes") -> None:
        body = {"notice": notice, "from": by, "text": text, "settles": settles}
        self.notes.write(by, "reply", body, at)


def ticket_of(load: Load) -> dict[str, Any]:
    """What the inspector copies from the ticket; gross and tare where there was time."""
    loaded = load.loaded
    if load.tag == "back-dated":
        loaded = night(TYPED_BY_HAND)
    body = {
        "plant": "ferrin",
        "ticket": load.ticket,
        "truck": load.truck,
        "mix": load.mix,
        "net": tons(load.net),
        "loaded": local(loaded).replace(second=0, microsecond=0).isoformat(),
        "decision": load.decision,
        "witness": "road",
    }
    if load.tag or int(load.ticket) % 5 == 0:
        body |= {"gross": tons(load.gross), "tare": tons(load.tare)}
        body["arrived"] = local(load.arrived).replace(second=0, microsecond=0).isoformat()
    return body


REMARKS: Final[Mapping[str, dict[str, Any]]] = {
    "void": {"reason": "Printed twice for one truck; this one is stamped void."},
    "handwritten": {"form": "handwritten", "reason": "The plant's printer was down."},
    "overweight": {"reason": "Taken: the mix looks right. The weight was reported."},
    "written later": {"reason": "Written after the handover, from the ticket on the clipboard."},
    "back-dated": {"reason": "Hour of loading on the ticket is 10:46 PM; the mix is hot."},
    "split": {"reason": f"{SPLIT[0] / 100:.2f} ton by the truck's load cell, the rest by eye."},
}
