"""What a store keeps of notices on their way out: whom they go to, and what became of each.

Invariants:

1.  A notice is put in line once for each person, however often it arrives or is looked at.
2.  Being put in line and how far the book was read for it are one transaction, so a crash
    between the two neither loses a notice nor doubles it.
3.  Whoever takes one from the line has it to itself for a time. If nothing is heard by then, as
    after a crash, it is anybody's again: a notice may go out twice, and is never forgotten.
"""

from collections.abc import Sequence
from typing import Protocol

from matbook.book.sending import Sending


class Outbox(Protocol):
    """Notices in line, and those that are done."""

    def outbox_read(self, job: str) -> int:
        """The cursor up to which a job's entries were looked at for notices to send."""
        ...

    def put_in_line(self, job: str, read: int, fresh: Sequence[Sending], now: int) -> None:
        """Put these in line, those there already left as they are; the book is read up to `read`.

        Args:
            job: A job that has entries here.
            read: The cursor of the last entry looked at.
            fresh: What is to be sent, and what is settled at once because it never can be.
            now: In seconds since 1970.
        """
        ...

    def take_from_line(self, now: int, until: int) -> tuple[str, Sending, int] | None:
        """One that waits and whose time has come, the longest due first; nobody else takes it.

        Args:
            now: In seconds since 1970.
            until: When it is anybody's again, unless `put_back` was called.

        Returns:
            Its job, the sending with this try counted, and when it was put in line.
        """
        ...

    def put_back(self, job: str, done: Sending, due: int) -> None:
        """Write down what became of a try; while it waits, it is due again then."""
        ...

    def sendings(self, job: str) -> list[Sending]:
        """Everything of a job that was put in line, by notice and person."""
        ...
