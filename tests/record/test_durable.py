"""Killed at any instant, a record holds every event that was acknowledged (kill -9 of a real process)."""

import random
import subprocess
import sys
import time
from pathlib import Path

import pytest

from nextprobe.record.store import open_store

WRITER = """
import sys
from nextprobe.record.store import open_store
store = open_store(sys.argv[1])
job = store.create_job("p", "h", "t", None, "s", None)
print(job.id, flush=True)
while True:
    event = store.append(job.id, "told", {"text": "x" * 300})
    print(event.seq, flush=True)
"""


def run_until_killed(address: str, seconds: float) -> list[str]:
    """What a writer acknowledged before it was killed, `seconds` after its first word."""
    with subprocess.Popen([sys.executable, "-c", WRITER, address], stdout=subprocess.PIPE, text=True) as writer:
        if writer.stdout is None:
            raise RuntimeError("no pipe")
        first = writer.stdout.readline()
        time.sleep(seconds)
        writer.kill()
        rest = writer.stdout.read()
    # The last line may have been cut by the kill: only a whole one is an acknowledgement.
    return (first + rest[: rest.rfind("\n") + 1]).split()


@pytest.mark.parametrize("seed", range(6))
def test_what_was_acknowledged_is_there(tmp_path: Path, seed: int) -> None:
    address = f"sqlite:///{tmp_path / 'jobs.db'}"
    job, *told = run_until_killed(address, random.Random(seed).uniform(0, 0.15))
    with open_store(address) as store:
        events = store.events(job)
        assert len(events) >= len(told)
        assert [event.seq for event in events] == list(range(1, len(events) + 1))
        assert len(events) <= len(told) + 1
        assert store.verify(job) == []
        assert store.append(job, "told", {}).seq == len(events) + 1


def test_several_processes_open_a_new_store_at_once(tmp_path: Path) -> None:
    code = "import sys; from nextprobe.record.store import open_store; open_store(sys.argv[1]).close()"
    address = f"sqlite:///{tmp_path / 'jobs.db'}"
    opened = [subprocess.Popen([sys.executable, "-c", code, address]) for _ in range(4)]
    assert [process.wait(timeout=60) for process in opened] == [0, 0, 0, 0]
