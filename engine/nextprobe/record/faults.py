"""What SQLite refuses, said so that a technician knows what to do."""

from __future__ import annotations

import sqlite3

from nextprobe.errors import StoreError


class DamagedError(StoreError):
    """The store's file is there, but it is no longer a whole store: only a backup helps."""


_ELSEWHERE = "or point NEXTPROBE_STORE at another file."
_BACKUP = f"Put a backup in its place, {_ELSEWHERE}"

# Primary result codes, https://sqlite.org/rescode.html
_SAID: dict[int, tuple[str, str]] = {
    sqlite3.SQLITE_PERM: ("may not be read or written", f"Allow it for this user, {_ELSEWHERE}"),
    sqlite3.SQLITE_BUSY: ("is held by another program", "Close what else uses it, then try again."),
    sqlite3.SQLITE_LOCKED: ("is held by another program", "Close what else uses it, then try again."),
    sqlite3.SQLITE_READONLY: ("can only be read", f"Allow this user to write it and its folder, {_ELSEWHERE}"),
    sqlite3.SQLITE_IOERR: ("cannot be read or written: the disk reports a fault", f"Check the disk, {_ELSEWHERE}"),
    sqlite3.SQLITE_CORRUPT: ("is damaged", _BACKUP),
    sqlite3.SQLITE_FULL: ("cannot grow: the disk is full", "Make room, then try again; what was recorded is safe."),
    sqlite3.SQLITE_CANTOPEN: ("cannot be opened", f"Check that its folder exists and may be written, {_ELSEWHERE}"),
    sqlite3.SQLITE_NOTADB: ("is not a store of nextprobe", f"Move it away, {_ELSEWHERE}"),
}


def store_error(error: sqlite3.Error, place: str) -> StoreError:
    """`error` as a sentence about the store at `place`, and what to do."""
    # An error of the module itself carries no code.
    code = getattr(error, "sqlite_errorcode", sqlite3.SQLITE_ERROR) & 0xFF
    text = str(error)
    if "no such table" in text or "no such column" in text:
        return DamagedError(f"The store {place} lacks a part of itself ({text}).", _BACKUP)
    said, cure = _SAID.get(code, (f"cannot be used ({text})", f"Check the file, {_ELSEWHERE}"))
    kind = DamagedError if code in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB) else StoreError
    return kind(f"The store {place} {said}.", cure)
