"""A store in a file of SQLite, by Python's own driver: nothing else is loaded for it."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from threading import RLock

from nextprobe.errors import StoreError
from nextprobe.record.connect import connect, place_of
from nextprobe.record.database import Row, Values
from nextprobe.record.faults import store_error

_CHUNK = 5000


class SqliteDatabase:
    """One file, or one store in memory. See ``database.Database``."""

    locking = ""  # a change locks the whole file

    def __init__(self, file: Path | None, patience: float) -> None:
        self.file = file
        self.place = place_of(file)
        self.connection = connect(file, patience)
        self._lock = RLock()
        self._node = _node(file)

    @contextmanager
    def writing(self) -> Iterator[None]:
        """One transaction: all of it is on the disk afterwards, or nothing."""
        with self._lock:
            self._still_there()
            with self._between("BEGIN IMMEDIATE", "COMMIT"):
                yield

    @contextmanager
    def snapshot(self) -> Iterator[None]:
        """Readers of a write-ahead log see what was there when they began; writers go on meanwhile."""
        with self._lock, self._between("BEGIN", "COMMIT"):
            self.connection.execute("SELECT 1 FROM jobs").fetchone()
            yield

    def rows(self, statement: str, values: Values | None = None) -> list[Row]:
        """What a SELECT finds."""
        with self._lock:
            try:
                return self.connection.execute(statement, values or {}).fetchall()
            except sqlite3.Error as error:
                raise store_error(error, self.place) from error

    def run(self, statement: str, values: Values | None = None) -> int:
        """Change something; the number of rows touched."""
        return self.connection.execute(statement, values or {}).rowcount

    def many(self, statement: str, values: Sequence[Values]) -> None:
        """Run the statement once for each of `values`."""
        self.connection.executemany(statement, values)

    def chunks(self, statement: str) -> Iterator[list[Row]]:
        """What a SELECT finds, some thousand rows at a time."""
        found = self.connection.execute(statement)
        while rows := found.fetchmany(_CHUNK):
            yield rows

    def erase(self, statement: str, values: Values) -> None:
        """Delete, and overwrite in the file what was deleted (https://sqlite.org/pragma.html#pragma_secure_delete)."""
        with self._lock:
            self.rows("PRAGMA secure_delete = ON")
            with self.writing():
                self.run(statement, values)
            # Until the log is written back, it still stands there.
            self.rows("PRAGMA wal_checkpoint(TRUNCATE)")

    def time(self) -> float:
        """All who use a file are on one machine."""
        return time.time()

    def close(self) -> None:
        """Close the file."""
        with self._lock:
            self.connection.close()

    @contextmanager
    def _between(self, begin: str, end: str) -> Iterator[None]:
        try:
            self.connection.execute(begin)
            try:
                yield
                self.connection.execute(end)
            except BaseException:
                if self.connection.in_transaction:
                    self.connection.execute("ROLLBACK")
                raise
        except sqlite3.Error as error:
            raise store_error(error, self.place) from error

    def _still_there(self) -> None:
        # SQLite goes on writing into a file that was moved or deleted under it, and all would be lost.
        if _node(self.file) != self._node:
            raise StoreError(f"The store {self.place} was moved or deleted.", "Put it back, then open it again.")


def _node(file: Path | None) -> tuple[int, int]:
    """What tells a file from another at the same path; (0, 0) for none."""
    try:
        found = file.stat() if file is not None else None
    except OSError:
        found = None
    return (found.st_dev, found.st_ino) if found else (0, 0)
