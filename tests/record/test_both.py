"""What a store keeps and how it says so, the same on both databases (the project's own rules, no outside source)."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import datetime, timedelta, timezone
from pathlib import Path

import pytest

from nextprobe.errors import StoreError
from nextprobe.record.store import Store, open_store
from tests.record.stores import KINDS, Ticking, edit, new_address, open_job


@pytest.fixture(params=KINDS)
def address(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    return new_address(request, tmp_path)


@pytest.fixture
def store(address: str) -> Iterator[Store]:
    with open_store(address, clock=Ticking(), patience=0.5) as opened:
        yield opened


def test_a_job_and_its_events_come_back(address: str, store: Store) -> None:
    job = open_job(store)
    told = store.append(job.id, "told", {"ask": "memory_main", "told": "1.19 V", "range": (1.14, 1.26)})
    store.append(job.id, "skipped", {"ask": "caps_lock", "reason": "keyboard out"})
    store.end_job(job.id, "repaired")
    with open_store(address) as again:
        events = again.events(job.id)
        assert events[0] == told
        assert [event.seq for event in events] == [1, 2]
        assert events[0].at == "2026-03-09T10:00:02.000Z"
        assert events[0].data["range"] == [1.14, 1.26]
        found = again.job(job.id)
        assert (found.state, found.ending, found.events, found.head) == ("ended", "repaired", 2, events[1].hash)
        assert again.pack_text(job.pack_hash) == "id: no-picture\n"
        assert again.verify(job.id) == []


def test_names_stand_apart_from_the_record(address: str, store: Store) -> None:
    job = open_job(store)
    store.append(job.id, "started", {"pack": "no-picture"})
    assert store.people(job.id) == {"technician": "Mira Tolland"}
    edit(address, "DELETE FROM people")
    assert store.people(job.id) == {}
    assert store.verify(job.id) == []


def test_ids_sort_by_time_and_are_never_the_same(store: Store) -> None:
    moment = datetime(2026, 3, 9, 14, 0, tzinfo=timezone(timedelta(hours=1)))
    jobs = [store.create_job("p", "h", "t", None, "s", None, at=moment) for _ in range(3)]
    jobs.append(store.create_job("p", "h", "t", None, "s", None, at=moment + timedelta(seconds=1)))
    ids = [job.id for job in jobs]
    assert len(set(ids)) == 4
    assert ids == sorted(ids)
    assert all(job.id.startswith("2026-03-09-") and len(job.id) == 15 for job in jobs)
    assert jobs[0].opened == "2026-03-09T13:00:00.000Z"
    assert [job.id for job in store.jobs()] == ids[::-1]


def test_a_job_is_found_by_a_part_of_its_id(store: Store) -> None:
    first, second = open_job(store), open_job(store)
    assert store.job(first.id) == first
    assert store.job(second.id[-4:].upper()) == second
    assert store.job(second.id[:-1] + second.id[-1]) == second
    with pytest.raises(StoreError, match="fits 2 jobs"):
        store.job("2026-03")
    with pytest.raises(StoreError, match=f"Did you mean {first.id[:11]}"):
        store.job(first.id + "x")
    for typed in ("", "zzz"):
        with pytest.raises(StoreError, match="There is no job") as refused:
            store.job(typed)
        assert "jobs list" in refused.value.cure
    for call in (
        lambda: store.append("zzz", "told", {}),
        lambda: store.end_job("zzz", "left"),
        lambda: store.events("zzz"),
    ):
        with pytest.raises(StoreError, match="There is no job 'zzz'"):
            call()
    with pytest.raises(StoreError, match="No pack with the hash"):
        store.pack_text("0" * 64)


def test_two_writers_are_told_of_each_other(address: str, store: Store) -> None:
    job = open_job(store)
    store.append(job.id, "told", {"n": 1})
    with open_store(address) as other:
        assert len(other.events(job.id)) == 1
        other.append(job.id, "told", {"n": 2})
        with pytest.raises(StoreError, match=f"{job.id} is being worked on elsewhere too: event 2 is already there"):
            store.append(job.id, "told", {"n": 3})
        assert [event.data["n"] for event in store.events(job.id)] == [1, 2]
        store.append(job.id, "told", {"n": 3})
        assert other.verify(job.id) == []


@pytest.mark.parametrize(
    ("statement", "said"),
    [
        (
            "UPDATE events SET data = '{\"n\":9}' WHERE seq = 2",
            ["Event 2 was altered (or event 1 together with its hash)."],
        ),
        ("UPDATE events SET data = 'no' WHERE seq = 2", ["Event 2 was altered: it cannot be read."]),
        ("DELETE FROM events WHERE seq = 2", ["Event 2 was removed: event 3 comes next."]),
        ("DELETE FROM events WHERE seq = 4", ["Event 4 was removed from the end."]),
        ("DELETE FROM events WHERE seq > 2", ["Events 3 to 4 were removed from the end."]),
        ("DELETE FROM events", ["Events 1 to 4 were removed from the end."]),
        ("UPDATE jobs SET events = 3", ["Event 4 was added at the end."]),
        ("UPDATE jobs SET head = 'x'", ["Event 4 is not the one that was written last."]),
    ],
)
def test_tampering_is_found_and_named(address: str, store: Store, statement: str, said: list[str]) -> None:
    job = open_job(store)
    for n in range(4):
        store.append(job.id, "told", {"n": n})
    edit(address, statement)
    assert store.verify(job.id) == said


def test_events_that_changed_places_are_named(address: str, store: Store) -> None:
    job = open_job(store)
    for n in range(4):
        store.append(job.id, "told", {"n": n})
    edit(address, *(f"UPDATE events SET seq = {new} WHERE seq = {old}" for old, new in [(2, 9), (3, 2), (9, 3)]))
    assert store.verify(job.id) == ["Event 2 was moved: what was recorded as event 2 stands as event 3."]


def test_nothing_is_added_to_a_record_that_lost_its_end(address: str, store: Store) -> None:
    job = open_job(store)
    store.append(job.id, "told", {})
    edit(address, "DELETE FROM events")
    with pytest.raises(StoreError, match="does not end with the event 1") as refused:
        store.append(job.id, "told", {})
    assert f"jobs verify {job.id}" in refused.value.cure


def test_an_event_that_cannot_be_read_is_named(address: str, store: Store) -> None:
    job = open_job(store)
    store.append(job.id, "told", {})
    edit(address, "UPDATE events SET data = '[]'")
    with pytest.raises(StoreError, match="Event 1 of job"):
        store.events(job.id)


def test_a_closed_store_says_so(store: Store) -> None:
    store.close()
    store.close()
    with pytest.raises(StoreError, match="cannot be used"):
        store.jobs()


def test_all_records_are_read_in_one_go(address: str, store: Store) -> None:
    jobs = [open_job(store) for _ in range(4)]
    for job in jobs[1:]:
        for n in range(3):
            store.append(job.id, "told", {"n": n})
    edit(address, f"UPDATE events SET kind = 'skipped' WHERE job = '{jobs[2].id}' AND seq = 2")
    edit(address, f"UPDATE events SET data = 'no' WHERE job = '{jobs[3].id}' AND seq = 1")
    records = list(store.records())
    assert [job for job, _ in records] == [store.job(job.id) for job in jobs]
    assert [len(events) for _, events in records] == [0, 3, 3, 2]
    assert [events for _, events in records[:3]] == [store.read_events(job.id) for job in jobs[:3]]
    assert {job.id: found for job, found in store.verify_all()} == {job.id: store.verify(job.id) for job in jobs}
    assert [bool(found) for _, found in store.verify_all()] == [False, False, True, True]
