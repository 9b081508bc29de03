"""A job step by step beside the engine: what each step cost, and a trainer's notes on it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from functools import partial
from typing import TYPE_CHECKING

from textual.widget import Widget
from textual.widgets import Static

from nextprobe.errors import NextprobeError
from nextprobe_tui.actions import REVIEW, bindings
from nextprobe_tui.screens.aside import heading
from nextprobe_tui.screens.prompt import Prompt
from nextprobe_tui.screens.worked_out import WorkedOut
from nextprobe_tui.widgets.row import Row

if TYPE_CHECKING:
    from nextprobe.record.store import Store
    from nextprobe.review.review import Review, StepReview


class ReviewScreen(WorkedOut["Review"]):
    """The few lines that matter first, then every step. trainer: whose notes are kept; asked for with the first."""

    BINDINGS = bindings(REVIEW)
    DEFAULT_CSS = "ReviewScreen .foot { margin-top: 1; max-width: 110; color: $gutter; }"
    beginning = "Beside the engine, step by step …"
    failing = "This job cannot be reviewed."

    def __init__(self, store: Store, job: str, trainer: str = "") -> None:
        super().__init__()
        self.name_shown = f"Review of job {job}"
        self._store, self._job, self._trainer = store, job, trainer
        self._steps = 0

    def work_out(self, cancel: Callable[[], bool], say: Callable[[str], None]) -> Review:
        from nextprobe.review.make import make_review

        def far(done: int, of: int) -> None:
            say(f"Beside the engine: {done} of {of} events")

        return make_review(self._store, self._store.job(self._job), cancel=cancel, say=far)

    def rows_of(self, value: Review) -> Iterable[Widget]:
        from nextprobe.review import words

        self._steps = len(value.steps)
        self.query_one("#lead", Static).update("↑ ↓ scroll. Esc goes back.")
        yield from (Row("! HEED", warning, strong=True) for warning in words.warnings(value))
        yield from _listed("IN SHORT", words.in_short(value))
        yield from _listed("COST", map(words.costly, value.costly[:3]))
        yield from _listed("TO TALK", words.to_talk_about(value))
        yield from _listed("TRAINER", (words.note_words(note, value) for note in value.notes))
        yield heading("Step by step")
        for one in value.steps:
            yield from self._step(one, value)
        yield Static(f"{words.READ} {words.SAFE}", classes="foot", markup=False)

    def _step(self, one: StepReview, review: Review) -> Iterator[Widget]:
        from nextprobe.review import words

        yield Row("", f"{one.title}{f': {one.say}' if one.say else ''}", number=f"{one.number}.", strong=True)
        luck = [f"Turned out {words.turned_words(one.turned)}."] if one.turned is not None and one.counts else []
        verdict = words.step_words(one)
        yield Row("", " ".join([f"{verdict[:1].upper()}{verdict[1:]}.", *luck]))
        yield from (Row("NOTE", words.note_words(note, review)) for note in one.notes)

    def action_act_note(self) -> None:
        """Keep a trainer's note on a step."""
        if self._trainer:
            self._which(self._trainer)
        else:
            self.app.push_screen(
                Prompt("A trainer's note", "Who is it from? The name is kept beside the record."), self._which
            )

    def _which(self, name: str | None) -> None:
        if name and name.strip():
            self._trainer = name.strip()
            lead = f"On which step? Its number, 1 to {self._steps}; 0 is the job as a whole."
            self.app.push_screen(Prompt("A trainer's note", lead), self._what)

    def _what(self, number: str | None) -> None:
        if number and number.strip():
            lead = "It goes into the record of the job."
            self.app.push_screen(Prompt(f"On step {number.strip()}", lead), partial(self._keep, number.strip()))

    def _keep(self, number: str, text: str | None) -> None:
        if not text or not text.strip():
            return
        from nextprobe.review.notes import add_note

        try:
            step = int(number) if number.isascii() and number.isdigit() and len(number) < 6 else -1
            add_note(self._store, self._store.job(self._job), step, text, self._trainer)
        except NextprobeError as error:
            self.app.notify(str(error), severity="error", timeout=20, markup=False)
            return
        self.again()


def _listed(gutter: str, texts: Iterable[str]) -> Iterator[Widget]:
    for number, text in enumerate(texts):
        yield Row(gutter if number == 0 else "", text)
