"""What every store does, whatever it is made of.

Invariants:

1.  An entry with an intact envelope is always kept, exactly as it was written; it is never changed
    and never removed. One that isn't intact, or that its sender may not write, goes to
    quarantine with the reason; nothing is lost.
2.  Keeping is set union by hash: any order, split or repetition of what is handed in gives the
    same set. Gaps and every branch of a fork are kept.
3.  What was said to be kept is on the disk. One call is one transaction: all of it or nothing.
4.  Within a job the cursors are 1, 2, 3 … in the order of commits, so whoever has read up to a
    cursor never misses an entry that was still being written at the time.
5.  An attachment is its bytes: its name is their SHA-256, so it can't be exchanged for another.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from types import MappingProxyType, TracebackType
from typing import BinaryIO, Literal, NamedTuple, Protocol, Self

from matbook.store.accounts import Accounts
from matbook.store.outbox import Outbox

Written = tuple[str, str]
"""An entry on its way: the hash it travels with, and its text."""

Progress = Callable[[int], None]
"""Told now and then how many entries have been taken in so far."""


class Receipt(NamedTuple):
    """What became of one entry that was handed in."""

    hash: str
    cursor: int
    """Where it stands in its job; 0 if it was refused."""
    state: Literal["kept", "had", "refused"]
    reason: str = ""


class Tally(NamedTuple):
    """What became of many entries."""

    kept: int
    had: int
    refused: tuple[Receipt, ...]


class Stored(NamedTuple):
    """An entry as it is kept; `received` is the store's own time and lies beside the entry."""

    cursor: int
    hash: str
    text: str
    received: str


class Head(NamedTuple):
    """An entry that nothing here follows."""

    seq: int
    hash: str


class Quarantined(NamedTuple):
    """What came without an intact envelope, as it came; `job` is empty where it can't be read."""

    job: str
    hash: str
    text: str
    reason: str
    received: str


class Remark(NamedTuple):
    """What whoever took an entry in has to say of it."""

    flag: str = ""
    """Lies beside the entry, for people to see."""
    refused: str = ""
    """Why it may not be kept; it goes to quarantine, unless it is here already."""


class Store(Accounts, Outbox, Protocol):
    """A place where the books of any number of jobs are kept."""

    def append(
        self,
        written: Sequence[Written],
        received: str,
        remarks: Mapping[str, Remark] = MappingProxyType({}),
    ) -> list[Receipt]:
        """Keep these entries, durably and all in one transaction, and say what became of each.

        A refused entry doesn't stop the others.

        Args:
            written: (hash, text) of each entry.
            received: The moment they arrived, by this store's clock.
            remarks: By hash. The flag of an entry that is kept is kept with it.

        Raises:
            StoreBusy: Another process is writing, and went on for longer than we wait.
            FileRefused: The disk is full, or the file is damaged; nothing of this was kept.
        """
        ...

    def append_all(
        self, written: Iterable[Written], received: str, progress: Progress | None = None
    ) -> Tally:
        """The same for very many entries, which are read, checked and written in pieces.

        Still one transaction: after a crash all of them are there, or none.
        """
        ...

    def entries(
        self, job: str, after: int = 0, limit: int | None = None, shift: str | None = None
    ) -> Iterator[Stored]:
        """A job's entries in cursor order, from the one behind `after`.

        Args:
            job: The job; one that isn't known has no entries.
            after: The last cursor already read; 0 for all.
            limit: At most so many; None for all.
            shift: Only this shift; "" for the entries that belong to the whole job.
        """
        ...

    def entry(self, job: str, name: str) -> Stored:
        """One entry by its id (quick) or its hash (looks through the job).

        An id that two entries carry, as a copied device can make it, gives the first to arrive.

        Raises:
            NotFound: This job has no such entry.
        """
        ...

    def flags(self, job: str, after: int = 0, until: int | None = None) -> dict[int, str]:
        """What was remarked on a job's entries, by cursor: behind `after`, up to `until`."""
        ...

    def cursor(self, job: str) -> int:
        """The cursor of a job's newest entry; 0 if it has none."""
        ...

    def jobs(self) -> list[str]:
        """The jobs that have entries."""
        ...

    def shifts(self, job: str) -> list[str]:
        """The shifts that a job's entries name."""
        ...

    def heads(self, job: str) -> dict[str, tuple[Head, ...]]:
        """For each device, its entries that nothing here follows, in order of their number.

        One where the chain is whole. More where it forks, and where entries between are missing:
        what follows a head is what the device still has to send.
        """
        ...

    def quarantined(self, job: str | None = None) -> Iterator[Quarantined]:
        """What was refused, with the reason: of one job ("": of none that can be read), or all."""
        ...

    def epoch(self) -> str:
        """A random name given to the store when it was made; another store has another."""
        ...

    def attach(self, original: bytes | BinaryIO) -> str:
        """Keep an attachment durably; returns the SHA-256 that names it.

        Raises:
            FileRefused: It could not be written.
        """
        ...

    def attachment(self, sha256: str) -> bytes:
        """An attachment's original bytes.

        Raises:
            NotFound: No attachment has that name.
            FileRefused: The file is there but no longer holds these bytes.
        """
        ...

    def attachment_size(self, sha256: str) -> int | None:
        """How many bytes an attachment has; None if it isn't here."""
        ...

    def close(self) -> None:
        """Let go of the store; it can't be used afterwards."""
        ...

    def __enter__(self) -> Self: ...

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None: ...
