"""What came of a rehearsal: what it was, what it took beside the engine, the marks."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.binding import Binding

from nextprobe_tui.actions import FINISHED, bindings
from nextprobe_tui.screens.aside import Aside
from nextprobe_tui.widgets.row import Row
from nextprobe_tui.words import minutes

if TYPE_CHECKING:
    from nextprobe.job import OpenJob
    from nextprobe.pack.pack import Pack
    from nextprobe.rehearse.result import Result


class RehearsedScreen(Aside[None]):
    """One Result; Enter or Esc goes back."""

    BINDINGS = [  # noqa: RUF012  (as Textual has it)
        Binding("enter", "act_back", "Done", key_display="Enter"),
        *bindings(FINISHED),
    ]

    def __init__(self, result: Result, pack: Pack, opened: OpenJob) -> None:
        super().__init__()
        self._result = result
        self._pack = pack
        self._opened = opened
        self.name_shown = f"{'PASSED' if result.passed else 'NOT PASSED'}: {result.marks} of 10 marks"
        self.lead = f"{pack.title} on simulated machine {result.seed}. The same seed is the same machine again."

    def rows(self) -> ComposeResult:
        result, title = self._result, self._pack.title_of
        yield Row("IT WAS", " and ".join(map(title, result.causes)), strong=True)
        if result.cured is False and result.ending == "repaired":
            yield Row("BUT", "The symptom still shows on the machine: it was told gone, and it is not.", strong=True)
        yield Row("TOOK", f"{minutes(result.minutes)} hands-on in {result.steps} steps")
        if result.engine_minutes is not None:
            yield Row("ENGINE", f"{minutes(result.engine_minutes)} on the same machine")
        if result.hints:
            yield Row("HINTS", f"{result.hints}, one mark each")
        if result.slipped:
            yield Row("SLIPPED", f"Readings that were wrong: {'; '.join(map(title, dict.fromkeys(result.slipped)))}")

    def action_act_review(self) -> None:
        """Each step beside the engine."""
        from nextprobe_tui.screens.review import ReviewScreen

        self.app.push_screen(ReviewScreen(self._opened.store, self._opened.job.id))
