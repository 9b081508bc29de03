"""A screen whose figures are worked out beside it: it says how far that is, and leaving ends it at once."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Callable, Iterable
from contextlib import suppress
from threading import Event, Thread
from time import monotonic
from typing import Any, Generic, TypeVar

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Static

from nextprobe_tui.screens.aside import Aside
from nextprobe_tui.widgets.row import Row
from nextprobe_tui.widgets.text import Text

#: Seconds between two words on how far it is.
TICK = 0.2
Value = TypeVar("Value")


class Stage(Message):
    """How far the work is."""

    def __init__(self, said: str) -> None:
        super().__init__()
        self.said = said


class Worked(Message):
    """The work is done."""

    def __init__(self, value: Any) -> None:
        super().__init__()
        self.value = value


class WorkFailed(Message):
    """There is nothing to work out, or it failed."""

    def __init__(self, error: Exception) -> None:
        super().__init__()
        self.error = error


class WorkedOut(Aside[None], Generic[Value]):
    """Works `value` out in a thread of its own, then shows its rows."""

    lead = "Esc ends it and goes back."
    beginning = "Reading the record …"
    failing = "It cannot be worked out."

    def __init__(self) -> None:
        super().__init__()
        self._over = Event()
        self._said_at = 0.0

    @abstractmethod
    def work_out(self, cancel: Callable[[], bool], say: Callable[[str], None]) -> Value:
        """The value; called in the thread, touches no widget. say: told how far it is."""

    @abstractmethod
    def rows_of(self, value: Value) -> Iterable[Widget]:
        """What is shown of it."""

    def on_mount(self) -> None:
        self.query_one("#body").focus()
        self.again()

    def again(self) -> None:
        """Work it out (anew)."""
        Thread(target=self._work, name="beside the screen", daemon=True).start()

    def on_unmount(self) -> None:
        self._over.set()

    def rows(self) -> ComposeResult:
        yield Text(self.beginning, id="stage", markup=False)

    def _work(self) -> None:
        message: Message
        try:
            message = Worked(self.work_out(self._over.is_set, self._say))
        except Exception as error:  # whatever it is, a person must read it and not a dead screen
            message = WorkFailed(error)
        self._send(message)

    def _say(self, said: str) -> None:
        now = monotonic()
        if now - self._said_at >= TICK:
            self._said_at = now
            self._send(Stage(said))

    def _send(self, message: Message) -> None:
        if not self._over.is_set():
            with suppress(RuntimeError):  # the screens were left meanwhile, and their loop is closed
                self.post_message(message)

    def on_stage(self, event: Stage) -> None:
        for stage in self.query("#stage").results(Static):
            stage.update(event.said)

    async def on_work_failed(self, event: WorkFailed) -> None:
        await self._show([Row("FAULT", f"{self.failing} {event.error}", strong=True)])

    async def on_worked(self, event: Worked) -> None:
        await self._show(self.rows_of(event.value))

    async def _show(self, widgets: Iterable[Widget]) -> None:
        body = self.query_one("#body", VerticalScroll)
        async with body.batch():
            await body.remove_children()
            await body.mount_all(widgets)
        body.focus()
