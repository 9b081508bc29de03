"""A job that another bench holds, or held until it crashed, as each way in shows it. The project's own rules."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from io import StringIO
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

from nextprobe.cli.main import main
from nextprobe.errors import StoreError
from nextprobe.job import resume_job, start_job
from nextprobe.pack.load import load_pack
from nextprobe.record.store import open_store
from nextprobe_tui.app import BenchApp
from nextprobe_tui.desk import Desk
from nextprobe_tui.screens.start import StartScreen

LAMP = Path(__file__).parent / "tui" / "lamp" / "pack.yaml"

OTHER = """
import sys
from nextprobe.job import resume_job
from nextprobe.record.store import open_store
opened = resume_job(open_store(sys.argv[1], bench="bench 2"), sys.argv[2])
print("held", flush=True)
sys.stdin.read()
"""


@pytest.fixture
def job(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> str:
    monkeypatch.setenv("NEXTPROBE_STORE", f"sqlite:///{tmp_path / 'jobs.db'}")
    with open_store() as store:
        return start_job(store, load_pack(LAMP)).job.id


@contextmanager
def other_bench(job: str, folder: Path) -> Iterator[subprocess.Popen[str]]:
    """Another process that walks the job; killed at the end, if it was not before."""
    address = f"sqlite:///{folder / 'jobs.db'}"
    with subprocess.Popen(
        [sys.executable, "-c", OTHER, address, job], stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
    ) as process:
        if process.stdout is None:
            raise RuntimeError("no pipe")
        assert process.stdout.readline() == "held\n"
        yield process
        process.kill()


def kill(process: subprocess.Popen[str]) -> None:
    process.kill()
    process.wait()


def test_the_second_bench_is_told_and_takes_over_after_a_crash(job: str, tmp_path: Path) -> None:
    with open_store() as store, other_bench(job, tmp_path) as process:
        with pytest.raises(StoreError, match=f"Job {job} is held by bench 2"):
            resume_job(store, job)
        kill(process)
        opened = resume_job(store, job)
        assert opened.taken_over.startswith("Taken over from bench 2")
        opened.walk.tell("outside_look", "sound")
        assert store.verify(job) == []
        assert resume_job(store, job).taken_over == ""
        opened.let_go()
        assert store.held() == []


def test_line_mode_says_it(
    job: str, tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "stdin", StringIO(""))
    with other_bench(job, tmp_path) as process:
        assert main(["walk", "--job", job, "--plain"]) == 2
        assert f"Job {job} is held by bench 2" in capsys.readouterr().err
        kill(process)
        assert main(["walk", "--job", job, "--plain"]) == 0
        assert "Taken over from bench 2" in capsys.readouterr().out
    assert main(["walk", "--job", job, "--plain"]) == 0
    assert "Taken over" not in capsys.readouterr().out


async def appears(pilot: Pilot[Any], words: str) -> bool:
    """Whether the words come on the screen, as its picture has them."""
    for _ in range(400):
        await pilot.pause(0.02)
        if words in pilot.app.export_screenshot().replace("&#160;", " "):
            return True
    return False


async def test_the_screens_say_it(job: str, tmp_path: Path) -> None:
    with open_store() as store, other_bench(job, tmp_path) as process:
        app = BenchApp(lambda: StartScreen(Desk(store)))
        async with app.run_test(size=(120, 40), notifications=True) as pilot:
            assert await appears(pilot, job[-4:])
            await pilot.press("enter")
            assert await appears(pilot, "is held by bench 2")
            kill(process)
            await pilot.press("enter")
            assert await appears(pilot, "Taken over from bench 2")
            await pilot.press("f10")
    with open_store() as store:
        assert store.held() == []
