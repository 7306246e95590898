"""The devices of a crew in the tables of a database."""

from abc import abstractmethod
from contextlib import AbstractContextManager
from typing import Any

from sqlalchemy import Connection, Row, delete, insert, select, update

from matbook.store.accounts import TRIES, Accounts, Device, Pairing, SignedHead
from matbook.store.tables import device as devices
from matbook.store.tables import pairing as pairings
from matbook.store.tables import signed_head


class SqlAccounts(Accounts):
    """What `accounts` promises, over the tables of `tables`."""

    @abstractmethod
    def _reading(self) -> AbstractContextManager[Connection]:
        """A connection to read from; what goes wrong comes out as one of our errors."""

    @abstractmethod
    def _changing(self) -> AbstractContextManager[Connection]:
        """One transaction that nobody else writes in: kept when left, taken back on an error."""

    def invite(self, pairing: Pairing, now: int) -> bool:
        spent = (pairings.c.expires <= now) | (pairings.c.tries >= TRIES)
        with self._changing() as connection:
            connection.execute(delete(pairings).where(spent))
            if _pairing(connection, pairing.name) is not None:
                return False
            connection.execute(insert(pairings), pairing._asdict())
        return True

    def redeem(self, name: str, proof: bytes, now: int, device: Device) -> Device | None:
        with self._changing() as connection:
            pairing = _pairing(connection, name)
            if pairing is None or not pairing.open_at(now):
                return None
            here = pairings.c.name == name
            if not pairing.proves(proof):
                more = update(pairings).where(here).values(tries=pairing.tries + 1)
                connection.execute(more)
                return None
            made = device._replace(job=pairing.job, person=pairing.person, role=pairing.role)
            if not _free(connection, made):
                return None
            connection.execute(delete(pairings).where(here))
            connection.execute(insert(devices), made._asdict())
        return made

    def device_of(self, token: bytes) -> Device | None:
        query = select(devices).where(devices.c.token == token, devices.c.revoked == "")
        with self._reading() as connection:
            row = connection.execute(query).one_or_none()
        return None if row is None else Device(*row)

    def devices(self, job: str | None = None) -> list[Device]:
        query = select(devices).order_by(devices.c.job, devices.c.device)
        if job is not None:
            query = query.where(devices.c.job == job)
        with self._reading() as connection:
            return [Device(*row) for row in connection.execute(query)]

    def revoke(self, job: str, device: str, at: str) -> bool:
        welcome = (devices.c.job == job, devices.c.device == device, devices.c.revoked == "")
        with self._changing() as connection:
            done = connection.execute(update(devices).where(*welcome).values(revoked=at))
        return bool(done.rowcount)

    def keep_head(self, head: SignedHead) -> None:
        values = head._asdict() | {"hash": bytes.fromhex(head.hash)}
        key = [column == values[column.name] for column in signed_head.primary_key]
        with self._changing() as connection:
            if connection.execute(select(signed_head.c.seq).where(*key)).first() is None:
                connection.execute(insert(signed_head), values)

    def signed_heads(self, job: str) -> list[SignedHead]:
        key = signed_head.primary_key.columns
        query = select(signed_head).where(signed_head.c.job == job).order_by(*key)
        with self._reading() as connection:
            return [_head(row) for row in connection.execute(query)]


def _pairing(connection: Connection, name: str) -> Pairing | None:
    row = connection.execute(select(pairings).where(pairings.c.name == name)).one_or_none()
    return None if row is None else Pairing(*row)


def _free(connection: Connection, made: Device) -> bool:
    """Make room for a device; False if the one of that name is in another person's hand."""
    here = (devices.c.job == made.job, devices.c.device == made.device)
    row = connection.execute(select(devices.c.person).where(*here)).one_or_none()
    if row is not None and row.person != made.person:
        return False
    connection.execute(delete(devices).where(*here))
    return True


def _head(row: Row[Any]) -> SignedHead:
    return SignedHead(**(row._asdict() | {"hash": row.hash.hex()}))
