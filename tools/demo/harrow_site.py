"""Harrow: who is on site, and how they write down what every load and reading needs."""

from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from typing import Any, Final

from matbook.engine.stationing import Stationing
from tools.demo.dice import Dice
from tools.demo.harrow_loads import ZONE
from tools.demo.notebook import Notebook
from tools.demo.paving import Line, Load

DEVICES: Final = {
    "ines": "phone-ines",
    "bo": "phone-bo",
    "greta": "tablet-greta",
    "dale": "phone-dale",
    "rika": "desk-stonewick",
}
ROAD: Final = Stationing("1000m")


def notebook() -> Notebook:
    return Notebook("harrow", DEVICES, lambda at: at.astimezone(ZONE))


def tonnes(hundredths: int) -> str:
    return f"{hundredths / 100:.2f} t"


def station(at_m: float) -> str:
    """A station as people read it off the pegs: to the metre."""
    return ROAD.format(round(at_m), 0)


def lane(at_m: float | None = None, **more: str) -> dict[str, str]:
    """A place in the lane that is paved today."""
    here = {} if at_m is None else {"station": station(at_m)}
    return {"lane": "E", "lift": "binder", **here, **more}


def stretch(begin: str, end: str) -> dict[str, str]:
    """From one station to another of that lane."""
    return {**lane(), "from": begin, "to": end}


def at_paver(at_m: float | None = None, **more: str) -> dict[str, str]:
    return lane(at_m, paver="P1", **more)


class Day:
    """One day's loads and line, and the notebook that is written in."""

    def __init__(
        self, notes: Notebook, shift: str, loads: Sequence[Load], line: Line, seed: str
    ) -> None:
        self.notes, self.loads, self.line = notes, loads, line
        self.shift = shift
        self.dice = Dice(seed)
        notes.shift = shift

    def tagged(self, tag: str) -> Load:
        return next(load for load in self.loads if load.tag == tag)

    def write_loads(self) -> None:
        """Every load as the inspector wrote it when the truck was empty or sent away."""
        for load in sorted(self.loads, key=lambda load: load.at):
            if load.decision == "taken":
                load.id = self._taken(load)
            else:
                load.id = self._turned_away(load)

    def _taken(self, load: Load) -> str:
        body = ticket_of(load)
        place = at_paver(to=station(load.to_m + self.dice.near(0, 0.5)))
        if load.tag == "first":
            place["from"] = station(load.from_m)
        if load.elsewhere:
            place = at_paver()
        if load.tag == "wrong station":
            # Two digits changed places on the way from the peg to the phone.
            place["to"] = place["to"][:-2] + place["to"][-2:][::-1]
        return self._load(load, {**body, **REMARKS.get(load.tag, {})}, place)

    def _turned_away(self, load: Load) -> str:
        return self._load(
            load,
            {**ticket_of(load), **REMARKS[load.tag]},
            at_paver(self.line.where(load.at)),
            saw={"core": "0.1.0", "lines": [SAW[load.tag]]},
        )

    def _load(self, load: Load, body: dict[str, Any], place: dict[str, str], **more: Any) -> str:
        if load.temp is not None:
            body |= {"temp": f"{load.temp} degC", "temp_how": "probe"}
            more["instrument"] = "probe-7"
        return self.notes.write("ines", "load", body, load.at, place=place, **more)

    def part(self, load: Load, to: str, after_s: int, **more: Any) -> str:
        """Where a part of a load went."""
        place = more.pop("place", at_paver())
        body = {"load": load.id, "to": to, **more}
        return self.notes.write(
            "ines", "placed", body, load.at + timedelta(seconds=after_s), place=place
        )

    def notice(self, hour: datetime, to: Sequence[str], how: str, text: str, **about: Any) -> str:
        """The inspector tells somebody; `about` has the entries and the call."""
        body = {"to": list(to), "how": how, "text": text, **about}
        return self.notes.write("ines", "notice", body, hour)

    def reply(self, by: str, hour: datetime, notice: str, text: str, settles: str = "yes") -> str:
        body = {"notice": notice, "from": by, "text": text, "settles": settles}
        return self.notes.write(by, "reply", body, hour)


def ticket_of(load: Load) -> dict[str, Any]:
    """What the inspector copies from the ticket; gross and tare where there was time."""
    body = {
        "plant": "stonewick",
        "ticket": load.ticket,
        "truck": load.truck,
        "mix": load.mix,
        "net": tonnes(load.net),
        "loaded": load.loaded.replace(second=0, microsecond=0).isoformat(),
        "decision": load.decision,
        "witness": "road",
    }
    weighed = load.decision != "taken" or load.tag or int(load.ticket) % 4 == 0
    if weighed:
        body |= {"gross": tonnes(load.gross), "tare": tonnes(load.tare)}
        body["arrived"] = load.arrived.replace(second=0, microsecond=0).isoformat()
    return body


REMARKS: Final[Mapping[str, dict[str, Any]]] = {
    "cold": {
        "signs": ["crust on top", "stiff"],
        "reason": "111 °C at three places. The driver lost an hour to a flat tyre.",
    },
    "wrong mix": {"reason": "Ticket and load are AC 11; AC 16 is laid here."},
    "cold again": {
        "signs": ["crust on top"],
        "reason": "113 °C at three places. Cover torn open at the back.",
    },
    "cold this morning": {
        "signs": ["crust on top", "stiff"],
        "reason": "112 °C at three places. The truck stood at the scale for an hour.",
    },
    "overweight": {"reason": "Taken: the mix looks right. The weight was reported."},
    "back too soon": {
        "signs": ["grey at the edges"],
        "reason": "Taken at 124 °C in three places; the plant asked where it was loaded.",
    },
}
SAW: Final = {
    "cold": "111 °C: 4 below the limit on delivery, at least 115 °C (4.3)",
    "cold this morning": "112 °C: 3 below the limit on delivery, at least 115 °C (4.3)",
    "wrong mix": "AC 11 surface; the lift binder is AC 16 binder",
    "cold again": "113 °C: 2 below the limit on delivery, at least 115 °C (4.3)",
}
