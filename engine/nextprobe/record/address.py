"""Where the store lies: an argument, the environment, or the user's data folder."""

from __future__ import annotations

import os
from pathlib import Path

from nextprobe.errors import StoreError

VARIABLE = "NEXTPROBE_STORE"
MEMORY = ":memory:"
_SHARED = ("postgresql", "postgresql+psycopg")
_CURE = (
    "Write it as in sqlite:////home/bench/jobs.db (a full path has four strokes), sqlite:///jobs.db, "
    "or postgresql+psycopg://NAME@HOST/DATABASE."
)


def store_address(address: str | None = None) -> str:
    """`address`, else what NEXTPROBE_STORE says, else "" for the user's data folder."""
    return address or os.environ.get(VARIABLE, "")


def is_shared(address: str) -> bool:
    """Whether it is the address of a PostgreSQL server's database, which several benches share.

    Raises StoreError where it is neither that nor of SQLite. The message never shows what may hold a password.
    """
    scheme, mark, _ = address.partition("://")
    if not mark:
        if address:
            raise StoreError(f"'{address}' is not the address of a store.", _CURE)
        return False
    scheme = scheme.lower()
    if scheme.split("+")[0] == "sqlite":
        return False
    if scheme not in _SHARED:
        raise StoreError(f"The store's address is of the kind '{scheme}', which is not served.", _CURE)
    return True


def store_file(address: str | None = None) -> Path | None:
    """The SQLite file that `address` means, or None for one in memory (``sqlite://``).

    `address` is written as SQLAlchemy does: ``sqlite:////abs/path.db``, ``sqlite:///rel.db``.
    Without one the environment's NEXTPROBE_STORE counts, else ``jobs.db`` in the user's data folder.

    Raises StoreError for any other address. The message never shows what may hold a password.
    """
    given = store_address(address)
    if not given:
        from platformdirs import user_data_path

        return user_data_path("nextprobe", appauthor=False) / "jobs.db"
    if is_shared(given):
        raise StoreError("The store's address is not that of a file of SQLite.", _CURE)
    rest = given.partition("://")[2]
    if rest in ("", "/", "/" + MEMORY):
        return None
    if not rest.startswith("/") or "?" in rest or "\0" in rest:
        raise StoreError(f"'{given}' is not the address of a SQLite file.", _CURE)
    return Path(rest[1:])
