"""Where the store lies: an argument, the environment, or the user's data folder."""

from __future__ import annotations

import os
from pathlib import Path

from nextprobe.errors import StoreError

VARIABLE = "NEXTPROBE_STORE"
MEMORY = ":memory:"


def store_file(address: str | None = None) -> Path | None:
    """The SQLite file that `address` means, or None for one in memory (``sqlite://``).

    `address` is written as SQLAlchemy does: ``sqlite:////abs/path.db``, ``sqlite:///rel.db``.
    Without one the environment's NEXTPROBE_STORE counts, else ``jobs.db`` in the user's data folder.

    Raises StoreError for any other address. The message never shows what may hold a password.
    """
    given = address or os.environ.get(VARIABLE, "")
    if not given:
        from platformdirs import user_data_path

        return user_data_path("nextprobe", appauthor=False) / "jobs.db"
    cure = "Write it as in sqlite:////home/bench/jobs.db (a full path has four strokes) or sqlite:///jobs.db."
    scheme, mark, rest = given.partition("://")
    if not mark:
        raise StoreError(f"'{given}' is not the address of a store.", cure)
    dialect = scheme.split("+")[0].lower()
    if dialect != "sqlite":
        raise StoreError(f"The store's address is of the kind '{dialect}', but this version serves SQLite only.", cure)
    if rest in ("", "/", "/" + MEMORY):
        return None
    if not rest.startswith("/") or "?" in rest or "\0" in rest:
        raise StoreError(f"'{given}' is not the address of a SQLite file.", cure)
    return Path(rest[1:])
