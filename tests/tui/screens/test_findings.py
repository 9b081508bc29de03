"""Live findings beside the lines of a pack. No outside source: the house's own promises."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
from textual.pilot import Pilot

from nextprobe.record.store import open_store
from nextprobe.walk import Ending
from nextprobe_tui.app import BenchApp
from nextprobe_tui.desk import Desk
from nextprobe_tui.screens.findings import FindingsScreen, source_lines
from nextprobe_tui.screens.pick import PickScreen
from nextprobe_tui.screens.start import StartScreen

SOUND = Path(__file__).parent.parent.parent / "pack" / "sound"


def text_of(app: BenchApp) -> str:
    return app.export_screenshot().replace("&#160;", " ")


async def until(pilot: Pilot[Ending | None], holds: Callable[[], bool]) -> None:
    for _ in range(600):
        await pilot.pause(0.02)
        if holds():
            return
    raise TimeoutError


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (200, 60)])
async def test_a_save_shows_what_is_wrong_beside_its_line_and_another_one_clears_it(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    folder = tmp_path / "sound"
    shutil.copytree(SOUND, folder)
    pack = folder / "pack.yaml"
    sound = pack.read_text("utf-8")
    app = BenchApp(lambda: FindingsScreen(pack))
    async with app.run_test(size=size) as pilot:
        await until(pilot, lambda: "Nothing to say against it." in text_of(app))
        pack.write_text(sound.replace("hazards: [sharp_edge]", "hazards: [sharp_ledge]"), "utf-8")
        await until(pilot, lambda: "NP301" in text_of(app))
        assert "sharp_edge" in text_of(app)  # what it must have meant; the words around it may wrap
        assert "sharp_ledge" in text_of(app)
        pack.write_text(sound, "utf-8")
        await until(pilot, lambda: "Nothing to say against it." in text_of(app))


async def test_it_is_reached_from_the_start_screen_and_left_at_once(tmp_path: Path) -> None:
    with open_store(f"sqlite:///{tmp_path / 'jobs.db'}") as store:
        app = BenchApp(lambda: StartScreen(Desk(store)))
        async with app.run_test(size=(80, 24)) as pilot:
            await pilot.pause(0.2)
            await pilot.press("f12")
            await until(pilot, lambda: isinstance(app.screen, PickScreen))
            await pilot.press("enter")
            await until(pilot, lambda: "Nothing to say against it." in text_of(app))
            await pilot.press("escape")
            await until(pilot, lambda: isinstance(app.screen, StartScreen))


def test_the_lines_around_a_place(tmp_path: Path) -> None:
    file = tmp_path / "a.yaml"
    file.write_text("one\ntwo\nthree\n")
    assert source_lines(file, 1) == [">    1 │ one", "     2 │ two"]
    assert source_lines(file, 3) == ["     2 │ two", ">    3 │ three"]
    assert source_lines(file, 0) == source_lines(tmp_path / "none", 1) == []
