"""A record replays to the same walk, at every point; killing the process between events loses nothing."""

from __future__ import annotations

import json
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from nextprobe import Pack, Walk
from nextprobe.record.store import open_store
from tests.oracle.packs import typed
from tests.walk.drive import Event, open_walk, step
from tests.walk.packs import whole_pack

ROOT = Path(__file__).parent.parent.parent


def picture(walk: Walk) -> dict[str, Any]:
    """All that counts of a walk, as values that can be compared."""
    ask = walk.ask()
    return {
        "belief": walk.belief(),
        "conflict": walk.conflict(),
        "bench": walk.bench,
        "options": walk.options,
        "minutes": walk.minutes,
        "wait": walk.wait,
        "money": walk.money,
        "remarks": walk.remarks,
        "path": walk.path,
        "ask": ask,
        "ending": walk.ending,
    }


def through_json(events: list[Event]) -> list[Event]:
    return [(kind, data) for kind, data in json.loads(json.dumps(events))]


def with_detours(walk: Walk, rng: np.random.Generator) -> None:
    """One answer, sometimes with what a person does beside it: undo, remark, note, the bench as it is."""
    step(walk, rng)
    dice = rng.random()
    if dice < 0.15 and walk.path:
        walk.undo()
    elif dice < 0.25:
        walk.remark("dusty")
    elif dice < 0.3:
        walk.note("The owner is in a hurry.")
    elif dice < 0.4:
        walk.set_bench({"cover": str(rng.choice(["fitted", "removed"]))})
    elif dice < 0.42 and walk.ending is None:
        walk.leave("closing time")


def played(seed: int, after_each: Callable[[Walk, list[Event]], None]) -> tuple[Pack, list[Event], Walk]:
    """A whole walk with detours; `after_each` sees the walk and its events after every answer."""
    rng = np.random.default_rng(seed)
    data = whole_pack(rng)
    events: list[Event] = []
    walk = open_walk(rng, data, lambda kind, told: events.append((kind, told)))
    after_each(walk, events)
    for _ in range(60):
        if walk.ask().kind == "done":
            break
        with_detours(walk, rng)
        after_each(walk, events)
    walk.close()
    return typed(data), events, walk


@pytest.mark.parametrize("seed", range(40))
def test_a_record_replays_to_the_same_walk(seed: int) -> None:
    pack, events, walk = played(seed, lambda walk, events: None)
    again = Walk.replay(pack, through_json(events))
    assert picture(again) == picture(walk)
    assert walk.ending is not None


@pytest.mark.parametrize("seed", range(12))
def test_a_record_replays_to_the_walk_as_it_was_at_every_point(seed: int) -> None:
    seen: list[tuple[int, dict[str, Any]]] = []
    pack, events, _ = played(seed, lambda walk, events: seen.append((len(events), picture(walk))))
    record = through_json(events)
    for count, wanted in seen:
        assert picture(Walk.replay(pack, record[:count])) == wanted


@pytest.mark.parametrize("seed", range(8))
def test_a_walk_that_is_taken_up_again_after_every_answer_goes_the_same_way(seed: int) -> None:
    pack, events, walk = played(seed, lambda walk, events: None)
    started = through_json(events)
    again = Walk.replay(pack, started[:1])
    for place in range(1, len(started)):
        again = Walk.replay(pack, started[: place + 1])
    assert picture(again) == picture(walk)


@pytest.mark.parametrize("seed", range(6))
def test_cut_after_every_event_the_store_gives_the_walk_back(tmp_path: Path, seed: int) -> None:
    """Another connection reads the file after each event, as a process does that starts after a crash."""
    address = f"sqlite:///{tmp_path / 'jobs.db'}"
    rng = np.random.default_rng(seed)
    data = whole_pack(rng)
    pack = typed(data)
    with open_store(address) as store:
        job = store.create_job(pack.id, pack.hash, "text", None, "dark", None)
        written: list[Event] = []

        def sink(kind: str, told: dict[str, Any]) -> None:
            store.append(job.id, kind, told)
            written.append((kind, told))
            # The event is durable before the walk has taken it in: a crash here still finds it.
            assert [(event.kind, event.data) for event in reader.events(job.id)] == through_json(written)

        with open_store(address) as reader:
            walk = open_walk(rng, data, sink)
            for _ in range(60):
                if walk.ask().kind == "done":
                    break
                with_detours(walk, rng)
                stored = [(event.kind, event.data) for event in reader.events(job.id)]
                assert picture(Walk.replay(pack, stored)) == picture(walk)
        assert store.verify(job.id) == []


CHILD = """
import sys
from tests.walk.test_replay import write_walk
write_walk(sys.argv[1], int(sys.argv[2]))
"""


def write_walk(address: str, seed: int) -> None:
    """Walk into the store without end, one job after another, and say each event once it is durable."""
    with open_store(address) as store:
        while True:
            rng = np.random.default_rng(seed)
            data = whole_pack(rng)
            job = store.create_job("generated", typed(data).hash, "text", None, "dark", None)
            print("job", job.id, seed, flush=True)

            def sink(kind: str, told: dict[str, Any], job_id: str = job.id) -> None:
                print("event", store.append(job_id, kind, told).seq, flush=True)

            walk = open_walk(rng, data, sink)
            while walk.ask().kind != "done":
                step(walk, rng)
            seed += 1


@pytest.mark.parametrize("trial", range(3))
def test_a_walk_killed_at_any_instant_loses_nothing(tmp_path: Path, trial: int) -> None:
    """kill -9 of a real process: what it said is in the store, and replays to what an undisturbed walk was there."""
    address = f"sqlite:///{tmp_path / 'jobs.db'}"
    with subprocess.Popen(
        [sys.executable, "-c", CHILD, address, str(trial * 100)], stdout=subprocess.PIPE, text=True, cwd=ROOT
    ) as child:
        if child.stdout is None:
            raise RuntimeError("no pipe")
        first = child.stdout.readline()
        time.sleep(0.05 + 0.13 * trial)
        child.kill()
        rest = child.stdout.read()
    lines = (first + rest[: rest.rfind("\n") + 1]).splitlines()
    place = max(number for number, line in enumerate(lines) if line.startswith("job"))
    _, job, seed = lines[place].split()
    said = len(lines) - place - 1
    with open_store(address) as store:
        stored = [(event.kind, event.data) for event in store.events(job)]
        assert said <= len(stored) <= said + 1
        assert store.verify(job) == []
    whole: list[tuple[Event, dict[str, Any]]] = []
    rng = np.random.default_rng(int(seed))
    data = whole_pack(rng)
    pending: list[Event] = []
    walk = open_walk(rng, data, lambda kind, told: pending.append((kind, told)))
    whole.append((pending[-1], picture(walk)))
    while walk.ask().kind != "done":
        step(walk, rng)
        whole.append((pending[-1], picture(walk)))
    assert stored == through_json([event for event, _ in whole[: len(stored)]])
    if stored:
        assert picture(Walk.replay(typed(data), stored)) == whole[len(stored) - 1][1]
