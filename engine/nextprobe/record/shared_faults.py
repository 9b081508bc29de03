"""What a PostgreSQL server refuses, said so that a technician knows what to do."""

from __future__ import annotations

import re

from sqlalchemy.exc import DBAPIError, InterfaceError, OperationalError, SQLAlchemyError

from nextprobe.errors import StoreError

_ASK = "Ask whoever looks after the server."
_REACH = "Check that the server runs and can be reached, then try again; what was recorded is safe."

# SQLSTATE codes by their beginning, https://www.postgresql.org/docs/current/errcodes-appendix.html
_SAID: tuple[tuple[str, str, str], ...] = (
    ("28", "does not let this user in", "Check the name and the password in NEXTPROBE_STORE."),
    ("3D000", "is not there: the server has no such database", "Make it, or correct NEXTPROBE_STORE."),
    ("42501", "may not be used by this user", f"Let the user read, write and make tables there. {_ASK}"),
    ("42P01", "lacks a part of itself", "Put a backup in its place, or point NEXTPROBE_STORE at another database."),
    ("53100", "cannot grow: the server's disk is full", "Make room there, then try again; what was recorded is safe."),
    ("53300", "is full: the server takes no more connections", f"Close what else uses it. {_ASK}"),
    ("55P03", "is held by another program", "Try again; if it stays so, close what else uses it."),
    ("40", "was changed by another bench at the same moment", "Try again."),
    ("25006", "can only be read", f"Point NEXTPROBE_STORE at a server that may be written. {_ASK}"),
    ("57P", "is shut down: the server is going away or coming up", _REACH),
    ("58", "cannot be read or written: the server reports a fault of its disk", _ASK),
    ("XX", "is damaged", f"Put a backup in its place. {_ASK}"),
    ("08", "does not answer", _REACH),
)

# What a server says while it refuses a connection comes without a code.
_IN_WORDS = (
    ('database ".*" does not exist', "3D000"),
    ('role ".*" does not exist|authentication failed|no password supplied|no pg_hba.conf entry', "28"),
    ("too many (clients|connections)|connection slots", "53300"),
    ("is starting up|is shutting down", "57P"),
)
_LONGEST = 200


def shared_error(error: SQLAlchemyError, place: str) -> StoreError:
    """`error` as a sentence about the store at `place`, and what to do; never with a password in it."""
    cause = getattr(error, "orig", None)
    state = str(getattr(cause, "sqlstate", None) or "")
    detail = " ".join(str(cause or error).split())
    state = state or next((code for words, code in _IN_WORDS if re.search(words, detail)), "")
    for start, said, cure in _SAID:
        if state.startswith(start):
            return StoreError(f"The store {place} {said}.", cure)
    if isinstance(error, OperationalError | InterfaceError) or is_broken(error):
        return StoreError(f"The store {place} does not answer ({detail[:_LONGEST]}).", _REACH)
    return StoreError(f"The store {place} cannot be used ({detail}).", _ASK)


def is_broken(error: SQLAlchemyError) -> bool:
    """Whether the connection is gone, so that nobody here knows what the server did last."""
    return isinstance(error, DBAPIError) and error.connection_invalidated
