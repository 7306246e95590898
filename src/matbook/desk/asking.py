"""One question to a book, with what every answer needs: the shift, the moment, the language."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import cached_property
from typing import Any, Final

from matbook.book.entry import Entry, moment
from matbook.book.sending import STATES, Sending
from matbook.desk.job import JobBook
from matbook.desk.roles import may_see
from matbook.errors import EntryRefused, NotFound, Refused
from matbook.plan.changes import Plans
from matbook.plan.model import Person, Plan
from matbook.shift.display import Display, clock
from matbook.shift.facts import Facts
from matbook.shift.told import Matter, went
from matbook.shift.view import View
from matbook.words import has, languages, say

PAST: Final = timedelta(hours=12)
"""So long after its last entry, a shift is shown as it stood then."""


@dataclass(frozen=True)
class Asked:
    """A question's arguments, read; `words` is the language of the answer."""

    book: JobBook
    arguments: Mapping[str, Any] = field(default_factory=dict)
    views: dict[object, View] = field(default_factory=dict)
    """Where the last view is kept between questions."""
    role: str = "inspector"
    whole: JobBook | None = None
    """The book with what is kept from this role too; for deciding what it sees."""

    # Arguments

    def text(self, name: str, default: str = "") -> str:
        """A text argument; raises Refused if it is something else."""
        value = self.arguments.get(name, default)
        if value is None:
            return default
        if not isinstance(value, str):
            raise Refused(name, str(value), "it must be text")
        return value

    def texts(self, name: str, default: Sequence[str]) -> tuple[str, ...]:
        """An argument that is a list of texts; raises Refused if it is something else."""
        value = self.arguments.get(name)
        if value is None:
            return tuple(default)
        if not isinstance(value, list) or not all(isinstance(one, str) for one in value):
            raise Refused(name, str(value), "it must be a list of texts")
        return tuple(value)

    def count(self, name: str, most: int) -> int | None:
        """A whole number from 0 to `most`; None where it isn't given. Raises Refused."""
        given = self.arguments.get(name)
        if given in (None, ""):
            return None
        text = str(given)
        if not text.isdecimal() or len(text) > len(str(most)) or int(text) > most:
            raise Refused(name, text, f"a whole number from 0 to {most}")
        return int(text)

    def mapping(self, name: str) -> Mapping[str, Any]:
        """An argument that is an object; empty if it isn't given."""
        value = self.arguments.get(name) or {}
        if not isinstance(value, dict):
            raise Refused(name, str(value), "it must be an object")
        return value

    @cached_property
    def words(self) -> str:
        """The language; English where it isn't said."""
        language = self.text("language", "en")
        if language not in languages():
            raise Refused("language", language, f"it must be one of {', '.join(languages())}")
        return language

    def say(self, code: str, /, **arguments: object) -> str:
        """A sentence in the language that was asked for."""
        return say(code, self.words, **arguments)

    # The shift

    @property
    def has_shift(self) -> bool:
        return bool(self.book.shifts)

    @cached_property
    def shift(self) -> str:
        """The shift asked about; the latest if none is named. Raises NotFound."""
        shift = self.text("shift") or self.book.latest()
        self.book.facts(shift)
        return shift

    @cached_property
    def closed(self) -> bool:
        return self.book.closed(self.shift)

    @cached_property
    def sealed(self) -> bool:
        return self.book.seal_of(self.shift) is not None

    @cached_property
    def at(self) -> datetime | None:
        """The moment as it was asked for; None for now. Raises EntryRefused."""
        said = self.text("at")
        if said in ("", "now"):
            return None
        return moment(f"{said[:-1]}+00:00" if said.endswith("Z") else said)

    @cached_property
    def now(self) -> datetime:
        """The moment asked about; a closed or past shift is shown as it stood at its last entry."""
        at = self.at
        if not self.book.wrote(self.shift):  # nothing that this role, or that moment, knows of
            return at or (self.whole or self.book).last_moment(self.shift)
        last = self.book.last_moment(self.shift)
        past = self.closed or self.sealed or (at is not None and at - last > PAST)
        return self.local(last if past or at is None else at)

    def local(self, at: datetime) -> datetime:
        """A moment on the clock of the shift that is asked about, where there is one."""
        return self.book.facts(self.shift).local(at) if self.has_shift else at

    def clock(self, at: datetime) -> str:
        """Hours and minutes on that clock, whatever clock the moment was written by."""
        return clock(self.local(at))

    @cached_property
    def view(self) -> View:
        """The shift at that moment; kept between questions while nothing changes."""
        key = self.shift, self.now, self.book.changes
        if key not in self.views:
            self.views.clear()
            self.views[key] = self.book.view(self.shift, self.now)
        return self.views[key]

    @property
    def facts(self) -> Facts:
        return self.view.facts

    @cached_property
    def begun(self) -> Mapping[str, float]:
        """Where each part of a load began [m], written or taken from the one before, by entry."""
        return {piece.part.fact.id: piece.from_m for piece in self.view.pieces}

    # The plan

    @property
    def plans(self) -> Plans:
        """Every plan of the job, whether a shift has begun or not."""
        return self.book.plans

    @cached_property
    def plan(self) -> Plan:
        """The plan in force, or NO_PLAN."""
        return self.plans.at(self.now) if self.has_shift else self.plans.latest

    @cached_property
    def display(self) -> Display:
        return Display(self.plan.job.units)

    # People and entries

    def person(self, name: str) -> str:
        """A person's name, or the id or name as written where the plan has none."""
        found = self.plan.people.get(name)
        return found.name if found else name

    def people(self, ids: tuple[str, ...]) -> list[Person]:
        """Those of these ids whom the plan has."""
        return [self.plan.people[one] for one in ids if one in self.plan.people]

    # Notices on their way out

    @cached_property
    def sendings(self) -> Mapping[str, tuple[Sending, ...]]:
        """What became of notices, by id: as whoever asks knows it from the server, else as here.

        Raises Refused if what was given isn't such a list.
        """
        given = self.arguments.get("sendings")
        if given is None:
            return (self.whole or self.book).sendings
        book = JobBook()
        book.know_sendings(_sending(one) for one in (given if isinstance(given, list) else [given]))
        return book.sendings

    def went(self, matter: Matter) -> list[str]:
        """What became of a notice on its way to each person, in words."""
        return [
            went(one, self.person(one.person), matter.at, self.words)
            for one in self.sendings.get(matter.id, ())
        ]

    def sees(self, entry: Entry) -> bool:
        """Whether the one who asks may see an entry as it was written."""
        return may_see(self.role, entry, self.whole or self.book)

    def entry_of(self, name: str) -> Entry:
        """An entry of the shift by its id or hash; raises NotFound."""
        found = self.facts.find(name) if name else None
        found = found or next((e for e in self.facts.entries() if name == e.hash), None)
        if found is None or not self.sees(found):
            raise NotFound(f"There is no entry “{name[:70]}” in this shift.")
        return found


def _sending(given: object) -> Sending:
    """One sending as the server tells of it; raises Refused."""
    fields = {**given} if isinstance(given, dict) else {}
    known = {name: fields.get(name, default) for name, default in _UNSAID.items()}
    fits = all(isinstance(known[name], type(default)) for name, default in _UNSAID.items())
    if not fits or known["state"] not in STATES or not has(f"sending.why.{known['why'] or 'late'}"):
        raise Refused("sendings", str(given)[:100], "each must be as the server gives it")
    try:
        moment(str(known["at"]))
    except EntryRefused:
        raise Refused("sendings", str(known["at"]), "its time must be a moment") from None
    return Sending(**known)


_UNSAID: Final[Mapping[str, Any]] = {
    **dict.fromkeys(("entry", "person", "how", "state", "why", "said", "at"), ""),
    "tries": 0,
}
