"""The tables of a store in a database, each keyed by job first so that they partition by job.

The key of an entry in its job is its cursor. It is unique by (id, hash): the hash alone decides,
but ids grow with time, so a season's import fills that index from one end instead of all over.
"""

from typing import Any

from sqlalchemy import (
    BigInteger,
    Column,
    ForeignKey,
    Index,
    Integer,
    LargeBinary,
    MetaData,
    PrimaryKeyConstraint,
    Table,
    Text,
)

metadata = MetaData()

_ROWS: dict[str, Any] = {"sqlite_strict": True}
_TREE: dict[str, Any] = {"sqlite_strict": True, "sqlite_with_rowid": False}
_NUMBER = BigInteger().with_variant(Integer, "sqlite")


def _job() -> Column[str]:
    return Column("job", Text, ForeignKey("job.job"), nullable=False)


store = Table(
    "store",
    metadata,
    Column("name", Text, primary_key=True),
    Column("value", Text, nullable=False),
    **_TREE,
)

job = Table("job", metadata, Column("job", Text, primary_key=True), **_TREE)

entry = Table(
    "entry",
    metadata,
    _job(),
    Column("cursor", _NUMBER, nullable=False),
    Column("id", LargeBinary, nullable=False),
    Column("hash", LargeBinary, nullable=False),
    Column("shift", Text, nullable=False),
    Column("device", Text, nullable=False),
    Column("seq", _NUMBER, nullable=False),
    Column("text", Text, nullable=False),
    Column("received", Text, nullable=False),
    PrimaryKeyConstraint("job", "cursor", name="entry_key"),
    Index("entry_once", "job", "id", "hash", unique=True),
    Index("entry_shift", "job", "shift", "cursor"),
    Index("entry_chain", "job", "device", "seq"),
    **_TREE,
)

head = Table(
    "head",
    metadata,
    _job(),
    Column("device", Text, nullable=False),
    Column("seq", _NUMBER, nullable=False),
    Column("hash", LargeBinary, nullable=False),
    PrimaryKeyConstraint("job", "device", "seq", "hash", name="head_key"),
    **_TREE,
)

quarantine = Table(
    "quarantine",
    metadata,
    Column("job", Text, nullable=False),
    Column("found", LargeBinary, nullable=False),
    Column("claimed", LargeBinary, nullable=False),
    Column("text", LargeBinary, nullable=False),
    Column("reason", Text, nullable=False),
    Column("received", Text, nullable=False),
    PrimaryKeyConstraint("job", "found", "claimed", name="quarantine_key"),
    **_ROWS,
)

flag = Table(
    "flag",
    metadata,
    _job(),
    Column("cursor", _NUMBER, nullable=False),
    Column("sentence", Text, nullable=False),
    PrimaryKeyConstraint("job", "cursor", name="flag_key"),
    **_TREE,
)

device = Table(
    "device",
    metadata,
    Column("job", Text, nullable=False),
    Column("device", Text, nullable=False),
    Column("person", Text, nullable=False),
    Column("role", Text, nullable=False),
    Column("key", Text, nullable=False),
    Column("token", LargeBinary, nullable=False),
    Column("paired", Text, nullable=False),
    Column("revoked", Text, nullable=False),
    PrimaryKeyConstraint("job", "device", name="device_key"),
    Index("device_token", "token", unique=True),
    **_TREE,
)

pairing = Table(
    "pairing",
    metadata,
    Column("job", Text, nullable=False),
    Column("name", Text, nullable=False),
    Column("proof", LargeBinary, nullable=False),
    Column("person", Text, nullable=False),
    Column("role", Text, nullable=False),
    Column("expires", _NUMBER, nullable=False),
    Column("tries", _NUMBER, nullable=False),
    PrimaryKeyConstraint("job", "name", name="pairing_key"),
    Index("pairing_name", "name", unique=True),
    **_TREE,
)

signed_head = Table(
    "signed_head",
    metadata,
    _job(),
    Column("device", Text, nullable=False),
    Column("seq", _NUMBER, nullable=False),
    Column("hash", LargeBinary, nullable=False),
    Column("at", Text, nullable=False),
    Column("key", Text, nullable=False),
    Column("signature", Text, nullable=False),
    Column("received", Text, nullable=False),
    PrimaryKeyConstraint("job", "device", "seq", "hash", name="signed_head_key"),
    **_TREE,
)

outbox = Table(
    "outbox",
    metadata,
    _job(),
    Column("entry", Text, nullable=False),
    Column("person", Text, nullable=False),
    Column("how", Text, nullable=False),
    Column("state", Text, nullable=False),
    Column("why", Text, nullable=False),
    Column("said", Text, nullable=False),
    Column("at", Text, nullable=False),
    Column("tries", _NUMBER, nullable=False),
    Column("taken", _NUMBER, nullable=False),
    Column("due", _NUMBER, nullable=False),
    PrimaryKeyConstraint("job", "entry", "person", name="outbox_key"),
    Index("outbox_due", "state", "due"),
    **_TREE,
)

outbox_read = Table(
    "outbox_read",
    metadata,
    _job(),
    Column("cursor", _NUMBER, nullable=False),
    PrimaryKeyConstraint("job", name="outbox_read_key"),
    **_TREE,
)
