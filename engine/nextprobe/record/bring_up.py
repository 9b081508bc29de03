"""A store brought up to this version's layout, step by step, by Alembic; loaded only where there is something to do."""

from __future__ import annotations

from pathlib import Path

from alembic.operations import Operations
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Connection, create_engine, event
from sqlalchemy.exc import DBAPIError

from nextprobe.errors import StoreError
from nextprobe.record.schema import VERSION


def take_steps(connection: Connection, have: int, want: int = VERSION) -> None:
    """Run the steps behind layout `have` up to `want`, inside the caller's transaction. 0: nothing is there yet."""
    scripts = ScriptDirectory(str(Path(__file__).with_name("migrations")))
    with Operations.context(MigrationContext.configure(connection)):
        for layout in range(have + 1, want + 1):
            scripts.get_revision(f"layout_{layout}").module.upgrade()


def bring_up_file(file: Path, place: str, patience: float) -> None:
    """Bring the SQLite file of an older layout up; all of it in one transaction, once, whoever comes first.

    Raises StoreError when it cannot be done; the file then is as it was.
    """
    engine = create_engine(f"sqlite:///{file}", connect_args={"timeout": patience, "isolation_level": None})
    # The driver would begin a transaction only before the first change of a row, too late for tables:
    # https://docs.sqlalchemy.org/en/20/dialects/sqlite.html, "Serializable isolation / Savepoints / Transactional DDL"
    event.listen(engine, "begin", lambda connection: connection.exec_driver_sql("BEGIN IMMEDIATE"))
    event.listen(engine, "connect", lambda connection, record: connection.execute("PRAGMA synchronous = FULL"))
    try:
        with engine.begin() as connection:
            have = connection.exec_driver_sql("PRAGMA user_version").scalar_one()
            if have < VERSION:
                take_steps(connection, have)
                connection.exec_driver_sql(f"PRAGMA user_version = {VERSION}")
    except DBAPIError as error:
        raise StoreError(
            f"The store {place} is of an older layout and cannot be brought up to layout {VERSION} ({error.orig}).",
            "Allow this user to write it and its folder, close what else uses it, then try again.",
        ) from error
    finally:
        engine.dispose()
