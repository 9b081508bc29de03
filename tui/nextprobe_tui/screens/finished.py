"""A finished job to be read: how it ended, what it took, every step. Nothing on it can be changed."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.content import Content

from nextprobe_tui.actions import FINISHED, bindings
from nextprobe_tui.screens.aside import Aside, heading
from nextprobe_tui.screens.ending import ending_rows
from nextprobe_tui.widgets.row import Row
from nextprobe_tui.words import ENDINGS, minutes, said

if TYPE_CHECKING:
    from nextprobe.record.store import Store
    from nextprobe.walk import Ending, Step, Walk
    from nextprobe_tui.job_rows import JobRow


class FinishedScreen(Aside[None]):
    """The ending first, then the path; it scrolls."""

    BINDINGS = bindings(FINISHED)

    def __init__(self, job: JobRow, walk: Walk, ending: Ending | None, now: datetime, store: Store) -> None:
        super().__init__()
        self._job = job
        self._store = store
        self._walk = walk
        self._ending = ending
        word = ENDINGS.get(job.ending, job.ending.upper())
        symptom = walk.pack.symptoms[walk.situation.symptom].title
        self.name_shown = f"{word}  {job.machine}: {symptom}" if job.machine else f"{word}  {symptom}"
        self.lead = f"{job.known(now)}. To be read only; Esc goes back."

    def rows(self) -> ComposeResult:
        if self._ending is not None:
            yield from ending_rows(self._ending, self._walk.pack, ahead=False)
        else:
            yield Row("TOOK", minutes(self._walk.minutes))
        path = self._walk.path
        yield heading("The steps" if path else "No step was told")
        for number, step in enumerate(path, 1):
            yield Row(str(number), _told(step))

    def action_act_review(self) -> None:
        """Each step beside the engine."""
        from nextprobe_tui.screens.review import ReviewScreen

        self.app.push_screen(ReviewScreen(self._store, self._job.id))


def _told(step: Step) -> Content:
    answer = step.say or step.told or ""
    if step.skipped:
        answer = f"skipped: {answer}" if answer else "skipped"
    took = f"  ({minutes(step.minutes)})" if step.minutes > 0 else ""
    return Content.assemble(said(step.title, answer or "told"), (took, "$gutter"))
