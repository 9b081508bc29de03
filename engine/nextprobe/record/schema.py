"""The layout of a store's file, and whether a file has it."""

from __future__ import annotations

import sqlite3

from nextprobe.errors import StoreError
from nextprobe.record.faults import DamagedError

VERSION = 2
"""1: packs, jobs, events, people. 2: also who holds a job, and jobs found by their time."""
APPLICATION = 0x4E505242
"""SQLite's application_id: what tells a store from any other SQLite file."""

# Names of people stand apart from the events: a record can be shared, and a name taken out,
# without touching the chain. `tables` says the same for both databases; a test compares.
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
    "leases": (
        "job TEXT PRIMARY KEY REFERENCES jobs (id), bench TEXT NOT NULL, machine TEXT NOT NULL, "
        "process TEXT NOT NULL, since TEXT NOT NULL, until BIGINT NOT NULL"
    ),
}
INDEXES = ("CREATE INDEX jobs_by_time ON jobs (opened, id)",)
_ELSEWHERE = "or point NEXTPROBE_STORE at another file."


def prepare(connection: sqlite3.Connection, place: str) -> int:
    """Make the tables in a new file, or see that they are there; the layout that the file has.

    Raises StoreError when the file is another program's, of a newer nextprobe, or lacks a table;
    sqlite3.Error for what SQLite refuses.
    """
    version = _number(connection, "user_version")
    if version == VERSION and _lacking(connection) == []:
        # No write lock: a store is opened while another writes, and from a disk that can only be read.
        _own(connection, place)
        return version
    connection.execute("BEGIN IMMEDIATE")
    try:
        version = _make_or_check(connection, place)
    except BaseException:
        connection.execute("ROLLBACK")
        raise
    connection.execute("COMMIT")
    return version


def _make_or_check(connection: sqlite3.Connection, place: str) -> int:
    version = _number(connection, "user_version")
    if version == 0 and not connection.execute("SELECT 1 FROM sqlite_master").fetchone():
        for name, columns in TABLES.items():
            connection.execute(f"CREATE TABLE {name} ({columns})")
        for index in INDEXES:
            connection.execute(index)
        connection.execute(f"PRAGMA application_id = {APPLICATION}")
        connection.execute(f"PRAGMA user_version = {VERSION}")
        return VERSION
    _own(connection, place)
    if version > VERSION:
        raise newer(place, version, _ELSEWHERE)
    lacking = _lacking(connection)
    if version < 2:
        lacking = [name for name in lacking if name != "leases"]
    if lacking:
        raise DamagedError(
            f"The store {place} lacks its table {', '.join(lacking)}.", f"Put a backup in its place, {_ELSEWHERE}"
        )
    return version


def newer(place: str, version: object, elsewhere: str) -> StoreError:
    """What is said of a layout that this version does not know."""
    return StoreError(
        f"The store {place} was written by a newer nextprobe (layout {version}, this one reads {VERSION}).",
        f"Update nextprobe, {elsewhere}",
    )


def _own(connection: sqlite3.Connection, place: str) -> None:
    if _number(connection, "application_id") != APPLICATION:
        raise StoreError(f"{place} is another program's database, not a store.", f"Move it away, {_ELSEWHERE}")


def _lacking(connection: sqlite3.Connection) -> list[str]:
    there = {name for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
    return sorted(set(TABLES) - there)


def _number(connection: sqlite3.Connection, pragma: str) -> int:
    return int(connection.execute(f"PRAGMA {pragma}").fetchone()[0])
