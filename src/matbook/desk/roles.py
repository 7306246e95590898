"""What each role may write, see and ask."""

from typing import Final

from matbook.book.entry import Entry
from matbook.book.kinds import kind_named
from matbook.desk.open_book import QUESTIONS

OURS: Final = ("inspector", "technician", "supervisor")
"""The owner's people: they see the whole book."""

RELEASED: Final = frozenset(
    {"notice", "reply", "instruction", "disagreement", "shift-open", "shift-close", "seal"}
)
"""Kinds that a contractor sees. Everything else travels to them as a hash: the owner's results
and places drawn for samples most of all."""

CONTRACTORS_VIEWS: Final = frozenset({"now"})


def may_write(role: str, kind: str) -> bool:
    """Whether a role may write entries of a kind; raises NotFound for a kind that isn't known.

    Example:
        >>> may_write("contractor", "reply"), may_write("contractor", "load")
        (True, False)
    """
    return role in kind_named(kind).writers


def may_see(role: str, entry: Entry, book: object = None) -> bool:
    """Whether an entry may travel to a role with its text, or only as a hash.

    Args:
        role: The role of whoever asks.
        entry: The entry.
        book: The job's open book, for what depends on other entries; nothing does so far.
    """
    return role in OURS or entry.kind in RELEASED


def views_for(role: str) -> frozenset[str]:
    """The questions that a role may ask a book."""
    return frozenset(QUESTIONS) if role in OURS else CONTRACTORS_VIEWS
