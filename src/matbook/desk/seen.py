"""What a question is asked of: the book, one shift of it at a moment, the language, the rest."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from matbook.book.entry import Entry
from matbook.desk.job import JobBook
from matbook.shift.display import Display
from matbook.shift.view import View
from matbook.words import has, say


@dataclass(frozen=True)
class Seen:
    """One shift as it stands, and what was asked about it."""

    book: JobBook
    view: View
    language: str
    arguments: Mapping[str, Any]

    @property
    def display(self) -> Display:
        return Display(self.view.plan.job.units)

    def asked(self, name: str) -> str:
        """An argument of the question; empty if it wasn't given."""
        return str(self.arguments.get(name, ""))

    def person(self, name: str) -> str:
        """A person's name, by their id in the plan; the id where the plan has no such person."""
        people = self.view.plan.people
        return people[name].name if name in people else name


def kind_words(kind: str, language: str) -> str:
    """What a kind of entry is called."""
    code = f"kind.{kind}"
    return say(code, language) if has(code, language) else kind


def in_short(entry: Entry) -> str:
    """What tells an entry from others of its kind: a ticket, a name, a station, its first words."""
    said = entry.body.get("ticket") or entry.body.get("item") or entry.body.get("text")
    place = entry.place.get("station") or entry.place.get("to")
    return str(said or place or next(iter(entry.body.values()), ""))
