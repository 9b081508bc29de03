"""What a pack can and cannot find, in figures; worked out beside the screen, which can be left at any time."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import TYPE_CHECKING, ClassVar

from textual.binding import Binding, BindingType
from textual.widget import Widget
from textual.widgets import Static

from nextprobe_tui.screens.study_rows import study_rows
from nextprobe_tui.screens.worked_out import WorkedOut
from nextprobe_tui.widgets.cause_list import CauseList

if TYPE_CHECKING:
    from nextprobe.study.study import Study

STAGES = {"planning": "Planning", "cases": "Running the pack's cases"}


class StudyScreen(WorkedOut["Study"]):
    """The figures of one pack, on one board sheet, from one symptom. Leaving ends the work and never waits for it."""

    beginning = "Reading the pack …"
    failing = "It cannot be studied."
    # The arrows belong to the list of causes, as the lead says.
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "sort(-1)", show=False),
        Binding("right", "sort(1)", show=False),
    ]

    def __init__(self, ref: str, board: str | None = None, symptom: str | None = None) -> None:
        super().__init__()
        self._ref, self._board, self._symptom = ref, board, symptom
        self.name_shown = f"What {ref} can and cannot find"

    def work_out(self, cancel: Callable[[], bool], say: Callable[[str], None]) -> Study:
        from nextprobe.study.study import make_study

        def stage(name: str, done: int, of: int) -> None:
            say(f"{STAGES.get(name, name)}: {100 * done // max(of, 1)} %")

        # In this one process: others would outlive the screens, and leaving would wait for them.
        return make_study(
            self._ref, board=self._board, symptom=self._symptom, workers=1, cancel=cancel, say_stage=stage
        )

    def rows_of(self, value: Study) -> Iterable[Widget]:
        from nextprobe.study.lines import heading

        self.query_one("#title", Static).update(heading(value)[0])
        self.query_one("#lead", Static).update("↑ ↓ scroll, ← → sort the causes. Esc goes back.")
        return study_rows(value)

    def action_sort(self, by: int) -> None:
        """Sort the causes by another of their figures."""
        for causes in self.query(CauseList):
            causes.turn(by)
