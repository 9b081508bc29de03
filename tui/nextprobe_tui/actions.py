"""The one registry of what a person can do on the screens: it feeds the keys, the key line and the help.

Every action has a key and a word. The word can be typed into the answer line instead of the key (with
a reason after it where one is asked: ``skip no meter here``), for terminals that keep a key to themselves.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from textual.binding import Binding, BindingType

BENCH, ENDING, ASIDE, START, FINDINGS = "bench", "ending", "aside", "start", "findings"
"""Places: the bench screen, the ending, every screen that lies over another, those before a walk, a pack's findings."""
REHEARSAL, FINISHED, REVIEW = "rehearsal", "finished", "review"
"""More of them: the bench of a simulated machine, a finished job, its review."""

EVERYWHERE = ("help", "light", "leave")
"""What the program does, whatever screen is in front."""


@dataclass(frozen=True, slots=True)
class Act:
    """One thing a person can do.

    key: as Textual names it, several apart by commas, the first one shown. label: for the key line.
    word: what is typed instead. places: where it can be done. shown: whether the key line has room for it.
    """

    id: str
    key: str
    label: str
    word: str
    help: str
    places: tuple[str, ...]
    shown: bool = True

    @property
    def key_shown(self) -> str:
        """The first key as a person reads it on the keyboard."""
        names = {"pageup": "PgUp", "pagedown": "PgDn", "escape": "Esc"}
        first = self.key.split(",")[0]
        if first.startswith("ctrl+"):
            return f"Ctrl+{first[5:].upper()}"
        return names.get(first, first.upper())


ACTS: tuple[Act, ...] = (
    Act(
        "help",
        "f1",
        "Help",
        "help",
        "This page: every key and every word.",
        (BENCH, ENDING, START),
    ),
    Act("why", "f2", "Why", "why", "Why this step, what else could be next, and what it may be.", (BENCH,)),
    Act(
        "path",
        "f3",
        "Path",
        "path",
        "The steps so far. Enter on one of them takes that reading again.",
        (BENCH, ENDING),
    ),
    Act(
        "bench",
        "f4",
        "Bench",
        "bench",
        "Set the bench as it really is: power, cover, what is plugged in.",
        (BENCH,),
    ),
    Act(
        "remark",
        "f5",
        "Remark",
        "remark",
        "Note something for the owner that is not the fault: pick it, or write it.",
        (BENCH, ENDING),
    ),
    Act(
        "skip",
        "f6",
        "Skip",
        "skip",
        "Leave this step out, with a reason. It says nothing about the causes.",
        (BENCH,),
    ),
    Act(
        "undo",
        "f7",
        "Undo",
        "undo",
        "Take the last answer back. What was done to the machine stays done.",
        (BENCH, ENDING),
    ),
    Act(
        "note",
        "f8",
        "Note",
        "note",
        "Write a free note into the job; in a review a note on a step.",
        (BENCH, ENDING, REVIEW),
    ),
    Act(
        "light",
        "f9",
        "Light",
        "light",
        "Change the colours: dark, light, high contrast.",
        (BENCH, ENDING, START),
        False,
    ),
    Act(
        "back", "escape", "Back", "back", "Go back to the step, or empty the answer line.", (BENCH, ASIDE, START), False
    ),
    Act(
        "leave",
        "f10,ctrl+q",
        "Leave",
        "leave",
        "Leave the screens. The job stays open, and goes on where it stopped.",
        (BENCH, ENDING, ASIDE, START),
    ),
    Act(
        "retake",
        "ctrl+r",
        "Retake",
        "retake",
        "Take again the reading that fits the others least, when one is named.",
        (BENCH,),
        False,
    ),
    Act(
        "sketch",
        "ctrl+l",
        "Sketch",
        "sketch",
        "Where to put the probe: the board, a few landmarks, this step's point.",
        (BENCH,),
        False,
    ),
    Act(
        "tick",
        "ctrl+g",
        "Tick off",
        "tick",
        "Tick off the next step of a repair, as Enter on the empty line does; `tick 3` step 3, or takes it back.",
        (BENCH,),
        False,
    ),
    Act(
        "meter",
        "ctrl+b",
        "Meter",
        "meter",
        "Take the steady reading of the bench meter, as Enter on the empty line does.",
        (BENCH,),
        False,
    ),
    Act(
        "took",
        "ctrl+n",
        "Minutes",
        "took",
        "Put the clock of this step right: `took 7` where you were called away.",
        (BENCH,),
        False,
    ),
    Act(
        "over",
        "ctrl+o",
        "Other pack",
        "over",
        "Go over to the pack that a reading points to, with what was told; the job stays one.",
        (BENCH,),
        False,
    ),
    Act(
        "packs",
        "f12",
        "Check packs",
        "packs",
        "What there is to say against a pack, beside its lines, checked at every save.",
        (START,),
    ),
    Act(
        "study",
        "ctrl+s",
        "Study",
        "study",
        "What a pack can and cannot find, in figures: minutes, causes, its own cases.",
        (START, FINDINGS),
    ),
    Act(
        "rehearse",
        "ctrl+y",
        "Rehearse",
        "rehearse",
        "Practise on a simulated machine with a hidden fault: a lesson, or any pack.",
        (START,),
    ),
    Act(
        "read",
        "ctrl+y",
        "Do it",
        "read",
        "In a rehearsal: do the step; the machine answers. Enter on the empty line does the same.",
        (REHEARSAL,),
    ),
    Act(
        "do",
        "f12",
        "Choose",
        "do",
        "In a rehearsal where you choose: what can be done now. `do fan` lists what has fan in its name.",
        (REHEARSAL,),
    ),
    Act(
        "hint",
        "ctrl+s",
        "Hint",
        "hint",
        "In a rehearsal where you choose: what the engine would do next; each hint costs a mark.",
        (REHEARSAL,),
    ),
    Act(
        "review",
        "f12",
        "Review",
        "review",
        "A finished job step by step beside the engine: what each step cost more than the best one.",
        (FINISHED,),
    ),
    Act("close", "ctrl+t", "Close job", "close", "End this job here for good, with a reason.", (BENCH,), False),
    Act("up", "pageup", "Up", "up", "Scroll the step back.", (BENCH, ENDING, ASIDE), False),
    Act("down", "pagedown", "Down", "down", "Scroll the step on.", (BENCH, ENDING, ASIDE), False),
)


def acts_at(place: str) -> tuple[Act, ...]:
    """What can be done at `place`, in the order of the registry."""
    return tuple(act for act in ACTS if place in act.places)


def act_of_word(text: str, place: str) -> tuple[Act, str] | None:
    """The action that a typed line asks for and the rest of the line, or None where it asks for none."""
    word, _, rest = text.strip().partition(" ")
    for act in acts_at(place):
        if act.word == word.lower():
            return act, rest.strip()
    return None


def bindings(place: str, shown: Iterable[str] | None = None) -> list[BindingType]:
    """The keys of `place` for a screen, each bound to ``action_act_<id>`` of the screen, or of the program.

    `shown` names the ids for the key line, where it is not what the registry says.
    """
    wanted = None if shown is None else set(shown)
    return [
        Binding(
            act.key,
            f"app.act_{act.id}" if act.id in EVERYWHERE else f"act_{act.id}",
            act.label,
            key_display=act.key_shown,
            show=act.shown if wanted is None else act.id in wanted,
            # The answer line must not swallow a key of the registry, nor a list the page keys.
            priority=act.id != "back",
            id=f"{place}.{act.id}",
        )
        for act in acts_at(place)
    ]
