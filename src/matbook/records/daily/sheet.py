"""What every section of the daily record is written from: the view, its words, its units."""

from collections.abc import Callable, Mapping, Sequence, Set
from dataclasses import dataclass, field
from datetime import datetime
from functools import cached_property
from typing import Final

from matbook.book.entry import Entry
from matbook.book.kinds import Field, kinds
from matbook.book.sending import Sending
from matbook.plan.model import Plan
from matbook.shift.display import Display, clock, written
from matbook.shift.facts import Fact
from matbook.shift.loads import load_of
from matbook.shift.view import View
from matbook.words import ENGLISH, has, say


@dataclass(frozen=True)
class Sheet:
    """One shift's record in the making."""

    view: View
    seal: Entry | None
    language: str = "en"
    sealed: Set[str] = frozenset()
    """Hashes of the entries under the seal."""
    broken: bool = False
    """Whether there is a seal that does not hold."""
    sendings: Mapping[str, Sequence[Sending]] = field(default_factory=dict)
    """What became of notices on their way out, by id, as far as is known where this is made."""

    @property
    def plan(self) -> Plan:
        return self.view.plan

    @cached_property
    def display(self) -> Display:
        return Display(self.plan.job.units)

    def say(self, code: str, /, **arguments: object) -> str:
        return say(code, self.language, **arguments)

    def label(self, name: str, kind: str = "") -> str:
        """The name of a field, as people read it; short in English, else as its form has it."""
        if name in LABELLED:
            return self.say(f"label.{name}")
        titles = (f"title.{kind}.{name}", f"title.{name}")
        title = next((code for code in titles if has(code)), "")
        if self.language == ENGLISH or not title:
            return name.replace("_", " ")
        said = self.say(title)
        return said[:1].lower() + said[1:]

    def choice(self, kind: str, name: str, value: str) -> str:
        """A choice in words: its own for this kind and field, else the one all share."""
        codes = (f"choice.{kind}.{name}.{value}", f"choice.{value}")
        code = next((code for code in codes if has(code)), "")
        return self.say(code) if code else value

    def time(self, at: datetime) -> str:
        """The clock time; with its offset where the clock showed it twice that night."""
        first, last = self._shown_twice
        at = self.view.facts.local(at)
        return f"{clock(at)} {at.isoformat()[-6:]}" if first <= naive(at) <= last else clock(at)

    def day_time(self, at: datetime) -> str:
        """The clock time, with its date where that isn't of this shift."""
        own = at in self._moments or abs((self.view.now - at).total_seconds()) < 18 * 3600
        return self.time(at) if own else self.dated(at)

    def dated(self, at: datetime) -> str:
        """The date and the clock time, both on the shift's clock."""
        return f"{self.view.facts.local(at):%Y-%m-%d} {self.time(at)}"

    @cached_property
    def offsets(self) -> Sequence[str]:
        """The offsets of the shift's clock, in order: two where it was changed in between."""
        found = {at.isoformat()[-6:]: at for at in reversed(self._moments)}
        return sorted(found, key=lambda offset: found[offset])

    @cached_property
    def _moments(self) -> Sequence[datetime]:
        """When the shift's entries happened, in order; a seal is the installation's own affair."""
        own = (e for e in self.view.facts.entries() if e.shift and e.kind != "seal")
        return [self.view.facts.local(entry.at) for entry in own]

    @cached_property
    def _shown_twice(self) -> tuple[datetime, datetime]:
        """The first and last clock time that entries show under both offsets."""
        first = self.offsets[:1]
        before = [naive(at) for at in self._moments if [at.isoformat()[-6:]] == first]
        after = [naive(at) for at in self._moments if [at.isoformat()[-6:]] != first]
        if not before or not after:
            return datetime.max, datetime.min
        return min(after), max(before)

    def who(self, person: str) -> str:
        """A person's name, or the id where the plan has no such person."""
        found = self.plan.people.get(person)
        return found.name if found else person

    def lane(self, lane: str) -> str:
        return self.plan.lanes[lane].name if lane in self.plan.lanes else lane

    def lift(self, lift: str) -> str:
        return self.plan.lifts[lift].name if lift in self.plan.lifts else lift

    @cached_property
    def _one_course(self) -> bool:
        """Whether the whole shift stayed in one lane and lift, so that neither needs repeating."""
        places = [(e.place.get("lane"), e.place.get("lift")) for e in self.view.facts.entries()]
        return len({lane for lane, _ in places} - {None}) < 2 and (
            len({lift for _, lift in places} - {None}) < 2
        )

    @cached_property
    def _one_paver(self) -> bool:
        return len({e.place.get("paver") for e in self.view.facts.entries()} - {None}) < 2

    def course(self) -> str:
        """The one lane and lift of the shift; empty where there are several."""
        piece = next(iter(self.view.pieces), None)
        if piece is None or not self._one_course:
            return ""
        return f"{self.lane(piece.lane)}, {self.lift(piece.lift)}"

    def strip(self, lane: str, lift: str, paver: str = "") -> str:
        """Lane, lift and paver, as far as the shift has more than one of them."""
        named = [] if self._one_course else [lane and self.lane(lane), lift and self.lift(lift)]
        return ", ".join(filter(None, (*named, "" if self._one_paver else paver)))

    def where(self, fact: Fact) -> str:
        """Where an entry was, in one line."""
        place = fact.place
        area = self.plan.areas.get(place("area"))
        reach = " – ".join(filter(None, (place("from"), place("to"))))
        offset = f"{self.label('offset')} {written(place('offset'))}" if place("offset") else ""
        strip = self.strip(place("lane"), place("lift"), place("paver"))
        named = area.name if area else place("area")
        return ", ".join(filter(None, (strip, named, place("station") or reach, offset)))

    def value(self, field: Field | None, value: object) -> str:
        """A field's value as people read it, by what the field takes."""
        if isinstance(value, list):
            return ", ".join(self.value(field, one) for one in value)
        text = str(value)
        read = READ.get(field.type if field else "")
        return read(self, text) if read else text

    def entry(self, entry: str) -> str:
        """What an entry is, for a reader who can't follow its id."""
        load = load_of(self.view.facts, entry)
        if load is not None:
            return f"{self.say('kind.load')} {load.label}"
        found = self.view.facts.find(entry)
        if found is None:
            return entry[:8]
        return f"{self.say(f'kind.{found.kind}')} {self.time(found.at)}"

    def named(self, fact: Fact) -> str:
        """What tells one entry of its kind from another: a load's ticket, say."""
        return fact.text("ticket") or fact.text("item") or fact.text("core") or fact.text("sample")

    def described(self, fact: Fact, *leave_out: str) -> str:
        """All fields of an entry in one line, in the order of its form, but for those left out."""
        form = kinds()[fact.entry.kind]
        said = "; ".join(
            said
            if name in SAYS_ITSELF or field.type == "entry"
            else f"{self.label(name, form.name)} {said}"
            for name, field in form.fields.items()
            if name in fact.body and name not in leave_out
            for said in [
                self.choice(form.name, name, fact.text(name))
                if field.type == "choice"
                else self.value(field, fact.body[name])
            ]
        )
        return said.replace(".; ", "; ")


def naive(at: datetime) -> datetime:
    """What the clock showed."""
    return at.replace(tzinfo=None)


LABELLED: Final = ("fit", "held")
"""Fields whose name alone would mislead a reader."""

SAYS_ITSELF: Final = frozenset(
    {
        "event",
        "state",
        "step",
        "item",
        "layout",
        "sky",
        "what",
        "text",
        "cause",
        "sign",
        "machine",
        "craft",
        "point",
        "list",
        "core",
        "sample",
        "test",
        "says",
        "phase",
        "mode",
        "joint",
        "note",
        "look",
        "product",
        "method",
        "purpose",
        "decision",
        "truck",
        "plant",
        "ticket",
        "mix",
        "name",
    }
)
"""Fields whose value needs no name beside it."""

READ: Final[Mapping[str, Callable[[Sheet, str], str]]] = {
    "quantity": lambda sheet, text: written(text),
    "moment": lambda sheet, text: sheet.time(datetime.fromisoformat(text)),
    "person": lambda sheet, text: sheet.who(text),
    "entry": lambda sheet, text: sheet.entry(text),
    "file": lambda sheet, text: text[:16],
}
"""How values of some types are read out; the others stand as they are."""
