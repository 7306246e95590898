"""Writing entries into a database within one transaction.

The statements are SQLAlchemy Core's, compiled once; they run on the driver's own cursor, because
that is where keeping one entry, or a million, spends its time.
"""

import hashlib
import json
from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Any, Protocol

from sqlalchemy import (
    ColumnElement,
    Delete,
    Dialect,
    Insert,
    Select,
    and_,
    bindparam,
    delete,
    func,
    insert,
    select,
)

from matbook.store.checking import Checked, Row
from matbook.store.contract import Receipt, Remark, Written
from matbook.store.tables import entry, flag, head, job, quarantine


class Cursor(Protocol):
    """What we need of a driver's cursor (PEP 249)."""

    def execute(self, sql: str, values: Sequence[Any] = ..., /) -> object: ...
    def executemany(self, sql: str, rows: Sequence[Sequence[Any]], /) -> object: ...
    def fetchall(self) -> Sequence[Any]: ...


class Statements:
    """What a writer says, in one database's dialect; values go in the order they are named in."""

    def __init__(self, dialect: Dialect) -> None:
        self._dialect = dialect
        self._known: dict[int, str] = {}
        self.lock_job = self._sql(select(job).where(_given(job.c.job)).with_for_update())
        self.add_job = self._sql(insert(job))
        self.last = self._sql(select(func.max(entry.c.cursor)).where(_given(entry.c.job)))
        self.add = self._sql(insert(entry))
        self.chain = self._sql(
            select(entry.c.text).where(_given(entry.c.job, entry.c.device, entry.c.seq))
        )
        self.add_flag = self._sql(insert(flag))
        self.add_head = self._sql(insert(head))
        self.drop_head = self._sql(delete(head).where(_given(*head.c)))
        self.refused = self._sql(select(quarantine.c.job).where(_given(*quarantine.primary_key)))
        self.add_refused = self._sql(insert(quarantine))

    def known(self, ids: int) -> str:
        """The statement that looks in a job for so many ids at once."""
        if ids not in self._known:
            any_id = entry.c.id.in_([b""] * ids)
            found = select(entry.c.hash, entry.c.cursor).where(_given(entry.c.job), any_id)
            self._known[ids] = self._sql(found)
        return self._known[ids]

    def _sql(self, statement: Select[Any] | Insert | Delete) -> str:
        options = {"render_postcompile": True}
        return str(statement.compile(dialect=self._dialect, compile_kwargs=options))


def _given(*columns: ColumnElement[Any]) -> ColumnElement[bool]:
    """Where these columns have the values that will be given."""
    return and_(*(column == bindparam(None, "") for column in columns))


class Writer:
    """Writes into one open transaction, which somebody else commits or takes back."""

    def __init__(self, cursor: Cursor, statements: Statements, received: str) -> None:
        self._cursor = cursor
        self._do = statements
        self.received = received
        self._last: dict[str, int] = {}

    def keep(
        self,
        piece: Sequence[Written],
        found: Checked,
        remarks: Mapping[str, Remark] = MappingProxyType({}),
    ) -> list[Receipt]:
        """Write one checked piece; a receipt for each entry, in order."""
        rows, refused = found
        receipts: dict[int, Receipt] = {}
        for place, (name, reason) in refused.items():
            receipts[place] = self._refuse(piece[place], name, reason)
        jobs: dict[str, list[tuple[int, Row]]] = {}
        for place, row in enumerate(rows):
            if row is not None:
                jobs.setdefault(row[0], []).append((place, row))
        for name in sorted(jobs):  # one order for all, so that no two writers wait for each other
            mine = self._permitted(name, jobs[name], piece, remarks, receipts)
            if mine:
                self._lock(name)
                self._keep(name, mine, piece, receipts)
                self._flag(name, [receipts[place] for place, _ in mine], remarks)
        return [receipts[place] for place in range(len(piece))]

    def _permitted(
        self,
        name: str,
        rows: list[tuple[int, Row]],
        piece: Sequence[Written],
        remarks: Mapping[str, Remark],
        receipts: dict[int, Receipt],
    ) -> list[tuple[int, Row]]:
        """The rows that may be kept; the rest goes to quarantine, unless it is here already."""
        barred = {place for place, _ in rows if remarks.get(piece[place][0], Remark()).refused}
        if not barred:
            return rows
        known = self._find(name, [row[1] for place, row in rows if place in barred])
        barred = {place for place, row in rows if place in barred and row[2] not in known}
        for place in sorted(barred):
            receipts[place] = self._refuse(piece[place], name, remarks[piece[place][0]].refused)
        return [(place, row) for place, row in rows if place not in barred]

    def _flag(self, name: str, kept: Sequence[Receipt], remarks: Mapping[str, Remark]) -> None:
        flags = [
            (name, receipt.cursor, remarks[receipt.hash].flag)
            for receipt in kept
            if receipt.state == "kept" and remarks.get(receipt.hash, Remark()).flag
        ]
        self._cursor.executemany(self._do.add_flag, flags)

    def _keep(
        self,
        name: str,
        rows: Sequence[tuple[int, Row]],
        piece: Sequence[Written],
        receipts: dict[int, Receipt],
    ) -> None:
        known = self._find(name, [row[1] for _, row in rows])
        last = self._last[name]
        fresh, values = [], []
        for place, row in rows:
            claimed, text = piece[place]
            _, id_, hash_, shift, device, seq, _ = row
            if hash_ in known:
                receipts[place] = Receipt(claimed, known[hash_], "had")
                continue
            known[hash_] = last = last + 1
            receipts[place] = Receipt(claimed, last, "kept")
            values.append((name, last, id_, hash_, shift, device, seq, text, self.received))
            fresh.append(row)
        self._last[name] = last
        if fresh:
            self._cursor.executemany(self._do.add, values)
            self._move_heads(name, fresh)

    def _lock(self, name: str) -> None:
        """Hold the job until the end of the transaction, so that its cursors come in order."""
        if name in self._last:
            return
        if not self._ask(self._do.lock_job, name):
            self._cursor.execute(self._do.add_job, (name,))
        self._last[name] = self._ask(self._do.last, name)[0][0] or 0

    def _find(self, name: str, ids: list[bytes]) -> dict[bytes, int]:
        """Which entries with these ids are here: their hashes and cursors."""
        size = 1 << (len(ids) - 1).bit_length()  # few sizes, so few statements
        ids = ids + ids[-1:] * (size - len(ids))
        return dict(self._ask(self._do.known(size), name, *ids))

    def _move_heads(self, name: str, fresh: Sequence[Row]) -> None:
        here = {(device, seq, hash_) for _, _, hash_, _, device, seq, _ in fresh}
        followed = {(device, seq - 1, prev) for _, _, _, _, device, seq, prev in fresh}
        gone = [(name, *link) for link in followed - here if link[1]]
        self._cursor.executemany(self._do.drop_head, gone)
        heads = [(name, *link) for link in here - followed if not self._is_followed(name, *link)]
        self._cursor.executemany(self._do.add_head, heads)

    def _is_followed(self, name: str, device: str, seq: int, hash_: bytes) -> bool:
        texts = self._ask(self._do.chain, name, device, seq + 1)
        return any(json.loads(text)["prev"] == hash_.hex() for (text,) in texts)

    def _refuse(self, written: Written, name: str, reason: str) -> Receipt:
        claimed, text = (part.encode("utf-8", "surrogatepass") for part in written)
        key = (name, hashlib.sha256(text).digest(), claimed)
        if not self._ask(self._do.refused, *key):
            self._cursor.execute(self._do.add_refused, (*key, text, reason, self.received))
        return Receipt(written[0], 0, "refused", reason)

    def _ask(self, sql: str, *values: object) -> Sequence[Any]:
        self._cursor.execute(sql, values)
        return self._cursor.fetchall()
