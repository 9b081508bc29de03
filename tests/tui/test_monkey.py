"""A monkey at the keys and the mouse: no crash, no dead screen, nothing recorded is lost. No outside source.

What it presses is seeded. After each sitting every job of the store verifies, and replays to a walk that asks again.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from nextprobe.job import replayed
from nextprobe.record.store import Store, open_store
from nextprobe_tui.app import BenchApp
from nextprobe_tui.desk import Desk
from nextprobe_tui.screens.bench import BenchScreen
from nextprobe_tui.screens.intake_questions import Intake
from nextprobe_tui.screens.rehearsal import RehearsalScreen
from nextprobe_tui.screens.start import StartScreen
from tests.tui.conftest import LAMP

KEYS = (
    *"1234567890abcdeimnoprstuvw.,-#",
    *("enter",) * 12,
    *("escape",) * 4,
    *("up", "down", "left", "right", "home", "end", "pageup", "pagedown", "tab", "shift+tab", "backspace", "space"),
    *(f"f{number}" for number in range(1, 11)),
    *(
        "f12",
        "ctrl+r",
        "ctrl+t",
        "ctrl+o",
        "ctrl+g",
        "ctrl+n",
        "ctrl+l",
        "ctrl+p",
        "ctrl+b",
        "ctrl+y",
        "ctrl+s",
        "ctrl+q",
    ),
)
SIZES = ((80, 24), (120, 40), (60, 18))


def app_of(store: Store, rng: np.random.Generator) -> BenchApp:
    """The screens at the start, in a job, or in a rehearsal."""
    chance = rng.random()
    if chance < 0.6:
        opened = Desk(store).begin(str(LAMP), None, "dark", Intake())
        return BenchApp(lambda: BenchScreen(opened.walk, opened.job.id, over=opened.go_over))
    if chance < 0.8:
        rehearsal = Desk(store).rehearse(str(LAMP), None, "dark", str(rng.choice(("guided", "free", "typed"))))
        return BenchApp(lambda: RehearsalScreen(rehearsal))
    return BenchApp(lambda: StartScreen(Desk(store)))


async def sitting(store: Store, rng: np.random.Generator, presses: int) -> int:
    """Press and click up to `presses` times, until the monkey has left the screens; how often it did."""
    app = app_of(store, rng)
    size = SIZES[int(rng.integers(len(SIZES)))]
    async with app.run_test(size=size) as pilot:
        await pilot.pause(0.05)
        for done in range(presses):
            if not app.is_running or app._exit:
                return done
            if rng.random() < 0.08:
                await pilot.click(offset=(int(rng.integers(size[0])), int(rng.integers(size[1]))))
            else:
                await pilot.press(str(rng.choice(KEYS)))
            if rng.random() < 0.05:
                await pilot.pause(0.02)
    return presses


async def monkey(folder: Path, seed: int, presses: int) -> None:
    rng = np.random.default_rng(seed)
    with open_store(f"sqlite:///{folder / 'jobs.db'}") as store:
        left = presses
        while left > 0:
            left -= max(1, await sitting(store, rng, min(left, 120)))
            for job in store.jobs():
                assert store.verify(job.id) == []
        jobs = store.jobs()
        assert jobs
        for job in jobs:
            walk = replayed(store, job)
            assert walk.ask().kind == "done" or job.state == "open"
            told = sum(event.kind == "told" for event in store.events(job.id))
            undone = sum(event.kind == "undone" for event in store.events(job.id))
            assert len(walk.path) >= told - undone - sum(e.kind == "skipped" for e in store.events(job.id))


@pytest.mark.parametrize("seed", range(3))
async def test_a_monkey_breaks_nothing(tmp_path: Path, seed: int) -> None:
    await monkey(tmp_path, seed, 200)


@pytest.mark.soak
@pytest.mark.parametrize("seed", range(100, 120))
async def test_a_monkey_breaks_nothing_in_the_long_run(tmp_path: Path, seed: int) -> None:
    await monkey(tmp_path, seed, 1000)
