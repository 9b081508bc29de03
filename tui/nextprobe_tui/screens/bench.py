"""The bench screen: the one step to do now, and one line to answer it."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import TYPE_CHECKING, ClassVar

from textual import work
from textual.app import ComposeResult
from textual.geometry import Size
from textual.widgets import Input, Static

from nextprobe.errors import NextprobeError, ToldError
from nextprobe.walk.ask import Ask
from nextprobe.walk.clock import StepClock
from nextprobe_tui.actions import BENCH, Act, act_of_word, bindings
from nextprobe_tui.keys import key_of
from nextprobe_tui.screens.bench_acts import Over
from nextprobe_tui.screens.bench_meter import BenchMeter
from nextprobe_tui.screens.ending import EndingScreen
from nextprobe_tui.thinking import Ahead, AheadFailed, Asked, AskFailed, think
from nextprobe_tui.widgets.answer import Answer, chosen
from nextprobe_tui.widgets.choice_list import ChoiceList, lines_of
from nextprobe_tui.widgets.feedback import Feedback
from nextprobe_tui.widgets.key_line import KeyLine
from nextprobe_tui.widgets.meter_line import MeterLine
from nextprobe_tui.widgets.step_card import StepCard
from nextprobe_tui.widgets.text import Text
from nextprobe_tui.widgets.top_line import TopLine
from nextprobe_tui.words import clock_words, said, spent

if TYPE_CHECKING:
    from nextprobe.walk import Walk


PAINTED = 0.15
"""Seconds after which thinking ahead begins."""


class BenchScreen(BenchMeter):
    """Asks the walk, shows the step, tells the answer; dismissed with the ending once it is read."""

    BINDINGS = bindings(BENCH)
    AUTO_FOCUS = "#answer"
    places: ClassVar[tuple[str, ...]] = (BENCH,)
    DEFAULT_CSS = """
    BenchScreen {
        & > #likely { height: auto; max-height: 2; padding: 0 1; color: $gutter; text-style: italic; }
        & > #likely.-none { display: none; }
        & > #likely.-tight { max-height: 1; text-wrap: nowrap; text-overflow: ellipsis; }
        & > #more { height: 1; padding: 0 1; color: $accent; text-style: bold; display: none; }
        & > #more.-below { display: block; }
    }
    """

    def __init__(self, walk: Walk, job_label: str = "", *, over: Over | None = None, word: str = "") -> None:
        """word: what is to be said below the first step."""
        super().__init__()
        self._word = word
        self.walk = walk
        self.over = over
        self.clock = StepClock()
        self.step = None
        self._label = job_label
        self._turn = 0
        self._sight: Ask | None = None
        self._ahead = Ahead()
        self._shown = ""
        self._laid_for = Size(0, 0)

    def compose(self) -> ComposeResult:
        yield TopLine(self._title())
        yield StepCard()
        yield Static("▼ more of this step below: PgDn", id="more", markup=False)
        yield Text("", id="likely", markup=False)
        yield ChoiceList()
        yield MeterLine()
        yield Answer()
        yield Feedback()
        yield KeyLine()

    def _title(self) -> str:
        pack = self.walk.pack
        return " · ".join(part for part in (self._label, pack.title, pack.board.title if pack.board else "") if part)

    async def on_mount(self) -> None:
        self.query_one(Feedback).say(self._word)
        self.set_interval(1.0, self._tell_time)
        self.watch_meter()
        await self._think()

    def _tell_time(self) -> None:
        """How long this step has taken, as the clock runs."""
        walk = self.walk
        so_far = spent(walk.minutes, walk.wait, walk.money, walk.pack.economics.currency)
        running = clock_words(self.clock.minutes) if self.step is not None and self.step.kind != "done" else ""
        self.query_one(TopLine).show_spent(f"{running} · {so_far} so far" if running else f"{so_far} so far")

    @work(exclusive=True)
    async def _think_on(self) -> None:
        await self._think()

    async def _think(self) -> None:
        """Have the next step worked out; until it is there the walk is not spoken to."""
        self.step = None
        self._ahead.end()
        self._turn += 1
        if (known := self.walk.asked) is not None:
            await self.on_asked(Asked(self._turn, known))
            return
        sight = self.sight() if self._turn == 1 else None
        if sight is not None:
            await self._show(sight)
            self._sight = sight
            self.call_after_refresh(self._work_out, self._turn)  # it is painted first
            return
        await self.query_one(StepCard).wait()
        self.query_one(ChoiceList).show(())
        self.query_one("#likely", Static).add_class("-none")
        self._work_out(self._turn)

    def _work_out(self, turn: int) -> None:
        if turn == self._turn:
            think(self.walk, self, turn)

    def sight(self) -> Ask | None:
        """What of the step can be shown to whoever takes the job up while the rest is worked out."""
        return self.walk.at_sight()

    def posed(self, ask: Ask) -> Ask:
        """The step as it is put to the person: here as the walk asks it."""
        return ask

    async def on_asked(self, event: Asked) -> None:
        if event.turn != self._turn:
            return
        self.step = step = self.posed(event.ask)
        await self._show(step)
        if step.kind == "done":
            self.again()
        else:
            # The step is painted first: nobody answers it within that time.
            self.set_timer(PAINTED, partial(self._think_ahead, event.turn))

    def _think_ahead(self, turn: int) -> None:
        if turn == self._turn:
            self._ahead.begin(self.walk, self, turn)

    def on_unmount(self) -> None:
        self._ahead.end()
        self.want_reading(None)

    def on_ahead_failed(self, event: AheadFailed) -> None:
        if event.turn == self._turn:
            words = f"Planning ahead has failed ({_sentence(event.error)}) The quick plan goes on."
            self.query_one(Feedback).say(words, "error")

    def on_step_card_more(self, event: StepCard.More) -> None:
        self.query_one("#more").set_class(event.below, "-below")
        self.query_one("#likely").set_class(event.below or event.tight, "-tight")

    def on_ask_failed(self, event: AskFailed) -> None:
        if event.turn == self._turn:
            self.query_one(Feedback).say(_sentence(event.error), "error")

    async def _show(self, ask: Ask) -> None:
        self.query_one(TopLine).show_title(self._title())  # another one after the job has gone over to another pack
        await self._lay_out(ask)
        answer = self.query_one(Answer)
        answer.expect(ask.quantity, ask.unit, len(ask.choices), ask.next_step)
        if ask.id != self._shown:  # what was typed for another step must not answer this one
            self._clear()
            self.clock.begin()
            self.want_reading(ask)
        self._shown = ask.id
        self._tell_time()
        answer.focus()

    async def _lay_out(self, ask: Ask) -> None:
        in_sight, self._sight = self._sight, None
        self._laid_for = self.size
        sign = "#" if ask.quantity else ""
        # Too many to stand above the answer line: then they stand in the step, and scroll with it.
        apart = len(lines_of(ask.choices, sign, self.size.width - 4)) <= max(4, self.size.height // 4)
        if ask.retake or in_sight != ask.at_sight:
            await self.query_one(StepCard).show(ask, self.walk.pack.economics.currency, not apart, self.walk.pack.board)
        likely = self.query_one("#likely", Static)
        likely.update(ask.most_likely)
        likely.set_class(not ask.most_likely, "-none")
        self.query_one(ChoiceList).show(ask.choices if apart else (), sign)

    def again(self) -> None:
        """The ending comes back over the bench whenever something else was shown in its place."""
        ask = self.step
        if ask is not None and ask.kind == "done" and ask.ending is not None:
            self.app.push_screen(EndingScreen(ask.ending, self.walk.pack, ask.notices), self._after_ending)

    def _after_ending(self, act: str | None) -> None:
        if act:
            getattr(self, f"action_act_{act}")()
        else:
            self.attempt(self.close_walk, "", next_step=False)

    def close_walk(self) -> None:
        """Record the ending that was read, and go."""
        self.dismiss(self.walk.close())

    async def on_resize(self) -> None:
        if self.step is not None and self._laid_for != self.size:  # the first ones only say the size that was known
            await self._lay_out(self.step)

    def on_input_changed(self, event: Input.Changed) -> None:
        """Say how Enter would take what is typed so far."""
        text, ask, feedback = event.value.strip(), self.step, self.query_one(Feedback)
        if not text or ask is None:
            feedback.say("")
            return
        typed = self._act_of(text, ask)
        if typed is not None:
            feedback.say(f"{typed[0].label}: {typed[0].help}", "preview")
            return
        try:
            feedback.say(f"taken as {self.walk.take(ask.id, self.picked(text, ask)).say}", "preview")
        except ToldError:
            feedback.say("")  # half a word is no mistake yet; Enter says what is wrong

    def on_input_submitted(self, event: Input.Submitted) -> None:
        text, ask = event.value.strip(), self.step
        if ask is None:
            self.query_one(Feedback).say("Still working out the next step; your line is kept.")
            return
        if not text and self.nothing_typed(ask):
            return
        if not text:
            self.query_one(Feedback).say(
                f"Type a reading, a number of the list or a word; {key_of(self.app, 'skip')} skips this step.", "error"
            )
            return
        typed = self._act_of(text, ask)
        if typed is not None:
            self._clear()
            self.query_one(Feedback).say("")
            self.perform(*typed)
            return
        if self.attempt(lambda: self.tell(ask, text)):
            self._clear()
        else:
            # It stays to be mended with the arrows, and the next letter typed takes its place.
            self.query_one(Answer).select_all()

    def nothing_typed(self, ask: Ask) -> bool:
        """What Enter on the empty line does; False where it does nothing here."""
        if ask.next_step:
            self.tick()
        elif self.meter_serves:
            self.action_act_meter()
        else:
            return False
        return True

    def tell(self, ask: Ask, text: str, by: str = "") -> str:
        taken = self.walk.tell(ask.id, self.picked(text, ask), took=self.clock.minutes, by=by)
        return f"{said(ask.title, taken.say)} {key_of(self.app, 'undo')} takes it back."

    def _act_of(self, text: str, ask: Ask) -> tuple[Act, str] | None:
        """The action that the line asks for; what can be told of the step comes before the words."""
        told = {choice.id for choice in ask.choices} | {choice.say.lower() for choice in ask.choices}
        if text.lower() in told:
            return None
        return next((found for place in self.places if (found := act_of_word(text, place)) is not None), None)

    @staticmethod
    def picked(text: str, ask: Ask) -> str:
        """What is told where a number of the list was typed."""
        return chosen(text, ask.choices, bool(ask.quantity))

    def _clear(self) -> None:
        answer = self.query_one(Answer)
        with answer.prevent(Input.Changed):
            answer.value = ""

    def attempt(self, work: Callable[[], object], sentence: str | None = None, *, next_step: bool = True) -> bool:
        feedback = self.query_one(Feedback)
        try:
            result = work()
        except Exception as error:  # a fault must not take the screen, and the line typed, with it
            feedback.say(_sentence(error), "error")
            return False
        feedback.say(str(result) if sentence is None else sentence, "taken")
        if next_step:
            self._think_on()
        return True

    def action_act_back(self) -> None:
        self.query_one(Answer).value = ""


def _sentence(error: Exception) -> str:
    if isinstance(error, NextprobeError):
        return str(error)
    return f"A fault of nextprobe itself: {type(error).__name__}: {error}. Nothing recorded is lost."
