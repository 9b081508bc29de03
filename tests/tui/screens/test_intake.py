"""What is told before the first step. How money is written: common practice, no source; the rest is the house's own."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from textual.widgets import Input, OptionList

from nextprobe import load_pack
from nextprobe.errors import UnreadableError
from nextprobe.record.store import Store, open_store
from nextprobe_tui.app import BenchApp
from nextprobe_tui.screens.bench import BenchScreen
from nextprobe_tui.screens.intake import IntakeScreen
from nextprobe_tui.screens.intake_money import money_of
from nextprobe_tui.screens.intake_questions import Intake, questions, told
from nextprobe_tui.screens.pick import PickScreen
from nextprobe_tui.screens.prompt import Prompt
from nextprobe_tui.screens.start import StartScreen
from nextprobe_tui.widgets.feedback import Feedback
from tests.test_job import broken
from tests.tui.conftest import LAMP
from tests.tui.screens.test_start import Day


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with open_store(f"sqlite:///{tmp_path / 'jobs.db'}") as opened:
        yield opened


@pytest.mark.parametrize(
    ("typed", "money"),
    [("", None), ("150", 150.0), ("12,50", 12.5), ("12,5", 12.5), ("0", 0.0), ("150 EUR", 150.0), ("12,", 12.0)],
)
def test_money_may_be_typed_as_it_is_said(typed: str, money: float | None) -> None:
    assert money_of(typed, "EUR") == money


@pytest.mark.parametrize("typed", ["much", "-1", "inf", "1e12", "nan", "1_000", "1.500.000", "150 USD", "1.2345"])
def test_what_is_no_sum_of_money_is_said(typed: str) -> None:
    with pytest.raises(UnreadableError, match="no sum of money"):
        money_of(typed, "EUR")


@pytest.mark.parametrize("typed", ["1,500", "1.500"])
def test_a_sum_that_can_be_read_in_two_ways_is_refused_with_both(typed: str) -> None:
    with pytest.raises(UnreadableError, match=r"two ways. Write 1500, or 1\.50\."):
        money_of(typed)


async def test_wrong_money_is_said_at_once_and_stays_to_be_put_right(store: Store) -> None:
    day = Day(store)
    async with day.app.run_test(size=(80, 24)) as pilot:
        await day.own_pack(pilot, str(LAMP))
        await day.until(pilot, IntakeScreen)
        await pilot.press("down", "enter")
        await day.until(pilot, Prompt)
        await pilot.press(*"1,500")
        prompt = day.app.screen
        assert prompt.query_one(Feedback).mode == "error"
        assert "Write 1500, or 1.50." in day.text()
        await pilot.press("enter")
        await pilot.pause()
        assert day.app.screen is prompt
        assert prompt.query_one(Input).value == "1,500"
        await pilot.press("backspace")
        assert "at most 1.50 EUR" in day.text()
        await pilot.press("enter")
        await day.until(pilot, IntakeScreen)
        assert "The owner's limit: 1.50 EUR" in day.text()


async def test_going_back_loses_nothing(store: Store) -> None:
    day = Day(store)
    async with day.app.run_test(size=(120, 40)) as pilot:
        await day.pick(pilot, "pack no-picture")
        await day.until(pilot, PickScreen)
        await pilot.press("down", "enter")
        await day.until(pilot, IntakeScreen)
        await pilot.press("down", "enter")
        await day.until(pilot, Prompt)
        await pilot.press(*"80", "enter")
        await day.until(pilot, IntakeScreen)
        await pilot.press("down", "right")  # the first row: yes
        before = day.text()
        assert "[yes]" in before
        await pilot.press("escape")
        await day.until(pilot, PickScreen)
        assert day.app.screen.query_one(OptionList).highlighted == 1
        await pilot.press("escape")
        await day.until(pilot, StartScreen)
        assert store.jobs() == []
        await day.pick(pilot, "pack no-picture")
        await day.until(pilot, PickScreen)
        await pilot.press("enter")
        await day.until(pilot, IntakeScreen)
        assert day.text() == before
        await pilot.press("enter")
        await day.until(pilot, BenchScreen)
        await pilot.press("f10")
    (job,) = store.jobs()
    started, fact = store.events(job.id)
    assert (started.data["limit"], started.data["board"]) == (80.0, "tansy-12")
    assert fact.data["told"] == "reported"


async def test_escape_leads_from_page_to_page_back_to_the_start(store: Store) -> None:
    day = Day(store)
    async with day.app.run_test(size=(80, 24)) as pilot:
        await day.until(pilot, StartScreen)
        await pilot.press("enter")
        await day.until(pilot, PickScreen)
        assert "What does the machine do wrong?" in day.text()
        await pilot.press("down", "down", "enter")
        for _ in range(300):
            await pilot.pause(0.01)
            if "Which machine is it?" in day.text():
                break
        await pilot.press("enter")
        await day.until(pilot, IntakeScreen)
        await pilot.press("escape")
        await day.until(pilot, PickScreen)
        assert "Which machine is it?" in day.text()
        await pilot.press("escape")
        for _ in range(300):
            await pilot.pause(0.01)
            if "What does the machine do wrong?" in day.text():
                break
        assert day.app.screen.query_one(OptionList).highlighted == 2
        await pilot.press("escape")
        await day.until(pilot, StartScreen)
    assert store.jobs() == []


async def test_a_store_that_fails_is_said_and_what_was_given_is_kept(store: Store) -> None:
    day = Day(store)
    assert store.file is not None
    broken(store.file)
    async with day.app.run_test(size=(80, 24)) as pilot:
        await day.own_pack(pilot, str(LAMP))
        await day.until(pilot, IntakeScreen)
        await pilot.press("down", "down", "right", "home", "enter")
        await day.until(pilot, StartScreen)
        feedback = day.app.screen.query_one(Feedback)
        for _ in range(200):
            await pilot.pause(0.01)
            if feedback.mode == "error":
                break
        assert feedback.mode == "error"
        assert store.jobs() == []
        await day.own_pack(pilot, "")
        await day.until(pilot, IntakeScreen)
        assert "[yes]" in day.text()


def test_only_what_makes_a_difference_on_this_machine_is_asked() -> None:
    tansy = load_pack("no-picture", "tansy-12")
    assert "slot_wiring" not in tansy.known_options
    assert [row.id for row in questions(tansy, ()) if row.kind == "options"] == []
    without = load_pack("no-picture")
    asked = {row.id for row in questions(without, ()) if row.kind == "options"}
    assert "memory" in asked
    assert "power_input" not in asked  # no step of this pack looks at it


def test_what_the_shop_lacks_is_kept_also_where_it_is_not_asked() -> None:
    tansy = load_pack("no-picture", "tansy-12")
    rows = questions(tansy, ("xray",))
    assert all(row.id != "xray" for row in rows)
    assert told(rows, [row.first for row in rows], ("xray",), None) == Intake(lacks=("xray",))


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (200, 60)], ids=lambda size: f"{size[0]}x{size[1]}")
async def test_no_row_is_cut_and_what_is_asked_stands_under_itself(size: tuple[int, int]) -> None:
    pack = load_pack("no-picture")
    rows = questions(pack, ())
    app = BenchApp(lambda: IntakeScreen(pack))
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.resize_terminal(*size)
        await pilot.pause()
        listed = app.screen.query_one(OptionList)
        for number, row in enumerate(rows):
            lines = str(listed.get_option(str(number)).prompt).splitlines()
            assert max(len(line) for line in lines) <= size[0] - 2
            assert all(line.startswith("  ") for line in lines[1:])
            assert row.say in " ".join(" ".join(lines).split())
            assert all(value.replace("_", " ") in " ".join(lines) for value in row.values)
