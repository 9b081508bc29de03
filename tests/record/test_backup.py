"""Backup and restore, on both databases and from one to the other: the project's own rules, no outside source."""

from __future__ import annotations

import sqlite3
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest

from nextprobe.errors import StoreError
from nextprobe.record import Event, Job
from nextprobe.record.backup import Copied, back_up, restore, unpacked
from nextprobe.record.store import Store, open_database, open_store
from tests.record.stores import KINDS, new_address

WRITER = """
import sys
from nextprobe.record.store import open_store
store = open_store(sys.argv[1])
job = store.create_job("p", "h", "t", None, "s", None)
print(job.id, flush=True)
while True:
    print(store.append(job.id, "told", {"text": "x" * 300}).seq, flush=True)
"""


@pytest.fixture(params=KINDS)
def address(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    return new_address(request, tmp_path)


@pytest.fixture(params=KINDS)
def other(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    return new_address(request, tmp_path / "other")


def fill(store: Store, jobs: int = 3) -> list[str]:
    ids = []
    for number in range(jobs):
        job = store.create_job("no-picture", "ab" * 32, "a pack: Ω\n", "tansy-12", "no_picture", f"Mira {number}")
        store.append(job.id, "told", {"ask": "memory_main", "told": "1.19 V", "n": number})
        store.end_job(job.id, "repaired")
        ids.append(job.id)
    return ids


def all_of(store: Store) -> list[tuple[Job, list[Event], dict[str, str]]]:
    return [(job, store.read_events(job.id), store.people(job.id)) for job in store.jobs()]


def put_back(file: Path, address: str, *, replace: bool = False) -> Copied:
    with unpacked(file) as backup, closing(open_database(address)) as target:
        return restore(backup, target, replace=replace)


def test_a_store_goes_into_a_file_and_into_any_other_store(address: str, other: str, tmp_path: Path) -> None:
    file = tmp_path / "copy.db"
    with open_store(address) as store:
        fill(store)
        assert back_up(store.database, file) == Copied(3, 3)
        before = all_of(store)
    assert put_back(file, other) == Copied(3, 3)
    with open_store(other) as again:
        assert all_of(again) == before
        assert [again.verify(job.id) for job in again.jobs()] == [[], [], []]
        assert again.pack_text("ab" * 32) == "a pack: Ω\n"
    with open_store(f"sqlite:///{file}") as itself:
        assert all_of(itself) == before


def test_nothing_is_overwritten_unasked(address: str, tmp_path: Path) -> None:
    file = tmp_path / "copy.db"
    with open_store(address) as store:
        (first,) = fill(store, 1)
        back_up(store.database, file)
        with pytest.raises(StoreError, match="is there already") as refused:
            back_up(store.database, file)
        assert "--replace" in refused.value.cure
        (second,) = fill(store, 1)
        with pytest.raises(StoreError, match="There are 2 jobs in "):
            put_back(file, address)
        assert {job.id for job in store.jobs()} == {first, second}
        put_back(file, address, replace=True)
        assert [job.id for job in store.jobs()] == [first]
        back_up(store.database, file, replace=True)
    assert sorted(path.name for path in tmp_path.iterdir() if path.is_file()) == ["copy.db"]


def test_a_job_that_is_held_is_not_replaced(address: str, tmp_path: Path) -> None:
    file = tmp_path / "copy.db"
    with open_store(address, bench="bench 1") as store:
        job = store.create_job("p", "h", "t", None, "s", None)
        back_up(store.database, file)
        with pytest.raises(StoreError, match=f"Job {job.id} is held by bench 1"):
            put_back(file, address, replace=True)
    put_back(file, address, replace=True)
    with open_store(address) as store:
        assert store.held() == []


def test_a_backup_while_others_write_is_sound(address: str, tmp_path: Path) -> None:
    with subprocess.Popen([sys.executable, "-c", WRITER, address], stdout=subprocess.PIPE, text=True) as writer:
        if writer.stdout is None:
            raise RuntimeError("no pipe")
        job = writer.stdout.readline().strip()
        with closing(open_database(address)) as database:
            for number in range(8):
                told = int(writer.stdout.readline())
                back_up(database, tmp_path / f"{number}.db")
                with open_store(f"sqlite:///{tmp_path / f'{number}.db'}") as copy:
                    assert copy.verify(job) == []
                    assert copy.job(job).events >= told
        writer.kill()


def test_a_record_that_is_not_sound_is_restored_and_named(tmp_path: Path) -> None:
    file, address = tmp_path / "copy.db", f"sqlite:///{tmp_path / 'jobs.db'}"
    with open_store(address) as store:
        good, bad = fill(store, 2)
        back_up(store.database, file)
    with closing(sqlite3.connect(file)) as db, db:
        db.execute("UPDATE events SET at = '2020-01-01T00:00:00.000Z' WHERE job = ?", (bad,))
    copied = put_back(file, address, replace=True)
    assert copied.problems == ((bad, "Event 1 was altered."),)
    with open_store(address) as store:
        assert store.verify(good) == []


def test_files_that_are_no_backup(tmp_path: Path) -> None:
    notes, half = tmp_path / "notes.txt", tmp_path / "half.db"
    notes.write_text("Replaced the fan. " * 400, encoding="utf-8")
    with open_store(f"sqlite:///{tmp_path / 'jobs.db'}") as store:
        fill(store, 40)
        back_up(store.database, half)
        with pytest.raises(StoreError, match="is the store itself"):
            back_up(store.database, tmp_path / "jobs.db", replace=True)
        with pytest.raises(StoreError, match="cannot be written"):
            back_up(store.database, tmp_path / "no such folder" / "copy.db")
    half.write_bytes(half.read_bytes()[: half.stat().st_size // 2])
    target = f"sqlite:///{tmp_path / 'new.db'}"
    for file, said in ((notes, "not a store"), (half, "damaged"), (tmp_path / "none.db", "There is no backup")):
        with pytest.raises(StoreError, match=said) as refused:
            put_back(file, target)
        assert refused.value.cure
        assert str(file) in refused.value.message
    assert not (tmp_path / "new.db").exists()


def test_a_backup_of_the_first_layout_is_only_read(tmp_path: Path) -> None:
    from tests.record.layouts import write_layout_1

    file = tmp_path / "old.db"
    write_layout_1(file)
    before = file.read_bytes()
    assert put_back(file, f"sqlite:///{tmp_path / 'new.db'}") == Copied(1, 2)
    assert file.read_bytes() == before
