"""Jobs for the tests of what leaves a store and comes into another: walked, gone over, taken back, with names."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

from nextprobe import load_pack
from nextprobe.job import start_job
from nextprobe.record import Job
from nextprobe.record.store import Store, open_store

LAMP = "dynamo-light"


class Minutes:
    """A clock that goes on by one minute at each look."""

    def __init__(self) -> None:
        self.now = datetime(2026, 3, 9, 10, 0, tzinfo=UTC)

    def __call__(self) -> datetime:
        self.now += timedelta(minutes=1)
        return self.now


def a_store(folder: Path, name: str = "jobs.db") -> Store:
    """A store of its own in `folder`."""
    return open_store(f"sqlite:///{folder / name}", clock=Minutes())


def lamp_job(store: Store, technician: str | None = "Mira Tolland") -> Job:
    """An open job with figures, a skip, a note, and an answer taken back."""
    opened = start_job(store, load_pack(LAMP), technician=technician)
    walk = opened.walk
    for _ in range(3):
        ask = walk.ask()
        walk.tell(ask.id, ask.choices[0].id)
    walk.undo()
    walk.note("Owner calls at noon: 0.5 Ω in the lead")
    walk.skip(walk.ask().id, "no tool")
    walk.tell(walk.ask().id, walk.ask().choices[-1].id)
    return store.job(opened.job.id)


def gone_over(store: Store) -> Job:
    """A job that was begun in one pack and goes on in another."""
    opened = start_job(store, load_pack("no-picture", "tansy-12"), technician="Bo Esker")
    opened.walk.tell("outside_look", "liquid_dry")
    opened.walk.tell("recent_drop", "reported")
    opened.go_over("no-reaction")
    opened.walk.remark(next(iter(opened.walk.pack.remarks)))
    return store.job(opened.job.id)


def left(store: Store) -> Job:
    """A job that was left, and so has ended."""
    opened = start_job(store, load_pack(LAMP))
    opened.walk.leave("owner took it back")
    opened.walk.close()
    return store.job(opened.job.id)
