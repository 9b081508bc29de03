"""The bench as it really is: one row a condition, changed in place."""

from __future__ import annotations

from collections.abc import Mapping
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from nextprobe_tui.screens.aside import Aside


class BenchStateScreen(Aside[dict[str, str]]):
    """Conditions and their values; dismissed with the conditions that were changed."""

    name_shown = "The bench as it really is"
    lead = "← and → (or Enter) change a row. Enter on the first row uses the bench as shown."
    # The arrows belong to the rows of this one screen; the key line cannot name them better than the lead does.
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "turn(-1)", show=False, priority=True),
        Binding("right", "turn(1)", show=False, priority=True),
    ]

    def __init__(self, conditions: Mapping[str, tuple[str, ...]], bench: Mapping[str, str], lead: str = "") -> None:
        super().__init__()
        self._conditions = conditions
        self._found = dict(bench)
        self._bench = dict(bench)
        if lead:
            self.lead = f"{lead} {self.lead}"

    def compose_body(self) -> ComposeResult:
        yield OptionList(
            Option("Use the bench as shown", id=" use"),
            *(Option(self._line(condition), id=condition) for condition in self._conditions),
            markup=False,
        )

    def on_mount(self) -> None:
        rows = self.query_one(OptionList)
        rows.highlighted = 0
        rows.focus()

    def action_turn(self, by: int) -> None:
        """Give the highlighted condition its next value, or the one before."""
        rows = self.query_one(OptionList)
        if rows.highlighted is None or rows.highlighted == 0:
            return
        condition = list(self._conditions)[rows.highlighted - 1]
        values = self._conditions[condition]
        now = values.index(self._bench[condition]) if self._bench.get(condition) in values else 0
        self._bench[condition] = values[(now + by) % len(values)]
        rows.replace_option_prompt(condition, self._line(condition))

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        if event.option_index:
            self.action_turn(1)
        else:
            self.dismiss({key: value for key, value in self._bench.items() if self._found.get(key) != value})

    def _line(self, condition: str) -> Content:
        now = self._bench.get(condition, "")
        parts: list[str | tuple[str, str]] = [f"{condition.replace('_', ' '):<22}"]
        for value in self._conditions[condition]:
            shown = value.replace("_", " ")
            parts.append((f"[{shown}]", "bold") if value == now else f" {shown} ")
            parts.append(" ")
        return Content.assemble(*parts)
