"""The answer line: a figure, a number of the list or a word."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.widgets import Input

if TYPE_CHECKING:
    from nextprobe.walk import Choice


class Answer(Input):
    """One line that is always in sight; how it was understood is said below it while it is typed."""

    DEFAULT_CSS = """
    Answer {
        height: 1;
        padding: 0 1;
        border: none;
        border-left: outer $accent;
        background: $surface;
        &:focus { border: none; border-left: outer $accent; background: $panel; }
    }
    """

    def __init__(self) -> None:
        super().__init__(id="answer", max_length=200, select_on_focus=False)

    def expect(self, quantity: str, unit: str, choices: int, step: int = 0) -> None:
        """Say in the empty line what is wanted. step: the number of the next one to tick off, 0 for none."""
        if step:
            self.placeholder = f"Enter ticks off step {step}; when all is done: 1 … {choices} of the list, then Enter"
            return
        if quantity:
            figure = f"the figure in {unit}" if unit else "the figure"
            wanted = f"Type {figure}, or #1 … #{choices} of the list" if choices else f"Type {figure}"
        elif choices > 1:
            wanted = f"Type 1 … {choices} of the list, or its word"
        else:
            wanted = "Type 1 when it is done" if choices else "Type the answer"
        self.placeholder = f"{wanted}, then Enter"


def chosen(text: str, choices: tuple[Choice, ...], figure: bool) -> str:
    """The id of the choice that a typed number means; the text itself where it means none.

    Where a `figure` is wanted only a number with its sign, as ``#2``, is one of the list.
    """
    word = text.strip()
    number = word[1:].strip() if word.startswith("#") else "" if figure else word
    if number.isascii() and number.isdigit() and len(number) <= 6 and 1 <= int(number) <= len(choices):
        return choices[int(number) - 1].id
    return word
