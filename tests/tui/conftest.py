"""The screens are driven as a person does: keys in, what stands on the screen out."""

from __future__ import annotations

import html
import re
from collections.abc import AsyncIterator, Callable
from contextlib import AbstractAsyncContextManager, asynccontextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest
from textual.pilot import Pilot
from textual.widgets import Input

from nextprobe import Ending, Walk, load_pack
from nextprobe.pack.pack import Pack
from nextprobe_tui.app import BenchApp
from nextprobe_tui.screens.bench import BenchScreen
from nextprobe_tui.widgets.step_card import StepCard

CELL = 12.2
"""Width of a character in the exported picture."""

LAMP = Path(__file__).parent / "lamp" / "pack.yaml"


def laid_out(screen: BenchScreen) -> bool:
    """Whether the bench says rightly if there is more of the step below."""
    card = screen.query_one(StepCard)
    return screen.query_one("#more").has_class("-below") == (card.max_scroll_y > card.scroll_y)


@dataclass
class Sitting:
    """One app under a pilot, and what it shows."""

    app: BenchApp
    pilot: Pilot[Ending | None]
    walk: Walk

    async def settle(self) -> None:
        """Wait until the next step stands, or another screen lies over the bench."""
        for _ in range(500):
            await self.pilot.pause(0.01)
            screen = self.app.screen
            if not isinstance(screen, BenchScreen) or (screen.step is not None and laid_out(screen)):
                await self.pilot.pause()
                return
        raise TimeoutError("no step came")

    async def press(self, *keys: str) -> None:
        """Press keys, then wait for what follows."""
        await self.pilot.press(*keys)
        await self.settle()

    async def type(self, text: str, enter: bool = True, *, keys: bool = False) -> None:
        """Give a line, with Enter at its end: pasted, as that is quicker, or key by key."""
        line = self.app.focused
        assert isinstance(line, Input)
        if not keys:
            line.insert_text_at_cursor(text)
            await self.pilot.pause()
        await self.press(*(text if keys else ""), *(["enter"] if enter else []))

    @property
    def bench(self) -> BenchScreen:
        """The bench screen, which must be in front."""
        screen = self.app.screen
        assert isinstance(screen, BenchScreen)
        return screen

    def lines(self) -> list[str]:
        """What stands on the screen, line by line (read from the picture that the framework exports)."""
        rows: dict[int, str] = {}
        pattern = re.compile(r'<text[^>]* x="([\d.]+)"[^>]*clip-path="url\(#[^)]*line-(\d+)\)">(.*?)</text>')
        for x, row, text in pattern.findall(self.app.export_screenshot()):
            column = round(float(x) / CELL)
            rows[int(row)] = rows.get(int(row), "").ljust(column) + html.unescape(text).replace("\xa0", " ")
        return [rows.get(row, "").rstrip() for row in range(self.app.size.height)]

    def text(self) -> str:
        """All of it as one text, blanks and line ends as one blank."""
        return " ".join(" ".join(self.lines()).split())


Sit = Callable[..., AbstractAsyncContextManager[Sitting]]


@pytest.fixture(scope="session")
def lamp() -> Pack:
    return load_pack(LAMP)


@pytest.fixture(scope="session")
def no_picture() -> Pack:
    return load_pack("no-picture", "brindle-14")


@pytest.fixture
def sit(lamp: Pack) -> Sit:
    """A sitting at the bench: ``async with sit(size=(80, 24)) as at:``."""

    @asynccontextmanager
    async def open_(walk: Walk | None = None, size: tuple[int, int] = (80, 24)) -> AsyncIterator[Sitting]:
        walked = walk if walk is not None else Walk(lamp)
        app = BenchApp(lambda: BenchScreen(walked, "2026-03-09-dk4t"))
        async with app.run_test(size=size) as pilot:
            at = Sitting(app, pilot, walked)
            await at.settle()
            yield at

    return open_
