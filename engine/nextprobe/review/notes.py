"""A trainer's notes on the steps of a job, kept in its chain; the trainer's name stands apart, to be erased."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Any

from nextprobe.errors import UsageError
from nextprobe.record import Event, Job
from nextprobe.record.store import Store
from nextprobe.review.review import Note, StepReview

KIND = "trainer_noted"
#: The role under which a trainer's name is kept beside the job; the second one is "trainer 2".
ROLE = "trainer"


def add_note(store: Store, job: Job, step: int, text: str, trainer: str) -> Note:
    """Keep a note on the step with this number (0: on the job as a whole), in open and in ended jobs.

    Raises UsageError for a step that there is not, or nothing to keep, StoreError as Store.append does.
    """
    if not text.strip() or not trainer.strip():
        raise UsageError("A note needs its text and who it is from.", "Give --note STEP TEXT --trainer NAME.")
    events = store.events(job.id)
    told = [event for event in events if event.kind in ("told", "skipped")]
    if not 0 <= step <= len(told):
        raise UsageError(
            f"Job {job.id} has no step {step}.",
            f"Give a number from 1 to {len(told)}, or 0 for the job as a whole." if told else "Give 0.",
        )
    role = _role(store.people(job.id), trainer.strip())
    data: dict[str, Any] = {"step": step, "text": text.strip(), "by": role}
    if step:
        data |= {"event": told[step - 1].seq, "ask": told[step - 1].data.get("ask", "")}
    event = store.append(job.id, KIND, data)
    store.set_name(job.id, role, trainer.strip())
    return Note(data["text"], event.at, role)


def notes_of(events: Sequence[Event], steps: Sequence[StepReview]) -> tuple[tuple[StepReview, ...], tuple[Note, ...]]:
    """The steps with the notes on them, and the notes on the job as a whole."""
    found: dict[int, list[Note]] = {}
    for event in events:
        if event.kind == KIND:
            data = event.data
            note = Note(str(data.get("text", "")), event.at, str(data.get("by", ROLE)))
            found.setdefault(int(data.get("step", 0)), []).append(note)
    noted = tuple(replace(one, notes=tuple(found.get(one.number, ()))) for one in steps)
    return noted, tuple(found.get(0, ()))


def _role(people: dict[str, str], trainer: str) -> str:
    """The role that this name has already, or the next one that is free."""
    number = 1
    while True:
        role = ROLE if number == 1 else f"{ROLE} {number}"
        if people.get(role, trainer) == trainer:
            return role
        number += 1
