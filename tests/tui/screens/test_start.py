"""From the start screen into a recorded job, and back into it another day. No outside source."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from time import monotonic
from typing import Any, cast

import pytest
from textual.pilot import Pilot
from textual.widgets import Input, OptionList

from nextprobe import Walk, load_pack
from nextprobe.record.jobs import Job
from nextprobe.record.store import Store, open_store
from nextprobe_tui.app import BenchApp
from nextprobe_tui.desk import Desk
from nextprobe_tui.job_rows import ago
from nextprobe_tui.screens.bench import BenchScreen
from nextprobe_tui.screens.finished import FinishedScreen
from nextprobe_tui.screens.intake import IntakeScreen
from nextprobe_tui.screens.intake_questions import Intake
from nextprobe_tui.screens.pick import PickScreen
from nextprobe_tui.screens.prompt import Prompt
from nextprobe_tui.screens.rehearsal import RehearsalScreen
from nextprobe_tui.screens.start import StartScreen
from nextprobe_tui.screens.start_list import OWN_PACK
from nextprobe_tui.widgets.feedback import Feedback
from nextprobe_tui.widgets.first_act import FirstAct
from tests.tui.conftest import LAMP, Sitting


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with open_store(f"sqlite:///{tmp_path / 'jobs.db'}") as opened:
        yield opened


def shown(app: BenchApp) -> str:
    """What stands on the screen of `app`, blanks and line ends as one blank."""
    return Sitting(app, cast("Pilot[Any]", None), cast("Walk", None)).text()


class Day:
    """One sitting that begins at the start screen."""

    def __init__(self, store: Store, app: BenchApp | None = None) -> None:
        self.app = app if app is not None else BenchApp(lambda: StartScreen(Desk(store)))

    async def until(self, pilot: Pilot[Any], kind: type[object]) -> None:
        for _ in range(1000):
            await pilot.pause(0.01)
            screen = self.app.screen
            listed = not isinstance(screen, StartScreen) or screen.listed
            stands = not isinstance(screen, BenchScreen) or screen.step is not None
            if isinstance(screen, kind) and listed and stands:
                return
        raise TimeoutError(f"{kind.__name__}: {self.app.screen}")

    def text(self) -> str:
        """What stands on the screen, blanks and line ends as one blank."""
        return shown(self.app)

    async def pick(self, pilot: Pilot[Any], id_: str) -> None:
        """Go to a row of the start screen and press Enter."""
        await self.until(pilot, StartScreen)
        await pilot.press("down")
        rows = self.app.screen.query_one(OptionList)
        ids = [option.id for option in rows.options]
        assert id_ in ids, ids
        for _ in range(len(ids)):
            if rows.highlighted is not None and ids[rows.highlighted] == id_:
                break
            await pilot.press("down")
        await pilot.press("enter")

    async def own_pack(self, pilot: Pilot[Any], path: str) -> None:
        """Choose a pack of one's own and give its path."""
        await self.pick(pilot, OWN_PACK)
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
        await day.pick(pilot, "pack no-picture")
        await day.until(pilot, PickScreen)
        assert "Brindle" in day.app.export_screenshot()
        await pilot.press("escape")
        await day.until(pilot, StartScreen)
        assert store.jobs() == []
        await pilot.press("f10")


async def test_a_pack_that_is_not_there_is_said_and_its_path_kept(store: Store, tmp_path: Path) -> None:
    day = Day(store)
    async with day.app.run_test(size=(80, 24)) as pilot:
        await day.own_pack(pilot, str(tmp_path / "nowhere"))
        prompt = day.app.screen
        assert prompt.query_one(Feedback).mode == "error"
        assert "There is no pack" in str(prompt.query_one(Feedback).render())
        assert prompt.query_one(Input).value == str(tmp_path / "nowhere")
        await pilot.press("escape")
        await day.until(pilot, StartScreen)
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
        assert "12.50 EUR" in day.text()
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
        await day.pick(pilot, f"ended {opened.job.id}")
        await day.until(pilot, FinishedScreen)
        shown = day.text()
        assert "LEFT" in shown
        assert "closing time" in shown
        assert "TOOK" in shown
        assert "1 Look the lamp over: Nothing to see. (30 s)" in shown
        assert "takes its reading again" not in shown
        await pilot.press("enter")
        assert isinstance(day.app.screen, FinishedScreen)
        await pilot.press("escape")
        await day.until(pilot, StartScreen)


async def test_the_open_job_touched_last_is_the_one_thing_to_do_first(tmp_path: Path) -> None:
    noon = datetime(2026, 3, 9, 12, tzinfo=UTC)
    times = iter(noon + timedelta(minutes=10 * n) for n in range(100))
    with open_store(f"sqlite:///{tmp_path / 'jobs.db'}", clock=lambda: next(times)) as store:
        first = Desk(store).begin("no-picture", "tansy-12", "no_picture", Intake())
        Desk(store).begin("no-reaction", None, next(iter(load_pack("no-reaction").symptoms)), Intake())
        first.walk.skip(first.walk.ask().id, "later")
        last = datetime.fromisoformat(store.progress()[first.job.id][1])
        lying = Desk(store, clock=lambda: last + timedelta(hours=5)).lying()
        assert lying.open[0].id == first.job.id
        assert [ref for ref, _ in lying.packs] == ["no-reaction", "no-picture", "dynamo-light"]
        app = BenchApp(lambda: StartScreen(Desk(store, clock=lambda: last + timedelta(hours=5))))
        async with app.run_test(size=(80, 24)) as pilot:
            day = Day(store, app)
            await day.until(pilot, StartScreen)
            act = str(app.screen.query_one(FirstAct).render())
            assert act.startswith("GO ON  Tansy 12")
            assert "Power light comes on, the screen stays dark" in act
            assert f"1 step, 5 h ago, {first.job.id}" in act
            assert "Go on with another open job" in day.text()


async def test_an_empty_store_is_welcomed_and_enter_asks_what_is_wrong(store: Store) -> None:
    day = Day(store)
    async with day.app.run_test(size=(80, 24)) as pilot:
        await day.until(pilot, StartScreen)
        assert "BEGIN A JOB" in day.text()
        assert "Welcome." in day.text()
        await pilot.press("enter")
        await day.until(pilot, PickScreen)
        assert "Powers on, no picture" in day.text()
        await pilot.press("escape")
        await day.until(pilot, StartScreen)


async def test_a_rehearsal_of_any_pack_begins_from_here(store: Store) -> None:
    day = Day(store)
    async with day.app.run_test(size=(80, 24)) as pilot:
        await day.until(pilot, StartScreen)
        await pilot.press("ctrl+y")
        await day.until(pilot, PickScreen)
        assert "Lesson: First steps" in day.text()
        rows = day.app.screen.query_one(OptionList)
        rows.highlighted = rows.get_option_index("pack dynamo-light")
        await pilot.press("enter")
        for _ in range(200):
            await pilot.pause(0.02)
            if "Who chooses the next step?" in day.text():
                break
        await pilot.press("down", "down", "enter")
        await day.until(pilot, RehearsalScreen)
    (job,) = store.jobs()
    assert store.events(job.id)[1].data["mode"] == "free"


async def test_three_hundred_open_jobs_are_listed_at_once_and_scroll(store: Store) -> None:
    pack = load_pack(LAMP)
    started = Walk(pack).events()
    for _ in range(300):
        store.create_job(pack.id, pack.hash, "text", "", "dark", None, first=started)
    read: list[int] = []
    jobs = store.jobs

    def counted() -> list[Job]:
        read.append(1)
        return jobs()

    store.jobs = counted  # type: ignore[method-assign]
    began = monotonic()
    lying = Desk(store).lying()
    took = monotonic() - began
    assert len(lying.open) == 300
    assert len(read) == 1
    assert took < 1.0  # a person calls that at once; measured 20 ms
    day = Day(store)
    async with day.app.run_test(size=(80, 24)) as pilot:
        await day.until(pilot, StartScreen)
        await pilot.press("end")
        await pilot.pause()
        rows = day.app.screen.query_one(OptionList)
        assert rows.scroll_y > 0
        assert "A pack of your own" in day.text()
    assert len(read) == 2


@pytest.mark.parametrize(
    ("passed", "said"),
    [
        (timedelta(seconds=20), "just now"),
        (timedelta(minutes=5), "5 min ago"),
        (timedelta(hours=23), "23 h ago"),
        (timedelta(days=1), "1 day ago"),
        (timedelta(days=9), "9 days ago"),
        (timedelta(days=90), "on 2025-12-09"),
        (timedelta(minutes=-5), "just now"),
    ],
)
def test_how_long_ago_is_said_in_one_word(passed: timedelta, said: str) -> None:
    now = datetime(2026, 3, 9, 12, tzinfo=UTC)
    assert ago((now - passed).isoformat(), now) == said
