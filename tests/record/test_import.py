"""A job of another store taken in, and names taken out: the project's own rules, no outside source."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from nextprobe.errors import StoreError
from nextprobe.record.store import Store, open_store
from tests.record.stores import KINDS, new_address

TEXTS = {"ab" * 32: "the first pack", "cd" * 32: "the second"}


@pytest.fixture
def there(tmp_path: Path) -> Iterator[Store]:
    with open_store(f"sqlite:///{tmp_path / 'there.db'}") as store:
        yield store


@pytest.fixture(params=KINDS)
def here(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Store]:
    with open_store(new_address(request, tmp_path)) as store:
        yield store


def job_of(store: Store) -> str:
    job = store.create_job("no-picture", "ab" * 32, TEXTS["ab" * 32], "tansy-12", "no_picture", "Mira Tolland")
    store.append(job.id, "started", {"pack": "no-picture", "hash": "ab" * 32})
    store.append(job.id, "told", {"ask": "memory_main", "told": "1.19 V"})
    store.append(job.id, "went_over", {"pack": "no-reaction", "hash": "cd" * 32})
    store.keep_pack("no-reaction", "cd" * 32, TEXTS["cd" * 32])
    store.set_pack(job.id, "no-reaction", "cd" * 32, "", "dead")
    return job.id


def test_a_job_is_taken_in_as_it_is_and_goes_on(there: Store, here: Store) -> None:
    id_ = job_of(there)
    here.import_job(there.job(id_), there.events(id_), TEXTS, there.people(id_))
    assert here.job(id_) == there.job(id_)
    assert here.events(id_) == there.events(id_)
    assert here.people(id_) == {"technician": "Mira Tolland"}
    assert {hash_: here.pack_text(hash_) for hash_ in TEXTS} == TEXTS
    assert here.verify(id_) == []
    assert here.append(id_, "noted", {"text": "goes on"}).seq == 4
    assert here.verify(id_) == []


@pytest.mark.parametrize("what", ["event", "end", "head", "pack"])
def test_what_is_not_sound_is_refused_and_leaves_nothing(there: Store, here: Store, what: str) -> None:
    id_ = job_of(there)
    job, events, texts = there.job(id_), there.events(id_), dict(TEXTS)
    if what == "event":
        events[1] = replace(events[1], data={"told": "1.25 V"})
    if what == "end":
        events.pop()
    if what == "head":
        job = replace(job, head="0" * 64)
    if what == "pack":
        del texts[job.pack_hash]
    with pytest.raises(StoreError, match=f"Job {id_} cannot be taken in") as refused:
        here.import_job(job, events, texts)
    assert refused.value.cure
    assert here.jobs() == []


def test_a_taken_id_is_refused(there: Store, here: Store) -> None:
    id_ = job_of(there)
    here.import_job(there.job(id_), there.events(id_), TEXTS)
    with pytest.raises(StoreError, match="already"):
        here.import_job(there.job(id_), there.events(id_), TEXTS)
    assert here.people(id_) == {}


def test_names_are_erased_from_the_file_and_the_record_stays_sound(there: Store, tmp_path: Path) -> None:
    id_ = job_of(there)
    other = job_of(there)
    before = there.job(id_)
    assert there.erase_names(id_) == ["technician"]
    assert there.people(id_) == {}
    assert there.erase_names(id_) == []
    assert there.people(other) == {"technician": "Mira Tolland"}
    assert there.job(id_) == before
    assert there.verify(id_) == []
    there.erase_names(other)
    for file in tmp_path.glob("there.db*"):
        assert b"Mira" not in file.read_bytes()


def test_a_name_is_kept_apart_from_the_record(there: Store) -> None:
    id_ = job_of(there)
    before = there.events(id_)
    there.set_name(id_, "owner", "Ada Quill")
    there.set_name(id_, "owner", "Ada Brook")
    assert there.people(id_) == {"technician": "Mira Tolland", "owner": "Ada Brook"}
    assert there.events(id_) == before
    with pytest.raises(StoreError, match="There is no job"):
        there.set_name("2020-01-01-aaaa", "owner", "Ada Brook")


def test_names_are_erased_on_either_database(here: Store) -> None:
    id_, other = job_of(here), job_of(here)
    here.set_name(id_, "owner", "Ada Quill")
    assert here.erase_names(id_) == ["owner", "technician"]
    assert here.people(id_) == {}
    assert here.people(other) == {"technician": "Mira Tolland"}
    assert here.verify(id_) == []
