"""Pictures of the real screens for the guides: ``make pictures`` draws them anew, never a hand.

Each is what the framework exports as SVG, without its reference to a font on the network.
"""

from __future__ import annotations

import asyncio
import re
import sys
from pathlib import Path

from nextprobe import Ask, Walk, load_pack
from nextprobe.walk.clock import StepClock
from nextprobe.walk.open_steps import OpenSteps
from nextprobe.walk.show import measurement_ask
from nextprobe_tui.app import BenchApp
from nextprobe_tui.screens.bench import BenchScreen
from nextprobe_tui.screens.intake import IntakeScreen

FOLDER = Path(__file__).parent
#: What names a place on the network: fonts, and a comment.
FONTS = re.compile(r"@font-face \{.*?\}\s*|<!--.*?-->\s*", re.DOTALL)


class AtTheRail(Walk):
    """A walk that asks for the memory supply, so that its sketch is seen."""

    def ask(self) -> Ask:
        """The one reading."""
        steps = OpenSteps(self.pack, self.situation, self._state)
        measurement = self.pack.measurements["memory_main"]
        return measurement_ask(steps, self.decider.graph(steps), measurement, follows=False)


def _still(screen: BenchScreen) -> BenchScreen:
    screen.clock = StepClock(lambda: 0.0)
    return screen


async def _settled(app: BenchApp, pilot: object) -> None:
    for _ in range(300):
        await pilot.pause(0.02)  # type: ignore[attr-defined]
        screen = app.screen
        if not isinstance(screen, BenchScreen) or screen.step is not None:
            break
    await pilot.pause(0.6)  # type: ignore[attr-defined]


async def draw(name: str, app: BenchApp, size: tuple[int, int], keys: tuple[str, ...] = ()) -> None:
    """Write the picture `name` of what `app` shows after `keys`."""
    async with app.run_test(size=size) as pilot:
        await _settled(app, pilot)
        for key in keys:
            await pilot.press(key)
            await _settled(app, pilot)
        picture = FONTS.sub("", app.export_screenshot(title="nextprobe"))
    (FOLDER / f"{name}.svg").write_text(re.sub(r"terminal-\d+-", f"{name}-", picture), "utf-8")


async def main() -> None:
    """Draw them all."""
    pack = load_pack("no-picture", "tansy-12")

    def bench(walk: Walk) -> BenchApp:
        return BenchApp(lambda: _still(BenchScreen(walk, "2026-03-09-dk4t")))

    planned = Walk(pack)
    while not planned.ask().leads:
        planned.tell(planned.ask().id, planned.ask().choices[0].id)
    await draw("first-step", bench(Walk(pack)), (80, 24))
    await draw("sketch", bench(AtTheRail(pack)), (120, 32))
    await draw("why", bench(planned), (100, 40), ("f2",))
    await draw("intake", BenchApp(lambda: IntakeScreen(pack)), (80, 24))


if __name__ == "__main__":
    sys.exit(asyncio.run(main()))
