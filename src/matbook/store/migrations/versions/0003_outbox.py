"""Notices on their way out, and how far each job's book was read for them."""

import sqlalchemy as sa
from alembic import op

revision = "0003"
down_revision = "0002"
branch_labels = None
depends_on = None


def upgrade() -> None:
    number = sa.BigInteger().with_variant(sa.Integer(), "sqlite")
    texts = ("entry", "person", "how", "state", "why", "said", "at")
    op.create_table(
        "outbox",
        sa.Column("job", sa.Text(), nullable=False),
        *(sa.Column(name, sa.Text(), nullable=False) for name in texts),
        *(sa.Column(name, number, nullable=False) for name in ("tries", "taken", "due")),
        sa.ForeignKeyConstraint(["job"], ["job.job"]),
        sa.PrimaryKeyConstraint("job", "entry", "person", name="outbox_key"),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
    op.create_index("outbox_due", "outbox", ["state", "due"])
    op.create_table(
        "outbox_read",
        sa.Column("job", sa.Text(), nullable=False),
        sa.Column("cursor", number, nullable=False),
        sa.ForeignKeyConstraint(["job"], ["job.job"]),
        sa.PrimaryKeyConstraint("job", name="outbox_read_key"),
        sqlite_strict=True,
        sqlite_with_rowid=False,
    )
