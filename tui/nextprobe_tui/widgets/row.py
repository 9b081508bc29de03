"""One row of a step: a word in the gutter, and beside it the text, wrapped under itself."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.content import Content
from textual.widgets import Static


class Row(Horizontal):
    """A word in the gutter, an optional number, the text."""

    DEFAULT_CSS = """
    Row {
        height: auto;
        & > .gutter { width: 10; color: $gutter; text-style: bold; }
        & > .number { width: auto; min-width: 4; padding-right: 1; color: $gutter; }
        & > .text { width: 1fr; height: auto; max-width: 100; }
        & > .text.-strong { text-style: bold; }
    }
    """

    def __init__(self, gutter: str, text: str | Content, *, number: str = "", strong: bool = False) -> None:
        super().__init__()
        self._gutter = gutter
        self._text = text if isinstance(text, Content) else Content(text)
        self._number = number
        self._strong = strong

    def compose(self) -> ComposeResult:
        yield Static(self._gutter, classes="gutter", markup=False)
        if self._number:
            yield Static(self._number, classes="number", markup=False)
        yield Static(self._text, classes="text -strong" if self._strong else "text")
