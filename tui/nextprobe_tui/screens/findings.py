"""What there is to say against a pack, beside the lines of its files; checked anew at every save."""

from __future__ import annotations

from contextlib import suppress
from pathlib import Path
from threading import Event, Thread
from typing import TYPE_CHECKING

from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.message import Message
from textual.widgets import Static

from nextprobe_tui.actions import FINDINGS, bindings
from nextprobe_tui.screens.aside import Aside
from nextprobe_tui.widgets.row import Row

if TYPE_CHECKING:
    from nextprobe.errors import Finding

#: Findings that are shown; more would hide what to mend first.
SHOWN = 40
#: Lines of the file above and below the place.
AROUND = 1


class Checked(Message):
    """The pack was checked: what there is to say now, how much of it is new, how much is gone."""

    def __init__(self, findings: tuple[Finding, ...], new: int, gone: int) -> None:
        super().__init__()
        self.findings = findings
        self.new = new
        self.gone = gone


class Failed(Message):
    """Checking has failed."""

    def __init__(self, error: Exception) -> None:
        super().__init__()
        self.error = error


class _OverError(Exception):
    """The screen is gone."""


class FindingsScreen(Aside[None]):
    """Live findings of one pack. The checking runs in a thread of its own that ends with the screen."""

    lead = "Save a file in your editor: it is checked again at once. Esc goes back."
    BINDINGS = bindings(FINDINGS)
    DEFAULT_CSS = """
    FindingsScreen .source { color: $gutter; padding-left: 10; height: auto; }
    """

    def __init__(self, pack: Path) -> None:
        super().__init__()
        self._pack = pack
        self._over = Event()
        self.name_shown = f"What there is to say against {pack}"

    def on_mount(self) -> None:
        Thread(target=self._watch, name="beside the screen", daemon=True).start()

    def on_unmount(self) -> None:
        self._over.set()

    def rows(self) -> ComposeResult:
        yield Static("Checking …", markup=False)

    def _watch(self) -> None:
        from nextprobe.pack.watch import PackWatch
        from nextprobe.pack.watch_files import Looker

        def sleep(seconds: float) -> None:
            if self._over.wait(seconds):
                raise _OverError

        message: Message
        try:
            for change in PackWatch([self._pack], Looker(sleep=sleep)).changes():
                message = Checked(change.findings, len(change.new), len(change.gone))
                with suppress(RuntimeError):  # the screens were left meanwhile, and their loop is closed
                    self.post_message(message)
        except _OverError:
            return
        except Exception as error:  # whatever it is, a person must read it and not a dead screen
            with suppress(RuntimeError):
                self.post_message(Failed(error))

    def action_act_study(self) -> None:
        """What this pack can and cannot find, in figures."""
        from nextprobe_tui.screens.study import StudyScreen

        self.app.push_screen(StudyScreen(str(self._pack)))

    async def on_failed(self, event: Failed) -> None:
        await self._show([Row("FAULT", f"The pack could not be checked: {event.error}", strong=True)])

    async def on_checked(self, event: Checked) -> None:
        found = event.findings
        if not found:
            await self._show([Static("Nothing to say against it.", markup=False)])
            return
        counts = f"{len(found)} in all, {event.new} new, {event.gone} gone since the last save"
        widgets: list[Row | Static] = [Static(counts, markup=False, classes="heading")]
        for finding in found[:SHOWN]:
            place = f"{finding.file}:{finding.line}:{finding.column}" if finding.line else finding.file
            words = f"{finding.code} at {place}: {finding.message} {finding.help}".rstrip()
            widgets.append(Row(finding.severity.upper(), words, strong=finding.severity == "error"))
            lines = source_lines(Path(finding.file), finding.line)
            if lines:
                widgets.append(Static("\n".join(lines), markup=False, classes="source"))
        if len(found) > SHOWN:
            widgets.append(Static(f"and {len(found) - SHOWN} more", markup=False))
        await self._show(widgets)

    async def _show(self, widgets: list[Row | Static] | list[Row] | list[Static]) -> None:
        body = self.query_one("#body", VerticalScroll)
        async with body.batch():
            await body.remove_children()
            await body.mount_all(widgets)


def source_lines(file: Path, line: int) -> list[str]:
    """The place in a file and the lines around it, numbered; nothing where it cannot be read."""
    if line < 1:
        return []
    try:
        text = file.read_text("utf-8", "replace").splitlines()
    except OSError:
        return []
    first, last = max(1, line - AROUND), min(len(text), line + AROUND)
    return [f"{'>' if n == line else ' '} {n:>4} │ {text[n - 1].expandtabs(4)}" for n in range(first, last + 1)]
