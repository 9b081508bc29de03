"""Layout 1: packs, jobs, events, and the names that stand apart from them."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "layout_1"
down_revision = None

# Written out, not taken from `tables`: a step stays what it was when the tables go on.
_TEXT = sa.Text().with_variant(sa.Text(collation="C"), "postgresql")


def _text(name: str, *more: sa.ForeignKey, key: bool = False) -> sa.Column[str]:
    return sa.Column(name, _TEXT, *more, primary_key=key, nullable=False)


def upgrade() -> None:
    """Make the tables of layout 1."""
    op.create_table("packs", _text("hash", key=True), _text("id"), _text("text"))
    op.create_table(
        "jobs",
        _text("id", key=True),
        _text("opened"),
        _text("pack_id"),
        _text("pack_hash", sa.ForeignKey("packs.hash")),
        _text("board"),
        _text("symptom"),
        _text("state"),
        _text("ending"),
        sa.Column("events", sa.Integer, nullable=False),
        _text("head"),
        sa.CheckConstraint("state IN ('open', 'ended')", name="state_is_known"),
    )
    op.create_table(
        "events",
        _text("job", sa.ForeignKey("jobs.id"), key=True),
        sa.Column("seq", sa.Integer, primary_key=True, autoincrement=False),
        _text("at"),
        _text("kind"),
        _text("data"),
        _text("hash"),
    )
    op.create_table("people", _text("job", sa.ForeignKey("jobs.id"), key=True), _text("role", key=True), _text("name"))
