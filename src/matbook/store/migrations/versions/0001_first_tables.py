"""The first tables: jobs, their entries and heads, and what was refused."""

import sqlalchemy as sa
from alembic import op

revision = "0001"
down_revision = None
branch_labels = None
depends_on = None


def upgrade() -> None:
    number = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
    op.create_table(
        "store",
        sa.Column("name", sa.Text(), nullable=False),
        sa.Column("value", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("name"),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "job",
        sa.Column("job", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("job"),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "entry",
        sa.Column("job", sa.Text(), nullable=False),
        sa.Column("cursor", number, nullable=False),
        sa.Column("id", sa.LargeBinary(), nullable=False),
        sa.Column("hash", sa.LargeBinary(), nullable=False),
        sa.Column("shift", sa.Text(), nullable=False),
        sa.Column("device", sa.Text(), nullable=False),
        sa.Column("seq", number, nullable=False),
        sa.Column("text", sa.Text(), nullable=False),
        sa.Column("received", sa.Text(), nullable=False),
        sa.ForeignKeyConstraint(["job"], ["job.job"]),
        sa.PrimaryKeyConstraint("job", "cursor", name="entry_key"),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index("entry_once", "entry", ["job", "id", "hash"], unique=True)
    op.create_index("entry_shift", "entry", ["job", "shift", "cursor"])
    op.create_index("entry_chain", "entry", ["job", "device", "seq"])
    op.create_table(
        "head",
        sa.Column("job", sa.Text(), nullable=False),
        sa.Column("device", sa.Text(), nullable=False),
        sa.Column("seq", number, nullable=False),
        sa.Column("hash", sa.LargeBinary(), nullable=False),
        sa.ForeignKeyConstraint(["job"], ["job.job"]),
        sa.PrimaryKeyConstraint("job", "device", "seq", "hash", name="head_key"),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_table(
        "quarantine",
        sa.Column("job", sa.Text(), nullable=False),
        sa.Column("found", sa.LargeBinary(), nullable=False),
        sa.Column("claimed", sa.LargeBinary(), nullable=False),
        sa.Column("text", sa.LargeBinary(), nullable=False),
        sa.Column("reason", sa.Text(), nullable=False),
        sa.Column("received", sa.Text(), nullable=False),
        sa.PrimaryKeyConstraint("job", "found", "claimed", name="quarantine_key"),
        sqlite_strict=True,
    )
