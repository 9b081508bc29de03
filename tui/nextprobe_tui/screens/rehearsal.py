"""The bench of a simulated machine: Enter on the empty line does the step, and the machine answers."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import partial
from typing import TYPE_CHECKING

from textual import work
from textual.app import ComposeResult
from textual.widgets import Static

from nextprobe.errors import NotAllowedError
from nextprobe.rehearse.choosing import CHOICE, Choosing
from nextprobe.rehearse.tasks import Tasks
from nextprobe.walk.ask import Ask
from nextprobe_tui.actions import BENCH, REHEARSAL, Act, bindings
from nextprobe_tui.keys import key_of
from nextprobe_tui.screens.bench import BenchScreen
from nextprobe_tui.screens.pick import PickScreen
from nextprobe_tui.screens.rehearsed import RehearsedScreen
from nextprobe_tui.thinking import beside
from nextprobe_tui.widgets.feedback import Feedback
from nextprobe_tui.widgets.text import Text
from nextprobe_tui.words import said

if TYPE_CHECKING:
    from nextprobe.rehearse.lesson import Task
    from nextprobe.rehearse.rehearsal import Rehearsal


class RehearsalScreen(BenchScreen):
    """As the bench screen; dismissed with the ending once what came of it is read.

    tasks: what a lesson wants done, one after another.
    """

    BINDINGS = bindings(REHEARSAL, shown=())
    places = (REHEARSAL, BENCH)
    simulated = True
    DEFAULT_CSS = """
    RehearsalScreen {
        & > #task { height: auto; padding: 0 1; border-left: thick $accent; margin: 0 0 0 1; }
        & > #task.-none { display: none; }
    }
    """

    def __init__(self, rehearsal: Rehearsal, tasks: Sequence[Task] = ()) -> None:
        label = f"Simulated machine {rehearsal.setting.hidden.seed}"
        super().__init__(rehearsal.walk, label, word=rehearsal.opened.taken_over)
        self.rehearsal = rehearsal
        self.choosing = Choosing(rehearsal)
        self.tasks = Tasks(tuple(tasks))

    def compose(self) -> ComposeResult:
        for place, widget in enumerate(super().compose()):
            yield widget
            if place == 0:
                yield Text("", id="task", markup=False)

    def sight(self) -> Ask | None:
        return None  # the person may have chosen another step than the walk would ask

    def posed(self, ask: Ask) -> Ask:
        self._say_task()
        step = self.choosing.step()
        if self.choosing.refused:
            self.query_one(Feedback).say(self.choosing.refused, "error")
        return step

    def nothing_typed(self, ask: Ask) -> bool:
        self.action_act_read()
        return True

    def tell(self, ask: Ask, text: str, by: str = "") -> str:
        if ask.id == CHOICE.id:
            self._choose_from(text)
            return ""
        return self._told(ask, text) if ask.kind != "repair" else self._told(ask, self._made(ask.id, text))

    def perform(self, act: Act, rest: str) -> None:
        if act.id == "do" and rest:
            self._choose_from(rest)
        else:
            super().perform(act, rest)

    def attempt(self, work: Callable[[], object], sentence: str | None = None, *, next_step: bool = True) -> bool:
        before = len(self.walk.path)
        good = super().attempt(work, sentence, next_step=next_step)
        after = self.walk.path
        skipped = len(after) > before and after[-1].skipped
        self._did("skip" if skipped else "answer", before)
        return good

    # -- what the machine answers ------------------------------------------------------------------

    def action_act_read(self) -> None:
        """Do the step: the machine answers, or shows the figure that is to be typed."""
        ask = self.step
        if ask is None or ask.kind == "done":
            return
        if ask.id == CHOICE.id:
            self.action_act_do()
            return
        text = self.rehearsal.reading(ask)
        shown = next((choice.say for choice in ask.choices if choice.id == text), text)
        if self.rehearsal.setting.mode == "typed" and ask.kind == "measure":
            word = "The meter shows" if shown == text else "You see"
            self.query_one(Feedback).say(f"{word}: {shown}. Now type it.")
            return
        self.attempt(partial(self._told, ask, text))

    def _told(self, ask: Ask, text: str) -> str:
        # No clock: nothing is done by hand here, so what it shows would say nothing of a bench.
        taken = self.rehearsal.tell(ask.id, self.picked(text, ask))
        self.choosing.done(ask.id)
        return f"{said(ask.title, taken.say)} {key_of(self.app, 'undo')} takes it back."

    def _made(self, id_: str, text: str) -> str:
        """What came of a repair: whether it is done is the person's, how it went the machine's."""
        return self.rehearsal.reading(Ask("repair", id_, "")) if text in ("1", "done") else text

    def retake(self, id_: str | None) -> None:
        """The reading once more, as the machine gives it now."""
        known = self.walk.pack.measurements.get(id_ or "")
        if id_ is None or known is None:
            self.again()
            return
        again = Ask("check" if known.is_check else "measure", id_, known.title)
        self.attempt(lambda: self._told(again, self.rehearsal.reading(again)))

    # -- what the person chooses -------------------------------------------------------------------

    def action_act_do(self) -> None:
        """What can be done now, to choose from."""
        self._choose_from("")

    def _choose_from(self, text: str) -> None:
        found = list(self.choosing.matching(text))
        exact = [id_ for id_, _ in found if id_ == text.strip()]
        if not self.choosing.free:
            self.attempt(partial(self.choosing.choose, ""), "", next_step=False)
        elif len(exact or found) == 1:
            self._choose(exact[0] if exact else found[0][0])
        elif found:
            lead = "Cheap and telling first: that is yours to judge. Esc goes back."
            self.app.push_screen(PickScreen("What can be done now", lead, found), self._choose)
        else:
            self.query_one(Feedback).say(f"Nothing that can be done now is called {text!r}.", "error")

    def _choose(self, id_: str | None) -> None:
        if id_ is not None:
            self.attempt(partial(self.choosing.choose, id_), f"Chosen: {self.walk.pack.title_of(id_)}.")

    def action_act_hint(self) -> None:
        """What the engine would do next."""

        def hinted() -> str:
            if not self.choosing.free:
                raise NotAllowedError("The step at hand is the engine's own.", "Do it with Enter.")
            left = self.rehearsal.setting.hints
            ask = self.rehearsal.hint()
            more = "" if left is None else f" Hints left: {left - self.rehearsal.hints}."
            return f"The engine would do: {ask.title}.{more}"

        self.attempt(hinted, next_step=False)

    # -- the tasks of a lesson ---------------------------------------------------------------------

    def action_act_why(self) -> None:
        if self.choosing.free and self.step is not None:
            say = f"Which step pays is yours to judge here; {key_of(self.app, 'hint')} asks the engine."
            self.attempt(lambda: say, next_step=False)
            return
        super().action_act_why()
        self._did("why", len(self.walk.path))

    def action_act_path(self) -> None:
        super().action_act_path()
        self._did("path", len(self.walk.path))

    def action_act_note(self) -> None:
        super().action_act_note()
        self._did("note", len(self.walk.path))

    def _did(self, word: str, before: int) -> None:
        if self.tasks.done(word, before, self.walk.path):
            self._say_task()

    def _say_task(self) -> None:
        task = self.query_one("#task", Static)
        task.update(self.tasks.say)
        task.set_class(not self.tasks.say, "-none")

    # -- the ending --------------------------------------------------------------------------------

    def close_walk(self) -> None:
        self._finish()

    @work(exclusive=True)
    async def _finish(self) -> None:
        self.query_one(Feedback).say("What it was, and what the engine takes on the same machine …")
        result = await beside(self.rehearsal.finish)
        await self.app.push_screen_wait(RehearsedScreen(result, self.walk.pack, self.rehearsal.opened))
        self.dismiss(self.walk.ending)
