"""Nothing of a step is cut, whatever the terminal's size. 80x24 is what terminals start with (common practice)."""

from __future__ import annotations

import pytest

from nextprobe import Ask, Walk
from nextprobe.pack.pack import Pack
from tests.tui.conftest import Sit, Sitting

SIZES = [(80, 24), (120, 40), (200, 60)]


async def all_of_it(at: Sitting) -> str:
    """The words of the step on every page that one scrolls through."""
    pages = [at.text()]
    for _ in range(12):
        if "more of this step below" not in pages[-1]:
            break
        await at.press("pagedown")
        pages.append(at.text())
    return " ".join(pages)


def words_of(ask: Ask) -> set[str]:
    """Every word that a person must be able to read before the act."""
    texts = [ask.title, ask.how, ask.where, ask.tools, ask.normal, *ask.steps, *ask.notices]
    texts += [move.do for move in ask.moves]
    texts += [choice.say for choice in ask.choices]
    hazards = [*ask.hazards, *(hazard for move in ask.moves for hazard in move.hazards)]
    texts += [text for hazard in hazards for text in (hazard.signal, hazard.say)]
    return {word for text in texts for word in text.split()}


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_a_step_is_shown_whole_and_the_answer_line_stays(
    sit: Sit, no_picture: Pack, size: tuple[int, int]
) -> None:
    async with sit(Walk(no_picture), size) as at:
        for _ in range(4):
            ask = at.bench.step
            assert ask is not None
            shown = await all_of_it(at)
            assert [word for word in words_of(ask) if word not in shown] == []
            line = at.app.screen.query_one("#answer").region
            assert line.bottom <= size[1] - 2
            assert line.width == size[0]
            await at.type("#1")
            await at.settle()


@pytest.mark.parametrize("size", SIZES, ids=lambda size: f"{size[0]}x{size[1]}")
async def test_every_key_of_the_key_line_is_in_sight(sit: Sit, size: tuple[int, int]) -> None:
    async with sit(size=size) as at:
        assert at.lines()[-1].rstrip().endswith("F10 Leave")


async def test_a_terminal_that_changes_its_size_keeps_the_step(sit: Sit, no_picture: Pack) -> None:
    async with sit(Walk(no_picture), (120, 40)) as at:
        await at.pilot.resize_terminal(80, 24)
        await at.settle()
        ask = at.bench.step
        assert ask is not None
        shown = await all_of_it(at)
        assert [word for word in words_of(ask) if word not in shown] == []
