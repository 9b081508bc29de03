"""One of several: a board sheet, a symptom."""

from __future__ import annotations

from collections.abc import Sequence

from textual.app import ComposeResult
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from nextprobe_tui.screens.aside import Aside


class PickScreen(Aside[str]):
    """Dismissed with the id of what was picked, or None where the person went back. `at`: the id that stands out."""

    def __init__(self, title: str, lead: str, items: Sequence[tuple[str, str]], at: str = "") -> None:
        super().__init__()
        self.name_shown = title
        self.lead = lead
        self._items = tuple(items)
        self._at = at

    def compose_body(self) -> ComposeResult:
        yield OptionList(*(Option(say, id=id_) for id_, say in self._items), markup=False)

    def on_mount(self) -> None:
        rows = self.query_one(OptionList)
        rows.highlighted = next((n for n, (id_, _) in enumerate(self._items) if id_ == self._at), 0)
        rows.focus()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        self.dismiss(event.option.id)
