"""What the store asks of a database: few words, which SQLite and PostgreSQL both serve."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from contextlib import AbstractContextManager
from typing import Any, Protocol

from nextprobe.errors import StoreError

Row = tuple[Any, ...]
Values = Mapping[str, Any]


class UnsureError(StoreError):
    """The connection broke while a change was being written: it may be there or not."""


class Database(Protocol):
    """Runs the texts of ``statements``, whose values stand as ``:name``.

    It may be used from several threads, one at a time is served. Every method raises StoreError, with a cure.
    """

    place: str
    """How messages call it, without a password."""
    locking: str
    """What is put behind a SELECT in a change, so that nobody else changes its rows meanwhile."""

    def writing(self) -> AbstractContextManager[None]:
        """One transaction: all that is run inside is durable afterwards, or nothing of it is there."""

    def rows(self, statement: str, values: Values | None = None) -> list[Row]:
        """What a SELECT finds."""

    def run(self, statement: str, values: Values | None = None) -> int:
        """Change something, inside ``writing``; the number of rows touched."""

    def many(self, statement: str, values: Sequence[Values]) -> None:
        """Run the statement once for each of `values`, inside ``writing``."""

    def chunks(self, statement: str) -> Iterator[list[Row]]:
        """What a SELECT finds, some thousand rows at a time, inside ``snapshot`` or ``writing``."""

    def snapshot(self) -> AbstractContextManager[None]:
        """All that is read inside is of one moment, whatever others write."""

    def erase(self, statement: str, values: Values) -> None:
        """Delete so that the file no longer holds what was deleted, as far as the database can."""

    def time(self) -> float:
        """Seconds since 1970 by the clock that all who use this database share."""

    def close(self) -> None:
        """Let go of it; closing twice does no harm."""
