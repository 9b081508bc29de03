"""A job's own line in the store, which no chain covers, held against its events: the project's own rules."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from nextprobe.record.store import Store, open_store


@pytest.fixture
def file(tmp_path: Path) -> Path:
    return tmp_path / "jobs.db"


@pytest.fixture
def store(file: Path) -> Iterator[Store]:
    with open_store(f"sqlite:///{file}") as opened:
        yield opened


@pytest.fixture
def job(store: Store) -> str:
    """A job that went over and ended."""
    first = {"pack": "no-picture", "hash": "ab" * 32, "board": "tansy-12", "symptom": "no_picture"}
    then = {"pack": "no-reaction", "hash": "cd" * 32, "board": "", "symptom": "dead"}
    id_ = store.create_job(first["pack"], first["hash"], "text", "tansy-12", "no_picture", None).id
    store.append(id_, "started", first)
    store.keep_pack("no-reaction", "cd" * 32, "other text")
    store.append(id_, "went_over", then)
    store.set_pack(id_, "no-reaction", "cd" * 32, "", "dead")
    store.append(id_, "ended", {"ending": "left"})
    store.end_job(id_, "left")
    assert store.verify(id_) == []
    return id_


@pytest.mark.parametrize(
    ("column", "value", "said"),
    [
        ("ending", "repaired", "Its line says another ending than event 3."),
        ("board", "brindle-14", "Its line says another board than event 2."),
        ("symptom", "no_picture", "Its line says another symptom than event 2."),
        ("events", 2, "Event 3 was added at the end."),
        ("events", 1, "Events 2 to 3 were added at the end."),
        ("events", 4, "Event 4 was removed from the end."),
        ("head", "00", "Event 3 is not the one that was written last."),
    ],
)
def test_an_altered_line_is_named(store: Store, file: Path, job: str, column: str, value: object, said: str) -> None:
    with closing(sqlite3.connect(file)) as db:
        db.execute(f"UPDATE jobs SET {column} = ?", (value,))
        db.commit()
    assert store.verify(job) == [said]


def test_a_line_that_a_power_cut_left_behind_is_no_alteration(store: Store, job: str) -> None:
    store.set_pack(job, "no-picture", "ab" * 32, "tansy-12", "no_picture")
    assert store.verify(job) == []
