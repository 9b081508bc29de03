"""The steps so far; one of them can be picked to take its reading again."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.content import Content
from textual.widgets import OptionList, Static
from textual.widgets.option_list import Option

from nextprobe_tui.screens.aside import Aside
from nextprobe_tui.words import minutes

if TYPE_CHECKING:
    from nextprobe.walk import Step


class PathScreen(Aside[str]):
    """The path; dismissed with the id of the step that is to be taken again."""

    name_shown = "The path so far"
    lead = "Enter on a step takes its reading again. Both readings stay in the record."

    def __init__(self, path: Sequence[Step]) -> None:
        super().__init__()
        self._path = path

    def compose_body(self) -> ComposeResult:
        if self._path:
            yield OptionList(*(Option(self._line(n, step)) for n, step in enumerate(self._path, 1)), markup=False)
        else:
            yield Static("Nothing was told yet.", id="body", markup=False)

    def on_mount(self) -> None:
        for steps in self.query(OptionList):
            steps.highlighted = len(self._path) - 1

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        self.dismiss(self._path[event.option_index].ask)

    def _line(self, number: int, step: Step) -> Content:
        told = step.say or step.told or ("skipped" if step.skipped else "")
        took = f"({minutes(step.minutes)})" if step.minutes > 0 else ""
        return Content.assemble((f"{number:>3}  ", "$gutter"), (step.title, "bold"), f"  {told}  ", (took, "$gutter"))
