"""Layout 2: which bench holds a job, and jobs found by their time."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "layout_2"
down_revision = "layout_1"

_TEXT = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")


def upgrade() -> None:
    """Go on from layout 1; nothing that is there is touched."""
    op.create_table(
        "leases",
        sa.Column("job", _TEXT, sa.ForeignKey("jobs.id"), primary_key=True, nullable=False),
        sa.Column("bench", _TEXT, nullable=False),
        sa.Column("machine", _TEXT, nullable=False),
        sa.Column("process", _TEXT, nullable=False),
        sa.Column("since", _TEXT, nullable=False),
        sa.Column("until", sa.BigInteger, nullable=False),
    )
    op.create_index("jobs_by_time", "jobs", ["opened", "id"])
