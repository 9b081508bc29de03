"""The tables of a store on a server: made, brought up, or found to be of another version."""

from __future__ import annotations

from sqlalchemy import Connection, text

from nextprobe.errors import StoreError
from nextprobe.record.schema import APPLICATION, TABLES, VERSION, newer

#: Holds one row, the layout's number; nothing of another program is called so.
LAYOUT = "nextprobe_layout"
_ELSEWHERE = "or point NEXTPROBE_STORE at another database."


def prepare(connection: Connection, place: str) -> None:
    """Make the tables in an empty database, bring older ones up, or see that they are there.

    Runs inside the caller's transaction. Raises StoreError when the database is another program's, of a newer
    nextprobe, or lacks a table.
    """
    have = _layout(connection)
    if have != VERSION:
        # Of several benches that start at once one makes the tables; the others wait here.
        connection.execute(text("SELECT pg_advisory_xact_lock(:key)"), {"key": APPLICATION})
        have = _layout(connection)
    there = [name for name in TABLES if _is_there(connection, name)]
    if have > VERSION:
        raise newer(place, have, _ELSEWHERE)
    if have == 0 and there:
        raise StoreError(
            f"{place} has a table {there[0]} of another program: it is not a store.",
            "Make an empty database for nextprobe, and point NEXTPROBE_STORE at it.",
        )
    if have < VERSION:
        _bring_up(connection, have)
    elif len(there) < len(TABLES):
        lacking = ", ".join(sorted(set(TABLES) - set(there)))
        raise StoreError(f"The store {place} lacks its table {lacking}.", f"Put a backup in its place, {_ELSEWHERE}")


def _bring_up(connection: Connection, have: int) -> None:
    from nextprobe.record.bring_up import take_steps

    take_steps(connection, have)
    if have == 0:
        connection.execute(text(f"CREATE TABLE {LAYOUT} (number INTEGER PRIMARY KEY)"))
        connection.execute(text(f"INSERT INTO {LAYOUT} VALUES (:now)"), {"now": VERSION})
    else:
        connection.execute(text(f"UPDATE {LAYOUT} SET number = :now"), {"now": VERSION})


def _layout(connection: Connection) -> int:
    if not _is_there(connection, LAYOUT):
        return 0
    return int(connection.execute(text(f"SELECT max(number) FROM {LAYOUT}")).scalar_one() or 0)


def _is_there(connection: Connection, table: str) -> bool:
    # Not to_regclass: while this bench waited, its server process may remember that a table was not there.
    found = text("SELECT 1 FROM pg_catalog.pg_class WHERE relname = :name AND pg_catalog.pg_table_is_visible(oid)")
    return connection.execute(found, {"name": table}).first() is not None
