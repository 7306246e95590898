"""An open book: entries go in as they come, questions come out as plain data in words.

One door for the app's worker, for the server and for the command line, so that all of them show
the same words and the same figures.
"""

from collections.abc import Callable, Iterable, Mapping
from typing import Any, Final

from matbook.book.entry import read_entry
from matbook.desk import (
    ahead,
    calls,
    closing,
    cores,
    deliveries,
    draws,
    entries,
    figures,
    forms,
    gauges,
    guide,
    haul,
    joints,
    judged,
    lists,
    lots,
    mat,
    mat_at,
    now,
    placement,
    plans,
    risk,
    schedules,
    score,
    sheet,
    strips,
    tables,
    trucks,
)
from matbook.desk.asking import Asked
from matbook.desk.job import JobBook
from matbook.desk.reader import Reader
from matbook.desk.roles import views_for
from matbook.errors import EntryRefused, NotFound, Refused

Answer = dict[str, Any] | list[dict[str, Any]]

QUESTIONS: Final[Mapping[str, Callable[[Asked], Answer]]] = {
    "now": now.now,
    "calls": calls.calls,
    "mat": mat.mat,
    "mat_at": mat_at.mat_at,
    "entries": entries.entries,
    "entry": entries.entry,
    "loads": deliveries.loads,
    "last_load": deliveries.last_load,
    "next_load": deliveries.next_load,
    "kinds": forms.forms,
    "judge": judged.judge,
    "figures": figures.figures,
    "figure": figures.figure,
    "plan": plans.plan,
    "ahead": ahead.ahead,
    "close": closing.close,
    "handover": closing.handover,
    "day_sheet": sheet.day_sheet,
    "tell": calls.tell,
    "placement": placement.placement,
    "haul": haul.haul,
    "trucks": trucks.trucks,
    "yield": tables.yields,
    "pavers": tables.pavers,
    "due": tables.due,
    "told": tables.told,
    "score": score.score,
    "guide": guide.guide,
    "joints": joints.state,
    "lists": lists.lists,
    "lots": lots.all_lots,
    "lot": lots.one_lot,
    "strip": strips.strips,
    "gauges": gauges.gauges,
    "cores": cores.cores,
    "schedules": schedules.all_schedules,
    "schedule": schedules.one_schedule,
    "risk": risk.risk,
    "draws": draws.all_draws,
    "draw": draws.one_draw,
}
"""Every question that a book can be asked, and what answers it."""


class OpenBook:
    """One job's book, open: `add` what arrives, `ask` what anybody wants to know.

    Example:
        >>> book = OpenBook("harrow")
        >>> book.add([]), book.shifts()
        ([], [])
    """

    def __init__(self, job: str, book: JobBook | None = None) -> None:
        self.job = job
        self._book = book or JobBook()
        self._hashes = {entry.hash for entry in self._book.entries}
        self._readers: dict[str, Reader] = {}

    def add(self, pairs: Iterable[tuple[str, str]]) -> list[dict[str, str]]:
        """Take entries as (hash, text), in any order, and say of each what became of it.

        Returns: for each pair its hash, a state (kept, had or refused) and, where it was refused,
        the reason. Shifts that somebody looked at are brought up to date, not read again.
        """
        receipts, fresh = [], []
        for digest, text in pairs:
            if digest in self._hashes:
                receipts.append({"hash": digest, "state": "had", "reason": ""})
                continue
            try:
                entry = read_entry(text, digest)
                if entry.job != self.job:
                    raise EntryRefused(f"The entry is of job “{entry.job}”, not “{self.job}”.")
            except EntryRefused as error:
                receipts.append({"hash": digest, "state": "refused", "reason": str(error)})
                continue
            self._hashes.add(digest)
            fresh.append(entry)
            receipts.append({"hash": digest, "state": "kept", "reason": ""})
        self._book.add(fresh)
        return receipts

    def shifts(self) -> list[str]:
        """Names of the shifts, in order of working date, day before night."""
        return list(self._book.shifts)

    def ask(self, question: str, arguments: Mapping[str, Any] | None = None) -> Any:
        """Answer one question with plain data.

        Args:
            question: One of `QUESTIONS`.
            arguments: shift (the latest), at (an ISO moment; the shift's last), language (en),
                role (inspector), and what the question itself takes.

        Raises:
            MatbookError: A sentence for the person: no such question, shift, entry or figure, an
                argument that can't be read, or a role that may not ask this.
        """
        if question not in QUESTIONS:
            known = ", ".join(QUESTIONS)
            raise NotFound(f"There is no question “{question[:60]}”; there is: {known}.")
        given = arguments or {}
        role = str(given.get("role") or "inspector")
        if question not in views_for(role):
            raise Refused("question", question, f"the role of {role} may not ask this")
        reader = self._readers.setdefault(role, Reader(role, self._book)).catch_up()
        return QUESTIONS[question](Asked(reader.book, given, reader.views, role, self._book))
