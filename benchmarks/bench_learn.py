"""Learning from many jobs: reading their records, and what they say of a pack's numbers.

Usage: python benchmarks/bench_learn.py [JOBS]   (default 2,000; the aim is stated for 100,000)

The jobs are those of the bundled bicycle pack, walked by the engine on some simulated machines and repeated; on SQLite
and on PostgreSQL in one run.
"""

from __future__ import annotations

import sys
import tempfile
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from bench_store import AT_ONCE, server

from nextprobe import Walk, load_pack
from nextprobe.learn.gather import gather
from nextprobe.learn.learn import learn
from nextprobe.pack.load import kept_text
from nextprobe.pack.pack import Pack
from nextprobe.record.events import genesis, make_event
from nextprobe.record.jobs import job_id, stamp
from nextprobe.record.reader import row_of
from nextprobe.record.statements import ADD_EVENT, KEEP_PACK, insert
from nextprobe.record.store import Store, open_store
from nextprobe.rehearse.follow import follow
from nextprobe.rehearse.make import Hidden, make_machine

MACHINES = 40

Walked = list[tuple[str, dict[str, Any]]]


def walked(pack: Pack) -> list[Walked]:
    """The events of jobs on machines whose faults are drawn by their weights."""
    found = []
    for seed in range(MACHINES):
        events: Walked = []
        walk = Walk(pack, sink=lambda kind, data, events=events: events.append((kind, data)))
        situation = walk.situation
        machine = make_machine(pack, situation.symptom, situation.options, Hidden(seed), situation.lacks)
        follow(walk, machine)
        found.append(events)
    return found


def fill(store: Store, pack: Pack, patterns: list[Walked], jobs: int) -> int:
    """So many ended jobs, a few minutes after each other; the number of their events."""
    moment, count = datetime(2020, 1, 1, tzinfo=UTC), 0
    with store.database.writing():
        store.database.run(KEEP_PACK, {"hash": pack.hash, "id": pack.id, "text": kept_text(pack)})
    for first in range(0, jobs, AT_ONCE):
        lines, rows = [], []
        for number in range(first, min(first + AT_ONCE, jobs)):
            at = moment + timedelta(minutes=7 * number)
            name, pattern = job_id(at), patterns[number % len(patterns)]
            head = genesis(name)
            for seq, (kind, data) in enumerate(pattern, 1):
                event = make_event(head, seq, stamp(at + timedelta(seconds=seq)), kind, data)
                head = event.hash
                rows.append(row_of(name, event))
            count += len(pattern)
            lines.append(
                {
                    "id": name,
                    "opened": stamp(at),
                    "pack_id": pack.id,
                    "pack_hash": pack.hash,
                    "board": "",
                    "symptom": pattern[0][1]["symptom"],
                    "state": "ended",
                    "ending": pattern[-1][1]["ending"],
                    "events": len(pattern),
                    "head": head,
                }
            )
        with store.database.writing():
            store.database.many(insert("jobs"), lines)
            store.database.many(ADD_EVENT, rows)
    return count


def measure(name: str, address: str, pack: Pack, patterns: list[Walked], jobs: int) -> None:
    """Print how long reading and learning take in one store."""
    with open_store(address) as store:
        events = fill(store, pack, patterns, jobs)
        begun = time.perf_counter()
        gathered = gather(store, pack)
        read = time.perf_counter()
        learned = learn(pack, gathered)
        done = time.perf_counter()
    print(f"{name}: {jobs:,} jobs, {events:,} events; {len(gathered.cases):,} learnt from")
    print(f"  reading and verifying the records  {read - begun:8.2f} s  {1000 * (read - begun) / jobs:.2f} ms a job")
    print(f"  learning                           {done - read:8.2f} s  ({learned.rounds} rounds of EM)", flush=True)


def main() -> None:
    """SQLite, then PostgreSQL where its wheel is installed."""
    jobs = int(sys.argv[1]) if len(sys.argv) > 1 else 2000
    pack = load_pack("dynamo-light")
    patterns = walked(pack)
    with tempfile.TemporaryDirectory() as folder:
        measure("SQLite", f"sqlite:///{Path(folder) / 'jobs.db'}", pack, patterns, jobs)
        with server(Path(folder)) as address:
            if address is not None:
                measure("PostgreSQL", address, pack, patterns, jobs)


if __name__ == "__main__":
    main()
