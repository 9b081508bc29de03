"""Text takes the size of what it says, also where all is laid out in the midst of a change. No outside source."""

from __future__ import annotations

from textual.app import App, ComposeResult
from textual.geometry import Region

from nextprobe_tui.widgets.text import Text


class Interrupted(Text):
    """Is laid out while it changes, as happens where other widgets come and go at the same time."""

    found = 0

    def _set_dirty(self, *regions: Region) -> None:
        if self.is_mounted:
            self.found = self.get_content_height(self.app.size, self.app.size, self.app.size.width)
        super()._set_dirty(*regions)


class Page(App[None]):
    CSS = "Text { height: auto; }"

    def compose(self) -> ComposeResult:
        yield Interrupted("one")


async def test_it_is_as_high_as_what_it_says() -> None:
    app = Page()
    async with app.run_test(size=(40, 12)) as pilot:
        text = app.screen.query_one(Interrupted)
        for said, high in (("one\ntwo", 2), ("one", 1), ("one\ntwo\nthree", 3)):
            text.update(said)
            assert text.found == high
            await pilot.pause()
            assert text.size.height == high
