"""The tables of a store, and whether a file has them."""

from __future__ import annotations

import sqlite3

from nextprobe.errors import StoreError

VERSION = 1
APPLICATION = 0x4E505242
"""SQLite's application_id: what tells a store from any other SQLite file."""

# Names of people stand apart from the events: a record can be shared, and a name taken out,
# without touching the chain.
TABLES: dict[str, str] = {
    "packs": "hash TEXT PRIMARY KEY, id TEXT NOT NULL, text TEXT NOT NULL",
    "jobs": (
        "id TEXT PRIMARY KEY, opened TEXT NOT NULL, "
        "pack_id TEXT NOT NULL, pack_hash TEXT NOT NULL REFERENCES packs (hash), board TEXT NOT NULL, "
        "symptom TEXT NOT NULL, state TEXT NOT NULL CHECK (state IN ('open', 'ended')), "
        "ending TEXT NOT NULL, events INTEGER NOT NULL, head TEXT NOT NULL"
    ),
    "events": (
        "job TEXT NOT NULL REFERENCES jobs (id), seq INTEGER NOT NULL, at TEXT NOT NULL, kind TEXT NOT NULL, "
        "data TEXT NOT NULL, hash TEXT NOT NULL, PRIMARY KEY (job, seq)"
    ),
    "people": "job TEXT NOT NULL REFERENCES jobs (id), role TEXT NOT NULL, name TEXT NOT NULL, PRIMARY KEY (job, role)",
}


def prepare(connection: sqlite3.Connection, place: str) -> None:
    """Make the tables in a new file, or see that they are there.

    Raises StoreError when the file is another program's, of a newer nextprobe, or lacks a table;
    sqlite3.Error for what SQLite refuses.
    """
    connection.execute("BEGIN IMMEDIATE")
    try:
        _make_or_check(connection, place)
    except BaseException:
        connection.execute("ROLLBACK")
        raise
    connection.execute("COMMIT")


def _make_or_check(connection: sqlite3.Connection, place: str) -> None:
    version = _number(connection, "user_version")
    there = {name for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    elsewhere = "or point NEXTPROBE_STORE at another file."
    if not there and version == 0:
        for name, columns in TABLES.items():
            connection.execute(f"CREATE TABLE {name} ({columns})")
        connection.execute(f"PRAGMA application_id = {APPLICATION}")
        connection.execute(f"PRAGMA user_version = {VERSION}")
        return
    if _number(connection, "application_id") != APPLICATION:
        raise StoreError(f"{place} is another program's database, not a store.", f"Move it away, {elsewhere}")
    if version > VERSION:
        raise StoreError(
            f"The store {place} was written by a newer nextprobe (layout {version}, this one reads {VERSION}).",
            f"Update nextprobe, {elsewhere}",
        )
    if lacking := sorted(set(TABLES) - there):
        raise StoreError(
            f"The store {place} lacks its table {', '.join(lacking)}.", f"Put a backup in its place, {elsewhere}"
        )


def _number(connection: sqlite3.Connection, pragma: str) -> int:
    return int(connection.execute(f"PRAGMA {pragma}").fetchone()[0])
