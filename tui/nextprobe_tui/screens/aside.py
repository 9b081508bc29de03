"""What every screen that lies over the bench shares: a title, a body that scrolls, the way back."""

from __future__ import annotations

from typing import Generic, TypeVar

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.screen import Screen
from textual.widget import Widget
from textual.widgets import OptionList, Static

from nextprobe_tui.actions import ASIDE, bindings
from nextprobe_tui.widgets.key_line import KeyLine
from nextprobe_tui.widgets.text import Text

Result = TypeVar("Result")


class Aside(Screen[Result], Generic[Result]):
    """A titled screen; Escape goes back and says nothing."""

    BINDINGS = bindings(ASIDE, shown=("back", "leave", "up", "down"))
    DEFAULT_CSS = """
    Aside {
        & > #title { height: auto; padding: 0 1; text-style: bold; }
        & > #title { background: $act-background; color: $act-foreground; }
        & > #lead { padding: 0 1; height: auto; margin-bottom: 1; color: $gutter; }
        & > #body { height: 1fr; padding: 0 1; scrollbar-size-vertical: 1; }
        & OptionList { height: 1fr; border: none; background: $background; padding: 0; }
        & OptionList:focus { border: none; background-tint: $foreground 0%; }
        & .heading { margin-top: 1; text-style: bold; color: $accent; height: auto; }
    }
    """
    name_shown = ""
    lead = ""

    def compose(self) -> ComposeResult:
        yield Text(self.name_shown, id="title", markup=False)
        if self.lead:
            yield Text(self.lead, id="lead", markup=False)
        yield from self.compose_body()
        yield KeyLine()

    def compose_body(self) -> ComposeResult:
        """What stands between title and keys; rows in a scrolling body unless a screen says otherwise."""
        with VerticalScroll(id="body"):
            yield from self.rows()

    def rows(self) -> ComposeResult:
        """The rows of the body."""
        return iter(())

    def action_act_back(self) -> None:
        self.dismiss(None)

    def action_act_up(self) -> None:
        target = self._scrolled()
        if isinstance(target, OptionList):
            target.action_page_up()  # type: ignore[no-untyped-call]
        else:
            target.scroll_page_up(animate=False)

    def action_act_down(self) -> None:
        target = self._scrolled()
        if isinstance(target, OptionList):
            target.action_page_down()  # type: ignore[no-untyped-call]
        else:
            target.scroll_page_down(animate=False)

    def _scrolled(self) -> Widget:
        lists = self.query(OptionList)
        return lists.first() if lists else self.query_one("#body")


def heading(text: str) -> Static:
    """A heading between rows."""
    return Static(text, classes="heading", markup=False)
