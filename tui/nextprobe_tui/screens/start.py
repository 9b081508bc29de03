"""Where a day begins: an open job to go on with, or a new one from a pack."""

from __future__ import annotations

from typing import TYPE_CHECKING

from textual import work
from textual.app import ComposeResult
from textual.screen import Screen
from textual.widgets import Footer, OptionList, Static
from textual.widgets.option_list import Option

from nextprobe.errors import NextprobeError
from nextprobe.resources import find_pack
from nextprobe_tui.actions import START, bindings
from nextprobe_tui.desk import Desk
from nextprobe_tui.screens.bench import BenchScreen
from nextprobe_tui.screens.findings import FindingsScreen
from nextprobe_tui.screens.intake import Intake, IntakeScreen
from nextprobe_tui.screens.path import PathScreen
from nextprobe_tui.screens.pick import PickScreen
from nextprobe_tui.screens.prompt import Prompt
from nextprobe_tui.thinking import beside
from nextprobe_tui.widgets.feedback import Feedback

if TYPE_CHECKING:
    from nextprobe.job import OpenJob

NO_BOARD = " none"
OWN_PACK = " own"


class StartScreen(Screen[None]):
    """Open jobs first, then the packs; the walk itself is on the bench screen."""

    BINDINGS = bindings(START, shown=("help", "packs", "light", "leave"))
    DEFAULT_CSS = """
    StartScreen {
        & > #title { height: auto; padding: 0 1; text-style: bold; }
        & > #title { background: $act-background; color: $act-foreground; }
        & > #lead { padding: 1 1 0 1; color: $gutter; height: auto; }
        & > OptionList { height: 1fr; border: none; background: $background; padding: 0 1; margin-top: 1; }
        & > OptionList:focus { border: none; background-tint: $foreground 0%; }
        & > Feedback { max-height: 10; }
    }
    """

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk

    def compose(self) -> ComposeResult:
        yield Static("nextprobe  which check next", id="title", markup=False)
        yield Static("↑ ↓ and Enter. Nothing is recorded before a job is begun.", id="lead", markup=False)
        yield OptionList(markup=False)
        yield Feedback()
        yield Footer(show_command_palette=False, compact=True)

    def on_mount(self) -> None:
        self.lay_out()

    @work(exclusive=True)
    async def lay_out(self) -> None:
        """Read what there is and list it."""
        rows = self.query_one(OptionList)
        try:
            jobs, packs, ended = await beside(
                lambda: (self._desk.open_jobs(), self._desk.packs(), self._desk.ended_jobs())
            )
        except NextprobeError as error:
            self.query_one(Feedback).say(str(error), "error")
            return
        rows.clear_options()
        if jobs:
            rows.add_option(Option("Go on with an open job", disabled=True))
            rows.add_options(
                Option(f"  {job.id}  {job.pack_id}  {job.board}  {job.events} events", id=f"job {job.id}")
                for job in jobs
            )
            rows.add_option(None)
        rows.add_option(Option("Begin a new job", disabled=True))
        rows.add_options(Option(f"  {title}  ({ref})", id=f"pack {ref}") for ref, title in packs)
        rows.add_option(Option("  A pack of your own: type where it lies", id=OWN_PACK))
        if ended:
            rows.add_option(None)
            rows.add_option(Option("Look at a finished job", disabled=True))
            rows.add_options(
                Option(f"  {job.id}  {job.pack_id}  {job.board}  {job.ending.replace('_', ' ')}", id=f"ended {job.id}")
                for job in ended
            )
        rows.highlighted = 1
        rows.focus()

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        kind, _, ref = (event.option.id or "").partition(" ")
        self.query_one(Feedback).say("")
        if kind == "job":
            self.go_on(ref)
        elif kind == "pack":
            self.begin(ref)
        elif kind == "ended":
            self.look(ref)
        else:
            lead = "The path of a pack.yaml, or of the folder that holds it."
            self.app.push_screen(Prompt("A pack of your own", lead), self._own_pack)

    def _own_pack(self, path: str | None) -> None:
        if path and path.strip():
            self.begin(path.strip())

    @work(exclusive=True)
    async def look(self, job_id: str) -> None:
        """The path of a finished job."""
        try:
            walk = await beside(lambda: self._desk.look(job_id))
        except NextprobeError as error:
            self.query_one(Feedback).say(str(error), "error")
            return
        await self.app.push_screen_wait(PathScreen(walk.path))

    @work(exclusive=True)
    async def go_on(self, job_id: str) -> None:
        """Take an open job up where it stopped."""
        feedback = self.query_one(Feedback)
        feedback.say("Reading the record …")
        try:
            opened = await beside(lambda: self._desk.go_on(job_id))
        except NextprobeError as error:
            feedback.say(str(error), "error")
            return
        await self._walk(opened)

    @work(exclusive=True)
    async def begin(self, ref: str) -> None:
        """Pack, board sheet, symptom, then the walk."""
        feedback = self.query_one(Feedback)
        feedback.say("Reading the pack …")
        try:
            pack = await beside(lambda: self._desk.load(ref))
            boards = await beside(lambda: self._desk.boards(pack))
            board: str | None = NO_BOARD
            if boards:
                items = [*boards, (NO_BOARD, "None of these: what differs will be asked")]
                board = await self.app.push_screen_wait(
                    PickScreen("Which machine is it?", "A board sheet knows its points and limits.", items)
                )
            symptom: str | None = next(iter(pack.symptoms))
            if board is not None and len(pack.symptoms) > 1:
                choices = [(symptom.id, symptom.title) for symptom in pack.symptoms.values()]
                symptom = await self.app.push_screen_wait(PickScreen("What does the owner report?", "", choices))
            feedback.say("")
            if board is None or symptom is None:
                return
            sheet = None if board == NO_BOARD else board
            pack = await beside(lambda: self._desk.load(ref, sheet))
            screen = IntakeScreen(pack, self._desk.lacks(pack), self._desk.limit)
            intake: Intake | None = await self.app.push_screen_wait(screen)
            if intake is None:
                return
            opened = await beside(lambda: self._desk.begin(ref, sheet, symptom, intake))
        except NextprobeError as error:
            feedback.say(str(error), "error")
            return
        await self._walk(opened)

    async def _walk(self, opened: OpenJob) -> None:
        self.query_one(Feedback).say("")
        bench = BenchScreen(opened.walk, opened.job.id, over=opened.go_over)
        if opened.taken_over:
            self.app.notify(opened.taken_over, timeout=20)
        ending = await self.app.push_screen_wait(bench)
        await beside(opened.let_go)
        if ending is not None:
            self.query_one(Feedback).say(f"{opened.job.id}: {ending.what.replace('_', ' ')}.", "taken")
        self.lay_out()

    @work(exclusive=True)
    async def action_act_packs(self) -> None:
        """Pick a pack and see what there is to say against it."""
        packs = await beside(self._desk.packs)
        rows = [*packs, (OWN_PACK, "A pack of your own: type where it lies")]
        ref = await self.app.push_screen_wait(PickScreen("Which pack?", "It is checked at every save.", rows))
        if ref == OWN_PACK:
            lead = "The path of a pack.yaml, or of the folder that holds it."
            ref = await self.app.push_screen_wait(Prompt("A pack of your own", lead))
        if not ref or not ref.strip():
            return
        try:
            path = find_pack(ref.strip())
        except NextprobeError as error:
            self.query_one(Feedback).say(str(error), "error")
            return
        await self.app.push_screen_wait(FindingsScreen(path))

    def action_act_back(self) -> None:
        self.query_one(Feedback).say("")
