"""Every screen as text in three sizes, compared with what was looked at. ``make snapshots`` writes them anew.

No outside source. Dates, job ids and the clock are fixed, so that a change is a change of the screen.
"""

from __future__ import annotations

import os
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path
from typing import Any

import pytest
from textual.screen import Screen

from nextprobe import Walk
from nextprobe.pack.pack import Pack
from nextprobe.record.store import open_store
from nextprobe.rehearse.lesson import Task
from nextprobe.rehearse.make import Hidden
from nextprobe.rehearse.rehearsal import Rehearsal, Setting, start_rehearsal
from nextprobe.walk.clock import StepClock
from nextprobe_tui.app import BenchApp
from nextprobe_tui.desk import Desk
from nextprobe_tui.screens.bench import BenchScreen
from nextprobe_tui.screens.finished import FinishedScreen
from nextprobe_tui.screens.intake import IntakeScreen
from nextprobe_tui.screens.intake_questions import Intake
from nextprobe_tui.screens.rehearsal import RehearsalScreen
from nextprobe_tui.screens.rehearsed import RehearsedScreen
from nextprobe_tui.screens.review import ReviewScreen
from nextprobe_tui.screens.start import StartScreen
from nextprobe_tui.screens.study import StudyScreen
from nextprobe_tui.screens.worked_out import WorkedOut
from nextprobe_tui.widgets.row import Row
from tests.tui.conftest import LAMP, Sitting

MORNING = datetime(2026, 3, 9, 8, tzinfo=UTC)
FOLDER = Path(__file__).parent / "snapshots"
WRITE = bool(os.environ.get("NEXTPROBE_WRITE_SNAPSHOTS"))
SIZES = ((80, 24), (120, 40), (200, 60))
#: Name of each picture of the bench and the keys that lead to it.
BENCH: dict[str, tuple[str, ...]] = {
    "bench": (),
    "help": ("f1",),
    "why": ("f2",),
    "path": ("f3",),
    "bench-state": ("f4",),
    "remarks": ("f5",),
    "skip": ("f6",),
    "note": ("f8",),
    "close": ("ctrl+t",),
    "palette": ("ctrl+p",),
}


def compare(name: str, lines: list[str]) -> None:
    """Hold the rows of a screen against the file, or write it."""
    text = "\n".join(line.rstrip() for line in lines).rstrip() + "\n"
    file = FOLDER / f"{name}.txt"
    if WRITE:
        FOLDER.mkdir(exist_ok=True)
        file.write_text(text, "utf-8")
    assert text == file.read_text("utf-8"), f"{name} has changed; look at it, then `make snapshots`"


async def shown(
    screen: Callable[[], Screen[Any]], walk: Walk, size: tuple[int, int], keys: tuple[str, ...]
) -> list[str]:
    app = BenchApp(screen)
    async with app.run_test(size=size) as pilot:
        at = Sitting(app, pilot, walk)
        await at.settle()
        for key in keys:
            await at.press(key)
        before: list[str] = []
        for _ in range(100):  # until nothing moves any more
            await pilot.pause(0.05)
            now = at.lines()
            listed = not isinstance(app.screen, StartScreen) or app.screen.listed
            done = not isinstance(app.screen, WorkedOut) or app.screen.query(Row)
            if now == before and listed and done:
                break
            before = now
        return before


def bench(walk: Walk) -> BenchScreen:
    screen = BenchScreen(walk, "2026-03-09-dk4t")
    screen.clock = StepClock(lambda: 0.0)
    return screen


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
@pytest.mark.parametrize("name", BENCH)
async def test_the_bench_and_what_lies_over_it(lamp: Pack, name: str, size: tuple[int, int]) -> None:
    walk = Walk(lamp)
    walk.tell("outside_look", "sound")
    lines = await shown(lambda: bench(walk), walk, size, BENCH[name])
    compare(f"{name}-{size[0]}x{size[1]}", lines)


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_the_ending(lamp: Pack, size: tuple[int, int]) -> None:
    walk = Walk(lamp)
    walk.tell("outside_look", "sound")
    walk.leave("closing time")
    compare(f"ending-{size[0]}x{size[1]}", await shown(lambda: bench(walk), walk, size, ()))


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_before_a_job(lamp: Pack, tmp_path: Path, size: tuple[int, int]) -> None:
    with open_store(f"sqlite:///{tmp_path / 'jobs.db'}") as store:
        lines = await shown(lambda: StartScreen(Desk(store)), Walk(lamp), size, ())
    compare(f"start-{size[0]}x{size[1]}", lines)
    times = (MORNING + timedelta(minutes=n) for n in count())
    with open_store(f"sqlite:///{tmp_path / 'more.db'}", clock=lambda: next(times)) as store:
        desk = Desk(store, clock=lambda: MORNING + timedelta(hours=5))
        for board in ("brindle-14", "tansy-12"):
            walk = desk.begin("no-picture", board, "no_picture", Intake()).walk
            walk.skip(walk.ask().id, "no light")
        ended = desk.begin(str(LAMP), None, "dark", Intake(facts={"knocked_over": "reported"}))
        ended.walk.tell("outside_look", "sound")
        ended.walk.leave("closing time")
        ended.walk.close()
        lines = await shown(lambda: StartScreen(desk), Walk(lamp), size, ())
        compare(f"start-jobs-{size[0]}x{size[1]}", lines)
        walk, ending = desk.look(ended.job.id)
        row = desk.lying().ended[0]
        now = MORNING + timedelta(hours=5)
        lines = await shown(lambda: FinishedScreen(row, walk, ending, now, store), walk, size, ())
        compare(f"finished-{size[0]}x{size[1]}", lines)
    compare(f"intake-{size[0]}x{size[1]}", await shown(lambda: IntakeScreen(lamp), Walk(lamp), size, ()))


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_the_study(lamp: Pack, size: tuple[int, int]) -> None:
    compare(f"study-{size[0]}x{size[1]}", await shown(lambda: StudyScreen(str(LAMP)), Walk(lamp), size, ()))


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_a_rehearsal_and_its_review(lamp: Pack, tmp_path: Path, size: tuple[int, int]) -> None:
    times = (MORNING + timedelta(minutes=n) for n in count())
    tasks = (Task("Do what the step says, then type the figure.", "answer"),)
    with open_store(f"sqlite:///{tmp_path / 'jobs.db'}", clock=lambda: next(times)) as store:

        def begun(mode: str) -> Rehearsal:
            return start_rehearsal(store, lamp, Setting(Hidden(7, ("driver_dead",), slips=0.0), mode))

        def screen(rehearsal: Rehearsal) -> RehearsalScreen:
            made = RehearsalScreen(rehearsal, tasks)
            made.clock = StepClock(lambda: 0.0)
            return made

        typed, free = begun("typed"), begun("free")
        for rehearsal in (typed, free):
            for _ in range(2):
                ask = rehearsal.walk.ask()
                rehearsal.tell(ask.id, rehearsal.reading(ask))
        name = f"{size[0]}x{size[1]}"
        compare(f"rehearsal-{name}", await shown(lambda: screen(typed), typed.walk, size, ()))
        compare(f"rehearsal-free-{name}", await shown(lambda: screen(free), free.walk, size, ("f12",)))
        while (ask := typed.walk.ask()).kind != "done":
            typed.tell(ask.id, typed.reading(ask))
        result = typed.finish()
        lines = await shown(lambda: RehearsedScreen(result, lamp, typed.opened), typed.walk, size, ())
        compare(f"rehearsed-{name}", lines)
        lines = await shown(lambda: ReviewScreen(store, typed.opened.job.id), typed.walk, size, ())
        compare(f"review-{name}", lines)
