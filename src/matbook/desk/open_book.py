"""A book that is open on the desk: entries come in one by one, and every question is answered.

The one door for whatever shows a shift: the app's own Python in the browser and the server ask
the same questions and get the same plain data, already in words and in the job's units.
"""

from collections.abc import Callable, Iterable, Mapping
from datetime import datetime
from typing import Any, Final

from matbook.book.entry import moment, read_entry
from matbook.desk import entered, numbers_open, standing, typed
from matbook.desk.job import JobBook
from matbook.desk.seen import Seen
from matbook.errors import EntryRefused, NotFound, Refused
from matbook.shift.view import view

Question = Callable[[Seen], Any]

QUESTIONS: Final[Mapping[str, Question]] = {
    "now": standing.now,
    "entries": entered.entries,
    "entry": entered.entry,
    "figures": numbers_open.figures,
    "figure": numbers_open.figure,
    "next_load": typed.next_load,
    "judge": typed.judge_typed,
    "plan": standing.plan,
    "mat": standing.mat,
    "close": standing.close,
}
"""Everything that can be asked, by name."""


class OpenBook:
    """The book of one job, open.

    Example:
        >>> book = OpenBook("harrow")
        >>> book.add([("0" * 64, "{}")])[0]["state"]
        'refused'
    """

    def __init__(self, job: str) -> None:
        self.job = job
        self._book = JobBook([])

    def add(self, pairs: Iterable[tuple[str, str]]) -> list[dict[str, str]]:
        """Take entries, in any order, and say what became of each; one refused stops no other.

        Args:
            pairs: (hash, text) of each entry.
        """
        return [self._add(digest, text) for digest, text in pairs]

    def _add(self, digest: str, text: str) -> dict[str, str]:
        try:
            entry = read_entry(text, digest)
            if entry.job != self.job:
                raise EntryRefused(f"The entry is of the job “{entry.job}”, not “{self.job}”.")
        except EntryRefused as refused:
            return {"hash": digest, "state": "refused", "reason": str(refused)}
        state = "kept" if self._book.add(entry) else "had"
        return {"hash": digest, "state": state, "reason": ""}

    def shifts(self) -> list[str]:
        """The names of the shifts, in order."""
        return self._book.shifts

    def ask(self, question: str, arguments: Mapping[str, Any]) -> Any:
        """The answer to one question, as plain data.

        Args:
            question: A name in `QUESTIONS`.
            arguments: `at` (the moment of asking, always), `shift` (else the latest), `language`
                (else English), and what the question itself needs.

        Raises:
            NotFound: There is no such question, shift, figure or entry.
            Refused: An argument is missing or isn't what it must be.
        """
        if question not in QUESTIONS:
            known = ", ".join(QUESTIONS)
            raise NotFound(f"There is no question “{question[:40]}”; there are: {known}.")
        return QUESTIONS[question](self._seen(arguments))

    def _seen(self, arguments: Mapping[str, Any]) -> Seen:
        shift = _text(arguments, "shift") or self._book.latest()
        facts = self._book.facts(shift)
        at = self._moment(shift, moment(_text(arguments, "at")))
        seen = view(facts, at, self._book.carry_to(shift))
        language = _text(arguments, "language") or "en"
        return Seen(self._book, seen, language, arguments)

    def _moment(self, shift: str, asked: datetime) -> datetime:
        """A closed or past shift is seen as it stood at its last entry, in its own offset."""
        last = self._book.last_moment(shift)
        past = (asked - last).total_seconds() > 12 * 3600
        closed = self._book.seal_of(shift) is not None
        return last if past or closed else asked.astimezone(last.tzinfo)


def _text(arguments: Mapping[str, Any], name: str) -> str:
    value = arguments.get(name, "")
    if not isinstance(value, str):
        raise Refused(name, str(value), "it must be text")
    return value
