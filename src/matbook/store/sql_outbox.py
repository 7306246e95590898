"""Notices on their way out in the tables of a database."""

from abc import abstractmethod
from collections.abc import Sequence
from contextlib import AbstractContextManager
from typing import Any, Final

from sqlalchemy import Connection, Row, insert, select, update

from matbook.book.sending import Sending
from matbook.store.outbox import Outbox
from matbook.store.tables import outbox, outbox_read

_SENDING: Final = tuple(outbox.c[name] for name in Sending._fields)
_WAITS: Final = outbox.c.state == "waiting"


class SqlOutbox(Outbox):
    """What `outbox` promises, over the tables of `tables`."""

    @abstractmethod
    def _reading(self) -> AbstractContextManager[Connection]:
        """A connection to read from; what goes wrong comes out as one of our errors."""

    @abstractmethod
    def _changing(self) -> AbstractContextManager[Connection]:
        """One transaction that nobody else writes in: kept when left, taken back on an error."""

    def outbox_read(self, job: str) -> int:
        with self._reading() as connection:
            return _read(connection, job) or 0

    def put_in_line(self, job: str, read: int, fresh: Sequence[Sending], now: int) -> None:
        with self._changing() as connection:
            for one in fresh:
                if connection.execute(select(outbox.c.due).where(*_is(job, one))).first() is None:
                    row = {"job": job, **one._asdict(), "taken": now, "due": now}
                    connection.execute(insert(outbox), row)
            before = _read(connection, job)
            if before is None:
                connection.execute(insert(outbox_read), {"job": job, "cursor": read})
            elif read > before:
                here = update(outbox_read).where(outbox_read.c.job == job)
                connection.execute(here.values(cursor=read))

    def take_from_line(self, now: int, until: int) -> tuple[str, Sending, int] | None:
        key = (outbox.c.due, outbox.c.job, outbox.c.entry, outbox.c.person)
        first = select(outbox).where(_WAITS, outbox.c.due <= now).order_by(*key).limit(1)
        with self._changing() as connection:
            row = connection.execute(first).one_or_none()
            if row is None:
                return None
            one = _sending(row)
            mine = one._replace(tries=one.tries + 1)
            taken = update(outbox).where(*_is(row.job, one))
            connection.execute(taken.values(tries=mine.tries, due=until))
        return row.job, mine, row.taken

    def put_back(self, job: str, done: Sending, due: int) -> None:
        with self._changing() as connection:
            here = update(outbox).where(*_is(job, done))
            connection.execute(here.values(**done._asdict(), due=due))

    def sendings(self, job: str) -> list[Sending]:
        query = select(*_SENDING).where(outbox.c.job == job)
        with self._reading() as connection:
            found = connection.execute(query.order_by(outbox.c.entry, outbox.c.person))
            return [_sending(row) for row in found]


def _is(job: str, one: Sending) -> tuple[Any, ...]:
    return outbox.c.job == job, outbox.c.entry == one.entry, outbox.c.person == one.person


def _read(connection: Connection, job: str) -> int | None:
    query = select(outbox_read.c.cursor).where(outbox_read.c.job == job)
    return connection.execute(query).scalar_one_or_none()


def _sending(row: Row[Any]) -> Sending:
    return Sending(*(getattr(row, name) for name in Sending._fields))
