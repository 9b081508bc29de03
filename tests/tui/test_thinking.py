"""Slow work beside the screens: keys keep their answer, leaving never waits. No outside source."""

from __future__ import annotations

import asyncio
import threading
import time

import pytest

from nextprobe import Ask, Walk
from nextprobe.errors import StoreError
from nextprobe.pack.pack import Pack
from nextprobe_tui.app import BenchApp
from nextprobe_tui.screens.bench import BenchScreen
from nextprobe_tui.thinking import beside
from nextprobe_tui.widgets.feedback import Feedback
from tests.tui.conftest import Sit


class SlowWalk(Walk):
    """Asks only when it is let go."""

    def let_go_by(self, gate: threading.Event) -> SlowWalk:
        self.gate = gate
        return self

    def ask(self) -> Ask:
        self.gate.wait(20)
        return super().ask()


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
