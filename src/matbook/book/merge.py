"""Merging two books is set union; reading order then makes any order of arrival the same."""

from collections.abc import Iterable

from matbook.book.entry import Entry


def merged(*books: Iterable[Entry]) -> list[Entry]:
    """All entries of all books, once each, in reading order.

    The order is (`at` as an instant, `written`, `device`, `seq`); the hash only parts the
    branches of a fork, so that even a cloned device reads the same everywhere.
    """
    union = {entry.hash: entry for book in books for entry in book}
    return sorted(union.values(), key=lambda entry: entry.order)
