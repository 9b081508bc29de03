"""A whole store as one file, and back: the copy is a store of SQLite itself, whatever database it was made from."""

from __future__ import annotations

import os
import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from tempfile import mkstemp

from nextprobe.errors import StoreError
from nextprobe.record import statements as sql
from nextprobe.record.connect import PATIENCE
from nextprobe.record.database import Database
from nextprobe.record.faults import DamagedError, store_error
from nextprobe.record.lease import refusal
from nextprobe.record.reader import Reader
from nextprobe.record.sqlite_file import SqliteDatabase


@dataclass(frozen=True, slots=True)
class Copied:
    """What a copy holds; ``problems`` is a job's id and what is wrong with its record, for each that is not sound."""

    jobs: int
    events: int
    problems: tuple[tuple[str, str], ...] = ()


def back_up(source: Database, file: Path, *, replace: bool = False) -> Copied:
    """Copy all that the store holds at this moment into `file`, while others write to the store.

    Raises StoreError where `file` is there already and `replace` is not asked for, where it is the store itself, or
    cannot be written. Until the copy is whole and on the disk, what stood at `file` stays there.
    """
    own = getattr(source, "file", None)
    if own is not None and file.exists() and file.samefile(own):
        raise StoreError(f"'{file}' is the store itself.", "Name another file for the backup.")
    if file.exists() and not replace:
        raise StoreError(f"'{file}' is there already.", "Name another file, or give --replace.")
    with _beside(file) as made:
        target = SqliteDatabase(made, PATIENCE)
        try:
            if isinstance(source, SqliteDatabase):
                _page_by_page(source, target)
            else:
                with source.snapshot(), target.writing():
                    pour(source, target)
            copied = _seal(target)
        finally:
            target.close()
        _to_disk(made)
        made.replace(file)
        _to_disk(file.parent)
    return copied


@contextmanager
def unpacked(file: Path) -> Iterator[SqliteDatabase]:
    """A backup, opened as a copy of its own in this version's layout; the file itself is only read.

    Raises StoreError where it is not there, not a store, or damaged.
    """
    if not file.is_file():
        raise StoreError(f"There is no backup '{file}'.", "Name a file that `nextprobe store backup` wrote.")
    with _beside(file, elsewhere=True) as made:
        try:
            with _closing(f"file:{_quoted(file)}?mode=ro") as old, _closing(str(made)) as new:
                old.backup(new)
        except sqlite3.Error as error:
            raise store_error(error, f"'{file}'") from error
        try:
            database = SqliteDatabase(made, PATIENCE)
        except StoreError as error:
            raise type(error)(error.message.replace(str(made), str(file)), "Name another backup.") from error
        try:
            found = database.rows("PRAGMA integrity_check(1)")
            if found != [("ok",)]:
                raise DamagedError(f"The backup '{file}' is damaged.", "Name another backup.")
            yield database
        finally:
            database.close()


def restore(backup: SqliteDatabase, target: Database, *, replace: bool = False) -> Copied:
    """Put what a backup holds into the store, all of it or nothing.

    Raises StoreError where the store has jobs and `replace` is not asked for, or a bench holds one of them.
    """
    reader = Reader(backup)
    problems = tuple((job.id, " ".join(found)) for job, found in reader.verify_all() if found)
    with target.writing():
        for lease in Reader(target).held():
            raise refusal(lease)
        if (there := _count(target, "jobs")) and not replace:
            raise StoreError(
                f"There {'is 1 job' if there == 1 else f'are {there} jobs'} in {target.place} already.",
                "Give --replace to have the backup in their place, or point NEXTPROBE_STORE at a new store.",
            )
        for statement in sql.EMPTY:
            target.run(statement)
        pour(backup, target)
    return Copied(_count(target, "jobs"), _count(target, "events"), problems)


def pour(source: Database, target: Database) -> None:
    """Put every row of one database into another, inside a snapshot of the first and a change of the second."""
    for table, names in sql.COLUMNS.items():
        for rows in source.chunks(sql.select(table)):
            target.many(sql.insert(table), [dict(zip(names, row, strict=True)) for row in rows])


def _page_by_page(source: SqliteDatabase, target: SqliteDatabase) -> None:
    # One step: readers of a write-ahead log see one moment and hold up nobody (https://sqlite.org/backup.html).
    try:
        source.connection.backup(target.connection)
    except sqlite3.Error as error:
        raise store_error(error, target.place) from error


def _seal(copy: SqliteDatabase) -> Copied:
    """Make the copy one file, held by nobody, and see that it is whole."""
    with copy.writing():
        copy.run(sql.FREE_ALL)
    copy.rows("PRAGMA wal_checkpoint(TRUNCATE)")
    copy.rows("PRAGMA journal_mode = DELETE")
    if copy.rows("PRAGMA integrity_check(1)") != [("ok",)]:
        raise DamagedError("The store is damaged: its copy is not whole.", "Put an older backup in its place.")
    return Copied(_count(copy, "jobs"), _count(copy, "events"))


def _count(database: Database, table: str) -> int:
    return int(database.rows(f"SELECT count(*) FROM {table}")[0][0])


@contextmanager
def _beside(file: Path, *, elsewhere: bool = False) -> Iterator[Path]:
    """A new file in the folder of `file` (or where the system keeps such), gone afterwards with what SQLite made."""
    try:
        handle, name = mkstemp(prefix=".nextprobe-", suffix=".db", dir=None if elsewhere else file.parent)
    except OSError as error:
        raise StoreError(
            f"'{file}' cannot be written: {error.strerror or error}.", "Name a file in a folder that may be written."
        ) from error
    os.close(handle)
    made = Path(name)
    try:
        yield made
    except OSError as error:
        raise StoreError(f"'{file}' cannot be written: {error.strerror or error}.", "Name another file.") from error
    finally:
        for path in (made, Path(f"{made}-wal"), Path(f"{made}-shm"), Path(f"{made}-journal")):
            with suppress(OSError):
                path.unlink(missing_ok=True)


@contextmanager
def _closing(name: str) -> Iterator[sqlite3.Connection]:
    connection = sqlite3.connect(name, uri=name.startswith("file:"))
    try:
        yield connection
    finally:
        connection.close()


def _quoted(file: Path) -> str:
    from urllib.parse import quote

    return quote(file.absolute().as_posix())


def _to_disk(path: Path) -> None:
    """What was written is on the disk, and found there by its name after a power cut."""
    if path.is_dir() and os.name != "posix":
        return
    handle = os.open(path, os.O_RDONLY if path.is_dir() else os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)
