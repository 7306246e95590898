"""A store that forgets: the twin of the one in a file, for trying things and for tests."""

import hashlib
import secrets
from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import islice
from types import MappingProxyType
from typing import BinaryIO, Self

from matbook.book.entry import Entry, read_entry
from matbook.errors import NotFound
from matbook.store.checking import checked
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
from matbook.store.memory_accounts import MemoryAccounts
from matbook.store.memory_outbox import MemoryOutbox


class MemoryStore(MemoryAccounts, MemoryOutbox, Store):
    """Everything in plain dictionaries; `contract` says what each method promises."""

    def __init__(self) -> None:
        MemoryAccounts.__init__(self)
        MemoryOutbox.__init__(self)
        self._epoch = secrets.token_hex(16)
        self._jobs: dict[str, dict[str, tuple[Entry, Stored]]] = {}
        self._quarantine: dict[tuple[str, str], Quarantined] = {}
        self._attachments: dict[str, bytes] = {}
        self._flags: dict[str, dict[int, str]] = {}

    def append(
        self,
        written: Sequence[Written],
        received: str,
        remarks: Mapping[str, Remark] = MappingProxyType({}),
    ) -> list[Receipt]:
        _, refused = checked(written)
        return [
            self._refuse(hash_, text, *refused[place], received)
            if place in refused
            else self._keep(read_entry(text, hash_), received, remarks.get(hash_, Remark()))
            for place, (hash_, text) in enumerate(written)
        ]

    def append_all(
        self, written: Iterable[Written], received: str, progress: Progress | None = None
    ) -> Tally:
        receipts = self.append(list(written), received)
        states = [receipt.state for receipt in receipts]
        if progress and receipts:
            progress(len(receipts))
        refused = tuple(receipt for receipt in receipts if receipt.state == "refused")
        return Tally(states.count("kept"), states.count("had"), refused)

    def entries(
        self, job: str, after: int = 0, limit: int | None = None, shift: str | None = None
    ) -> Iterator[Stored]:
        found = (
            stored
            for entry, stored in self._jobs.get(job, {}).values()
            if stored.cursor > after and shift in (None, entry.shift)
        )
        return islice(found, limit)

    def entry(self, job: str, name: str) -> Stored:
        for entry, stored in self._jobs.get(job, {}).values():
            if name in (entry.id, entry.hash):
                return stored
        raise NotFound(f"There is no entry “{name[:80]}” in the job “{job}”.")

    def flags(self, job: str, after: int = 0, until: int | None = None) -> dict[int, str]:
        found = self._flags.get(job, {})
        last = self.cursor(job) if until is None else until
        return {cursor: found[cursor] for cursor in sorted(found) if after < cursor <= last}

    def cursor(self, job: str) -> int:
        return len(self._jobs.get(job, {}))

    def jobs(self) -> list[str]:
        return sorted(self._jobs)

    def shifts(self, job: str) -> list[str]:
        return sorted({entry.shift for entry, _ in self._jobs.get(job, {}).values()} - {""})

    def heads(self, job: str) -> dict[str, tuple[Head, ...]]:
        entries = [entry for entry, _ in self._jobs.get(job, {}).values()]
        followed = {(entry.device, entry.seq - 1, entry.prev) for entry in entries}
        heads: dict[str, tuple[Head, ...]] = {}
        for entry in sorted(entries, key=lambda entry: (entry.device, entry.seq, entry.hash)):
            if (entry.device, entry.seq, entry.hash) not in followed:
                head = Head(entry.seq, entry.hash)
                heads[entry.device] = (*heads.get(entry.device, ()), head)
        return heads

    def quarantined(self, job: str | None = None) -> Iterator[Quarantined]:
        found = [one for one in self._quarantine.values() if job in (None, one.job)]
        return iter(sorted(found, key=lambda one: one.received))

    def epoch(self) -> str:
        return self._epoch

    def attach(self, original: bytes | BinaryIO) -> str:
        data = original if isinstance(original, bytes) else original.read()
        name = hashlib.sha256(data).hexdigest()
        self._attachments[name] = data
        return name

    def attachment(self, sha256: str) -> bytes:
        if sha256 not in self._attachments:
            raise NotFound(f"There is no attachment “{sha256[:80]}”.")
        return self._attachments[sha256]

    def attachment_size(self, sha256: str) -> int | None:
        found = self._attachments.get(sha256)
        return None if found is None else len(found)

    def close(self) -> None:
        """Nothing to let go of."""

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def _keep(self, entry: Entry, received: str, remark: Remark) -> Receipt:
        job = self._jobs.get(entry.job, {})
        if entry.hash in job:
            return Receipt(entry.hash, job[entry.hash][1].cursor, "had")
        if remark.refused:
            return self._refuse(entry.hash, entry.text, entry.job, remark.refused, received)
        self._jobs[entry.job] = job
        stored = Stored(len(job) + 1, entry.hash, entry.text, received)
        job[entry.hash] = (entry, stored)
        if remark.flag:
            self._flags.setdefault(entry.job, {})[stored.cursor] = remark.flag
        return Receipt(entry.hash, stored.cursor, "kept")

    def _refuse(self, hash_: str, text: str, job: str, reason: str, received: str) -> Receipt:
        one = Quarantined(job, hash_, text, reason, received)
        self._quarantine.setdefault((hash_, text), one)
        return Receipt(hash_, 0, "refused", reason)
