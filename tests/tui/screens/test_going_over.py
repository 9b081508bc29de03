"""Going over to another pack at the bench screen. No outside source: the house's own promises."""

from __future__ import annotations

from pathlib import Path

from nextprobe import load_pack
from nextprobe.job import start_job
from nextprobe.record.store import open_store
from nextprobe_tui.app import BenchApp
from nextprobe_tui.screens.bench import BenchScreen
from nextprobe_tui.screens.prompt import Prompt
from tests.tui.conftest import Sitting


async def test_the_word_and_the_key_go_over_to_the_pack_that_a_reading_points_to(tmp_path: Path) -> None:
    opened = start_job(open_store(f"sqlite:///{tmp_path / 'store.db'}"), load_pack("no-picture", "tansy-12"))
    app = BenchApp(lambda: BenchScreen(opened.walk, opened.job.id, over=opened.go_over))
    async with app.run_test(size=(80, 24)) as pilot:
        at = Sitting(app, pilot, opened.walk)
        await at.settle()
        await at.type("clean")
        await pilot.press("ctrl+o")
        await at.settle()
        assert isinstance(app.screen, Prompt)  # nothing points anywhere yet, so it is asked
        await pilot.press("escape")
        await at.settle()
        await at.type("silent")
        assert "type `over`" in at.text()
        await at.type("over")
        assert opened.walk.pack.id == "no-reaction"
        assert "No reaction to the power button" in at.text()
        assert "This job goes on in the pack" in at.text()
        assert at.bench.step is not None
        assert at.bench.step.id in opened.walk.pack.measurements


async def test_where_no_other_pack_can_be_opened_it_says_so(tmp_path: Path) -> None:
    opened = start_job(open_store(f"sqlite:///{tmp_path / 'store.db'}"), load_pack("no-picture", "tansy-12"))
    app = BenchApp(lambda: BenchScreen(opened.walk, opened.job.id))
    async with app.run_test(size=(80, 24)) as pilot:
        at = Sitting(app, pilot, opened.walk)
        await at.settle()
        await at.type("over")
        assert "No other pack can be opened here." in at.text()
