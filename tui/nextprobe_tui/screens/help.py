"""Every key and every word, from the registry."""

from __future__ import annotations

from textual.app import ComposeResult

from nextprobe_tui.actions import ACTS
from nextprobe_tui.keys import key_of
from nextprobe_tui.screens.aside import Aside, heading
from nextprobe_tui.widgets.row import Row


class HelpScreen(Aside[None]):
    """Keys and words, then how an answer may be typed."""

    name_shown = "Keys and words"
    lead = "Press the key, or type its word into the answer line."

    def rows(self) -> ComposeResult:
        for act in ACTS:
            yield Row(key_of(self.app, act.id), act.help, number=f"{act.word:<7}")
        yield Row("Ctrl+P", "Find any of these by a part of its word.")
        yield heading("How an answer may be typed")
        yield Row("figure", "1.19   1.19V   1190 mV   1V2   0,6   4R7   OL. A bare number is in the unit of the step.")
        yield Row("list", "1 for the first one; where a figure is wanted #1. Its word serves too.")
        yield Row("as it is", "What is shown below the line while you type is how Enter would take it.")
        yield Row("reason", "skip no meter here: the reason may follow the word at once.")
