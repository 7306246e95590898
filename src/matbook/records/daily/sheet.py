"""What every section of the daily record is written from: the view, its words, its units."""

from dataclasses import dataclass
from datetime import datetime
from functools import cached_property
from typing import Any

from matbook.book.entry import Entry
from matbook.engine.units import UNITS
from matbook.plan.model import Plan
from matbook.shift.display import Display, clock, written
from matbook.shift.facts import Fact
from matbook.shift.view import View
from matbook.words import has, say


@dataclass(frozen=True)
class Sheet:
    """One shift's record in the making."""

    view: View
    seal: Entry | None
    language: str = "en"

    @property
    def plan(self) -> Plan:
        return self.view.plan

    @cached_property
    def display(self) -> Display:
        return Display(self.plan.job.units)

    def say(self, code: str, /, **arguments: object) -> str:
        return say(code, self.language, **arguments)

    def label(self, name: str) -> str:
        """The name of a field, as people read it."""
        code = f"label.{name}"
        return self.say(code) if has(code, self.language) else name.replace("_", " ")

    def time(self, at: datetime) -> str:
        """The clock time; with its offset where the shift has more than one."""
        return f"{clock(at)} {at:%z}" if self._two_offsets else clock(at)

    @cached_property
    def _two_offsets(self) -> bool:
        return len({entry.at.utcoffset() for entry in self.view.facts.entries()}) > 1

    def who(self, person: str) -> str:
        """A person's name, or the id where the plan has no such person."""
        found = self.plan.people.get(person)
        return found.name if found else person

    def lane(self, lane: str) -> str:
        return self.plan.lanes[lane].name if lane in self.plan.lanes else lane

    def lift(self, lift: str) -> str:
        return self.plan.lifts[lift].name if lift in self.plan.lifts else lift

    def where(self, fact: Fact) -> str:
        """Where an entry was, in one line."""
        place = fact.place
        area = place("area")
        reach = " – ".join(filter(None, (place("from"), place("to"))))
        offset = f"{self.label('offset')} {written(place('offset'))}" if place("offset") else ""
        lane = self.lane(place("lane")) if place("lane") else ""
        lift = self.lift(place("lift")) if place("lift") else ""
        paver = place("paver")
        parts = (lane, lift, paver, area, place("station") or reach, offset)
        return ", ".join(filter(None, parts))

    def value(self, value: Any) -> str:
        """A field's value as people read it: measured values with their unit, moments as clock."""
        if isinstance(value, list):
            return ", ".join(self.value(one) for one in value)
        text = str(value)
        if text[-6:-5] in ("+", "-") and text[10:11] == "T":
            return self.time(datetime.fromisoformat(text))
        number, space, unit = text.partition(" ")
        if space and unit in UNITS and any(digit.isdigit() for digit in number):
            return written(text)
        return text

    def described(self, fact: Fact, *leave_out: str) -> str:
        """All fields of an entry in one line, by their names, but for those left out."""
        return "; ".join(
            f"{self.label(name)} {self.value(value)}"
            for name, value in fact.body.items()
            if name not in leave_out
        )
