"""A simulated machine on the screens, by Pilot, on invented machines. No outside source: the house's own promises."""

from __future__ import annotations

from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from pathlib import Path

import pytest

from nextprobe.pack.pack import Pack
from nextprobe.record.store import Store, open_store
from nextprobe.rehearse.choosing import CHOICE
from nextprobe.rehearse.make import Hidden
from nextprobe.rehearse.rehearsal import Rehearsal, Setting, start_rehearsal
from nextprobe_tui.app import BenchApp
from nextprobe_tui.desk import Desk
from nextprobe_tui.screens.ending import EndingScreen
from nextprobe_tui.screens.finished import FinishedScreen
from nextprobe_tui.screens.pick import PickScreen
from nextprobe_tui.screens.rehearsal import RehearsalScreen
from nextprobe_tui.screens.rehearsed import RehearsedScreen
from nextprobe_tui.screens.review import ReviewScreen
from nextprobe_tui.screens.start import StartScreen
from nextprobe_tui.widgets.feedback import Feedback
from tests.tui.conftest import Sitting


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with open_store(f"sqlite:///{tmp_path / 'jobs.db'}") as held:
        yield held


Led = Callable[..., AbstractAsyncContextManager[tuple[Sitting, RehearsalScreen]]]


@pytest.fixture
def led(lamp: Pack, store: Store) -> Led:
    """A rehearsal of the lamp whose driver has failed, under a pilot."""

    @asynccontextmanager
    async def begin(mode: str = "guided", hints: int | None = None) -> AsyncIterator[tuple[Sitting, RehearsalScreen]]:
        setting = Setting(Hidden(7, ("driver_dead",), slips=0.0), mode, hints)
        rehearsal: Rehearsal = start_rehearsal(store, lamp, setting)
        screen = RehearsalScreen(rehearsal)
        app = BenchApp(lambda: screen)
        async with app.run_test(size=(80, 24)) as pilot:
            at = Sitting(app, pilot, rehearsal.walk)
            await at.settle()
            yield at, screen

    return begin


def said(at: Sitting) -> str:
    return str(at.app.screen.query_one(Feedback).render())


async def until(at: Sitting, there: Callable[[], bool]) -> None:
    """Wait for what is worked out beside the screen."""
    for _ in range(500):
        if there():
            return
        await at.pilot.pause(0.02)
    raise TimeoutError(at.text())


async def to_the_end(at: Sitting) -> None:
    for _ in range(30):
        if isinstance(at.app.screen, EndingScreen):
            return
        await at.press("enter")
    raise AssertionError("no ending")


async def test_enter_alone_leads_to_what_it_was_and_to_the_review(led: Led) -> None:
    async with led() as (at, _):
        await to_the_end(at)
        await at.press("enter")
        await until(at, lambda: isinstance(at.app.screen, RehearsedScreen))
        text = at.text()
        assert "PASSED: 10 of 10 marks" in text
        assert "Driver failed" in text
        await at.press("f12")
        assert isinstance(at.app.screen, ReviewScreen)
        await until(at, lambda: "Step by step" in at.text())
        assert "no minutes lost by choice" in at.text()


async def test_who_types_what_the_meter_shows_reads_it_first(led: Led) -> None:
    async with led("typed") as (at, screen):
        while not (screen.step is not None and screen.step.kind == "measure"):
            await at.press("enter")
        before = screen.step
        await at.press("enter")
        assert "Now type it" in said(at)
        assert screen.step == before


async def test_who_chooses_picks_from_what_can_be_done(led: Led) -> None:
    async with led("free", 1) as (at, screen):
        while screen.step is not None and screen.step.id != CHOICE.id:
            await at.press("enter")
        await at.type("do")
        assert isinstance(at.app.screen, PickScreen)
        await at.press("escape")
        await at.type("hint")
        assert "The engine would do" in said(at)
        await at.type("hint")
        assert "no hint left" in said(at)
        await at.type("do drive_voltage")
        assert screen.step is not None
        assert screen.step.id == "driver_type"  # which must be known before
        await at.press("enter")
        assert screen.step.id == "drive_voltage"
        await at.press("f2")
        assert "yours to judge" in said(at)
        await at.type("do nothing of the kind")
        assert "Nothing that can be done now" in said(at)


async def test_a_set_step_is_not_chosen(led: Led) -> None:
    async with led() as (at, _):
        await at.type("do fuse")
        assert "the step is set" in said(at)
        await at.type("hint")
        assert "the engine's own" in said(at)


async def test_the_first_lesson_from_an_empty_store(store: Store) -> None:
    app = BenchApp(lambda: StartScreen(Desk(store)))
    async with app.run_test(size=(80, 24)) as pilot:
        start = app.screen
        assert isinstance(start, StartScreen)
        while not start.listed:
            await pilot.pause(0.02)
        await pilot.press("down", "enter")
        for _ in range(300):
            await pilot.pause(0.02)
            if isinstance(app.screen, RehearsalScreen) and app.screen.step is not None:
                break
        lesson = app.screen
        assert isinstance(lesson, RehearsalScreen)
        at = Sitting(app, pilot, lesson.walk)
        tasks = [lesson.tasks.say]
        await at.press("enter")
        await at.type(said(at).removeprefix("The meter shows: ").split(". Now")[0])
        tasks.append(lesson.tasks.say)
        await at.type("undo")
        while not isinstance(app.screen, RehearsalScreen):  # how the bench stands now is asked: as shown
            await at.press("enter")
        tasks.append(lesson.tasks.say)
        await at.type("why")
        await at.press("escape")
        tasks.append(lesson.tasks.say)
        await at.type("skip no time")
        assert lesson.tasks.left == ()
        assert len(set(tasks)) == 4
    (job,) = store.jobs()
    assert [event.kind for event in store.events(job.id)][:2] == ["started", "rehearsal"]


async def test_an_open_rehearsal_goes_on_with_its_machine(store: Store, lamp: Pack) -> None:
    rehearsal = start_rehearsal(store, lamp, Setting(Hidden(7, ("driver_dead",), slips=0.0)))
    rehearsal.tell(rehearsal.walk.ask().id, rehearsal.reading(rehearsal.walk.ask()))
    rehearsal.opened.let_go()
    again = Desk(store).go_on(rehearsal.opened.job.id)
    assert isinstance(again, Rehearsal)
    assert len(again.walk.path) == 1


async def test_a_trainers_note_on_a_finished_job(led: Led, store: Store) -> None:
    async with led() as (at, screen):
        await to_the_end(at)
        await at.press("enter")
        await until(at, lambda: isinstance(at.app.screen, RehearsedScreen))
        job = screen.rehearsal.opened.job.id
    row = Desk(store).lying().ended[0]
    walk, ending = Desk(store).look(job)
    app = BenchApp(lambda: FinishedScreen(row, walk, ending, Desk(store).lying().now, store))
    async with app.run_test(size=(80, 24)) as pilot:
        at = Sitting(app, pilot, walk)
        await at.press("f12")
        await until(at, lambda: "Step by step" in at.text())
        await at.press("f8")
        for line in ("Ida", "1", "Well looked."):
            await at.type(line)
        await until(at, lambda: "Well looked." in at.text())
        assert "Ida" in at.text()
    assert store.people(job)["trainer"] == "Ida"
    assert store.verify(job) == []
