"""What a server for a crew keeps beside the entries: devices, pairings, signed heads, flags."""

from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0002"
down_revision = "0001"
branch_labels = None
depends_on = None


def upgrade() -> None:
    number = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
    _table(
        "flag",
        {"cursor": number, "sentence": sa.Text()},
        key=("job", "cursor"),
        of_a_job_here=True,
    )
    _table(
        "device",
        {
            **dict.fromkeys(("device", "person", "role", "key"), sa.Text()),
            "token": sa.LargeBinary(),
            **dict.fromkeys(("paired", "revoked"), sa.Text()),
        },
        key=("job", "device"),
    )
    op.create_index("device_token", "device", ["token"], unique=True)
    _table(
        "pairing",
        {
            "name": sa.Text(),
            "proof": sa.LargeBinary(),
            **dict.fromkeys(("person", "role"), sa.Text()),
            **dict.fromkeys(("expires", "tries"), number),
        },
        key=("job", "name"),
    )
    op.create_index("pairing_name", "pairing", ["name"], unique=True)
    _table(
        "signed_head",
        {
            "device": sa.Text(),
            "seq": number,
            "hash": sa.LargeBinary(),
            **dict.fromkeys(("at", "key", "signature", "received"), sa.Text()),
        },
        key=("job", "device", "seq", "hash"),
        of_a_job_here=True,
    )


def _table(
    name: str,
    columns: dict[str, sa.types.TypeEngine[Any]],
    *,
    key: tuple[str, ...],
    of_a_job_here: bool = False,
) -> None:
    """A table keyed by job first; `of_a_job_here` ties it to a job that has entries."""
    tied = [sa.ForeignKeyConstraint(["job"], ["job.job"])] if of_a_job_here else []
    op.create_table(
        name,
        sa.Column("job", sa.Text(), nullable=False),
        *(sa.Column(column, kind, nullable=False) for column, kind in columns.items()),
        *tied,
        sa.PrimaryKeyConstraint(*key, name=f"{name}_key"),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
