"""A store in a database: reading through SQLAlchemy Core, writing as in `writing`.

What a kind of database does in its own way (opening, locking, saying what went wrong) is left to
its own module.
"""

from abc import abstractmethod
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import AbstractContextManager, closing
from itertools import chain, groupby
from operator import itemgetter
from types import MappingProxyType
from typing import Any, BinaryIO, Final, NamedTuple, Self

from sqlalchemy import Connection, Row, Select, func, select

from matbook.errors import NotFound
from matbook.store.attachments import Attachments
from matbook.store.checking import Checked, checked
from matbook.store.contract import (
    Head,
    Progress,
    Quarantined,
    Receipt,
    Remark,
    Store,
    Stored,
    Tally,
    Written,
)
from matbook.store.crew import checked_pieces, cut
from matbook.store.sql_accounts import SqlAccounts
from matbook.store.sql_outbox import SqlOutbox
from matbook.store.tables import entry, flag, head, job, quarantine, store
from matbook.store.writing import Writer

_PAGE: Final = 1000
_BY_LENGTH: Final = {16: entry.c.id, 32: entry.c.hash}
_STORED: Final = (entry.c.cursor, entry.c.hash, entry.c.text, entry.c.received)


class Batch(NamedTuple):
    """Entries handed in together, checked."""

    pieces: Sequence[tuple[Sequence[Written], Checked]]
    received: str
    remarks: Mapping[str, Remark]


class SqlStore(SqlAccounts, SqlOutbox, Store):
    """The store's contract over the tables of `tables`."""

    def __init__(self, attachments: Attachments) -> None:
        self._attachments = attachments

    @abstractmethod
    def _reading(self) -> AbstractContextManager[Connection]:
        """A connection to read from; what goes wrong comes out as one of our errors."""

    @abstractmethod
    def _writing(self, received: str) -> AbstractContextManager[Writer]:
        """One transaction: durable when it is left, taken back if it is left by an error."""

    @abstractmethod
    def close(self) -> None:
        """Let go of the database."""

    def append(
        self,
        written: Sequence[Written],
        received: str,
        remarks: Mapping[str, Remark] = MappingProxyType({}),
    ) -> list[Receipt]:
        pieces = [(piece, checked(piece)) for piece in cut(written)]
        return self._append(Batch(pieces, received, remarks))

    def _append(self, batch: Batch) -> list[Receipt]:
        """Keep one batch; a kind of store that gains by it keeps several together."""
        return self._append_each([batch])[0]

    def _append_each(self, batches: Sequence[Batch]) -> list[list[Receipt]]:
        """Keep several batches in one transaction."""
        found = []
        with self._writing(batches[0].received) as writer:
            for batch in batches:
                writer.received = batch.received
                kept = (writer.keep(*piece, batch.remarks) for piece in batch.pieces)
                found.append(list(chain.from_iterable(kept)))
        return found

    def append_all(
        self, written: Iterable[Written], received: str, progress: Progress | None = None
    ) -> Tally:
        kept, had, refused = 0, 0, list[Receipt]()
        with self._writing(received) as writer, closing(checked_pieces(written)) as pieces:
            for piece, found in pieces:
                receipts = writer.keep(piece, found)
                refused += [receipts[place] for place in found[1]]
                states = [receipt.state for receipt in receipts]
                kept += states.count("kept")
                had += states.count("had")
                if progress:
                    progress(kept + had + len(refused))
        return Tally(kept, had, tuple(refused))

    def entries(
        self, job: str, after: int = 0, limit: int | None = None, shift: str | None = None
    ) -> Iterator[Stored]:
        query = select(*_STORED).where(entry.c.job == job).order_by(entry.c.cursor)
        if shift is not None:
            query = query.where(entry.c.shift == shift)
        while limit is None or limit > 0:
            size = _PAGE if limit is None else min(limit, _PAGE)
            page = self._all(query.where(entry.c.cursor > after).limit(size))
            yield from map(_stored, page)
            if len(page) < size:
                return
            after = page[-1].cursor
            limit = None if limit is None else limit - size

    def entry(self, job: str, name: str) -> Stored:
        try:
            key = bytes.fromhex(name.replace("-", ""))
        except ValueError:
            key = b""
        if len(key) in _BY_LENGTH:
            column = _BY_LENGTH[len(key)]
            named = select(entry.c.cursor).where(entry.c.job == job, column == key)
            query = select(*_STORED).where(entry.c.job == job, entry.c.cursor.in_(named))
            for row in self._all(query.order_by(entry.c.cursor).limit(1)):
                return _stored(row)
        raise NotFound(f"There is no entry “{name[:80]}” in the job “{job}”.")

    def flags(self, job: str, after: int = 0, until: int | None = None) -> dict[int, str]:
        query = select(flag).where(flag.c.job == job, flag.c.cursor > after)
        if until is not None:
            query = query.where(flag.c.cursor <= until)
        return {row.cursor: row.sentence for row in self._all(query.order_by(flag.c.cursor))}

    def cursor(self, job: str) -> int:
        [row] = self._all(select(func.max(entry.c.cursor).label("last")).where(entry.c.job == job))
        return row.last or 0

    def jobs(self) -> list[str]:
        return [row.job for row in self._all(select(job).order_by(job.c.job))]

    def shifts(self, job: str) -> list[str]:
        named = entry.c.shift > ""
        here = entry.c.job == job
        first = select(func.min(entry.c.shift).label("shift")).where(here, named)
        found = first.cte("found", recursive=True)
        later = select(func.min(entry.c.shift)).where(here, entry.c.shift > found.c.shift)
        found = found.union_all(select(later.scalar_subquery()).where(found.c.shift.is_not(None)))
        rows = self._all(select(found.c.shift).where(found.c.shift.is_not(None)))
        return [row.shift for row in rows]

    def heads(self, job: str) -> dict[str, tuple[Head, ...]]:
        query = select(head).where(head.c.job == job).order_by(*head.c)
        found = map(tuple[Any, ...], self._all(query))
        return {
            device: tuple(Head(seq, hash_.hex()) for _, _, seq, hash_ in rows)
            for device, rows in groupby(found, key=itemgetter(1))
        }

    def quarantined(self, job: str | None = None) -> Iterator[Quarantined]:
        query = select(quarantine).order_by(quarantine.c.received, quarantine.c.found)
        if job is not None:
            query = query.where(quarantine.c.job == job)
        for row in self._all(query):
            yield Quarantined(
                row.job, _as_it_came(row.claimed), _as_it_came(row.text), row.reason, row.received
            )

    def epoch(self) -> str:
        [row] = self._all(select(store).where(store.c.name == "epoch"))
        return str(row.value)

    def attach(self, original: bytes | BinaryIO) -> str:
        return self._attachments.keep(original)

    def attachment(self, sha256: str) -> bytes:
        return self._attachments.read(sha256)

    def attachment_size(self, sha256: str) -> int | None:
        return self._attachments.size(sha256)

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def _all(self, query: Select[Any]) -> Sequence[Row[Any]]:
        with self._reading() as connection:
            return connection.execute(query).all()


def _stored(row: Row[Any]) -> Stored:
    return Stored(row.cursor, row.hash.hex(), row.text, row.received)


def _as_it_came(text: bytes) -> str:
    return text.decode("utf-8", "surrogatepass")
