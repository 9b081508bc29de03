"""Every way to today's layout leads to the same tables, with what was recorded: both databases, from each release.

What a database holds is read back by SQLAlchemy's reflection and compared by Alembic, general-purpose libraries.
"""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path
from typing import Any

import pytest
from alembic.autogenerate import compare_metadata
from alembic.runtime.migration import MigrationContext
from alembic.script import ScriptDirectory
from sqlalchemy import Engine, create_engine, inspect, text

from nextprobe.errors import StoreError
from nextprobe.record import bring_up
from nextprobe.record.bring_up import take_steps
from nextprobe.record.schema import TABLES, VERSION
from nextprobe.record.shared_layout import LAYOUT
from nextprobe.record.statements import COLUMNS
from nextprobe.record.store import open_store
from nextprobe.record.tables import metadata
from tests.record.layouts import JOB, rows, write_layout_1
from tests.record.stores import new_database

KEYS = {"id", "hash", "job"}


def shape(engine: Engine) -> dict[str, Any]:
    """Columns, keys, checks and indexes of every table, as the database itself tells them."""
    told = inspect(engine)
    return {
        table: (
            [
                (c["name"], str(c["type"]), bool(c["nullable"]))
                for c in told.get_columns(table)
                if not keyed(told, c, table)
            ],
            told.get_pk_constraint(table)["constrained_columns"],
            sorted((k["constrained_columns"], k["referred_table"]) for k in told.get_foreign_keys(table)),
            [" ".join(check["sqltext"].split()) for check in told.get_check_constraints(table)],
            [(index["name"], index["column_names"]) for index in told.get_indexes(table)],
        )
        for table in sorted(told.get_table_names())
    }


def keyed(told: Any, column: Any, table: str) -> bool:
    # In SQLite a key's column may say that it can be empty: https://sqlite.org/quirks.html, "primary keys can … NULLs".
    return column["name"] in told.get_pk_constraint(table)["constrained_columns"]


def old_on_server(server: str) -> str:
    """A database of layout 1 on the server, with what a file of layout 1 holds."""
    address = new_database(server)
    engine = create_engine(address)
    with engine.begin() as connection:
        take_steps(connection, 0, 1)
        connection.execute(text(f"CREATE TABLE {LAYOUT} (number INTEGER PRIMARY KEY)"))
        connection.execute(text(f"INSERT INTO {LAYOUT} VALUES (1)"))
        for table, values in rows().items():
            names = COLUMNS[table]
            marks = ", ".join(f":{name}" for name in names)
            connection.execute(
                text(f"INSERT INTO {table} VALUES ({marks})"), [dict(zip(names, row, strict=True)) for row in values]
            )
    engine.dispose()
    return address


def differences(address: str) -> list[Any]:
    """What Alembic would change to make the database as the tables say."""
    engine = create_engine(address)
    with engine.connect() as connection:
        found: list[Any] = compare_metadata(MigrationContext.configure(connection), metadata)
    engine.dispose()
    # That a key's column may be empty is SQLite's own way of telling: see `keyed`.
    told = [one for one in found if LAYOUT not in repr(one)]
    return [one for one in told if not (isinstance(one, list) and one[0][0] == "modify_nullable" and one[0][3] in KEYS)]


def test_a_new_file_a_migrated_one_and_the_tables_are_the_same(tmp_path: Path) -> None:
    shapes = []
    for name in ("new", "old", "said"):
        file = tmp_path / f"{name}.db"
        engine = create_engine(f"sqlite:///{file}")
        if name == "said":
            metadata.create_all(engine)
        else:
            if name == "old":
                write_layout_1(file)
            open_store(f"sqlite:///{file}").close()
            assert differences(f"sqlite:///{file}") == []
        shapes.append(shape(engine))
        engine.dispose()
    assert shapes[0] == shapes[1] == shapes[2]
    assert set(shapes[0]) == set(TABLES)


def test_a_new_database_and_a_migrated_one_and_the_tables_are_the_same(postgres: str) -> None:
    new, old, said = new_database(postgres), old_on_server(postgres), new_database(postgres)
    engine = create_engine(said)
    metadata.create_all(engine)
    engine.dispose()
    shapes = []
    for address in (new, old, said):
        if address != said:
            open_store(address).close()
            assert differences(address) == []
        engine = create_engine(address)
        shapes.append({table: held for table, held in shape(engine).items() if table != LAYOUT})
        engine.dispose()
    assert shapes[0] == shapes[1] == shapes[2]
    assert set(shapes[0]) == set(TABLES)


def test_what_the_first_release_recorded_is_there_and_goes_on(tmp_path: Path, postgres: str) -> None:
    write_layout_1(tmp_path / "old.db")
    for address in (f"sqlite:///{tmp_path / 'old.db'}", old_on_server(postgres)):
        with open_store(address) as store:
            assert store.verify(JOB) == []
            assert [event.kind for event in store.events(JOB)] == ["started", "told"]
            assert store.people(JOB) == {"technician": "Mira Tolland"}
            assert store.pack_text("ab" * 32) == "id: no-picture\n"
            assert store.hold(JOB) == ""
            assert store.append(JOB, "noted", {"text": "goes on"}).seq == 3
            assert store.verify(JOB) == []


def test_there_is_a_step_for_every_layout() -> None:
    scripts = ScriptDirectory(str(Path(bring_up.__file__).with_name("migrations")))
    assert scripts.get_heads() == [f"layout_{VERSION}"]
    assert [script.revision for script in scripts.walk_revisions()] == [f"layout_{n}" for n in range(VERSION, 0, -1)]


def test_several_processes_bring_one_store_up(tmp_path: Path, postgres: str) -> None:
    write_layout_1(tmp_path / "old.db")
    code = "import sys; from nextprobe.record.store import open_store; open_store(sys.argv[1]).close()"
    for address in (f"sqlite:///{tmp_path / 'old.db'}", old_on_server(postgres), new_database(postgres)):
        opened = [subprocess.Popen([sys.executable, "-c", code, address]) for _ in range(3)]
        assert [process.wait(timeout=60) for process in opened] == [0, 0, 0]


def test_an_old_file_that_cannot_be_brought_up_says_so_and_stays(tmp_path: Path) -> None:
    file = tmp_path / "old.db"
    write_layout_1(file)
    with closing(sqlite3.connect(file)) as db, db:
        db.execute("CREATE TABLE jobs_by_time (in_the_way TEXT)")
    with pytest.raises(StoreError, match="of an older layout and cannot be brought up to layout 2") as refused:
        open_store(f"sqlite:///{file}")
    assert refused.value.cure
    with closing(sqlite3.connect(file)) as db:
        assert db.execute("PRAGMA user_version").fetchone() == (1,)
        assert db.execute("SELECT count(*) FROM sqlite_master WHERE name = 'leases'").fetchone() == (0,)


def test_databases_that_are_no_store(postgres: str) -> None:
    newer, foreign, lacking = (new_database(postgres) for _ in range(3))
    for address in (newer, lacking):
        open_store(address).close()
    for address, change in (
        (newer, f"UPDATE {LAYOUT} SET number = 7"),
        (foreign, "CREATE TABLE jobs (title TEXT)"),
        (lacking, "DROP TABLE events"),
    ):
        engine = create_engine(address)
        with engine.begin() as connection:
            connection.execute(text(change))
        engine.dispose()
    for address, said in (
        (newer, r"written by a newer nextprobe \(layout 7, this one reads 2\)"),
        (foreign, "has a table jobs of another program"),
        (lacking, "lacks its table events"),
    ):
        with pytest.raises(StoreError, match=said) as refused:
            open_store(address)
        assert refused.value.cure
        assert "\n" not in str(refused.value)
