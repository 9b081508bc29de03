"""NO_COLOR (no-color.org): no colour is sent, and what it told is told by letters, weight and reversal."""

from __future__ import annotations

from collections.abc import Iterator

import pytest
from rich.color import Color, ColorType
from textual.widget import Widget

from tests.tui.conftest import Sit, Sitting
from tests.tui.screens.test_bench import answer_until


def colours(at: Sitting) -> Iterator[Color]:
    """Every colour that the screen in front would send, beside the terminal's own."""
    for widget in at.app.screen.query(Widget):
        for strip in widget.render_lines(widget.size.region):
            for segment in strip:
                for color in (segment.style.color, segment.style.bgcolor) if segment.style else ():
                    if color is not None and color.type is not ColorType.DEFAULT:
                        yield color


@pytest.mark.parametrize("key", [None, "f1", "f2", "f3", "f4", "f5", "f6"])
async def test_no_colour_is_sent(sit: Sit, monkeypatch: pytest.MonkeyPatch, key: str | None) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    async with sit() as at:
        await answer_until(at, "drive_voltage")
        if key is not None:
            await at.press(key)
        assert list(colours(at)) == []


async def test_otherwise_there_are_colours(sit: Sit, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delenv("NO_COLOR", raising=False)
    async with sit() as at:
        assert any(True for _ in colours(at))


async def test_a_caution_carries_its_word_and_an_error_its_sign(sit: Sit, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    async with sit() as at:
        await answer_until(at, "drive_voltage")
        assert "DANGER" in at.text()
        await at.type("banana")
        assert "✗" in at.text()
