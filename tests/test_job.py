"""A job begins whole or not at all. No outside source: the house's own promise."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from nextprobe.errors import StoreError, ToldError
from nextprobe.job import resume_job, start_job
from nextprobe.pack.load import load_pack
from nextprobe.record.store import open_store

LAMP = Path(__file__).parent / "tui" / "lamp" / "pack.yaml"

#: The disk is full at the second event of any job.
FULL = """
CREATE TRIGGER full_disk BEFORE INSERT ON events WHEN NEW.seq = 2
BEGIN SELECT RAISE(ABORT, 'disk full'); END
"""


def broken(file: Path) -> None:
    """From now on no job of this store gets a second event."""
    with sqlite3.connect(file) as db:
        db.execute(FULL)


def test_a_job_begins_with_what_the_owner_told(tmp_path: Path) -> None:
    with open_store(f"sqlite:///{tmp_path / 'jobs.db'}") as store:
        job = start_job(store, load_pack(LAMP), facts={"knocked_over": "reported"}).job
        events = store.events(job.id)
        assert [event.kind for event in events] == ["started", "told"]
        assert (job.events, job.head) == (2, events[-1].hash)
        assert store.verify(job.id) == []
        opened = resume_job(store, job.id)
        assert [step.ask for step in opened.walk.path] == ["knocked_over"]
        opened.walk.tell("outside_look", "sound")
        assert store.verify(job.id) == []


def test_a_store_that_fails_in_between_leaves_no_half_job(tmp_path: Path) -> None:
    file = tmp_path / "jobs.db"
    with open_store(f"sqlite:///{file}") as store:
        broken(file)
        with pytest.raises(StoreError):
            start_job(store, load_pack(LAMP), facts={"knocked_over": "reported"})
        assert store.jobs() == []


def test_a_fact_that_cannot_be_told_opens_no_job(tmp_path: Path) -> None:
    with open_store(f"sqlite:///{tmp_path / 'jobs.db'}") as store:
        with pytest.raises(ToldError):
            start_job(store, load_pack(LAMP), facts={"knocked_over": "perhaps"})
        assert store.jobs() == []


def test_how_far_the_open_jobs_are(tmp_path: Path) -> None:
    with open_store(f"sqlite:///{tmp_path / 'jobs.db'}") as store:
        opened = start_job(store, load_pack(LAMP), facts={"knocked_over": "reported"})
        opened.walk.tell("outside_look", "sound")
        opened.walk.skip("fuse_look", "no screwdriver")
        opened.walk.undo()
        assert store.progress() == {opened.job.id: (2, store.events(opened.job.id)[-1].at)}
        opened.walk.leave("closing time")
        opened.walk.close()
        assert store.progress() == {}
