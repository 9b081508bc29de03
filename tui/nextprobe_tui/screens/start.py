"""Where a day begins: an open job to go on with, or a new one from a pack."""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial
from importlib import import_module
from typing import TYPE_CHECKING, ClassVar

from textual import on, work
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.widgets import OptionList, Static

from nextprobe.errors import NextprobeError
from nextprobe.resources import find_pack
from nextprobe_tui.actions import START, bindings
from nextprobe_tui.desk import Desk, Lying
from nextprobe_tui.screens.findings import FindingsScreen
from nextprobe_tui.screens.intake_flow import IntakeFlow
from nextprobe_tui.screens.intake_questions import Draft
from nextprobe_tui.screens.pick import PickScreen
from nextprobe_tui.screens.prompt import Prompt
from nextprobe_tui.screens.start_list import LESSON, OLDER, OWN_PACK, OWN_SAY, lead_of, rows_of, show_first
from nextprobe_tui.screens.study import StudyScreen
from nextprobe_tui.thinking import beside
from nextprobe_tui.widgets.feedback import Feedback
from nextprobe_tui.widgets.first_act import FirstAct
from nextprobe_tui.widgets.key_line import KeyLine
from nextprobe_tui.widgets.start_rows import StartRows
from nextprobe_tui.widgets.text import Text

if TYPE_CHECKING:
    from nextprobe.job import OpenJob
    from nextprobe.rehearse.lesson import Task
    from nextprobe.rehearse.rehearsal import Rehearsal

FIRST_LESSON = "first-steps"
MODES = (
    ("guided", "The program says which check next; the machine answers"),
    ("typed", "The program says which check next; you type what the meter shows"),
    ("free", "I choose every step myself"),
)


class StartScreen(Screen[None]):
    """The one thing to do first, then all else that can be begun, gone on with or looked at."""

    BINDINGS: ClassVar[list[BindingType]] = [
        *bindings(START, shown=("help", "rehearse", "packs", "study", "leave")),
        *(Binding(key, f"into('{key}')", show=False) for key in ("down", "pagedown", "end")),
    ]
    DEFAULT_CSS = """
    StartScreen {
        & > #title { height: auto; padding: 0 1; background: $panel; }
        & > #lead { padding: 0 1; margin-top: 1; color: $gutter; height: auto; max-width: 110; }
        & > OptionList { height: 1fr; border: none; background: $background; padding: 0 1; margin-top: 1; }
        & > OptionList:focus { border: none; background-tint: $foreground 0%; }
        & > OptionList:blur > .option-list--option-highlighted { text-style: none; background: $background; }
        & > Feedback { max-height: 10; }
    }
    """

    def __init__(self, desk: Desk) -> None:
        super().__init__()
        self._desk = desk
        self._lying: Lying | None = None
        self._drafts: dict[str, Draft] = {}
        self._own = self._picked = ""
        self._opening = False

    def compose(self) -> ComposeResult:
        yield Static("nextprobe  which check next", id="title", markup=False)
        yield FirstAct()
        yield Text("", id="lead", markup=False)
        yield StartRows(markup=False)
        yield Feedback()
        yield KeyLine()

    def on_mount(self) -> None:
        self.query_one(FirstAct).focus()
        self.lay_out()

    @property
    def listed(self) -> bool:
        """Whether what there is has been read and is shown."""
        return self._lying is not None

    @work(exclusive=True, group="listing")
    async def lay_out(self) -> None:
        """Read what there is and list it."""
        try:
            lying = await beside(self._desk.lying)
        except NextprobeError as error:
            self.query_one(Feedback).say(str(error), "error")
            return
        self._lying = lying
        show_first(self.query_one(FirstAct), lying)
        self.query_one("#lead", Static).update(lead_of(lying))
        self.query_one(StartRows).show(rows_of(lying))
        await beside(_get_ready)

    def action_into(self, key: str) -> None:
        """From the first thing into the rows."""
        rows = self.query_one(StartRows)
        rows.focus()
        if key == "end":
            rows.action_last()
        else:
            rows.action_first()

    def on_start_rows_above(self) -> None:
        self.query_one(FirstAct).focus()

    @on(FirstAct.Taken)
    def first(self) -> None:
        if self._lying is None:
            return
        if self._lying.open:
            self.go_on(self._lying.open[0].id)
        else:
            self.begin(None)

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        id_ = event.option.id or ""
        kind, _, ref = id_.partition(" ")
        if kind == "job":
            self.go_on(ref)
        elif kind == "pack":
            self.begin(ref)
        elif kind == "ended":
            self.look(ref)
        elif id_ == OLDER:
            self.look(None)
        elif id_ == LESSON:
            self.learn(FIRST_LESSON)
        else:
            self.begin(OWN_PACK)

    @work
    async def look(self, job_id: str | None) -> None:
        """The path and the ending of a finished job; None: picked from all of them."""
        lying = self._lying
        if lying is None:
            return
        jobs = {job.id: job for job in lying.ended}
        picked: str | None = job_id
        if picked is None:
            rows = [(job.id, f"{job.what} ({job.known(lying.now)})") for job in lying.ended]
            picked = await self.app.push_screen_wait(PickScreen("Which finished job?", "The newest first.", rows))
        if not picked:
            return
        try:
            walk, ending = await beside(partial(self._desk.look, picked))
        except NextprobeError as error:
            self._fail(error)
            return
        from nextprobe_tui.screens.finished import FinishedScreen

        await self.app.push_screen_wait(FinishedScreen(jobs[picked], walk, ending, lying.now, self._desk.store))

    @work
    async def go_on(self, job_id: str) -> None:
        """Take an open job up where it stopped."""
        if self._opening:
            return
        self._opening = True
        self.query_one(Feedback).say("Reading the record …")
        try:
            await self._walk(await beside(lambda: self._desk.go_on(job_id)))
        except NextprobeError as error:
            self._fail(error)
        finally:
            self._opening = False

    @work
    async def begin(self, ref: str | None) -> None:
        """Pack, board sheet, symptom, what is known, then the walk. None: the pack is asked for first."""
        if self._opening:
            return
        self._opening = True
        try:
            lead = "↑ ↓ and Enter pick it. Esc goes back; what was given is kept."
            while True:
                picked = await self._pack(ref, "What does the machine do wrong?", lead)
                if picked is None or await self._begin(picked) or ref is not None:
                    break
        except NextprobeError as error:
            self._fail(error)
        finally:
            self._opening = False

    async def _begin(self, ref: str) -> bool:
        """Lead to a job and walk it; False where the person went back."""
        self.query_one(Feedback).say("Reading the pack …")
        flow = IntakeFlow(self.app, self._desk, ref, self._drafts.get(ref, Draft()))
        try:
            intake = await flow.intake()
        finally:
            self._drafts[ref] = flow.draft
        self.query_one(Feedback).say("")
        if intake is None:
            return False
        opened = await beside(lambda: self._desk.begin(ref, flow.sheet, flow.draft.symptom, intake))
        del self._drafts[ref]
        await self._walk(opened)
        return True

    @work
    async def learn(self, lesson: str) -> None:
        """A lesson on a simulated machine."""
        if self._opening:
            return
        self._opening = True
        try:
            self.query_one(Feedback).say("Making the machine …")
            await self._walk(*await beside(partial(self._desk.lesson, lesson)))
        except NextprobeError as error:
            self._fail(error)
        finally:
            self._opening = False

    @work
    async def action_act_rehearse(self) -> None:
        """A lesson, or any pack on a machine that nobody knows."""
        try:
            lessons = [(f"lesson {id_}", f"Lesson: {title}") for id_, title in await beside(self._desk.lessons)]
            packs = [(f"pack {ref}", f"Any fault of: {title}") for ref, title in await beside(self._desk.packs)]
            lead = "A simulated machine answers every step. Esc goes back."
            picked = await self.app.push_screen_wait(PickScreen("Rehearse what?", lead, [*lessons, *packs]))
            kind, _, ref = (picked or "").partition(" ")
            if kind == "lesson":
                self.learn(ref)
            elif kind == "pack":
                await self._rehearse(ref)
        except NextprobeError as error:
            self._fail(error)

    async def _rehearse(self, ref: str) -> None:
        flow = IntakeFlow(self.app, self._desk, ref, Draft())
        if await flow.machine():
            mode = await self.app.push_screen_wait(PickScreen("Who chooses the next step?", "", MODES))
            if mode is not None:
                self.query_one(Feedback).say("Making the machine …")
                begun = partial(self._desk.rehearse, ref, flow.sheet, flow.draft.symptom, mode)
                await self._walk(await beside(begun))

    async def _walk(self, begun: OpenJob | Rehearsal, tasks: Sequence[Task] = ()) -> None:
        self.query_one(Feedback).say("")
        from nextprobe.job import OpenJob
        from nextprobe_tui.screens.bench import BenchScreen
        from nextprobe_tui.screens.rehearsal import RehearsalScreen

        if isinstance(begun, OpenJob):
            opened = begun
            bench = BenchScreen(begun.walk, begun.job.id, over=begun.go_over, word=begun.taken_over)
        else:
            opened, bench = begun.opened, RehearsalScreen(begun, tasks)
        ending = await self.app.push_screen_wait(bench)
        await beside(opened.let_go)
        if ending is not None:
            self.query_one(Feedback).say(f"{opened.job.id}: {ending.what.replace('_', ' ')}.", "taken")
        self.query_one(FirstAct).focus()
        self.lay_out()

    async def _pack(self, ref: str | None, title: str, lead: str) -> str | None:
        """The pack to begin with; asked for where it is None, and its path where it is one's own."""
        if ref is None:
            packs = await beside(self._desk.packs)
            ref = await self.app.push_screen_wait(PickScreen(title, lead, [*packs, (OWN_PACK, OWN_SAY)], self._picked))
            self._picked = ref or self._picked
        if ref == OWN_PACK:
            ask = "The path of a pack.yaml, or of the folder that holds it."
            ref = await self.app.push_screen_wait(Prompt("A pack of your own", ask, start=self._own, check=_found))
            self._own = ref or self._own
        return ref.strip() if ref and ref.strip() else None

    def _fail(self, error: NextprobeError) -> None:
        """Say it, and list what there is now."""
        self.query_one(Feedback).say(str(error), "error")
        self.lay_out()

    @work
    async def action_act_packs(self) -> None:
        """Pick a pack and see what there is to say against it."""
        try:
            ref = await self._pack(None, "Which pack?", "It is checked at every save.")
            if ref is not None:
                await self.app.push_screen_wait(FindingsScreen(find_pack(ref)))
        except NextprobeError as error:
            self._fail(error)

    @work
    async def action_act_study(self) -> None:
        """Pick a pack and see what it can and cannot find, in figures."""
        try:
            ref = await self._pack(None, "Which pack?", "What it can and cannot find, in figures.")
            if ref is None:
                return
            flow = IntakeFlow(self.app, self._desk, ref, Draft())
            if await flow.machine():
                await self.app.push_screen_wait(StudyScreen(ref, flow.sheet, flow.draft.symptom))
        except NextprobeError as error:
            self._fail(error)

    def action_act_back(self) -> None:
        self.query_one(Feedback).say("")
        self.query_one(FirstAct).focus()


def _get_ready() -> None:
    """Load what a walk takes while the person reads, so that neither this screen nor the first step waits for it."""
    for name in ("nextprobe.job", "nextprobe_tui.screens.bench"):
        import_module(name)


def _found(typed: str) -> str:
    """How the path of a pack is understood; nothing for none. Raises UsageError where nothing lies there."""
    return str(find_pack(typed.strip())) if typed.strip() else ""
