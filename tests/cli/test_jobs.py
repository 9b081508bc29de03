"""``nextprobe jobs``: what it prints and its exit codes, as the command's contract states them."""

import json
import sqlite3
from collections.abc import Iterator
from contextlib import closing
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from nextprobe.cli.main import main
from nextprobe.record.store import Store, open_store


@pytest.fixture
def file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    place = tmp_path / "jobs.db"
    monkeypatch.setenv("NEXTPROBE_STORE", f"sqlite:///{place}")
    return place


@pytest.fixture
def store(file: Path) -> Iterator[Store]:
    ticks = (datetime(2026, 3, 9, 10, 0, tzinfo=UTC) + timedelta(minutes=n) for n in range(100))
    with open_store(clock=lambda: next(ticks)) as opened:
        yield opened


@pytest.fixture
def job(store: Store) -> str:
    name = store.create_job("no-picture", "ab" * 32, "text", "brindle-14", "no_picture", "Mira Tolland").id
    store.append(name, "started", {"pack": "no-picture", "version": "1.0.0", "symptom": "no_picture"})
    store.append(name, "bench_set", {"bench": {"supply": "removed", "cover": "removed"}})
    store.append(
        name,
        "told",
        {"ask": "memory_main", "kind": "measure", "title": "Memory supply voltage", "told": "1.19 V", "minutes": 2.5},
    )
    store.append(name, "skipped", {"ask": "caps_lock", "kind": "measure", "reason": "keyboard\x1b[31m is out"})
    store.append(name, "undone", {"ask": "memory_main"})
    store.append(name, "remarked", {"id": "cooler_askew", "say": "Cooler not seated square"})
    store.append(name, "noted", {"text": "owner calls at noon"})
    store.append(name, "told", {"ask": "reball_processor", "kind": "repair", "told": "done"})
    store.append(name, "ended", {"ending": "handed_over", "cause": "processor_joint", "why": "the skill is lacking"})
    store.end_job(name, "handed_over")
    return name


def test_a_path_is_shown_in_plain_words(job: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["jobs", "show", job]) == 0
    out = capsys.readouterr().out
    assert out.splitlines()[:-1] == [
        f"Job {job}, opened 2026-03-09 10:00 UTC, handed over",
        "Pack no-picture, board brindle-14, symptom no_picture",
        "Technician: Mira Tolland",
        "",
        "1  10:01:00  Started: pack no-picture, version 1.0.0, symptom no_picture",
        "2  10:02:00  The bench as it is: supply removed, cover removed",
        "3  10:03:00  Memory supply voltage: 1.19 V (2.5 min)",
        "4  10:04:00  Skipped caps_lock: keyboard [31m is out",
        "5  10:05:00  Took back: memory_main",
        "6  10:06:00  Seen on the way: Cooler not seated square",
        "7  10:07:00  Note: owner calls at noon",
        "8  10:08:00  reball_processor: done",
        "9  10:09:00  Ended: handed over, processor_joint: the skill is lacking",
    ]
    assert out.splitlines()[-1].startswith("9 events, last hash ")


def test_a_path_as_data(job: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["jobs", "show", job[-4:], "--json"]) == 0
    out = capsys.readouterr().out
    data = json.loads(out)
    assert data["job"]["id"] == job
    kinds = ["started", "bench_set", "measure", "skipped", "undone", "remarked", "noted", "repair", "ended"]
    assert [event["kind"] for event in data["events"]] == kinds
    told = data["events"][2]
    assert (told["seq"], told["at"], told["event"]) == (3, "2026-03-09T10:03:00.000Z", "told")
    assert (told["ask"], told["told"]) == ("memory_main", "1.19 V")
    assert "Mira" not in out


def test_the_newest_job_is_shown_by_default(store: Store, job: str, capsys: pytest.CaptureFixture[str]) -> None:
    newer = store.create_job("no-reaction", "cd" * 32, "text", None, "dead", None).id
    assert main(["jobs", "show"]) == 0
    out = capsys.readouterr().out
    assert newer in out
    assert "board not given" in out
    assert "0 events" in out


def test_jobs_are_listed(store: Store, job: str, capsys: pytest.CaptureFixture[str]) -> None:
    newer = store.create_job("no-reaction", "cd" * 32, "text", None, "dead", None).id
    assert main(["jobs", "list"]) == 0
    head, first, second = capsys.readouterr().out.splitlines()
    assert head.split() == ["job", "opened", "(UTC)", "pack", "board", "symptom", "state"]
    assert first.split() == [newer, "2026-03-09", "10:10", "no-reaction", "-", "dead", "open"]
    assert second.split()[-2:] == ["handed", "over"]
    assert main(["jobs", "list", "--json"]) == 0
    assert [entry["id"] for entry in json.loads(capsys.readouterr().out)] == [newer, job]


def test_a_sound_record_is_verified(job: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["jobs", "verify"]) == 0
    assert capsys.readouterr().out.startswith(f"{job}: sound, 9 events, last hash ")


@pytest.mark.parametrize(
    ("statement", "said"),
    [
        ("UPDATE events SET data = '{}' WHERE seq = 3", "Event 3 was altered"),
        ("DELETE FROM events WHERE seq = 5", "Event 5 was removed: event 6 comes next."),
        ("DELETE FROM events WHERE seq = 9", "Event 9 was removed from the end."),
    ],
)
def test_a_broken_record_is_named(
    file: Path, job: str, statement: str, said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    with closing(sqlite3.connect(file)) as db:
        db.execute(statement)
        db.commit()
    assert main(["jobs", "verify", job]) == 1
    assert f"{job}: {said}" in capsys.readouterr().out
    assert main(["jobs", "verify", "--json"]) == 1
    (one,) = json.loads(capsys.readouterr().out)
    assert one["problems"][0].startswith(said.rstrip("."))


@pytest.mark.usefixtures("file")
@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (["list"], 0, "No jobs yet"),
        (["verify"], 0, "No jobs yet"),
        (["list", "--json"], 0, "[]"),
        (["show"], 2, "There are no jobs yet"),
        (["show", "zzz"], 2, "There is no job 'zzz'"),
        (["list", "zzz"], 2, "`jobs list` lists all jobs"),
        (["burn"], 2, "burn"),
        ([], 2, "action"),
    ],
)
def test_when_there_is_nothing_or_too_much(
    words: list[str], code: int, said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["jobs", *words]) == code
    out, err = capsys.readouterr()
    assert said in out + err
    assert "Traceback" not in err


def test_a_store_that_cannot_be_used(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("NEXTPROBE_STORE", f"sqlite:///{tmp_path}")
    assert main(["jobs", "list"]) == 2
    assert "is a folder" in capsys.readouterr().err
