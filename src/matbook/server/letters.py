"""A notice as a letter to one person: its own words, and around them who told it, and when."""

from dataclasses import dataclass
from typing import Final

from matbook.desk.job import JobBook
from matbook.plan.model import Person, Plan
from matbook.server.carriers import Letter, NotTaken
from matbook.server.posting import Ways, address
from matbook.shift.display import clock
from matbook.shift.facts import Fact
from matbook.words import say

SUBJECT: Final = 200
"""Characters of a subject."""


@dataclass(frozen=True)
class Notice:
    """A notice that stands, with the plan that says who everybody is."""

    fact: Fact
    plan: Plan

    @property
    def writer(self) -> str:
        return self._name(self.fact.entry.by)

    def _name(self, person: str) -> str:
        return self.plan.people[person].name if person in self.plan.people else person


def notice_in(book: JobBook, name: str) -> Notice:
    """A notice by its id; raises NotTaken if it was struck, or can't be read."""
    for entry in book.of_kind("notice"):
        if entry.id == name and entry.shift in book.shifts:
            for fact in book.facts(entry.shift).of("notice"):
                if fact.id == name:
                    return Notice(fact, book.plans.latest)
    raise NotTaken("struck", for_good=True)


def letter(notice: Notice, person: str, needs: str, ways: Ways) -> Letter:
    """The letter to one person.

    Raises:
        NotTaken: The plan has no such person or no address that can be used, or the server's list
            doesn't have it.
    """
    found = notice.plan.people.get(person)
    if found is None:
        raise NotTaken("not-in-plan", for_good=True)
    to = ""
    if needs:
        to = address(needs, found.mail if needs == "mail" else found.phone)
        if not to:
            raise NotTaken("no-mail" if needs == "mail" else "no-phone", for_good=True)
        if not ways.allows(to):
            raise NotTaken("not-listed", for_good=True)
    return _written(notice, found, to, ways)


def _written(notice: Notice, to: Person, where: str, ways: Ways) -> Letter:
    entry, plan, text = notice.fact.entry, notice.plan, notice.fact.text("text")
    when = {"date": notice.fact.at.date().isoformat(), "at": clock(notice.fact.at)}
    who = {"who": notice.writer, "job": plan.job.name}
    subject = say("letter.subject", ways.language, **who, **when)
    if entry.strikes:
        subject = say("letter.corrected", ways.language, subject=subject)
    lines = [
        text,
        "",
        say("letter.from", ways.language, **who, **when),
        *([say("letter.corrects", ways.language)] if entry.strikes else []),
        say("app.tell.contract", ways.language),
        say("letter.entry", ways.language, shift=entry.shift, id=entry.id),
    ]
    writer = plan.people.get(entry.by)
    answer_to = address("mail", writer.mail) if writer else ""
    return Letter(
        id=f"{entry.id}.{to.id}",
        to=where,
        subject=" ".join(subject.split())[:SUBJECT],
        text="\n".join(lines) + "\n",
        short=say("letter.short", ways.language, text=text, **who, **when),
        answer_to=answer_to if ways.allows(answer_to) else "",
        data={
            "job": entry.job,
            "shift": entry.shift,
            "entry": entry.id,
            "at": entry.data["at"],
            "to": {"id": to.id, "name": to.name, "role": to.role},
            "from": {"id": entry.by, "name": notice.writer},
            "text": text,
            "corrects": entry.strikes,
        },
    )
