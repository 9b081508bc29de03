"""From the start screen into a recorded job, and back into it another day. No outside source."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot
from textual.widgets import Input, OptionList

from nextprobe.errors import UnreadableError
from nextprobe.record.store import Store, open_store
from nextprobe.resources import bundled_packs
from nextprobe_tui.app import BenchApp
from nextprobe_tui.desk import Desk
from nextprobe_tui.screens.bench import BenchScreen
from nextprobe_tui.screens.intake import Intake, IntakeScreen, money_of
from nextprobe_tui.screens.path import PathScreen
from nextprobe_tui.screens.pick import PickScreen
from nextprobe_tui.screens.prompt import Prompt
from nextprobe_tui.screens.start import StartScreen
from nextprobe_tui.widgets.feedback import Feedback
from tests.tui.conftest import LAMP


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with open_store(f"sqlite:///{tmp_path / 'jobs.db'}") as opened:
        yield opened


class Day:
    """One sitting that begins at the start screen."""

    def __init__(self, store: Store) -> None:
        self.app = BenchApp(lambda: StartScreen(Desk(store)))

    async def until(self, pilot: Pilot[Any], kind: type[object]) -> None:
        for _ in range(1000):
            await pilot.pause(0.01)
            screen = self.app.screen
            listed = not isinstance(screen, StartScreen) or screen.query_one(OptionList).option_count
            stands = not isinstance(screen, BenchScreen) or screen.step is not None
            if isinstance(screen, kind) and listed and stands:
                return
        raise TimeoutError(f"{kind.__name__}: {self.app.screen}")

    async def own_pack(self, pilot: Pilot[Any], path: str) -> None:
        """Choose the last row and give the path of a pack."""
        await self.until(pilot, StartScreen)
        await pilot.press("end", "enter")
        await self.until(pilot, Prompt)
        line = self.app.screen.query_one(Input)
        line.insert_text_at_cursor(path)
        await pilot.press("enter")


async def test_a_job_is_begun_left_and_gone_on_with(store: Store) -> None:
    day = Day(store)
    async with day.app.run_test(size=(80, 24)) as pilot:
        await day.own_pack(pilot, str(LAMP))
        await day.until(pilot, IntakeScreen)
        await pilot.press("enter")
        await day.until(pilot, BenchScreen)
        await pilot.press("1", "enter")
        await day.until(pilot, BenchScreen)
        await pilot.press("f10")
    (job,) = store.jobs()
    assert (job.pack_id, job.state) == ("bench-lamp", "open")
    told = [event.data["ask"] for event in store.events(job.id) if event.kind == "told"]
    assert told == ["outside_look"]

    day = Day(store)
    async with day.app.run_test(size=(80, 24)) as pilot:
        await day.until(pilot, StartScreen)
        await pilot.press("enter")
        await day.until(pilot, BenchScreen)
        assert isinstance(day.app.screen, BenchScreen)
        assert [step.ask for step in day.app.screen.walk.path] == ["outside_look"]
        await pilot.press("ctrl+t")
        await day.until(pilot, Prompt)
        await pilot.press("x", "enter")
        await day.until(pilot, object)
        for _ in range(100):
            await pilot.pause(0.02)
            if "LEFT" in day.app.export_screenshot():
                break
        await pilot.press("enter")
        await day.until(pilot, StartScreen)
        await pilot.press("f10")
    assert store.job(job.id).state == "ended"
    assert store.verify(job.id) == []


async def test_a_bundled_pack_asks_for_its_board_sheet(store: Store) -> None:
    day = Day(store)
    async with day.app.run_test(size=(80, 24)) as pilot:
        await day.until(pilot, StartScreen)
        await pilot.press(*["down"] * bundled_packs().index("no-picture"), "enter")
        await day.until(pilot, PickScreen)
        assert "Brindle" in day.app.export_screenshot()
        await pilot.press("escape")
        await day.until(pilot, StartScreen)
        assert store.jobs() == []
        await pilot.press("f10")


async def test_a_pack_that_is_not_there_is_said(store: Store, tmp_path: Path) -> None:
    day = Day(store)
    async with day.app.run_test(size=(80, 24)) as pilot:
        await day.own_pack(pilot, str(tmp_path / "nowhere"))
        await day.until(pilot, StartScreen)
        feedback = day.app.screen.query_one(Feedback)
        for _ in range(200):
            await pilot.pause(0.01)
            if feedback.mode == "error":
                break
        assert "There is no pack" in str(feedback.render())
    assert store.jobs() == []


async def test_all_that_is_known_at_the_start_is_recorded(store: Store) -> None:
    day = Day(store)
    async with day.app.run_test(size=(80, 24)) as pilot:
        await day.own_pack(pilot, str(LAMP))
        await day.until(pilot, IntakeScreen)
        await pilot.press("down", "enter")
        await day.until(pilot, Prompt)
        await pilot.press(*"12,50", "enter")
        await day.until(pilot, IntakeScreen)
        assert "12.5 EUR" in day.app.export_screenshot().replace("&#160;", " ")
        await pilot.press("down", "right")  # the owner tells: yes
        await pilot.press("down", "right")  # mains: plugged
        await pilot.press("down", "down", "left")  # the driver: the last of its values
        await pilot.press("home", "enter")
        await day.until(pilot, BenchScreen)
        await pilot.press("f10")
    (job,) = store.jobs()
    started, told = store.events(job.id)[:2]
    assert started.data["limit"] == 12.5
    assert started.data["bench"] == {"mains": "plugged", "shade": "fitted"}
    assert started.data["options"] == {"driver_type": "dimming"}
    assert (told.data["ask"], told.data["told"]) == ("knocked_over", "reported")


async def test_leaving_the_intake_records_nothing(store: Store) -> None:
    day = Day(store)
    async with day.app.run_test(size=(80, 24)) as pilot:
        await day.own_pack(pilot, str(LAMP))
        await day.until(pilot, IntakeScreen)
        await pilot.press("escape")
        await day.until(pilot, StartScreen)
        assert store.jobs() == []


async def test_a_finished_job_can_be_looked_at(store: Store) -> None:
    opened = Desk(store).begin(str(LAMP), None, "dark", Intake())
    opened.walk.tell("outside_look", "sound")
    opened.walk.leave("closing time")
    opened.walk.close()
    day = Day(store)
    async with day.app.run_test(size=(80, 24)) as pilot:
        await day.until(pilot, StartScreen)
        await pilot.press("end", "enter")
        await day.until(pilot, PathScreen)
        assert "Look the lamp over" in day.app.export_screenshot().replace("&#160;", " ")


@pytest.mark.parametrize(("typed", "money"), [("", None), ("150", 150.0), ("12,50", 12.5), ("0", 0.0)])
def test_money_may_be_typed_as_it_is_said(typed: str, money: float | None) -> None:
    assert money_of(typed) == money


@pytest.mark.parametrize("typed", ["much", "-1", "inf", "1e12", "nan"])
def test_what_is_no_sum_of_money_is_said(typed: str) -> None:
    with pytest.raises(UnreadableError, match="no sum of money"):
        money_of(typed)
