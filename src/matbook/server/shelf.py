"""The open books: one for each job, kept open and renewed from the store by its cursor."""

import gc
import json
import threading
from collections import OrderedDict
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from typing import Any, Final

from matbook.desk.job import JobBook
from matbook.desk.open_book import OpenBook
from matbook.errors import NotFound
from matbook.store.contract import Store, Stored

MOST_OPEN: Final = 16
"""Jobs kept open at once; the one that was asked longest ago is closed for the next."""


class Shelved:
    """One job's open book, and how far in the store it has been read."""

    def __init__(self, store: Store, job: str) -> None:
        self._store = store
        self._job = job
        self._cursor = 0
        self._turn = threading.RLock()
        self._held = JobBook()
        self._book = OpenBook(job, self._held)
        self._named: dict[str, list[str]] = {}

    @contextmanager
    def open(self) -> Iterator[OpenBook]:
        """The book as the store has it now, in the hands of one thread at a time."""
        with self._turn:
            self._renew()
            self._held.know_sendings(self._store.sendings(self._job))
            yield self._book

    @contextmanager
    def read(self) -> Iterator[JobBook]:
        """The same as the plain book behind it, for judging who may see what."""
        with self.open():
            yield self._held

    def naming(self, sha256: str) -> list[str]:
        """Hashes of the entries that name this attachment."""
        with self._turn:
            self._renew()
            return list(self._named.get(sha256, ()))

    def _renew(self) -> None:
        first = self._cursor == 0
        fresh = list(self._store.entries(self._job, after=self._cursor))
        if not fresh:
            return
        self._book.add((stored.hash, stored.text) for stored in fresh)
        for stored in fresh:
            for name in files_in(stored):
                self._named.setdefault(name, []).append(stored.hash)
        self._cursor = fresh[-1].cursor
        if first:  # a long-lived heap: what was just read need not be looked through again
            gc.collect()
            gc.freeze()


class Shelf:
    """Every open book, by job."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self._turn = threading.Lock()
        self._books: OrderedDict[str, Shelved] = OrderedDict()

    def job(self, name: str) -> Shelved:
        """One job's book; raises NotFound if the store has no entry of it."""
        with self._turn:
            found = self._books.pop(name, None)
            if found is None:
                if not self._store.cursor(name):
                    raise NotFound(f"There is no job “{name[:64]}” here.")
                found = Shelved(self._store, name)
            self._books[name] = found
            while len(self._books) > MOST_OPEN:
                self._books.popitem(last=False)
        return found

    def ask(self, job: str, question: str, arguments: Mapping[str, Any]) -> Any:
        """What a job's book answers; raises MatbookError."""
        with self.job(job).open() as book:
            return book.ask(question, arguments)


def files_in(stored: Stored) -> list[str]:
    """The attachments that an entry names."""
    if '"file":"' not in stored.text:  # cheap, and enough for nearly all
        return []
    name = json.loads(stored.text).get("body", {}).get("file")
    return [name] if isinstance(name, str) else []
