"""What can be told, numbered, always in sight above the answer line."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content

from nextprobe_tui.widgets.text import Text

if TYPE_CHECKING:
    from nextprobe.walk import Choice


class ChoiceList(VerticalScroll, can_focus=False):
    """The choices of a step in as many columns as fit whole.

    Where a figure is wanted the numbers carry a sign (``#2``): a bare 2 there is what the meter shows.
    """

    DEFAULT_CSS = """
    ChoiceList {
        height: auto;
        max-height: 50%;
        padding: 0 1;
        border-top: solid $gutter 50%;
        scrollbar-size-vertical: 1;
        & > Static { height: auto; }
    }
    """

    def __init__(self) -> None:
        super().__init__()
        self._body = Text("")
        self._choices: tuple[Choice, ...] = ()
        self._sign = ""

    def compose(self) -> ComposeResult:
        yield self._body

    def show(self, choices: Sequence[Choice], sign: str = "") -> None:
        """Show `choices` in their order; `sign` stands before each number."""
        self._choices, self._sign = tuple(choices), sign
        self.display = bool(choices)
        self._lay_out()
        self.scroll_home(animate=False)

    def on_resize(self) -> None:
        self._lay_out()

    def _lay_out(self) -> None:
        # The list is as wide as the screen; its own size is not known before it is first shown.
        self._body.update(Content("\n").join(lines_of(self._choices, self._sign, self.app.size.width - 4)))


def in_words(choice: Choice) -> str:
    """A choice with its band, where it has one."""
    return f"{choice.say}  {choice.band}" if choice.band else choice.say


def lines_of(choices: Sequence[Choice], sign: str, width: int) -> list[Content]:
    """`choices` in columns as wide as the longest, filled downwards; one column where two do not fit.

    A line may be wider than `width` then, and is wrapped where it is shown.
    """
    entries = [(f"{sign}{number}", in_words(choice)) for number, choice in enumerate(choices, 1)]
    longest = max((len(number) + 1 + len(say) for number, say in entries), default=1)
    columns = max(1, min(len(entries), (width + 3) // (longest + 3)))
    height = -(-len(entries) // columns)
    lines = []
    for row in range(height):
        line = Content("")
        for number, say in entries[row::height]:
            cell = Content.assemble((number, "bold $accent"), " ", say)
            line = line + (cell.pad_right(longest + 3 - cell.cell_length) if columns > 1 else cell)
        lines.append(line)
    return lines
