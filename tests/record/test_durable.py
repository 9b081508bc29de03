"""Whatever fails at any instant, a record holds every event that was acknowledged, and every chain verifies.

Real processes, killed by the system (signal 9) or stopped by its limit on the size of files (setrlimit(2)).
"""

from __future__ import annotations

import random
import subprocess
import sys
from pathlib import Path

import pytest

from tests.record.crashes import WAYS, killed
from tests.record.stores import new_database

FEW, MANY = 5, 50
"""Seeds for each of the four ways: 20 instants in a plain run, 200 in a long one."""


@pytest.mark.parametrize("seed", range(FEW))
@pytest.mark.parametrize("way", WAYS)
def test_what_was_acknowledged_is_there(tmp_path: Path, way: str, seed: int) -> None:
    WAYS[way](f"sqlite:///{tmp_path / 'jobs.db'}", random.Random(f"{way} {seed}"))


@pytest.mark.soak
@pytest.mark.parametrize("seed", range(FEW, MANY))
@pytest.mark.parametrize("way", WAYS)
def test_what_was_acknowledged_is_there_at_many_instants(tmp_path: Path, way: str, seed: int) -> None:
    WAYS[way](f"sqlite:///{tmp_path / 'jobs.db'}", random.Random(f"{way} {seed}"))


@pytest.mark.parametrize("seed", range(3))
def test_a_bench_that_was_killed_while_it_wrote_to_a_server(postgres: str, seed: int) -> None:
    killed(new_database(postgres), random.Random(f"server {seed}"))


@pytest.mark.soak
@pytest.mark.parametrize("seed", range(3, 30))
def test_a_bench_that_was_killed_at_many_instants(postgres: str, seed: int) -> None:
    killed(new_database(postgres), random.Random(f"server {seed}"))


def test_several_processes_open_a_new_store_at_once(tmp_path: Path) -> None:
    code = "import sys; from nextprobe.record.store import open_store; open_store(sys.argv[1]).close()"
    address = f"sqlite:///{tmp_path / 'jobs.db'}"
    opened = [subprocess.Popen([sys.executable, "-c", code, address]) for _ in range(4)]
    assert [process.wait(timeout=60) for process in opened] == [0, 0, 0, 0]
