"""The one thing to do first, large; Enter or a click does it."""

from __future__ import annotations

from typing import ClassVar

from textual.binding import Binding, BindingType
from textual.content import Content
from textual.message import Message

from nextprobe_tui.widgets.text import Text


class FirstAct(Text, can_focus=True):
    """A heading word with what it is about, and a line of what is known of it."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("enter", "take", "Do it", show=False)]
    DEFAULT_CSS = """
    FirstAct {
        height: auto;
        padding: 1 1;
        background: $act-background;
        color: $act-foreground;
        border-left: outer $act-background;
        &:focus { border-left: outer $accent; }
    }
    """

    class Taken(Message):
        """It is to be done."""

    def __init__(self) -> None:
        super().__init__("", id="act", markup=False)

    def show(self, word: str, what: str, known: str) -> None:
        """word: in capitals. what: what it is about, or "". known: one more line."""
        heading = Content.assemble((word, "bold underline"), ("  " + what if what else "", "bold"))
        self.update(Content("\n").join([heading, Content(known)]))

    def action_take(self) -> None:
        self.post_message(self.Taken())

    def on_click(self) -> None:
        self.action_take()
