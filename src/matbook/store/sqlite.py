"""The store in one SQLite file: write-ahead log, one writer, any number of readers."""

import secrets
import sqlite3
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

from sqlalchemy import URL, Connection, create_engine, event, insert
from sqlalchemy.exc import DBAPIError

from matbook.errors import FileRefused, MatbookError, NotFound, StoreBusy
from matbook.store import tables
from matbook.store.attachments import Attachments
from matbook.store.contract import Receipt
from matbook.store.sql import Batch, SqlStore
from matbook.store.together import Together
from matbook.store.writing import Statements, Writer

APPLICATION: Final = 0x4D415442
"""Marks the file as ours (“MATB”), so that it isn't taken for any other SQLite file."""

VERSION: Final = 3
"""The number of the last migration; the file carries it as SQLite's user_version."""

_NEEDED: Final = (3, 37)
"""The first SQLite with strict tables (sqlite.org/stricttables.html, read)."""

_BUSY: Final = "The book in “{name}” is being written to by another process; try again in a moment."
_DAMAGED: Final = "“{name}” is damaged and can't be read further; go back to a copy of it."
_SAYS: Final[dict[int, tuple[type[MatbookError], str]]] = {
    sqlite3.SQLITE_BUSY: (StoreBusy, _BUSY),
    sqlite3.SQLITE_LOCKED: (StoreBusy, _BUSY),
    sqlite3.SQLITE_NOTADB: (FileRefused, "“{name}” isn't a book that Matbook wrote."),
    sqlite3.SQLITE_CORRUPT: (FileRefused, _DAMAGED),
    sqlite3.SQLITE_IOERR: (FileRefused, "The disk with “{name}” failed; nothing was kept."),
    sqlite3.SQLITE_FULL: (FileRefused, "The disk with “{name}” is full; nothing was kept."),
    sqlite3.SQLITE_READONLY: (FileRefused, "“{name}” may not be written to; nothing was kept."),
    sqlite3.SQLITE_CANTOPEN: (FileRefused, "“{name}” can't be opened or made there."),
}
"""What a person is told, by SQLite's result code (sqlite.org/rescode.html, read)."""

_EACH_CONNECTION: Final = (
    "PRAGMA synchronous = FULL",  # a commit is on the disk before it returns
    "PRAGMA fullfsync = ON",  # and on macOS through the disk's own cache
    "PRAGMA foreign_keys = ON",
    "PRAGMA trusted_schema = OFF",
    "PRAGMA cell_size_check = ON",
    "PRAGMA cache_size = -32000",  # KiB
    "PRAGMA journal_size_limit = 67108864",
)

_LIKELY: Final = (
    ("entry", "1000000 20000 1"),
    ("entry_once", "1000000 20000 1 1"),
    ("entry_shift", "1000000 20000 300 1"),
    ("entry_chain", "1000000 20000 2000 1"),
)
"""For each index of `entry`, how many entries there may be and share each part of the key
(sqlite.org/fileformat2.html section 2.6.3, read). Without, SQLite takes a job to have ten entries
and reads all of them to find one."""


def open_store(path: Path, *, create: bool = True, wait_s: float = 5.0) -> "SqliteStore":
    """Open the store in this file; attachments lie in the folder beside it.

    Args:
        path: The database file.
        create: Whether to make it if it isn't there.
        wait_s: How long to wait for another writer [s], from 0.

    Raises:
        NotFound: There is no such file, and none is to be made.
        FileRefused: The file isn't ours, is from a newer Matbook, or is damaged; or Python brings
            too old an SQLite.
        StoreBusy: Another process holds it.
    """
    if sqlite3.sqlite_version_info < _NEEDED:
        raise FileRefused(
            f"Matbook needs SQLite {_NEEDED[0]}.{_NEEDED[1]} or newer; this Python brings "
            f"{sqlite3.sqlite_version}."
        )
    if not create and not path.exists():
        raise NotFound(f"There is no book at “{path}”.")
    return SqliteStore(path, wait_s)


class SqliteStore(SqlStore):
    """Opened by `open_store`. May be used from several threads."""

    def __init__(self, path: Path, wait_s: float) -> None:
        super().__init__(Attachments(path.with_name(path.name + ".files")))
        self._path = path
        self._wait_s = wait_s
        self._turn = threading.Lock()
        self._engine = create_engine(
            URL.create("sqlite", database=str(path)),
            connect_args={"timeout": wait_s},
            hide_parameters=True,
        )
        event.listen(self._engine, "connect", _prepare)
        self._statements = Statements(self._engine.dialect)
        self._together = Together(self._append_each, (sqlite3.Error, DBAPIError, ValueError))
        try:
            with _explained(path):
                with self._engine.connect() as connection:
                    _bring_up_to_date(connection, path, wait_s)
                self._writer = self._engine.raw_connection()
        except MatbookError:
            self._engine.dispose()
            raise

    @contextmanager
    def _reading(self) -> Iterator[Connection]:
        with _explained(self._path), self._engine.connect() as connection:
            yield connection

    @contextmanager
    def _changing(self) -> Iterator[Connection]:
        with self._reading() as connection:
            connection.exec_driver_sql("BEGIN IMMEDIATE")
            yield connection
            connection.commit()

    @contextmanager
    def _writing(self, received: str) -> Iterator[Writer]:
        if not self._turn.acquire(timeout=self._wait_s):
            raise StoreBusy(_BUSY.format(name=self._path.name))
        try:
            with _explained(self._path):
                cursor = self._writer.cursor()
                cursor.execute("BEGIN IMMEDIATE")
                yield Writer(cursor, self._statements, received)
                cursor.execute("COMMIT")
        finally:
            self._writer.rollback()  # nothing left to take back after a commit
            self._turn.release()

    def _append(self, batch: Batch) -> list[Receipt]:
        return self._together(batch)

    def close(self) -> None:
        self._writer.close()
        self._engine.dispose()


def _prepare(connection: sqlite3.Connection, _: object) -> None:
    connection.isolation_level = None  # transactions begin where we say so
    for pragma in _EACH_CONNECTION:
        connection.execute(pragma)


def _bring_up_to_date(connection: Connection, path: Path, wait_s: float) -> None:
    """Make a new file's tables, or take an older file through the steps it lacks."""
    if _version(connection, path) < VERSION:
        connection.exec_driver_sql("PRAGMA page_size = 8192")  # wide rows; counts for a new file
        connection.exec_driver_sql("BEGIN IMMEDIATE")
        before = _version(connection, path)  # another process may have been quicker
        if before < VERSION:
            from matbook.store.migrating import migrate  # takes a while, and is seldom needed

            migrate(connection)
            connection.exec_driver_sql(f"PRAGMA application_id = {APPLICATION}")
            connection.exec_driver_sql(f"PRAGMA user_version = {VERSION}")
        if before == 0:
            _fill(connection)
        connection.commit()
    _write_ahead(connection, wait_s)


def _write_ahead(connection: Connection, wait_s: float) -> None:
    """Have the file keep its log; SQLite itself doesn't wait here for others at the same file."""
    until = time.monotonic() + wait_s
    while True:
        try:
            connection.exec_driver_sql("PRAGMA journal_mode = WAL")
            return
        except DBAPIError as error:
            code = getattr(error.orig, "sqlite_errorcode", None)
            if code != sqlite3.SQLITE_BUSY or time.monotonic() > until:
                raise
            time.sleep(0.01)


def _fill(connection: Connection) -> None:
    """What a new file has from the start."""
    epoch = {"name": "epoch", "value": secrets.token_hex(16)}
    connection.execute(insert(tables.store), epoch)
    connection.exec_driver_sql("ANALYZE")
    connection.exec_driver_sql("DELETE FROM sqlite_stat1")
    connection.exec_driver_sql("INSERT INTO sqlite_stat1 VALUES ('entry', ?, ?)", list(_LIKELY))
    connection.exec_driver_sql("ANALYZE sqlite_schema")


def _version(connection: Connection, path: Path) -> int:
    """The version of a file of ours, 0 for a new one."""
    # One statement, so that all three are of one moment: another process may be making the file.
    application, version, named = connection.exec_driver_sql(
        "SELECT application_id, user_version, (SELECT count(*) FROM sqlite_schema)"
        " FROM pragma_application_id, pragma_user_version"
    ).one()
    if application != APPLICATION and (application or version or named):
        raise FileRefused(_SAYS[sqlite3.SQLITE_NOTADB][1].format(name=path.name))
    if version > VERSION:
        raise FileRefused(
            f"“{path.name}” was written by a newer Matbook (its form is {version}, this program "
            f"knows up to {VERSION}); install the newer one."
        )
    return int(version)


@contextmanager
def _explained(path: Path) -> Iterator[None]:
    try:
        yield
    except (sqlite3.Error, DBAPIError) as error:
        cause = error.orig if isinstance(error, DBAPIError) else error
        code = getattr(cause, "sqlite_errorcode", 0) & 0xFF
        if code not in _SAYS:
            raise
        kind, sentence = _SAYS[code]
        raise kind(sentence.format(name=path.name)) from error
