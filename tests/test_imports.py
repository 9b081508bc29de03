"""What a fresh interpreter has loaded after a command: the promise that line mode stays light.

The times behind the promise, measured import by import: numpy 74 ms, jsonschema 87 ms, networkx
132 ms, textual 186 ms, where a bare interpreter takes 10 ms.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

import nextprobe
from nextprobe.job import start_job
from nextprobe.pack.load import load_pack
from nextprobe.record.store import open_store
from nextprobe.resources import packs_dir

SCREENS = {"textual", "rich", "nextprobe_tui"}
HEAVY = {"numpy", "jsonschema", "networkx", "ruamel", "sqlite3", "sqlalchemy", "pyvisa"}

REPORT = """
import json, sys
from nextprobe.cli.main import main
code = main(sys.argv[2:])
loaded = sorted({name.partition(".")[0] for name in sys.modules})
with open(sys.argv[1], "w", encoding="utf-8") as file:
    json.dump({"code": code, "loaded": loaded}, file)
"""


def run_fresh(scratch: Path, *args: str) -> tuple[int, set[str], str]:
    """Run a command line in a fresh interpreter: (exit code, top-level modules loaded, all that it printed)."""
    report = scratch / "loaded.json"
    env = {
        **os.environ,
        "NEXTPROBE_STORE": f"sqlite:///{scratch / 'jobs.db'}",
        "NEXTPROBE_CACHE": str(scratch / "cache"),
        "PYTHONIOENCODING": "utf-8",
    }
    done = subprocess.run(
        [sys.executable, "-c", REPORT, str(report), *args],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        encoding="utf-8",
        env=env,
        check=False,
    )
    printed = done.stdout + done.stderr
    assert report.is_file(), printed
    found = json.loads(report.read_text(encoding="utf-8"))
    return found["code"], set(found["loaded"]), printed


def test_help_loads_nothing_heavy(tmp_path: Path) -> None:
    code, loaded, printed = run_fresh(tmp_path, "--help")
    assert code == 0, printed
    assert loaded & (HEAVY | SCREENS) == set()


def test_validate_never_loads_the_screens(tmp_path: Path) -> None:
    code, loaded, printed = run_fresh(tmp_path, "validate", "no-picture")
    assert code == 0, printed
    assert loaded & SCREENS == set()


def test_validate_from_a_warm_cache_loads_nothing_heavy(tmp_path: Path) -> None:
    run_fresh(tmp_path, "validate", "no-picture")
    code, loaded, printed = run_fresh(tmp_path, "validate", "no-picture")
    assert code == 0, printed
    assert loaded & (HEAVY | SCREENS) == set()


@pytest.mark.parametrize("extra", [(), ("--json",)])
def test_a_walk_in_line_mode_never_loads_the_screens(tmp_path: Path, extra: tuple[str, ...]) -> None:
    demo = packs_dir() / "no-picture" / "demo.yaml"
    code, loaded, printed = run_fresh(
        tmp_path, "walk", "no-picture", "--board", "brindle-14", "--plain", "--answers", str(demo), *extra
    )
    assert code == 0, printed
    assert loaded & SCREENS == set()


PAINTED = """
import json, os, sys
from functools import partialmethod
import nextprobe.cli.main as cli
from nextprobe_tui.app import BenchApp
from nextprobe_tui.screens.bench import BenchScreen
from nextprobe_tui.widgets.step_card import StepCard

report, wanted, *args = sys.argv[1:]
cli.has_terminal = lambda: True
BenchApp.run = partialmethod(BenchApp.run, headless=True, size=(80, 24))

def painted(self):
    screen = self.screen
    if not isinstance(screen, BenchScreen) or wanted not in str([str(one.render()) for one in screen.query("#act")]):
        return
    assert screen.query_one(StepCard).region.area > 0
    with open(report, "w", encoding="utf-8") as file:
        json.dump(sorted(sys.modules), file)
    os._exit(0)

BenchApp.post_display_hook = painted
cli.main(["walk", *args])
"""

#: What no first step needs: arrays, the planner, the belief, records elsewhere, reports, meters, other screens.
LATER = (
    *sorted(HEAVY - {"sqlite3"}),
    "ctypes",
    "nextprobe.belief",
    "nextprobe.model.compile",
    "nextprobe.model.hypotheses",
    "nextprobe.model.model",
    "nextprobe.pack.source",
    "nextprobe.plan",
    "nextprobe.report",
    "nextprobe.review",
    "nextprobe.study",
    "nextprobe.walk.evidence",
    "nextprobe.walk.planning",
)


def test_the_first_step_is_painted_before_anything_heavy_is_loaded(tmp_path: Path) -> None:
    for pack in ("no-picture", "no-reaction"):
        for extra in ((), ("--board", "tansy-12")):
            loaded = painted_with(tmp_path, "Outside look", pack, *extra)
            assert [name for name in loaded if name.startswith(LATER)] == []


def test_a_job_taken_up_shows_its_step_before_anything_heavy_is_loaded(tmp_path: Path) -> None:
    with open_store(f"sqlite:///{tmp_path / 'jobs.db'}") as store:
        opened = start_job(store, load_pack("no-picture", "tansy-12"))
        walk = opened.walk
        while not walk.ask().ranking:  # until a step is planned
            walk.tell(walk.ask().id, walk.ask().choices[0].id)
        opened.let_go()
    loaded = painted_with(tmp_path, walk.ask().title, "--job", opened.job.id)
    assert [name for name in loaded if name.startswith(LATER)] == []


def painted_with(scratch: Path, wanted: str, *args: str) -> list[str]:
    """The modules loaded when the step `wanted` has just been painted by ``walk`` with these arguments."""
    report = scratch / "painted.json"
    env = {
        **os.environ,
        "NEXTPROBE_STORE": f"sqlite:///{scratch / 'jobs.db'}",
        "NEXTPROBE_CACHE": str(scratch / "cache"),
    }
    run = [sys.executable, "-c", PAINTED, str(report), wanted, *args]
    for _ in ("cold", "warm"):  # with a cold cache the pack is checked first, with all that this takes
        report.unlink(missing_ok=True)
        done = subprocess.run(
            run, stdin=subprocess.DEVNULL, capture_output=True, text=True, env=env, check=False, timeout=60
        )
        assert report.is_file(), done.stdout + done.stderr
    found: list[str] = json.loads(report.read_text(encoding="utf-8"))
    return found


def test_the_package_itself_loads_nothing_heavy() -> None:
    script = "import nextprobe, sys; print(*sorted({name.partition('.')[0] for name in sys.modules}))"
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    assert set(done.stdout.split()) & (HEAVY | SCREENS) == set()


@pytest.mark.parametrize("name", nextprobe.__all__)
def test_every_public_name_is_there(name: str) -> None:
    assert getattr(nextprobe, name) is not None
    assert name in dir(nextprobe)


def test_the_public_interface_stays_small() -> None:
    assert len(nextprobe.__all__) <= 20
    assert sorted(nextprobe.__all__) == nextprobe.__all__


def test_a_name_that_is_not_there_is_an_attribute_error() -> None:
    with pytest.raises(AttributeError, match="no attribute 'walkabout'"):
        _ = nextprobe.walkabout
