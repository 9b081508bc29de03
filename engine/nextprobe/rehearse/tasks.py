"""What a lesson wants done, one task after another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nextprobe.rehearse.lesson import Task

#: What is said once all is done.
ALL_DONE = "That was all. Go on to the end in the same way; Enter on the empty line does a step."


@dataclass
class Tasks:
    """The tasks that are left. had: whether there were any."""

    left: tuple[Task, ...] = ()

    def __post_init__(self) -> None:
        self.had = bool(self.left)

    @property
    def say(self) -> str:
        """What is to be done now; "" where the lesson says nothing."""
        return self.left[0].say if self.left else ALL_DONE if self.had else ""

    def done(self, word: str, before: int, path: Sequence[object]) -> bool:
        """Whether what the word did fulfils the task at hand, which is then over. before: steps of the path until then.

        Every word that is none of the walk's own is an answer.
        """
        if not self.left or not _fulfilled(self.left[0].do, word, before, len(path)):
            return False
        self.left = self.left[1:]
        return True


def _fulfilled(wanted: str, word: str, before: int, now: int) -> bool:
    if wanted == "answer":
        return now > before and word != "skip"
    if wanted == "undo":
        return now < before
    if wanted == "skip":
        return now > before and word == "skip"
    return word == wanted
