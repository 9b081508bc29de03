"""Which machine, which symptom, what is known: one screen after the other, Esc goes to the one before."""

from __future__ import annotations

from collections.abc import Awaitable, Callable
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

from nextprobe_tui.screens.intake import IntakeScreen
from nextprobe_tui.screens.intake_questions import Draft, Intake
from nextprobe_tui.screens.pick import PickScreen
from nextprobe_tui.thinking import beside

if TYPE_CHECKING:
    from textual.app import App

    from nextprobe.pack.pack import Pack
    from nextprobe_tui.desk import Desk

NO_BOARD = " none"

Page = Callable[[], Awaitable[bool]]


@dataclass
class IntakeFlow:
    """The screens before a job in the pack `ref`. `draft` is what was given so far, also after going back.

    Its methods raise NextprobeError for a pack or a sheet that cannot be used.
    """

    app: App[Any]
    desk: Desk
    ref: str
    draft: Draft
    _intake: Intake | None = None

    async def machine(self) -> bool:
        """Ask for the board and the symptom, where there are several; False where the person went back."""
        return await self._through(await self._first_pages("None of these: the pack as it stands"))

    async def intake(self) -> Intake | None:
        """As `machine`, then what is known already; None where the person went back to the start."""
        pages = await self._first_pages("None of these: what differs will be asked")
        return self._intake if await self._through([*pages, self._rows]) else None

    @property
    def sheet(self) -> str | None:
        """The board sheet that was picked; None for none."""
        return None if self.draft.board in ("", NO_BOARD) else self.draft.board

    async def _through(self, pages: list[Page]) -> bool:
        """Every page in its turn; a page that was left by Esc leads to the one before it."""
        at = 0
        while 0 <= at < len(pages):
            at += 1 if await pages[at]() else -1
        return at >= 0

    async def _first_pages(self, none: str) -> list[Page]:
        def read() -> tuple[Pack, list[tuple[str, str]]]:
            pack = self.desk.load(self.ref)
            return pack, self.desk.boards(pack)

        pack, boards = await beside(read)
        if len(pack.symptoms) == 1:
            self.draft = replace(self.draft, symptom=next(iter(pack.symptoms)))
        pages: list[Page] = []
        if boards:
            pages.append(lambda: self._board([*boards, (NO_BOARD, none)]))
        if len(pack.symptoms) > 1:
            pages.append(lambda: self._symptom([(one.id, one.title) for one in pack.symptoms.values()]))
        return pages

    async def _board(self, choices: list[tuple[str, str]]) -> bool:
        lead = "It stands on the board or its label. Its sheet knows the points and limits."
        picked = await self.app.push_screen_wait(PickScreen("Which machine is it?", lead, choices, self.draft.board))
        self.draft = replace(self.draft, board=picked or self.draft.board)
        return bool(picked)

    async def _symptom(self, choices: list[tuple[str, str]]) -> bool:
        picked = await self.app.push_screen_wait(
            PickScreen("What does the owner report?", "", choices, self.draft.symptom)
        )
        self.draft = replace(self.draft, symptom=picked or self.draft.symptom)
        return bool(picked)

    async def _rows(self) -> bool:
        sheet = self.sheet
        pack = await beside(lambda: self.desk.load(self.ref, sheet))
        screen = IntakeScreen(pack, self.desk.lacks(pack), self.desk.limit, symptom=self.draft.symptom, left=self.draft)
        self._intake = await self.app.push_screen_wait(screen)
        rows, limit = screen.given()
        # What another board or symptom does not ask is kept for the way back to the first one.
        self.draft = replace(self.draft, rows={**self.draft.rows, **rows}, limit=limit, begun=True)
        return self._intake is not None
