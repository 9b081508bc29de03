"""``nextprobe store``: backup and restore as a person types them; the project's own rules, no outside source."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest

from nextprobe.cli.main import main
from nextprobe.record.store import open_store


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("NEXTPROBE_STORE", f"sqlite:///{tmp_path / 'jobs.db'}")
    with open_store() as store:
        job = store.create_job("no-picture", "ab" * 32, "a pack", "tansy-12", "no_picture", "Mira Tolland")
        store.append(job.id, "told", {"n": 1})
    return tmp_path


def said(capsys: pytest.CaptureFixture[str], *words: str) -> tuple[int, str]:
    code = main(["store", *words])
    captured = capsys.readouterr()
    return code, captured.out + captured.err


def test_backup_and_restore(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    copy = str(folder / "copy.db")
    code, printed = said(capsys, "backup", copy)
    assert (code, printed) == (0, f"Now in '{copy}': 1 job with 1 event of '{folder / 'jobs.db'}'.\n")
    code, printed = said(capsys, "backup", copy)
    assert code == 2
    assert "is there already" in printed
    assert "--replace" in printed
    code, printed = said(capsys, "restore", copy)
    assert code == 2
    assert "There is 1 job in" in printed
    assert "--replace" in printed
    code, printed = said(capsys, "restore", copy, "--replace")
    assert (code, printed) == (0, f"Now in '{folder / 'jobs.db'}': 1 job with 1 event of '{copy}'.\n")


def test_a_damaged_store_is_moved_aside_by_a_restore(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    copy, file = str(folder / "copy.db"), folder / "jobs.db"
    said(capsys, "backup", copy)
    file.write_bytes(b"no longer a store " * 500)
    code, printed = said(capsys, "restore", copy)
    assert code == 2
    assert "is not a store of nextprobe" in printed
    assert "Give --replace to have it moved aside." in printed
    code, printed = said(capsys, "restore", copy, "--replace")
    assert code == 0
    assert "was moved to" in printed
    assert [path.read_bytes()[:9] for path in folder.glob("jobs.db.damaged-*")] == [b"no longer"]
    with open_store() as store:
        assert [store.verify(job.id) for job in store.jobs()] == [[]]


def test_a_record_that_is_not_sound_is_named(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    copy = folder / "copy.db"
    said(capsys, "backup", str(copy))
    with closing(sqlite3.connect(copy)) as db, db:
        db.execute("UPDATE events SET kind = 'skipped'")
    code, printed = said(capsys, "restore", str(copy), "--replace")
    assert code == 1
    assert "Event 1 was altered." in printed


def test_a_backup_that_is_not_there(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    code, printed = said(capsys, "restore", str(folder / "none.db"))
    assert code == 2
    assert "There is no backup" in printed
    assert "nextprobe store backup" in printed
