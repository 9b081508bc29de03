"""Line mode: a whole walk by typing lines. It is the accessible interface: no colour, nothing redrawn."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from nextprobe.cli import lines
from nextprobe.draw.sketch import has_sketch, place_words, sketch_lines
from nextprobe.errors import NextprobeError
from nextprobe.said import fold
from nextprobe.walk import Ask, Ending, Taken, Walk
from nextprobe.walk.carry import GoneOver
from nextprobe.walk.clock import StepClock, typed_minutes

if TYPE_CHECKING:
    from nextprobe.meter.live import LiveMeter

Write = Callable[[str], None]
Read = Callable[[str], str]
Over = Callable[[str | None], GoneOver]

#: Every word of line mode and what it does, in the order of the help.
WORDS: dict[str, str] = {
    "why": "why this step, what else could be next, and what it may be",
    "path": "the steps so far",
    "undo": "take the last answer back; what was done to the machine stays done",
    "retake ID": "take a reading again (without ID: the one that fits least)",
    "skip REASON": "leave this step out; it says nothing about the causes",
    "tick N": "tick off step N of a repair (without N: the next one); again takes it back",
    "took N": "this step took N minutes, where the clock is wrong (you were called away)",
    "bench": "how the bench is believed to be; `bench CONDITION=VALUE …` sets it",
    "remark ID": "note something for the owner that is not the fault (without ID: the list)",
    "meter": "take the steady reading of the bench meter, as an empty line does",
    "note TEXT": "write a free note into the job",
    "over PACK": "go over to another pack with what was told (without PACK: the one that a reading points to)",
    "sketch": "where to put the probe: the board, a few landmarks, this step's point",
    "again": "show the step once more",
    "leave": "leave; the job stays open and goes on where it stopped",
    "close REASON": "end this job here for good",
    "help": "this list",
}


@dataclass
class LineMode:
    """One sitting of a walk in line mode.

    `read` raises EOFError at the end of input; `over` goes over to a pack; `meter` gives readings where there is one.
    """

    walk: Walk
    read: Read
    write: Write
    over: Over | None = None
    meter: LiveMeter | None = None
    clock: StepClock = field(default_factory=StepClock)
    shown: Ask | None = None

    def run(self) -> Ending | None:
        """Ask and take lines until the walk is done (its ending) or left (None)."""
        self.write("Type a figure, an answer or its number; `help` lists the other words.")
        while True:
            ask = self._step()
            if ask.kind == "done":
                self.write("")
                ending = self.walk.close()
                self._lines(lines.ending_lines(ending, self.walk.pack) if ending else ())
                return ending
            if ask is not self.shown:
                self.write("")
                self._lines(lines.ask_lines(ask, self.walk))
                if self.shown is None or ask.id != self.shown.id:
                    self.clock.begin()
                    if self.meter is not None:
                        self.meter.want_for(self.walk, ask)
                self.shown = ask
            try:
                typed = self.read("> ").strip()
                if not typed and self.meter is not None and self.meter.view is not None:
                    typed = "meter"
                if not (self._one(ask, typed) if typed else self._empty(ask)):
                    return None
            except EOFError:  # also in the middle of a retake: the job stays open
                self.write("")
                return None
            if typed.split(" ", 1)[0].lower() in ("again", "retake"):
                self.shown = None

    def _step(self) -> Ask:
        """The step at hand."""
        return self.walk.ask()

    def _empty(self, ask: Ask) -> bool:
        """Do what an empty line says; False to leave."""
        return True

    def _one(self, ask: Ask, typed: str) -> bool:
        """Do what one line says; False to leave."""
        try:
            choice = _number(typed, ask)
            if choice is not None:
                self._tell(ask.id, choice)
                return True
            word, _, rest = typed.partition(" ")
            command = self._commands().get(word.lower())
            if command is not None and not _is_answer(typed, ask):
                return command(ask, rest.strip())
            self._tell(ask.id, typed)
        except NextprobeError as error:
            self._lines(fold(error.message, "   "))
            if error.cure:
                self._lines(fold(error.cure, "   "))
        return True

    def _tell(self, id_: str, text: str) -> None:
        self._taken(self.walk.tell(id_, text, took=self.clock.minutes if id_ == self.walk.ask().id else None))

    def _taken(self, taken: Taken) -> None:
        self._lines(fold(f"Taken as: {taken.say}. (`undo` takes it back.)", "   "))

    def _commands(self) -> dict[str, Callable[[Ask, str], bool]]:
        return {
            "why": self._why,
            "path": self._path,
            "undo": self._undo,
            "retake": self._retake,
            "skip": self._skip,
            "tick": self._tick,
            "took": self._took,
            "bench": self._bench,
            "remark": self._remark,
            "meter": self._meter,
            "note": self._note,
            "over": self._over,
            "sketch": self._sketch,
            "again": lambda ask, rest: True,
            "leave": self._leave,
            "close": self._close,
            "help": self._help,
        }

    def _why(self, ask: Ask, rest: str) -> bool:
        self._lines(lines.why_lines(ask, self.walk))
        return True

    def _path(self, ask: Ask, rest: str) -> bool:
        self._lines(lines.path_lines(self.walk.path, self.walk.pack.economics.currency))
        return True

    def _undo(self, ask: Ask, rest: str) -> bool:
        id_ = self.walk.undo()
        self._lines(fold(f"Taken back: {self.walk.pack.title_of(id_)}", "   "))
        if self.walk.bench_in_doubt:
            self.write("   The moves for it were made, so the bench is held to be:")
            self._show_bench()
            self.write("   Set it with `bench CONDITION=VALUE` where that is wrong.")
        return True

    def _retake(self, ask: Ask, rest: str) -> bool:
        id_ = rest or ask.retake
        if not id_:
            self.write("   Say which reading: `retake ID`. `path` lists the steps.")
            return True
        typed = self.read(f"{self.walk.pack.title_of(id_)} > ").strip()
        if typed:
            self._tell(id_, typed)
        return True

    def _skip(self, ask: Ask, rest: str) -> bool:
        self.walk.skip(ask.id, rest or "no reason told")
        return True

    def _tick(self, ask: Ask, rest: str) -> bool:
        number = int(rest) if rest.isdecimal() and len(rest) < 4 else 0 if rest else ask.next_step
        done = number not in ask.ticked
        say = self.walk.tick(ask.id, number, done=done)
        self._lines(fold(f"{'Done' if done else 'Not done after all'}: {say}", "   "))
        following = self.walk.ask().next_step
        if following:
            self._lines(fold(f"Next: {ask.steps[following - 1]}", f"   {following:>2}. "))
        self.shown = self.walk.ask()
        return True

    def _took(self, ask: Ask, rest: str) -> bool:
        minutes = typed_minutes(rest)
        self.clock.correct(minutes)
        self.write(f"   This step counts {minutes:g} minutes so far.")
        return True

    def _bench(self, ask: Ask, rest: str) -> bool:
        if not rest:
            self._show_bench()
            return True
        pairs = [pair.partition("=") for pair in rest.replace(",", " ").split()]
        self.walk.set_bench({condition.strip(): value.strip() for condition, _, value in pairs})
        return True

    def _show_bench(self) -> None:
        for condition, value in self.walk.bench.items():
            values = ", ".join(self.walk.pack.bench.conditions[condition])
            self._lines(fold(f"{condition}={value}  (of {values})", "   "))

    def _remark(self, ask: Ask, rest: str) -> bool:
        if rest:
            self.walk.remark(rest)
            self._lines(fold(f"Kept for the owner: {self.walk.pack.title_of(rest)}", "   "))
            return True
        for remark in self.walk.pack.remarks.values():
            mark = "kept" if remark.id in self.walk.remarks else ""
            self._lines(fold(f"{remark.id}: {remark.say} {mark}".rstrip(), "   "))
        return True

    def _meter(self, ask: Ask, rest: str) -> bool:
        if self.meter is None:
            self.write("   No meter was named: start with `--meter RESOURCE`; `nextprobe meter` lists them.")
            return True
        self._taken(self.walk.tell(ask.id, self.meter.settled(), took=self.clock.minutes, by="meter"))
        self.meter.told()
        return True

    def _note(self, ask: Ask, rest: str) -> bool:
        self.walk.note(rest)
        return True

    def _over(self, ask: Ask, rest: str) -> bool:
        say = "No other pack can be opened here." if self.over is None else self.over(rest or None).say
        self._lines(fold(say, "   "))
        return True

    def _sketch(self, ask: Ask, rest: str) -> bool:
        board = self.walk.pack.board
        if board is None or ask.at is None or not has_sketch(board, ask.at):
            self.write("   There is no sketch for this step.")
            return True
        self._lines(fold(f"{ask.where}: {place_words(board, ask.at)}.", "   "))
        self._lines([f"   {line}" for line in sketch_lines(board, ask.at, 72, 20)])
        return True

    def _leave(self, ask: Ask, rest: str) -> bool:
        return False

    def _close(self, ask: Ask, rest: str) -> bool:
        self.walk.leave(rest or "closed at the bench")
        return True

    def _help(self, ask: Ask, rest: str) -> bool:
        for word, meaning in WORDS.items():
            self._lines(fold(meaning, f"   {word:<13}"))
        return True

    def _lines(self, text: Iterator[str] | list[str] | tuple[str, ...]) -> None:
        for line in text:
            self.write(line)


def _number(typed: str, ask: Ask) -> str | None:
    """The choice with this number. A step that takes a figure takes bare numbers as figures, `#2` as a choice."""
    text = typed[1:] if typed.startswith("#") else typed
    # Superscripts are digits to Python and no number; nothing has a million choices.
    if not text.isdecimal() or len(text) > 6 or (ask.quantity and not typed.startswith("#")):
        return None
    place = int(text)
    return ask.choices[place - 1].id if 1 <= place <= len(ask.choices) else None


def _is_answer(typed: str, ask: Ask) -> bool:
    """Whether the line is an answer of this step, so that a word of line mode does not swallow it."""
    plain = "_".join(typed.lower().split())
    return any(plain in (choice.id, "_".join(choice.say.lower().split())) for choice in ask.choices)
