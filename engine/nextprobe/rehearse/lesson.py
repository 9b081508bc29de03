"""A lesson as its file says it: a machine to rehearse on, the goal, the help there is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from nextprobe.errors import PackError
from nextprobe.resources import find_lesson

#: How a rehearsal is led: the engine asks; the trainee chooses; the engine asks and the trainee types the figure.
MODES = ("guided", "free", "typed")


@dataclass(frozen=True, slots=True)
class Goal:
    """What counts as passed: the ending ("": repaired, or quoted as the engine would) and hands-on minutes at most."""

    ending: str = ""
    within_minutes: float | None = None


@dataclass(frozen=True, slots=True)
class Task:
    """What is said to the trainee, and the word that fulfils it: answer, undo, skip, why, path, note or help."""

    say: str
    do: str


@dataclass(frozen=True)
class Lesson:
    """One lesson. pack, board: paths that load_pack takes ("": no board). hints: how many there are; None: any."""

    id: str
    title: str
    about: str
    pack: str
    board: str = ""
    symptom: str | None = None
    options: Mapping[str, str] = field(default_factory=dict)
    causes: tuple[str, ...] = ()
    seeds: tuple[int, ...] = ()
    two: bool = False
    slips: float | None = None
    mode: str = "guided"
    hints: int | None = None
    goal: Goal = Goal()
    tasks: tuple[Task, ...] = ()


def load_lesson(ref: str | Path) -> Lesson:
    """The lesson that `ref` means: a bundled id or a file.

    Raises PackError with all findings where it holds errors, UsageError where there is none.
    """
    from nextprobe.pack.cache import validate_source
    from nextprobe.pack.check_lesson import board_of_lesson, pack_of_lesson

    path = find_lesson(str(ref))
    source = validate_source(path)
    if any(finding.severity == "error" for finding in source.findings) or not isinstance(source.data, dict):
        raise PackError(
            f"The lesson {str(ref)!r} cannot be used.", source.findings, "Mend what is named, then try again."
        )
    data: dict[str, Any] = source.data
    goal = data.get("goal") or {}
    return Lesson(
        id=data["id"],
        title=data["title"],
        about=data.get("about", ""),
        pack=str(pack_of_lesson(path, data["pack"])),
        board=str(board_of_lesson(path, data["board"])) if data.get("board") else "",
        symptom=data.get("symptom"),
        options=dict(data.get("options") or {}),
        causes=tuple(data.get("causes") or ()),
        seeds=tuple(data.get("seeds") or ()),
        two=bool(data.get("two")),
        slips=None if data.get("slips") is None else float(data["slips"]),
        mode=data.get("mode", "guided"),
        hints=data.get("hints"),
        goal=Goal(goal.get("ending", ""), goal.get("within_minutes")),
        tasks=tuple(Task(task["say"], task["do"]) for task in data.get("tasks") or ()),
    )
