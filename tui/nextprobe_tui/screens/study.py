"""What a pack can and cannot find, in figures; worked out beside the screen, which can be left at any time."""

from __future__ import annotations

from contextlib import suppress
from threading import Event, Thread
from time import monotonic
from typing import TYPE_CHECKING, ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Static

from nextprobe_tui.screens.aside import Aside
from nextprobe_tui.screens.study_rows import study_rows
from nextprobe_tui.widgets.cause_list import CauseList
from nextprobe_tui.widgets.row import Row

if TYPE_CHECKING:
    from nextprobe.study.study import Study

#: Seconds between two words on how far it is.
TICK = 0.2
STAGES = {"planning": "Planning", "cases": "Running the pack's cases"}


class Stage(Message):
    """How far the study is."""

    def __init__(self, said: str) -> None:
        super().__init__()
        self.said = said


class Studied(Message):
    """The study is done."""

    def __init__(self, study: Study) -> None:
        super().__init__()
        self.study = study


class StudyFailed(Message):
    """There is nothing to study, or it failed."""

    def __init__(self, error: Exception) -> None:
        super().__init__()
        self.error = error


class StudyScreen(Aside[None]):
    """The figures of one pack, on one board sheet, from one symptom. Leaving ends the work and never waits for it."""

    lead = "Esc ends it and goes back."
    # The arrows belong to the list of causes, as the lead says.
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("left", "sort(-1)", show=False),
        Binding("right", "sort(1)", show=False),
    ]

    def __init__(self, ref: str, board: str | None = None, symptom: str | None = None) -> None:
        super().__init__()
        self._ref, self._board, self._symptom = ref, board, symptom
        self._over = Event()
        self._said_at = 0.0
        self.name_shown = f"What {ref} can and cannot find"

    def on_mount(self) -> None:
        self.query_one("#body").focus()
        Thread(target=self._study, name="beside the screen", daemon=True).start()

    def on_unmount(self) -> None:
        self._over.set()

    def rows(self) -> ComposeResult:
        yield Static("Reading the pack …", id="stage", markup=False)

    def _study(self) -> None:
        from nextprobe.study.study import make_study

        message: Message
        try:
            # In this one process: others would outlive the screens, and leaving would wait for them.
            study = make_study(
                self._ref,
                board=self._board,
                symptom=self._symptom,
                workers=1,
                cancel=self._over.is_set,
                say_stage=self._say,
            )
            message = Studied(study)
        except Exception as error:  # whatever it is, a person must read it and not a dead screen
            message = StudyFailed(error)
        self._post(message)

    def _say(self, stage: str, done: int, of: int) -> None:
        now = monotonic()
        if now - self._said_at >= TICK or done >= of:
            self._said_at = now
            self._post(Stage(f"{STAGES.get(stage, stage)}: {100 * done // max(of, 1)} %"))

    def _post(self, message: Message) -> None:
        if not self._over.is_set():
            with suppress(RuntimeError):  # the screens were left meanwhile, and their loop is closed
                self.post_message(message)

    def on_stage(self, event: Stage) -> None:
        for stage in self.query("#stage").results(Static):
            stage.update(event.said)

    async def on_study_failed(self, event: StudyFailed) -> None:
        await self._show([Row("FAULT", f"It cannot be studied. {event.error}", strong=True)])

    async def on_studied(self, event: Studied) -> None:
        from nextprobe.study.lines import heading

        self.query_one("#title", Static).update(heading(event.study)[0])
        self.query_one("#lead", Static).update("↑ ↓ scroll, ← → sort the causes. Esc goes back.")
        await self._show(list(study_rows(event.study)))

    async def _show(self, widgets: list[Widget] | list[Row]) -> None:
        body = self.query_one("#body", VerticalScroll)
        async with body.batch():
            await body.remove_children()
            await body.mount_all(widgets)
        body.focus()

    def action_sort(self, by: int) -> None:
        """Sort the causes by another of their figures."""
        for causes in self.query(CauseList):
            causes.turn(by)
