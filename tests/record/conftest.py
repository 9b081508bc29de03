"""A PostgreSQL server for the tests of the shared store, one for a whole run."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from shutil import rmtree
from tempfile import mkdtemp

import pytest

from tests.record.stores import VARIABLE, can_serve, start, stop


@pytest.fixture(scope="session")
def postgres() -> Iterator[str]:
    """The address of a server whose user may make databases."""
    given = os.environ.get(VARIABLE)
    if given:
        yield given
        return
    if not can_serve():
        pytest.skip("no PostgreSQL server: its wheel is not installed on this system")
    # A short path: the socket's name lies in it, and may be 107 bytes long (unix(7)).
    folder = Path(mkdtemp(prefix="np-pg-"))
    address, server = start(folder / "data")
    yield address
    stop(server)
    rmtree(folder, ignore_errors=True)
