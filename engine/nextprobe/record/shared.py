"""A store on a PostgreSQL server, for a workshop with several benches: SQLAlchemy over psycopg."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from contextlib import contextmanager, suppress
from threading import RLock
from typing import Any

from sqlalchemy import Connection, Engine, create_engine, event, make_url, text
from sqlalchemy.exc import ArgumentError, SQLAlchemyError

from nextprobe.errors import StoreError
from nextprobe.record.database import Row, UnsureError, Values
from nextprobe.record.shared_faults import is_broken, shared_error
from nextprobe.record.shared_layout import prepare

_CHUNK = 5000

# A pulled cable is noticed within half a minute; the system's own patience is a quarter of an hour and more
# (https://www.postgresql.org/docs/current/libpq-connect.html; times in seconds, the last in milliseconds).
_UNPLUGGED = {
    "keepalives_idle": 10,
    "keepalives_interval": 5,
    "keepalives_count": 3,
    "tcp_user_timeout": 20_000,
}


class SharedDatabase:
    """One database of a server. See ``database.Database``."""

    locking = " FOR UPDATE"

    def __init__(self, address: str, patience: float) -> None:
        self._engine, self.place = _engine(address, patience)
        self._lock = RLock()
        self._open: Connection | None = None
        self._closed = False
        try:
            with self._engine.begin() as connection:
                prepare(connection, self.place)
        except SQLAlchemyError as error:
            self._engine.dispose()
            raise shared_error(error, self.place) from error
        except BaseException:
            self._engine.dispose()
            raise

    @contextmanager
    def writing(self) -> Iterator[None]:
        """One transaction: the server has it on its disk afterwards, or nothing of it."""
        with self._lock:
            ending = False
            try:
                with self._connected() as connection:
                    change = connection.begin()
                    try:
                        self._open = connection
                        yield
                        ending = True
                        change.commit()
                    finally:
                        self._open = None
                        if change.is_active:
                            change.rollback()
            except SQLAlchemyError as error:
                if ending and is_broken(error):
                    raise UnsureError(
                        f"The connection to the store {self.place} broke while this was written: "
                        "it may be recorded or not.",
                        "Try again: what is recorded already is not recorded twice.",
                    ) from error
                raise shared_error(error, self.place) from error

    @contextmanager
    def snapshot(self) -> Iterator[None]:
        """A transaction that sees one moment (https://www.postgresql.org/docs/current/transaction-iso.html)."""
        with self._lock:
            try:
                with self._connected() as plain:
                    connection = plain.execution_options(isolation_level="REPEATABLE READ")
                    with connection.begin():
                        self._open = connection
                        yield
            except SQLAlchemyError as error:
                raise shared_error(error, self.place) from error
            finally:
                self._open = None

    def rows(self, statement: str, values: Values | None = None) -> list[Row]:
        """What a SELECT finds."""
        with self._lock:
            try:
                if self._open is not None:
                    return _tuples(self._open.execute(text(statement), dict(values or {})).all())
                # Without a transaction of its own: two trips to the server less.
                with self._connected().execution_options(isolation_level="AUTOCOMMIT") as connection:
                    return _tuples(connection.execute(text(statement), dict(values or {})).all())
            except SQLAlchemyError as error:
                raise shared_error(error, self.place) from error

    def run(self, statement: str, values: Values | None = None) -> int:
        """Change something; the number of rows touched."""
        return self._now().execute(text(statement), dict(values or {})).rowcount

    def many(self, statement: str, values: Sequence[Values]) -> None:
        """Run the statement once for each of `values`."""
        if values:
            self._now().execute(text(statement), [dict(one) for one in values])

    def chunks(self, statement: str) -> Iterator[list[Row]]:
        """What a SELECT finds, some thousand rows at a time: the server keeps the rest."""
        found = self._now().execute(text(statement), execution_options={"yield_per": _CHUNK})
        for rows in found.partitions():
            yield _tuples(rows)

    def erase(self, statement: str, values: Values) -> None:
        """Delete, then have the server write the table anew without what was deleted; its own log ends with time."""
        with self._lock:
            with self.writing():
                self.run(statement, values)
            # The server lets only the table's owner do this; what is deleted is out of reach either way.
            with suppress(SQLAlchemyError), self._engine.connect() as plain:
                plain.execution_options(isolation_level="AUTOCOMMIT").execute(text("VACUUM FULL people"))

    def time(self) -> float:
        """The server's clock: those of the benches may differ."""
        return float(self.rows("SELECT extract(epoch FROM clock_timestamp())")[0][0])

    def close(self) -> None:
        """Close the connection."""
        with self._lock:
            self._closed = True
            self._engine.dispose()

    def _connected(self) -> Connection:
        if self._closed:
            raise StoreError(f"The store {self.place} cannot be used: it was closed.", "Open it again.")
        return self._engine.connect()

    def _now(self) -> Connection:
        if self._open is None:
            raise StoreError(f"Nothing is being written in {self.place}.", "Write inside `writing`.")
        return self._open


def _tuples(rows: Sequence[Any]) -> list[Row]:
    return [tuple(row) for row in rows]


def _engine(address: str, patience: float) -> tuple[Engine, str]:
    """An engine with one durable connection, and how messages call it."""
    cure = "Write it as in postgresql+psycopg://NAME@HOST/DATABASE."
    try:
        url = make_url(address).set(drivername="postgresql+psycopg")
    except (ArgumentError, ValueError) as error:
        raise StoreError("The store's address cannot be read.", cure) from error
    if "@" in (url.host or ""):
        raise StoreError("The store's address has more than one @.", "In a password write it as %40.")
    place = f"'{url.database or url.username or ''}' on {url.host or url.query.get('host') or 'this machine'}"
    seconds = max(2, math.ceil(patience))
    try:
        engine = create_engine(
            url,
            pool_size=1,
            max_overflow=1,
            pool_pre_ping=True,
            connect_args={"connect_timeout": seconds, "application_name": "nextprobe", **_UNPLUGGED},
        )
    except ImportError as error:
        raise StoreError(
            f"The store {place} is on PostgreSQL, whose driver is not installed here.",
            "Install it: pip install 'nextprobe[postgres]'.",
        ) from error

    def fit(connection: Any, record: object) -> None:
        with connection.cursor() as cursor:
            cursor.execute(f"SET lock_timeout = {int(patience * 1000)}")
            # Where a server answers before its disk does, it must not do so for us
            # (https://www.postgresql.org/docs/current/runtime-config-wal.html, synchronous_commit).
            cursor.execute("SHOW synchronous_commit")
            if cursor.fetchone()[0] == "off":
                cursor.execute("SET synchronous_commit = on")
        connection.commit()

    event.listen(engine, "connect", fit)
    return engine, place
