"""The sketch at the bench screen: beside the step where there is room, on a key where there is none."""

from __future__ import annotations

import pytest

from nextprobe import Ask, Walk, load_pack
from nextprobe.draw.sketch import MARK
from nextprobe.pack.pack import Pack
from nextprobe.walk.open_steps import OpenSteps
from nextprobe.walk.show import measurement_ask
from nextprobe_tui.screens.sketch import SketchScreen
from tests.tui.conftest import Sit


class AtTheRail(Walk):
    """A walk that asks for one supply of the board."""

    def ask(self) -> Ask:
        steps = OpenSteps(self.pack, self.situation, self._state)
        measurement = self.pack.measurements["memory_main"]
        return measurement_ask(steps, self.decider.graph(steps), measurement, follows=False)


@pytest.fixture(scope="module")
def tansy() -> Pack:
    return load_pack("no-picture", "tansy-12")


@pytest.mark.parametrize("size", [(80, 24), (120, 40), (200, 60)])
async def test_the_point_is_said_and_drawn(sit: Sit, tansy: Pack, size: tuple[int, int]) -> None:
    async with sit(AtTheRail(tansy), size=size) as at:
        if size[1] < 40:
            await at.press("pagedown")
        assert "lower middle of the board" in at.text()
        beside = MARK in at.text()
        assert beside == (size[0] >= 112)
        if not beside:
            assert "Ctrl+L draws it." in at.text()
        await at.press("ctrl+l")
        assert isinstance(at.app.screen, SketchScreen)
        assert MARK in at.text()
        assert "1 Memory of channel B" in at.text()
        await at.press("escape")
        await at.type("sketch")
        assert isinstance(at.app.screen, SketchScreen)


async def test_a_step_without_a_place_says_so(sit: Sit) -> None:
    async with sit() as at:
        await at.type("sketch")
        assert "There is no sketch for this step." in at.text()
