"""The line below the answer: how it was understood, what was wrong with it and what to do."""

from __future__ import annotations

from nextprobe_tui.widgets.text import Text


class Feedback(Text):
    """One sentence; its sign tells what it is where colour does not."""

    DEFAULT_CSS = """
    Feedback {
        height: auto;
        min-height: 1;
        max-height: 3;
        padding: 0 1;
        &.-error { color: $error; text-style: bold; }
        &.-taken { color: $success; }
        &.-preview { color: $gutter; }
    }
    """

    def __init__(self) -> None:
        super().__init__("", id="feedback", markup=False)
        self._mode = ""

    @property
    def mode(self) -> str:
        """error, taken, preview, or nothing."""
        return self._mode

    def say(self, text: str, mode: str = "") -> None:
        """Show `text`; mode: error, taken, preview or nothing."""
        self._mode = mode
        for known in ("error", "taken", "preview"):
            self.set_class(known == mode, f"-{known}")
        sign = {"error": "✗ ", "taken": "✓ ", "preview": "= "}.get(mode, "") if text else ""
        self.update(sign + text)
