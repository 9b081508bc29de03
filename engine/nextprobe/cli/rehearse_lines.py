"""Line mode of a rehearsal: the machine answers, and in free mode the trainee chooses each step."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace

from nextprobe.cli import lines
from nextprobe.cli.line_mode import WORDS, LineMode
from nextprobe.errors import NotAllowedError
from nextprobe.rehearse.lesson import Task
from nextprobe.rehearse.rehearsal import Rehearsal
from nextprobe.rehearse.result import Result
from nextprobe.walk import Ask, Ending
from nextprobe.walk.chosen import ask_for, open_ids

#: The words that a rehearsal has beside those of line mode.
OWN_WORDS: dict[str, str] = {
    "read": "do the step; the machine answers (an empty line does the same)",
    "find TEXT": "what can be done now, by name (without TEXT: all of it)",
    "do ID": "choose this step (in free mode)",
    "hint": "what the engine would do next; each hint costs a mark (in free mode)",
}
CHOICE = Ask("choice", "choice", "Which step next?", how="`find` lists what can be done, `do ID` takes a step.")


@dataclass
class RehearsalMode(LineMode):
    """One sitting of a rehearsal. tasks: what the lesson wants done, one after another."""

    rehearsal: Rehearsal | None = None
    tasks: tuple[Task, ...] = ()
    _chosen: str = ""
    _kept: tuple[Ask, Ask] | None = field(default=None, repr=False)

    @property
    def _at(self) -> Rehearsal:
        if self.rehearsal is None:
            raise NotAllowedError("There is no simulated machine here.", "Start a rehearsal.")
        return self.rehearsal

    def run(self) -> Ending | None:
        """Ask and take lines until the walk is done (its ending) or left (None)."""
        self.write("An empty line does the step: the machine answers.")
        self._say_task()
        return super().run()

    # -- the step ----------------------------------------------------------------------------------

    def _step(self) -> Ask:
        asked = self.walk.ask()
        if self._at.setting.mode != "free":
            return asked
        if self._kept is None or self._kept[0] is not asked:
            # What must come first and what proves a repair is asked for; the planner's choice is left to the trainee.
            self._kept = asked, self._own_choice(asked) if asked.ranking else _plain(asked)
        return self._kept[1]

    def _own_choice(self, asked: Ask) -> Ask:
        if self._chosen:
            try:
                return _plain(ask_for(self.walk, self._chosen))
            except NotAllowedError as error:
                self._lines(lines.fold(f"{error.message} {error.cure}", "   "))
                self._chosen = ""
        return replace(CHOICE, notices=asked.notices, bench=asked.bench)

    def _empty(self, ask: Ask) -> bool:
        if ask.id == CHOICE.id:
            self._lines(lines.fold(CHOICE.how, "   "))
            return True
        return self._one(ask, "read")

    def _one(self, ask: Ask, typed: str) -> bool:
        before, word = len(self.walk.path), typed.split()[0].lower()
        stays = super()._one(ask, typed)
        if self.tasks and _fulfilled(self.tasks[0].do, word, before, self.walk.path):
            self.tasks = self.tasks[1:]
            self._say_task(done=True)
        return stays

    def _tell(self, id_: str, text: str) -> None:
        if id_ == CHOICE.id:
            self._find(CHOICE, text)
            return
        if id_ in self.walk.pack.repairs and text == "done":
            text = self._at.reading(Ask("repair", id_, ""))
        # No clock: nothing is done by hand here, so what it shows would say nothing of a bench.
        taken = self._at.tell(id_, text)
        if id_ == self._chosen:
            self._chosen = ""
        self._lines(lines.fold(f"Taken as: {taken.say}. (`undo` takes it back.)", "   "))

    def _say_task(self, *, done: bool = False) -> None:
        if self.tasks:
            self.write("")
            self._lines(lines.fold(self.tasks[0].say, "** "))
        elif done:
            self.write("")
            self._lines(lines.fold("That was all. Go on to the end in the same way; an empty line does a step.", "** "))

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
            self._lines(lines.fold(f"{word}: {shown}. Now type it.", "   "))
            return True
        self._lines(lines.fold(f"The machine: {shown}", "   "))
        self._tell(ask.id, text)
        return True

    def _retake(self, ask: Ask, rest: str) -> bool:
        id_ = rest or ask.retake
        known = self.walk.pack.measurements.get(id_)
        if known is None:
            self.write("   Say which reading: `retake ID`. `path` lists the steps.")
            return True
        text = self._at.reading(Ask("check" if known.is_check else "measure", id_, known.title))
        self._lines(lines.fold(f"The machine: {text.replace('_', ' ')}", "   "))
        self._tell(id_, text)
        return True

    def _find(self, ask: Ask, rest: str) -> bool:
        found = list(matching(self._at, rest))
        for id_, title in found:
            self._lines(lines.fold(f"{id_}: {title}", "   ", "      "))
        if not found:
            self._lines(lines.fold(f"Nothing that can be done now is called {rest!r}; `find` lists all.", "   "))
        return True

    def _do(self, ask: Ask, rest: str) -> bool:
        if self._at.setting.mode != "free" or not self.walk.ask().ranking:
            self.write("   Here the step is set: do it with an empty line.")
            return True
        ask_for(self.walk, rest)  # refused before it counts
        self._chosen, self._kept = rest, None
        return True

    def _hint(self, ask: Ask, rest: str) -> bool:
        if self._at.setting.mode != "free" or not self.walk.ask().ranking:
            self.write("   The step at hand is the engine's own.")
            return True
        hinted = self._at.hint()
        left = self._at.setting.hints
        more = "" if left is None else f" Hints left: {left - self._at.hints}."
        self._lines(lines.fold(f"The engine would do: {hinted.title} (`do {hinted.id}`).{more}", "   "))
        return True

    def _why(self, ask: Ask, rest: str) -> bool:
        if self._at.setting.mode == "free" and self.walk.ask().ranking:
            self.write("   Which step pays is yours to judge here; `hint` asks the engine.")
            return True
        return super()._why(ask, rest)

    def _skip(self, ask: Ask, rest: str) -> bool:
        if ask.id == CHOICE.id:
            self.write("   There is no step to leave out yet.")
            return True
        if ask.id == self._chosen:
            self._chosen = ""
        return super()._skip(ask, rest)

    def _help(self, ask: Ask, rest: str) -> bool:
        for word, meaning in {**OWN_WORDS, **WORDS}.items():
            self._lines(lines.fold(meaning, f"   {word:<13}"))
        return True


def _plain(ask: Ask) -> Ask:
    """`ask` without what it may be and which reading to doubt: that is for the trainee to say."""
    return replace(ask, most_likely="", retake="", retake_why="")


def matching(rehearsal: Rehearsal, text: str) -> Iterator[tuple[str, str]]:
    """Id and title of every step that can be done now and has all words of `text` in one of the two."""
    pack = rehearsal.walk.pack
    wanted = text.lower().replace("_", " ").split()
    for id_ in open_ids(rehearsal.walk):
        title = pack.refer.title if id_ == "refer" and pack.refer is not None else pack.title_of(id_)
        said = f"{id_.replace('_', ' ')} {title}".lower()
        if all(word in said for word in wanted):
            yield id_, title


def result_lines(result: Result, titles: tuple[str, ...], slipped: tuple[str, ...]) -> Iterator[str]:
    """What it was, what it cost beside the engine, and the marks. titles: of the causes; slipped: of the readings."""
    yield ""
    yield from lines.fold(f"What it was: {' and '.join(titles)}.", "== ")
    if result.cured is False and result.ending == "repaired":
        yield from lines.fold("The symptom still shows on the machine: it was told gone, and it is not.", "   ")
    if slipped:
        yield from lines.fold(f"Readings that were wrong: {'; '.join(slipped)}.", "   ")
    beside = ""
    if result.engine_minutes is not None:
        beside = f"; the engine on the same machine: {lines.minutes(result.engine_minutes)}"
    yield from lines.fold(f"Hands-on {lines.minutes(result.minutes)} in {result.steps} steps{beside}.", "   ")
    hints = f", {result.hints} {'hint' if result.hints == 1 else 'hints'}" if result.hints else ""
    yield from lines.fold(f"{'Passed' if result.passed else 'Not passed'}: {result.marks} of 10 marks{hints}.", "   ")


def _fulfilled(wanted: str, word: str, before: int, path: tuple[object, ...]) -> bool:
    """Whether the line that began with `word` did what a task wants; before: steps of the path until then."""
    if wanted == "answer":
        return len(path) > before and word != "skip"
    if wanted == "undo":
        return len(path) < before
    if wanted == "skip":
        return len(path) > before and word == "skip"
    return word == wanted
