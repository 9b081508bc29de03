"""A walk with its durable record: opened, and taken up again where it stopped."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from nextprobe.errors import NotAllowedError
from nextprobe.pack.load import kept_text, pack_from_kept
from nextprobe.pack.pack import Pack
from nextprobe.walk import Walk
from nextprobe.walk.walk import Event

if TYPE_CHECKING:
    from nextprobe.record.jobs import Job
    from nextprobe.record.store import Store


@dataclass(frozen=True)
class OpenJob:
    """A job being worked on: its record and the walk that goes on with it."""

    job: Job
    walk: Walk


def start_job(
    store: Store,
    pack: Pack,
    *,
    symptom: str | None = None,
    options: Mapping[str, str] | None = None,
    lacks: Iterable[str] = (),
    limit: float | None = None,
    bench: Mapping[str, str] | None = None,
    technician: str | None = None,
) -> OpenJob:
    """Open a job and its walk; the first event is on the disk when this returns.

    Raises SituationError before anything is recorded, StoreError when it cannot be recorded.
    """
    probe = Walk(pack, symptom, options, lacks, limit, bench)
    job = store.create_job(
        pack.id,
        pack.hash,
        kept_text(pack),
        pack.board.id if pack.board else None,
        probe.situation.symptom,
        technician,
    )
    probe.record_into(_sink(store, job.id))
    return OpenJob(job, probe)


def resume_job(store: Store, id_: str) -> OpenJob:
    """Take a job up where it stopped, on the pack as it was then. Raises NotAllowedError for an ended one."""
    job = store.job(id_)
    if job.state == "ended":
        raise NotAllowedError(
            f"Job {job.id} has ended ({job.ending.replace('_', ' ')}).",
            f"See `nextprobe jobs show {job.id}`, or start a new job.",
        )
    walk = replayed(store, job)
    # Killed between opening the job and its first event: the start is recorded now.
    walk.record_into(_sink(store, job.id), fresh=job.events == 0)
    return OpenJob(job, walk)


def replayed(store: Store, job: Job) -> Walk:
    """The walk of a job as its record tells it; nothing new is recorded."""
    pack = pack_from_kept(store.pack_text(job.pack_hash))
    events: list[Event] = [(event.kind, event.data) for event in store.events(job.id)]
    if not events:
        return Walk(pack, job.symptom)
    return Walk.replay(pack, events)


def _sink(store: Store, job_id: str) -> Any:
    def record(kind: str, data: dict[str, Any]) -> None:
        store.append(job_id, kind, data)
        if kind == "ended":
            store.end_job(job_id, str(data["ending"]))

    return record
