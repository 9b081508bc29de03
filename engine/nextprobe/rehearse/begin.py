"""A lesson or a pack begun as a rehearsal: which machine it is, and how it is set."""

from __future__ import annotations

from secrets import randbelow
from typing import TYPE_CHECKING

from nextprobe.rehearse.make import Hidden
from nextprobe.rehearse.rehearsal import Setting
from nextprobe.rehearse.result import next_seed, results

if TYPE_CHECKING:
    from nextprobe.record.store import Store
    from nextprobe.rehearse.lesson import Lesson

#: Machines that one is drawn from where none is named.
SEEDS = 1_000_000


def new_seed() -> int:
    """A machine that nobody knows; its number is said, so that it can be had again."""
    return randbelow(SEEDS)


def lesson_setting(lesson: Lesson, store: Store, technician: str = "", seed: int | None = None) -> Setting:
    """How the lesson is set for whoever takes it now. seed: None for the next of its own machines, or any."""
    if seed is None:
        seed = next_seed(results(store, technician), lesson.id, lesson.seeds) if lesson.seeds else new_seed()
    hidden = Hidden(seed, lesson.causes, lesson.two, slips=lesson.slips)
    return Setting(hidden, lesson.mode, lesson.hints, lesson.goal, lesson.id, lesson.title)
