"""The line at the top: which machine and job this is, and what the job has taken so far."""

from __future__ import annotations

from textual.app import ComposeResult
from textual.containers import Horizontal
from textual.widgets import Static

from nextprobe_tui.widgets.text import Text


class TopLine(Horizontal):
    """Job on the left, minutes so far on the right."""

    DEFAULT_CSS = """
    TopLine {
        height: 1;
        background: $panel;
        padding: 0 1;
        & > #job { width: 1fr; height: 1; text-overflow: ellipsis; text-wrap: nowrap; }
        & > #spent { width: auto; height: 1; text-style: bold; padding-left: 2; }
    }
    """

    def __init__(self, job: str) -> None:
        super().__init__()
        self._job = job

    def compose(self) -> ComposeResult:
        yield Text(self._job, id="job", markup=False)
        yield Text("", id="spent", markup=False)

    def show_title(self, text: str) -> None:
        """Say which machine and job this is."""
        self.query_one("#job", Static).update(text)

    def show_spent(self, text: str) -> None:
        """Say what the job has taken so far."""
        self.query_one("#spent", Static).update(text)
