"""A place for a backup to be restored to, also where what lies there is damaged."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

from nextprobe.errors import StoreError
from nextprobe.record.address import is_shared, store_address, store_file
from nextprobe.record.database import Database
from nextprobe.record.faults import DamagedError
from nextprobe.record.store import open_database


def open_target(replace: bool, address: str | None = None) -> tuple[Database, Path | None]:
    """The store's database; with `replace` a damaged file is moved aside first: its new place, else None.

    Raises StoreError where it cannot be opened or moved.
    """
    try:
        return open_database(address), None
    except DamagedError as error:
        file = None if is_shared(store_address(address)) else store_file(address)
        if not replace or file is None:
            raise DamagedError(error.message, "Give --replace to have it moved aside.") from error
        kept = _move_aside(file)
        return open_database(address), kept


def _move_aside(file: Path) -> Path:
    """The store's file with what SQLite keeps beside it, under new names."""
    mark = f"damaged-{datetime.now(UTC):%Y-%m-%d-%H%M%S-%f}"
    kept = file.with_name(f"{file.name}.{mark}")
    try:
        for end in ("-wal", "-shm", ""):
            beside = Path(f"{file}{end}")
            if beside.exists():
                beside.rename(f"{kept}{end}")
    except OSError as error:
        raise StoreError(
            f"The damaged store '{file}' cannot be moved aside: {error.strerror or error}.",
            "Move it away by hand, then try again.",
        ) from error
    return kept
