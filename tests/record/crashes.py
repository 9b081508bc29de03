"""Four ways in which a bench or its disk fails while a job is recorded, each at an instant drawn from a seed."""

from __future__ import annotations

import random
import shutil
import subprocess
import sys
import time
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

import pytest

from nextprobe.errors import StoreError
from nextprobe.record.store import Store, open_store

# Says each job and event once the store has acknowledged it; a refusal ends it, said as a word of its own.
WRITER = """
import sys
from nextprobe.errors import StoreError
from nextprobe.record.store import open_store
if sys.argv[2] != "0":
    import resource
    resource.setrlimit(resource.RLIMIT_FSIZE, (int(sys.argv[2]), int(sys.argv[2])))
try:
    store = open_store(sys.argv[1], patience=2)
    while True:
        job = store.create_job("p", "h", "t", None, "s", "Mira Tolland", first=[("started", {"n": 0})])
        print(job.id, 1, flush=True)
        for n in range(6):
            print(job.id, store.append(job.id, "told", {"text": "x" * 300}).seq, flush=True)
        store.end_job(job.id, "repaired")
except StoreError as error:
    print("refused", error.message, flush=True)
"""


class Acknowledged:
    """What a writer said was recorded: the last event of each job, and what it was refused."""

    def __init__(self, said: str) -> None:
        self.last: dict[str, int] = {}
        self.refused = ""
        # The last line may have been cut by the kill: only a whole one counts.
        for line in said[: said.rfind("\n") + 1].splitlines():
            word, _, rest = line.partition(" ")
            if word == "refused":
                self.refused = rest
            else:
                self.last[word] = int(rest)


def begin(address: str, limit: int = 0) -> subprocess.Popen[str]:
    """A writer; `limit`: the size in bytes at which a file of its own can grow no more, as on a full disk."""
    return subprocess.Popen([sys.executable, "-c", WRITER, address, str(limit)], stdout=subprocess.PIPE, text=True)


def until(writer: subprocess.Popen[str], seconds: float, act: Callable[[], None]) -> Acknowledged:
    """What the writer acknowledged, when `act` is done so many seconds behind its first word."""
    if writer.stdout is None:
        raise RuntimeError("no pipe")
    first = writer.stdout.readline()
    time.sleep(seconds)
    act()
    said = first + writer.stdout.read()
    writer.wait()
    writer.stdout.close()
    return Acknowledged(said)


def check(store: Store, told: Acknowledged) -> None:
    """Raises AssertionError unless every acknowledged event is there and every chain verifies."""
    jobs = {job.id: job for job in store.jobs()}
    for id_, last in told.last.items():
        assert id_ in jobs
        assert jobs[id_].events >= last
    # One job or event may have reached the disk before its word was out.
    assert sum(job.events for job in jobs.values()) <= sum(told.last.values()) + 1
    for id_ in jobs:
        assert store.verify(id_) == []


def killed(address: str, draw: random.Random) -> None:
    """The process is killed with no warning."""
    writer = begin(address)
    told = until(writer, draw.uniform(0, 0.12), writer.kill)
    with open_store(address) as store:
        check(store, told)
        open_ones = [job.id for job in store.jobs() if job.state == "open"]
        for id_ in open_ones:
            word = store.hold(id_)
            assert word == "" or word.startswith("Taken over from ")
            store.append(id_, "noted", {"text": "goes on"})
            assert store.verify(id_) == []


def full(address: str, draw: random.Random) -> None:
    """The disk takes no more at some size of the file or of its log."""
    told = until(begin(address, draw.randrange(60_000, 250_000)), 0, lambda: None)
    assert "cannot" in told.refused
    with open_store(address) as store:
        check(store, told)
        job = store.create_job("p", "h", "t", None, "s", None)
        assert store.append(job.id, "told", {}).seq == 1


def read_only(address: str, draw: random.Random) -> None:
    """The file may be read only, from some instant on: the next bench to open it is told, and what is there stays."""
    writer = begin(address)
    told = until(writer, draw.uniform(0, 0.08), writer.kill)
    with open_store(address) as store:
        # Rights do not bind root: the connection itself is forbidden to write, which fails at the same place.
        store.database.rows("PRAGMA query_only = ON")
        for id_ in told.last:
            with pytest.raises(StoreError, match="can only be read"):
                store.append(id_, "told", {})
    with open_store(address) as store:
        check(store, told)


def torn(address: str, draw: random.Random) -> None:
    """The file is copied, without its log or with a part of it, while it is written: the copy is sound or says so."""
    file = Path(address.partition(":///")[2])
    copy = file.with_name("copy.db")

    def tear() -> None:
        for end in ("", "-wal"):
            if end and draw.random() < 0.4:
                continue
            try:
                shutil.copy(f"{file}{end}", f"{copy}{end}")
            except FileNotFoundError:
                continue
        cut = draw.choice(("", "-wal", None))
        part = Path(f"{copy}{cut}")
        if cut is not None and part.exists():
            blob = part.read_bytes()
            part.write_bytes(blob[: draw.randrange(len(blob) + 1)])
        writer.kill()

    writer = begin(address)
    told = until(writer, draw.uniform(0, 0.12), tear)
    with open_store(address) as store:
        check(store, told)
        recorded = {job.id: store.read_events(job.id) for job in store.jobs()}
    # A copy that cannot be used says so; what it calls sound is what was recorded.
    with suppress(StoreError), open_store(f"sqlite:///{copy}") as store:
        for job in store.jobs():
            if store.verify(job.id) == []:
                assert store.read_events(job.id) == recorded[job.id][: job.events]


WAYS = {"killed": killed, "full": full, "read only": read_only, "torn": torn}
