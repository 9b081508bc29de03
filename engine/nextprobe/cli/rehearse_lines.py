"""Line mode of a rehearsal: the machine answers, and in free mode the trainee chooses each step."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field

from nextprobe.cli.line_mode import WORDS, LineMode
from nextprobe.errors import NotAllowedError
from nextprobe.rehearse.choosing import CHOICE, Choosing
from nextprobe.rehearse.rehearsal import Rehearsal
from nextprobe.rehearse.result import Result
from nextprobe.rehearse.tasks import Tasks
from nextprobe.said import fold, minutes
from nextprobe.walk import Ask, Ending

#: The words that a rehearsal has beside those of line mode.
OWN_WORDS: dict[str, str] = {
    "read": "do the step; the machine answers (an empty line does the same)",
    "find TEXT": "what can be done now, by name (without TEXT: all of it)",
    "do ID": "choose this step (in free mode)",
    "hint": "what the engine would do next; each hint costs a mark (in free mode)",
}


@dataclass
class RehearsalMode(LineMode):
    """One sitting of a rehearsal."""

    choosing: Choosing | None = None
    tasks: Tasks = field(default_factory=Tasks)

    @property
    def _choosing(self) -> Choosing:
        if self.choosing is None:
            raise NotAllowedError("There is no simulated machine here.", "Start a rehearsal.")
        return self.choosing

    @property
    def _at(self) -> Rehearsal:
        return self._choosing.rehearsal

    def run(self) -> Ending | None:
        """Ask and take lines until the walk is done (its ending) or left (None)."""
        self.write("An empty line does the step: the machine answers.")
        self._say_task()
        return super().run()

    # -- the step ----------------------------------------------------------------------------------

    def _step(self) -> Ask:
        step = self._choosing.step()
        if self._choosing.refused:
            self._lines(fold(self._choosing.refused, "   "))
            self._choosing.refused = ""
        return step

    def _empty(self, ask: Ask) -> bool:
        if ask.id == CHOICE.id:
            self._lines(fold(CHOICE.how, "   "))
            return True
        return self._one(ask, "read")

    def _one(self, ask: Ask, typed: str) -> bool:
        before, word = len(self.walk.path), typed.split()[0].lower()
        stays = super()._one(ask, typed)
        if self.tasks.done(word, before, self.walk.path):
            self._say_task()
        return stays

    def _tell(self, id_: str, text: str) -> None:
        if id_ == CHOICE.id:
            self._find(CHOICE, text)
            return
        if id_ in self.walk.pack.repairs and text == "done":
            text = self._at.reading(Ask("repair", id_, ""))
        # No clock: nothing is done by hand here, so what it shows would say nothing of a bench.
        taken = self._at.tell(id_, text)
        self._choosing.done(id_)
        self._lines(fold(f"Taken as: {taken.say}. (`undo` takes it back.)", "   "))

    def _say_task(self) -> None:
        if self.tasks.say:
            self.write("")
            self._lines(fold(self.tasks.say, "** "))

    # -- the words ---------------------------------------------------------------------------------

    def _commands(self) -> dict[str, Callable[[Ask, str], bool]]:
        own = {"read": self._read, "find": self._find, "do": self._do, "hint": self._hint}
        return {**super()._commands(), **own}

    def _read(self, ask: Ask, rest: str) -> bool:
        if ask.id == CHOICE.id:
            return self._empty(ask)
        text = self._at.reading(ask)
        shown = next((choice.say for choice in ask.choices if choice.id == text), text)
        if self._at.setting.mode == "typed" and ask.kind == "measure":
            word = "The meter shows" if shown == text else "You see"
            self._lines(fold(f"{word}: {shown}. Now type it.", "   "))
            return True
        self._lines(fold(f"The machine: {shown}", "   "))
        self._tell(ask.id, text)
        return True

    def _retake(self, ask: Ask, rest: str) -> bool:
        id_ = rest or ask.retake
        known = self.walk.pack.measurements.get(id_)
        if known is None:
            self.write("   Say which reading: `retake ID`. `path` lists the steps.")
            return True
        text = self._at.reading(Ask("check" if known.is_check else "measure", id_, known.title))
        self._lines(fold(f"The machine: {text.replace('_', ' ')}", "   "))
        self._tell(id_, text)
        return True

    def _find(self, ask: Ask, rest: str) -> bool:
        found = list(self._choosing.matching(rest))
        for id_, title in found:
            self._lines(fold(f"{id_}: {title}", "   ", "      "))
        if not found:
            self._lines(fold(f"Nothing that can be done now is called {rest!r}; `find` lists all.", "   "))
        return True

    def _do(self, ask: Ask, rest: str) -> bool:
        self._choosing.choose(rest)
        return True

    def _hint(self, ask: Ask, rest: str) -> bool:
        if not self._choosing.free:
            self.write("   The step at hand is the engine's own.")
            return True
        hinted = self._at.hint()
        left = self._at.setting.hints
        more = "" if left is None else f" Hints left: {left - self._at.hints}."
        self._lines(fold(f"The engine would do: {hinted.title} (`do {hinted.id}`).{more}", "   "))
        return True

    def _why(self, ask: Ask, rest: str) -> bool:
        if self._choosing.free:
            self.write("   Which step pays is yours to judge here; `hint` asks the engine.")
            return True
        return super()._why(ask, rest)

    def _skip(self, ask: Ask, rest: str) -> bool:
        if ask.id == CHOICE.id:
            self.write("   There is no step to leave out yet.")
            return True
        stays = super()._skip(ask, rest)
        self._choosing.done(ask.id)
        return stays

    def _help(self, ask: Ask, rest: str) -> bool:
        for word, meaning in {**OWN_WORDS, **WORDS}.items():
            self._lines(fold(meaning, f"   {word:<13}"))
        return True


def result_lines(result: Result, titles: tuple[str, ...], slipped: tuple[str, ...]) -> Iterator[str]:
    """What it was, what it cost beside the engine, and the marks. titles: of the causes; slipped: of the readings."""
    yield ""
    yield from fold(f"What it was: {' and '.join(titles)}.", "== ")
    if result.cured is False and result.ending == "repaired":
        yield from fold("The symptom still shows on the machine: it was told gone, and it is not.", "   ")
    if slipped:
        yield from fold(f"Readings that were wrong: {'; '.join(slipped)}.", "   ")
    beside = ""
    if result.engine_minutes is not None:
        beside = f"; the engine on the same machine: {minutes(result.engine_minutes)}"
    yield from fold(f"Hands-on {minutes(result.minutes)} in {result.steps} steps{beside}.", "   ")
    hints = f", {result.hints} {'hint' if result.hints == 1 else 'hints'}" if result.hints else ""
    yield from fold(f"{'Passed' if result.passed else 'Not passed'}: {result.marks} of 10 marks{hints}.", "   ")
