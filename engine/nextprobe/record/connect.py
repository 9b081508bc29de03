"""A connection to a store file: durable, patient, and sure that it is one."""

from __future__ import annotations

import sqlite3
import time
from pathlib import Path

from nextprobe.errors import StoreError
from nextprobe.record.faults import store_error
from nextprobe.record.schema import VERSION, prepare

PATIENCE = 5.0
"""Seconds to wait for another writer; a commit takes milliseconds."""


def connect(file: Path | None, patience: float = PATIENCE) -> sqlite3.Connection:
    """Open `file`, or a store in memory for None, making it and its folder when they are not there.

    Write-ahead log with synchronous FULL: a commit has reached the disk when it returns
    (https://sqlite.org/pragma.html#pragma_synchronous). Raises StoreError.
    """
    place = place_of(file)
    if file is not None:
        _folder(file, place)
    try:
        connection = sqlite3.connect(
            file if file is not None else ":memory:", timeout=patience, isolation_level=None, check_same_thread=False
        )
    except sqlite3.Error as error:
        raise store_error(error, place) from error
    try:
        _write_ahead(connection, patience)
        connection.execute("PRAGMA synchronous = FULL")
        connection.execute("PRAGMA foreign_keys = ON")
        if prepare(connection, place) < VERSION and file is not None:
            from nextprobe.record.bring_up import bring_up_file

            bring_up_file(file, place, patience)
    except sqlite3.Error as error:
        connection.close()
        raise store_error(error, place) from error
    except BaseException:
        connection.close()
        raise
    return connection


def place_of(file: Path | None) -> str:
    """How messages call the store."""
    return "in memory" if file is None else f"'{file}'"


def _folder(file: Path, place: str) -> None:
    if file.is_dir():
        raise StoreError(f"The store {place} is a folder.", "Name a file in it, as jobs.db.")
    try:
        # Names of people stand in it: the folder is the user's own.
        file.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    except OSError as error:
        raise StoreError(
            f"The folder of the store {place} cannot be made: {error.strerror or error}.",
            "Make it by hand, or point NEXTPROBE_STORE at another file.",
        ) from error


def _write_ahead(connection: sqlite3.Connection, patience: float) -> None:
    # SQLite's own waiting does not cover this change while another process makes it too.
    until = time.monotonic() + patience
    while True:
        try:
            connection.execute("PRAGMA journal_mode = WAL")
            return
        except sqlite3.OperationalError as error:
            if error.sqlite_errorcode & 0xFF != sqlite3.SQLITE_BUSY or time.monotonic() > until:
                raise
            time.sleep(0.02)
