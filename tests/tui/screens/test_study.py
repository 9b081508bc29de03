"""The study screen: the same figures as the text output, worked out beside it. No outside source."""

from __future__ import annotations

import threading
import time
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot
from textual.widget import Widget
from textual.widgets import Static

from nextprobe.study import study as made
from nextprobe.study.lines import lines
from nextprobe_tui.app import BenchApp
from nextprobe_tui.screens.findings import FindingsScreen
from nextprobe_tui.screens.study import StudyScreen
from nextprobe_tui.widgets.cause_list import ORDERS, CauseList
from nextprobe_tui.widgets.row import Row
from tests.tui.conftest import LAMP
from tests.tui.screens.test_start import shown

SIZES = [(80, 24), (120, 40), (200, 60)]


@pytest.fixture
def with_cases(tmp_path: Path) -> Path:
    """The lamp with one case that holds and one that does not."""
    (tmp_path / "pack.yaml").write_text(LAMP.read_text("utf-8"), "utf-8")
    (tmp_path / "cases.yaml").write_text(
        "- name: the fuse is gone\n  told: {fuse_look: open}\n  expect: [{first: fuse_open}]\n"
        "- name: the fuse is whole\n  told: {fuse_look: whole}\n  expect: [{first: fuse_open}]\n",
        "utf-8",
    )
    return tmp_path


async def until(app: BenchApp, pilot: Pilot[Any], kind: type[Widget]) -> None:
    for _ in range(1500):
        await pilot.pause(0.01)
        if app.screen.query(kind):
            await pilot.pause()
            return
    raise TimeoutError(kind.__name__)


async def pages(app: BenchApp, pilot: Pilot[Any]) -> str:
    """All that one reads while scrolling to the end."""
    body = app.screen.query_one("#body")
    read = [shown(app)]
    while body.scroll_y < body.max_scroll_y:
        await pilot.press("pagedown")
        await pilot.pause()
        read.append(shown(app))
    return " ".join(read)


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_the_figures_are_those_of_the_text_output(with_cases: Path, size: tuple[int, int]) -> None:
    study = made.make_study(str(with_cases), workers=1)
    text = " ".join(" ".join(lines(study)).split())
    app = BenchApp(lambda: StudyScreen(str(with_cases)))
    async with app.run_test(size=size) as pilot:
        await until(app, pilot, CauseList)
        read = await pages(app, pilot)
        for cause in study.causes:
            assert cause.title in read
        for said in ("minutes a job, expected", "2 cases, 1 failed", "FAILED the fuse is whole", "Never pay"):
            assert said in read
        assert "2 cases, 1 failed" in text
        assert study.failed[0].astray in read
        first = text[text.index("One fault at a time") :].split(" minutes a job")[0].split()[-1]
        assert f"MINUTES {first} minutes a job" in read
        for row in app.screen.query(Row):
            assert row.region.right <= size[0]


async def test_the_causes_are_sorted_by_each_of_their_figures(with_cases: Path) -> None:
    app = BenchApp(lambda: StudyScreen(str(with_cases)))
    async with app.run_test(size=(80, 50)) as pilot:
        await until(app, pilot, CauseList)
        causes = app.screen.query_one(CauseList)
        assert "[share]" in str(causes.render())
        for _ in range(len(ORDERS) - 1):
            await pilot.press("right")
        text = str(causes.render())
        assert "[name]" in text
        assert text.index("Driver failed") < text.index("Emitter board cracked") < text.index("Plug fuse open")
        await pilot.press("right")
        assert "[share]" in str(causes.render())
        await pilot.press("left")
        assert "[name]" in str(causes.render())


async def test_a_broken_pack_is_said_with_its_place(tmp_path: Path) -> None:
    (tmp_path / "pack.yaml").write_text(LAMP.read_text("utf-8").replace("weight: 3", "weight: lots"), "utf-8")
    app = BenchApp(lambda: StudyScreen(str(tmp_path)))
    async with app.run_test(size=(80, 24)) as pilot:
        await until(app, pilot, Row)
        assert "It cannot be studied." in shown(app)
        assert "pack.yaml:" in shown(app).replace(" ", "")


async def test_leaving_ends_the_study_and_never_waits_for_it(monkeypatch: pytest.MonkeyPatch) -> None:
    over = threading.Event()
    begun = threading.Event()

    def slow(*_: object, cancel: Any, say_stage: Any, **__: object) -> None:
        begun.set()
        say_stage("planning", 3, 10)
        while not cancel():
            time.sleep(0.01)
        over.set()
        time.sleep(2)  # it hears late of being ended: nobody waits for it

    monkeypatch.setattr(made, "make_study", slow)
    app = BenchApp(lambda: FindingsScreen(LAMP))
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause(0.05)
        findings = app.screen
        await pilot.press("ctrl+s")
        for _ in range(200):
            await pilot.pause(0.01)
            if "30 %" in shown(app):
                break
        assert begun.is_set()
        assert "Planning: 30 %" in str(app.screen.query_one("#stage", Static).render())
        began = time.monotonic()
        await pilot.press("escape")
        await pilot.pause()
        assert app.screen is findings
        assert time.monotonic() - began < 1.5
        assert over.wait(5)


async def test_a_study_that_is_ended_stops_its_planning(with_cases: Path) -> None:
    """The real one: once ended it is done within a breath, with what there is so far."""
    over = threading.Event()
    stages: list[str] = []

    def say(stage: str, done: int, of: int) -> None:
        stages.append(stage)
        over.set()

    study = made.make_study(str(with_cases), workers=1, cancel=over.is_set, say_stage=say)
    assert study.stopped_early == bool(stages)
    assert len(study.cases) <= 1
