"""A job is held by one bench at a time: the project's own rules, no outside source."""

from __future__ import annotations

import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from nextprobe.errors import StoreError
from nextprobe.record import bench as benches
from nextprobe.record.bench import is_gone, this_bench
from nextprobe.record.jobs import utc_now
from nextprobe.record.store import Store, open_database, open_store
from tests.record.stores import KINDS, new_address

HOLDER = """
import sys
from nextprobe.record.store import open_store
store = open_store(sys.argv[1], bench="bench 2")
print(store.hold(sys.argv[2]) or "held", flush=True)
sys.stdin.read()
store.close()
"""


@pytest.fixture(params=KINDS)
def address(request: pytest.FixtureRequest, tmp_path: Path) -> str:
    return new_address(request, tmp_path)


@pytest.fixture
def store(address: str) -> Iterator[Store]:
    with open_store(address, bench="bench 1") as opened:
        yield opened


def elsewhere(address: str, seconds: float = 90) -> Store:
    """A store as another machine would open it."""
    bench = replace(this_bench("bench 3"), machine="another one", process="4711")
    return Store(open_database(address), utc_now, bench, seconds)


def job_of(store: Store) -> str:
    return store.create_job("no-picture", "ab" * 32, "a pack", "tansy-12", "no_picture", None).id


def holder(address: str, job: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-c", HOLDER, address, job], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    )


def first_line(process: subprocess.Popen[str]) -> str:
    if process.stdout is None:
        raise RuntimeError("no pipe")
    return process.stdout.readline().strip()


def test_a_second_bench_is_told_who_holds_the_job(address: str, store: Store) -> None:
    job = job_of(store)
    store.append(job, "told", {"n": 1})
    with elsewhere(address) as other:
        with pytest.raises(StoreError, match=rf"Job {job} is held by bench 1 \(.+\) since 20\d\d-.+ UTC") as refused:
            other.hold(job)
        assert "90 seconds" in refused.value.cure
        with pytest.raises(StoreError, match="is held by bench 1"):
            other.append(job, "told", {"n": 2})
        assert len(other.events(job)) == 1  # looking is allowed
        assert [lease.job for lease in other.held()] == [job]
        store.let_go(job)
        assert other.held() == []
        assert other.hold(job) == ""
        other.append(job, "told", {"n": 2})
        with pytest.raises(StoreError, match=r"is held by bench 3"):
            store.append(job, "told", {"n": 3})
        assert other.verify(job) == []


def test_a_job_that_ends_and_a_store_that_closes_let_go(address: str, store: Store) -> None:
    ended, left = job_of(store), job_of(store)
    assert len(store.held()) == 2
    store.end_job(ended, "repaired")
    assert [lease.job for lease in store.held()] == [left]
    store.close()
    with open_store(address) as again:
        assert again.held() == []
        assert again.append(ended, "noted", {"text": "a trainer's note on an ended job"}).seq == 1
        assert again.held() == []
        with pytest.raises(StoreError, match="There is no job"):
            again.hold("2020-01-01-aaaa")


def test_a_hold_runs_out_without_a_sign_of_life_and_lasts_with_one(address: str) -> None:
    with elsewhere(address, 0.6) as silent:
        job = job_of(silent)
        silent._leases._pulse.stop()
        with open_store(address, bench="bench 1") as store:
            with pytest.raises(StoreError, match="is held by bench 3"):
                store.hold(job)
            time.sleep(0.7)
            word = store.hold(job)
            assert word.startswith("Taken over from bench 3 (")
            assert "is gone" in word
            assert store.hold(job) == ""
            with pytest.raises(StoreError, match="is held by bench 1"):
                silent.append(job, "told", {})
    with elsewhere(address, 0.3) as lively, open_store(address) as store:
        job = job_of(lively)
        time.sleep(0.7)
        with pytest.raises(StoreError, match="is held by bench 3"):
            store.hold(job)


def test_a_job_is_taken_over_from_a_process_that_was_killed(address: str, store: Store) -> None:
    job = job_of(store)
    store.let_go(job)
    with holder(address, job) as process:
        assert first_line(process) == "held"
        with pytest.raises(StoreError, match=r"is held by bench 2 \("):
            store.hold(job)
        process.kill()
        process.wait()
        assert store.held() == []
        assert store.hold(job).startswith("Taken over from bench 2 (")


def test_a_second_process_on_the_same_job_is_refused_and_the_first_goes_on(address: str, store: Store) -> None:
    job = job_of(store)
    with subprocess.Popen(
        [sys.executable, "-c", HOLDER, address, job], stdin=subprocess.DEVNULL, stderr=subprocess.PIPE, text=True
    ) as process:
        if process.stderr is None:
            raise RuntimeError("no pipe")
        assert f"Job {job} is held by bench 1" in process.stderr.read()
    assert store.append(job, "told", {}).seq == 1


def test_who_a_bench_is(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NEXTPROBE_BENCH", "by the window")
    assert this_bench().name.startswith("by the window (")
    assert this_bench("bench 9").name.startswith("bench 9 (")
    monkeypatch.setenv("NEXTPROBE_BENCH", "")
    assert "(" not in this_bench().name


def test_whether_a_process_is_gone() -> None:
    me = this_bench()
    assert not is_gone(me.machine, me.process)
    assert not is_gone("another machine", "1-1")
    assert not is_gone(me.machine, "nobody")
    with subprocess.Popen([sys.executable, "-c", "pass"]) as child:
        its = benches._process(child.pid)
    assert is_gone(me.machine, its)
    # Its number may belong to another process by now, which began at another time (proc(5), field 22).
    if "-" in me.process:
        assert is_gone(me.machine, me.process.partition("-")[0] + "-1")
