"""Where to put the probe: the board, a few landmarks, this step's one point."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.widgets import Static

from nextprobe.draw.sketch import place_words, sketch_lines
from nextprobe_tui.screens.aside import Aside
from nextprobe_tui.widgets.row import Row
from nextprobe_tui.widgets.text import Text

if TYPE_CHECKING:
    from nextprobe.pack.pack import BoardSheet

#: Cells around the sketch: the gutter and the scroll bar, and the lines of title, words and keys.
BESIDE, ABOVE = 4, 7


class SketchScreen(Aside[None]):
    """The sketch as large as the screen allows."""

    name_shown = "Where to put the probe"

    def __init__(self, board: BoardSheet, where: str, at: tuple[float, float]) -> None:
        super().__init__()
        self._board = board
        self._where = where
        self._at = at

    def rows(self) -> ComposeResult:
        yield Row("WHERE", f"{self._where} ({place_words(self._board, self._at)})", strong=True)
        yield Text("", id="drawn", markup=False)

    def on_resize(self) -> None:
        size = self.app.size
        lines = sketch_lines(self._board, self._at, size.width - BESIDE, size.height - ABOVE)
        self.query_one("#drawn", Static).update("\n".join(lines))
