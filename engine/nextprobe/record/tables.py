"""The tables of a store as SQLAlchemy knows them: what both databases must hold, whatever way they came to it.

Loaded only by migrations and by the tests that compare; a file of SQLite opens without SQLAlchemy.
"""

from __future__ import annotations

from sqlalchemy import BigInteger, CheckConstraint, Column, ForeignKey, Index, Integer, MetaData, Table, Text

metadata = MetaData()

#: Compared by bytes: ids and times sort alike on every server, whatever language it was set up for.
_TEXT = Text().with_variant(Text(collation="C"), "postgresql")


def _text(name: str, *more: ForeignKey, key: bool = False) -> Column[str]:
    return Column(name, _TEXT, *more, primary_key=key, nullable=False)


packs = Table("packs", metadata, _text("hash", key=True), _text("id"), _text("text"))

jobs = Table(
    "jobs",
    metadata,
    _text("id", key=True),
    _text("opened"),
    _text("pack_id"),
    _text("pack_hash", ForeignKey("packs.hash")),
    _text("board"),
    _text("symptom"),
    _text("state"),
    _text("ending"),
    Column("events", Integer, nullable=False),
    _text("head"),
    CheckConstraint("state IN ('open', 'ended')", name="state_is_known"),
    Index("jobs_by_time", "opened", "id"),
)

events = Table(
    "events",
    metadata,
    _text("job", ForeignKey("jobs.id"), key=True),
    Column("seq", Integer, primary_key=True, autoincrement=False),
    _text("at"),
    _text("kind"),
    _text("data"),
    _text("hash"),
)

people = Table(
    "people", metadata, _text("job", ForeignKey("jobs.id"), key=True), _text("role", key=True), _text("name")
)

leases = Table(
    "leases",
    metadata,
    _text("job", ForeignKey("jobs.id"), key=True),
    _text("bench"),
    _text("machine"),
    _text("process"),
    _text("since"),
    Column("until", BigInteger, nullable=False),
)
