"""The rows of the start screen and the large action above them. No outside source: the house's own promises."""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest
from textual.widgets import OptionList

from nextprobe.record.store import Store, open_store
from nextprobe_tui.desk import Desk
from nextprobe_tui.screens.bench import BenchScreen
from nextprobe_tui.screens.finished import FinishedScreen
from nextprobe_tui.screens.intake_questions import Intake
from nextprobe_tui.screens.pick import PickScreen
from nextprobe_tui.screens.start import StartScreen
from nextprobe_tui.screens.start_list import LATEST, OLDER
from nextprobe_tui.widgets.feedback import Feedback
from nextprobe_tui.widgets.first_act import FirstAct
from tests.tui.conftest import LAMP
from tests.tui.screens.test_start import Day


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with open_store(f"sqlite:///{tmp_path / 'jobs.db'}") as opened:
        yield opened


def finish(store: Store, times: int) -> list[str]:
    """So many finished jobs; their ids, the first begun first."""
    ids = []
    for number in range(times):
        opened = Desk(store).begin(str(LAMP), None, "dark", Intake())
        opened.walk.leave(f"closing time {number}")
        opened.walk.close()
        ids.append(opened.job.id)
    return ids


async def test_older_finished_jobs_are_picked_from_all_of_them(store: Store) -> None:
    finish(store, LATEST + 2)
    day = Day(store)
    async with day.app.run_test(size=(80, 24)) as pilot:
        await day.until(pilot, StartScreen)
        await day.pick(pilot, OLDER)
        await day.until(pilot, PickScreen)
        await pilot.press("end", "enter")
        await day.until(pilot, FinishedScreen)
        assert "closing time 0" in day.text()


async def test_up_leads_from_the_first_row_back_to_the_large_action_and_escape_from_any(store: Store) -> None:
    day = Day(store)
    async with day.app.run_test(size=(80, 24)) as pilot:
        await day.until(pilot, StartScreen)
        act = day.app.screen.query_one(FirstAct)
        assert act.has_focus
        await pilot.press("down")
        assert day.app.screen.query_one(OptionList).has_focus
        await pilot.press("up")
        assert act.has_focus
        await pilot.press("end", "escape")
        assert act.has_focus


async def test_a_click_on_the_large_action_does_it(store: Store) -> None:
    opened = Desk(store).begin(str(LAMP), None, "dark", Intake())
    opened.let_go()
    day = Day(store)
    async with day.app.run_test(size=(80, 24)) as pilot:
        await day.until(pilot, StartScreen)
        await pilot.click(FirstAct)
        await day.until(pilot, BenchScreen)
        assert isinstance(day.app.screen, BenchScreen)


async def test_a_job_that_was_left_is_the_first_thing_to_go_on_with(store: Store) -> None:
    for _ in range(2):
        Desk(store).begin(str(LAMP), None, "dark", Intake()).let_go()
    older = store.jobs()[-1].id
    day = Day(store)
    async with day.app.run_test(size=(80, 24)) as pilot:
        await day.pick(pilot, f"job {older}")
        await day.until(pilot, BenchScreen)
        await pilot.press("1", "enter")
        await day.until(pilot, BenchScreen)
        await pilot.press("f10")
    day = Day(store)
    async with day.app.run_test(size=(80, 24)) as pilot:
        await day.until(pilot, StartScreen)
        assert older in str(day.app.screen.query_one(FirstAct).render())


async def test_a_store_that_cannot_be_read_is_said(store: Store) -> None:
    assert store.file is not None
    with sqlite3.connect(store.file) as db:
        db.execute("ALTER TABLE events RENAME TO gone")
    day = Day(store)
    async with day.app.run_test(size=(80, 24)) as pilot:
        feedback = day.app.screen.query_one(Feedback)
        for _ in range(200):
            await pilot.pause(0.01)
            if feedback.mode == "error":
                break
        assert feedback.mode == "error"
        await pilot.press("enter", "down", "enter")
        assert isinstance(day.app.screen, StartScreen)
