"""What was seen on the way and is not the fault: picked from the pack, or written."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.widgets import OptionList
from textual.widgets.option_list import Option

from nextprobe_tui.screens.aside import Aside

if TYPE_CHECKING:
    from nextprobe.pack.pack import Remark

WRITE = " write"
"""Stands for a remark in the person's own words; no id has a blank."""


class RemarksScreen(Aside[str]):
    """Dismissed with the id of a remark, or WRITE."""

    name_shown = "Remarks for the owner"
    lead = "What is not the fault but belongs in the report. Enter notes it."

    def __init__(self, now: Iterable[Remark], others: Iterable[Remark], noted: Collection[str] = ()) -> None:
        super().__init__()
        self._now = tuple(now)
        first = {remark.id for remark in self._now}
        self._others = tuple(remark for remark in others if remark.id not in first)
        self._noted = noted

    def compose_body(self) -> ComposeResult:
        yield OptionList(
            Option("Write one in your own words", id=WRITE),
            *(Option(self._line(remark, " (to be seen now)"), id=remark.id) for remark in self._now),
            *(Option(self._line(remark, ""), id=remark.id) for remark in self._others),
            markup=False,
        )

    def on_mount(self) -> None:
        rows = self.query_one(OptionList)
        rows.highlighted = 1 if self._now else 0
        rows.focus()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        self.dismiss(event.option.id)

    def _line(self, remark: Remark, after: str) -> str:
        return f"{'✓ noted ' if remark.id in self._noted else '· '}{remark.say}{after}"
