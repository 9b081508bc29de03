"""Slow work beside the screens: keys keep their answer, leaving never waits. No outside source."""

from __future__ import annotations

import asyncio
import threading
import time

import pytest

from nextprobe import Ask, Walk
from nextprobe.errors import StoreError
from nextprobe.pack.pack import Pack
from nextprobe.walk.foresight import Foresight
from nextprobe_tui.app import BenchApp
from nextprobe_tui.screens.bench import BenchScreen
from nextprobe_tui.thinking import beside
from nextprobe_tui.widgets.answer import Answer
from nextprobe_tui.widgets.feedback import Feedback
from tests.tui.conftest import Sit


class SlowWalk(Walk):
    """Asks only when it is let go, and has nothing in sight before."""

    def let_go_by(self, gate: threading.Event) -> SlowWalk:
        self.gate = gate
        return self

    def ask(self) -> Ask:
        self.gate.wait(20)
        return super().ask()

    def at_sight(self) -> Ask | None:
        return None


class SeenWalk(SlowWalk):
    """Asks only when it is let go; its step is in sight before."""

    def at_sight(self) -> Ask | None:
        return Walk.at_sight(self)


async def test_leaving_does_not_wait_for_the_next_step(lamp: Pack) -> None:
    gate = threading.Event()
    walk = SlowWalk(lamp).let_go_by(gate)
    app = BenchApp(lambda: BenchScreen(walk))
    began = time.monotonic()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause(0.05)
        assert "Working out" in app.export_screenshot().replace("&#160;", " ")
        await pilot.press("1", "enter")
        assert "your line is kept" in str(app.screen.query_one(Feedback).render())
        await pilot.press("f10")
    assert time.monotonic() - began < 5
    assert app.return_value is None
    gate.set()  # the late answer finds no screen, and says nothing
    await asyncio.sleep(0.05)


async def test_a_step_that_is_known_is_shown_with_the_first_paint(lamp: Pack, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object) -> None:
        raise AssertionError("asked once more")

    walk = Walk(lamp)
    known = walk.ask()
    monkeypatch.setattr("nextprobe_tui.screens.bench.think", refuse)
    app = BenchApp(lambda: BenchScreen(walk))
    async with app.run_test(size=(80, 24)):
        assert isinstance(app.screen, BenchScreen)
        assert app.screen.step == known


async def test_a_step_in_sight_is_shown_while_it_is_worked_out_and_keeps_what_is_typed(lamp: Pack) -> None:
    gate = threading.Event()
    walk = SeenWalk(lamp).let_go_by(gate)
    seen = walk.at_sight()
    assert seen is not None
    app = BenchApp(lambda: BenchScreen(walk))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause(0.05)
        screen = app.screen
        assert isinstance(screen, BenchScreen)
        act = screen.query_one("#act")
        assert seen.title in str(act.render())
        await pilot.press("1", "enter")
        assert "your line is kept" in str(screen.query_one(Feedback).render())
        assert (screen.step, walk.path) == (None, ())
        gate.set()
        for _ in range(500):
            await pilot.pause(0.01)
            if screen.step is not None:
                break
        # The same step stands, laid out as it was, and the line with it: Enter answers it now.
        assert screen.step == walk.ask()
        assert screen.query_one("#act") is act
        assert screen.query_one(Answer).value == "1"
        await pilot.press("enter")
        assert [step.told for step in walk.path] == [seen.choices[0].id]


async def test_what_is_done_beside_comes_back() -> None:
    assert await beside(lambda: 3) == 3


async def test_what_fails_beside_is_raised_here() -> None:
    def fail() -> None:
        raise StoreError("The store is full.", "Make room.")

    with pytest.raises(StoreError, match="full"):
        await beside(fail)


async def test_a_fault_while_asking_is_said(sit: Sit, lamp: Pack) -> None:
    class Faulty(Walk):
        def ask(self) -> Ask:
            raise ZeroDivisionError("by nought")

    app = BenchApp(lambda: BenchScreen(Faulty(lamp)))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause(0.1)
        said = str(app.screen.query_one(Feedback).render())
        assert "A fault of nextprobe itself" in said
        assert "Nothing recorded is lost" in said


async def test_where_thinking_ahead_fails_it_is_said_and_the_walk_goes_on(sit: Sit, lamp: Pack) -> None:
    class Blind(Walk):
        def foresight(self) -> Foresight:
            ahead = super().foresight()

            def fail(*_: object) -> int:
                raise ZeroDivisionError("by nought")

            ahead.run = fail  # type: ignore[method-assign,assignment]
            return ahead

    async with sit(Blind(lamp)) as at:
        for _ in range(100):
            await at.pilot.pause(0.01)
            if "The quick plan goes on." in at.text():  # its second line is there once it is laid out anew
                break
        assert "Planning ahead has failed (A fault of nextprobe itself: ZeroDivisionError" in at.text()
        assert "The quick plan goes on." in at.text()
        await at.type("1")
        assert [step.ask for step in at.walk.path] == ["outside_look"]


async def test_leaving_does_not_wait_for_what_is_thought_ahead(lamp: Pack) -> None:
    begun, gate = threading.Event(), threading.Event()

    class Deep(Walk):
        def foresight(self) -> Foresight:
            ahead = super().foresight()

            def work(*_: object) -> int:
                begun.set()
                gate.wait(20)
                return 0

            ahead.run = work  # type: ignore[method-assign,assignment]
            return ahead

    app = BenchApp(lambda: BenchScreen(Deep(lamp)))
    began = time.monotonic()
    async with app.run_test(size=(80, 24)) as pilot:
        while not begun.is_set():
            await pilot.pause(0.01)
        await pilot.press("f10")
    assert time.monotonic() - began < 10
    gate.set()
