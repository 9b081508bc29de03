"""A store in a file loads no library of databases: SQLAlchemy alone takes 180 ms, a bare interpreter 10 ms."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

from tests.record.layouts import write_layout_1

WORK = """
import sys
from nextprobe.record.store import open_store
with open_store(sys.argv[1]) as store:
    job = store.create_job("p", "h", "t", None, "s", "Mira Tolland")
    store.append(job.id, "told", {"n": 1})
    store.verify(job.id)
    store.end_job(job.id, "repaired")
print(*sorted({name.partition(".")[0] for name in sys.modules}))
"""


def loaded(file: Path) -> set[str]:
    done = subprocess.run([sys.executable, "-c", WORK, f"sqlite:///{file}"], capture_output=True, text=True, check=True)
    return set(done.stdout.split())


def test_a_file_is_opened_and_written_without_them(tmp_path: Path) -> None:
    for _ in ("new", "there already"):
        assert loaded(tmp_path / "jobs.db") & {"sqlalchemy", "alembic", "psycopg", "numpy"} == set()


def test_only_an_older_layout_needs_them_and_only_once(tmp_path: Path) -> None:
    write_layout_1(tmp_path / "old.db")
    assert {"sqlalchemy", "alembic"} <= loaded(tmp_path / "old.db")
    assert loaded(tmp_path / "old.db") & {"sqlalchemy", "alembic"} == set()
