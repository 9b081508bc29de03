"""What can be done on the bench screen beside answering: one method an action of the registry."""

from __future__ import annotations

from abc import abstractmethod
from collections.abc import Callable
from typing import TYPE_CHECKING

from textual.screen import Screen

from nextprobe.draw.sketch import has_sketch
from nextprobe.errors import NextprobeError
from nextprobe.walk.ask import Ask, Choice, Ending
from nextprobe.walk.carry import GoneOver
from nextprobe.walk.clock import StepClock, typed_minutes
from nextprobe_tui.actions import EVERYWHERE, Act
from nextprobe_tui.keys import key_of
from nextprobe_tui.screens.bench_state import BenchStateScreen
from nextprobe_tui.screens.path import PathScreen
from nextprobe_tui.screens.prompt import Prompt
from nextprobe_tui.screens.remarks import WRITE, RemarksScreen
from nextprobe_tui.screens.sketch import SketchScreen
from nextprobe_tui.screens.why import WhyScreen
from nextprobe_tui.widgets.step_card import StepCard
from nextprobe_tui.words import said

if TYPE_CHECKING:
    from nextprobe.walk import Walk

SKIP_REASONS = (
    Choice("no_access", "cannot get at it"),
    Choice("no_tool", "nothing to do it with"),
    Choice("not_safe", "not safe here"),
    Choice("not_now", "not now"),
)
"""The usual reasons at a bench (common practice, no source); any other may be typed."""


Over = Callable[[str | None], GoneOver]
"""Goes over to a pack (None: the one that a reading points to) and says what came of it."""


class BenchActs(Screen[Ending | None]):
    """The actions; the bench screen itself says how an answer is told and a step is shown."""

    walk: Walk
    step: Ask | None
    over: Over | None
    clock: StepClock

    @abstractmethod
    def attempt(self, work: Callable[[], object], sentence: str | None = None, *, next_step: bool = True) -> bool:
        """Do `work`, say `sentence` (or what it returns), go on to the next step; or say what was wrong with it."""

    @abstractmethod
    def again(self) -> None:
        """Show the step, or the ending, that stands."""

    @property
    def ready(self) -> bool:
        """Whether a step stands, so that the walk may be spoken to."""
        return self.step is not None

    def perform(self, act: Act, rest: str) -> None:
        """Do what a typed word asks for; `rest` is what followed it."""
        if act.id == "skip" and rest:
            self.skip(rest)
        elif act.id == "note" and rest:
            self.note(rest)
        elif act.id == "close" and rest:
            self.close_job(rest)
        elif act.id == "remark" and rest in self.walk.pack.remarks:
            self.remark(rest)
        elif act.id == "retake" and rest:
            self.retake(rest)
        elif act.id == "tick" and rest:
            self.tick(rest)
        elif act.id == "took" and rest:
            self.took(rest)
        elif act.id == "over" and rest:
            self.go_over(rest)
        else:
            owner = self.app if act.id in EVERYWHERE else self
            getattr(owner, f"action_act_{act.id}")()

    def skip(self, reason: str | None) -> None:
        """Leave the step out."""
        if reason is not None and self.step is not None:
            step = self.step
            self.attempt(
                lambda: self.walk.skip(step.id, reason),
                f"Skipped: {step.title}. {key_of(self.app, 'undo')} takes that back.",
            )

    def note(self, text: str | None) -> None:
        """Write a free note into the job."""
        if text and text.strip():
            self.attempt(lambda: self.walk.note(text), "Noted.")
        else:
            self.again()

    def close_job(self, reason: str | None) -> None:
        """End the job for good."""
        if reason is not None:
            self.attempt(lambda: self.walk.leave(reason), "")

    def set_bench(self, changed: dict[str, str] | None) -> None:
        """Tell the walk how the bench really is."""
        if changed:
            self.attempt(lambda: self.walk.set_bench(changed), "The bench is set as you said.")

    def remark(self, id_: str | None) -> None:
        """Note a remark of the pack, or ask for one in the person's own words."""
        if id_ == WRITE:
            self.app.push_screen(Prompt("A remark in your own words", "It stands in the report."), self.note)
            return
        if id_ is not None:
            say = self.walk.pack.title_of(id_)
            self.attempt(lambda: self.walk.remark(id_), f"Noted for the owner: {say}")
        else:
            self.again()

    def tick(self, typed: str = "") -> None:
        """Tick off a step of the repair (the next one where none is named), or take the tick back."""
        step = self.step
        if step is None:
            return
        number = step.next_step if not typed else int(typed) if typed.isdecimal() and len(typed) < 4 else 0
        done = number not in step.ticked
        sign = "Done" if done else "Not done after all"
        self.attempt(lambda: f"{sign}: {self.walk.tick(step.id, number, done=done)}")

    def took(self, typed: str | None) -> None:
        """Put the clock of the step right."""
        if typed is None or not typed.strip():
            self.again()
            return

        def correct() -> str:
            self.clock.correct(typed_minutes(typed))
            return f"This step counts {typed_minutes(typed):g} minutes so far."

        self.attempt(correct, next_step=False)

    def go_over(self, ref: str | None = None) -> None:
        """Go on in another pack, with what was told."""
        over = self.over
        if over is None:
            self.attempt(lambda: "No other pack can be opened here.", next_step=False)
        elif ref is None and not self.walk.see_also:
            lead = "No reading points to another pack. Type the id of the pack to go over to; Esc goes back."
            self.app.push_screen(Prompt("Go over to another pack", lead), self._over_to)
        else:
            self.attempt(lambda: over(ref).say)

    def _over_to(self, typed: str | None) -> None:
        if typed and typed.strip():
            self.go_over(typed.strip())
        else:
            self.again()

    def retake(self, id_: str | None) -> None:
        """Ask for a reading once more, whatever step stands."""
        if id_ is None:
            self.again()
            return
        pack = self.walk.pack
        measured = pack.measurements.get(id_)
        if measured is not None:
            choices = tuple(Choice(o.id, o.say) for o in measured.outcomes.values())
        elif id_ in pack.options:
            choices = tuple(Choice(value, value) for value in pack.options[id_].values)
        else:
            choices = ()
        figure = measured is not None and bool(measured.quantity)

        def told(text: str | None) -> None:
            if text:
                back = f"{key_of(self.app, 'undo')} takes it back."
                self.attempt(lambda: f"{said(pack.title_of(id_), self.walk.tell(id_, text).say)} {back}")
            else:
                self.again()

        lead = "Type the new reading; it takes the place of the old one."
        self.app.push_screen(Prompt(f"Again: {pack.title_of(id_)}", lead, choices, figure=figure), told)

    def action_act_why(self) -> None:
        if self.step is None:
            return
        try:
            belief = self.walk.belief()
        except NextprobeError:
            belief = {}
        self.app.push_screen(WhyScreen(self.step, belief, self.walk.pack))

    def action_act_path(self) -> None:
        if self.ready:
            self.app.push_screen(PathScreen(self.walk.path), self.retake)

    def action_act_bench(self, lead: str = "") -> None:
        if self.ready:
            conditions = self.walk.pack.bench.conditions
            self.app.push_screen(BenchStateScreen(conditions, self.walk.bench, lead), self.set_bench)

    def action_act_remark(self) -> None:
        if self.step is not None:
            others = self.walk.pack.remarks.values()
            self.app.push_screen(RemarksScreen(self.step.look_for, others, self.walk.remarks), self.remark)

    def action_act_skip(self) -> None:
        if self.step is not None:
            lead = "Why? Pick a number, or type it in your own words."
            self.app.push_screen(Prompt(f"Skip: {self.step.title}", lead, SKIP_REASONS, texts=True), self.skip)

    def action_act_undo(self) -> None:
        if self.ready:
            title = self.walk.pack.title_of
            self.attempt(lambda: f"Taken back: {title(self.walk.undo())}.")
            if self.walk.bench_in_doubt:
                self.action_act_bench("Moves lay between: how does the bench stand now?")

    def action_act_note(self) -> None:
        if self.ready:
            self.app.push_screen(Prompt("A note", "It goes into the record of the job."), self.note)

    def action_act_retake(self) -> None:
        if self.step is not None and self.step.retake:
            self.retake(self.step.retake)
        elif self.ready:
            self.attempt(
                lambda: f"No reading stands out. {key_of(self.app, 'path')} shows them all; Enter takes one again.",
                next_step=False,
            )

    def action_act_tick(self) -> None:
        self.tick()

    def action_act_took(self) -> None:
        if self.ready:
            lead = "How many minutes has it taken so far, without the time you were away?"
            self.app.push_screen(Prompt("The clock of this step", lead), self.took)

    def action_act_sketch(self) -> None:
        step, board = self.step, self.walk.pack.board
        if step is None:
            return
        if board is None or step.at is None or not has_sketch(board, step.at):
            self.attempt(lambda: "There is no sketch for this step.", next_step=False)
        else:
            self.app.push_screen(SketchScreen(board, step.where, step.at))

    def action_act_over(self) -> None:
        if self.ready:
            self.go_over()

    def action_act_close(self) -> None:
        if self.ready:
            lead = "It cannot be gone on with afterwards. Why is it left? Esc goes back."
            self.app.push_screen(Prompt("Close this job for good", lead), self.close_job)

    def leave(self) -> None:
        """Leave the screens; an ending that was reached is recorded, an open job stays open."""
        ended = self.step is not None and self.step.kind == "done"
        if not ended or self.attempt(lambda: self.walk.close(), "", next_step=False):
            self.app.exit(self.step.ending if self.step is not None else None)

    def action_act_up(self) -> None:
        self.query_one(StepCard).scroll_page_up(animate=False)

    def action_act_down(self) -> None:
        self.query_one(StepCard).scroll_page_down(animate=False)
