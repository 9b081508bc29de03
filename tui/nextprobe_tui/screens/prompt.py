"""One question over the bench: a reason, a note, a reading taken again."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.containers import Vertical
from textual.screen import ModalScreen
from textual.widgets import Input, Static

from nextprobe.errors import NextprobeError
from nextprobe_tui.actions import ASIDE, bindings
from nextprobe_tui.widgets.answer import chosen
from nextprobe_tui.widgets.choice_list import ChoiceList
from nextprobe_tui.widgets.feedback import Feedback

if TYPE_CHECKING:
    from nextprobe.walk import Choice


class Prompt(ModalScreen[str]):
    """One line to type; dismissed with it, or with None where the person went back.

    `choices` may be picked by number; where a `figure` is wanted by number with its sign. What is
    picked is the choice's id, or its text where `texts` says that the words are what is wanted. `check` says how a
    line would be taken, or raises NextprobeError: then the line stays to be put right.
    """

    BINDINGS = bindings(ASIDE, shown=("back",))
    DEFAULT_CSS = """
    Prompt {
        align: center bottom;
        & > #box { height: auto; max-height: 90%; background: $panel; border-top: thick $accent; padding: 0 1; }
        & #title { text-style: bold; height: auto; }
        & #lead { height: auto; color: $gutter; }
        & Input { height: 1; border: none; border-left: outer $accent; background: $surface; padding: 0 1; }
        & Input:focus { border: none; border-left: outer $accent; }
        & ChoiceList { border-top: none; padding: 0; }
        & #keys { color: $gutter; height: 1; }
    }
    """

    def __init__(
        self,
        title: str,
        lead: str = "",
        choices: tuple[Choice, ...] = (),
        *,
        figure: bool = False,
        texts: bool = False,
        start: str = "",
        check: Callable[[str], str] | None = None,
    ) -> None:
        super().__init__()
        self._title = title
        self._lead = lead
        self._choices = choices
        self._figure = figure
        self._texts = texts
        self._start = start
        self._check = check

    def compose(self) -> ComposeResult:
        with Vertical(id="box"):
            yield Static(self._title, id="title", markup=False)
            if self._lead:
                yield Static(self._lead, id="lead", markup=False)
            yield ChoiceList()
            yield Input(self._start, id="line", max_length=400, select_on_focus=False)
            if self._check is not None:
                yield Feedback()
            yield Static("Enter takes it, Esc goes back", id="keys", markup=False)

    def on_mount(self) -> None:
        self.query_one(ChoiceList).show(self._choices, "#" if self._figure else "")
        self.query_one(Input).focus()

    def on_input_changed(self, event: Input.Changed) -> None:
        self._said(event.value)

    def on_input_submitted(self, event: Input.Submitted) -> None:
        if not self._said(event.value):
            return
        picked = chosen(event.value, self._choices, self._figure)
        if self._texts:
            picked = next((choice.say for choice in self._choices if choice.id == picked), picked)
        self.dismiss(picked)

    def _said(self, line: str) -> bool:
        """Say how the line would be taken; False where it would not be."""
        if self._check is None:
            return True
        try:
            self.query_one(Feedback).say(self._check(line), "preview")
        except NextprobeError as error:
            self.query_one(Feedback).say(str(error), "error")
            return False
        return True

    def action_act_back(self) -> None:
        self.dismiss(None)

    def action_act_up(self) -> None:
        self.query_one(ChoiceList).scroll_page_up(animate=False)

    def action_act_down(self) -> None:
        self.query_one(ChoiceList).scroll_page_down(animate=False)
