"""The book as one role may know it: what is kept from that role is in none of its figures."""

from matbook.desk.job import JobBook
from matbook.desk.roles import secrets
from matbook.shift.view import View


class Reader:
    """One role reading a book that grows; mostly there are no secrets, and it reads the whole."""

    def __init__(self, role: str, whole: JobBook) -> None:
        self.role = role
        self.whole = whole
        self.book = whole
        """What this role may know of the whole."""
        self.views: dict[object, View] = {}
        """The last view of that book."""
        self._seen = -1

    def catch_up(self) -> "Reader":
        """Take in what was added since; an entry that became secret is taken out again."""
        if self._seen == self.whole.changes:
            return self
        self._seen = self.whole.changes
        secret = secrets(self.role, self.whole)
        if not secret:
            self._read(self.whole)
        elif self.book is self.whole or self.book.has_any(secret):
            self._read(JobBook())
        if self.book is not self.whole:
            self.book.add(entry for entry in self.whole.entries if entry.hash not in secret)
            self.book.shifts = list(self.whole.shifts)
        return self

    def _read(self, book: JobBook) -> None:
        if book is not self.book:
            self.book, self.views = book, {}
