"""A caution before the act: its signal word in letters, then what it says."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.widgets import Static

from nextprobe.pack.pack import Hazard


class Caution(Horizontal):
    """The signal word on the colour that ANSI Z535 gives it, and the sentence.

    One that stands whole further up in the same step (`again`) is called to mind in one line.
    """

    DEFAULT_CSS = """
    Caution {
        height: auto;
        & > .signal { width: 9; margin-right: 1; text-align: center; text-style: bold; }
        & > .signal { background: #1f5fa8; color: #ffffff; }
        & > .signal.-danger { background: #b3161b; color: #ffffff; }
        & > .signal.-warning { background: #e8792a; color: #000000; }
        & > .signal.-caution { background: #f2c811; color: #000000; }
        & > .text { width: 1fr; height: auto; max-width: 101; text-style: bold; }
        &.-again > .text { height: 1; text-wrap: nowrap; text-overflow: ellipsis; }
    }
    """

    def __init__(self, hazard: Hazard, *, again: bool = False) -> None:
        super().__init__(classes="-again" if again else "")
        self._hazard = hazard

    def compose(self) -> ComposeResult:
        signal = self._hazard.signal
        yield Static(signal, classes=f"signal -{signal.lower()}", markup=False)
        yield Static(self._hazard.say, classes="text", markup=False)
