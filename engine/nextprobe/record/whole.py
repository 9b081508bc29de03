"""Whether a job's record is whole: its chain, its end, and the job's own line, which no chain covers."""

from __future__ import annotations

from collections.abc import Sequence

from nextprobe.record.events import Event, genesis, verify_chain
from nextprobe.record.jobs import Job

#: The events that say in which pack, on which board and from which symptom a job goes on.
IN_A_PACK = ("started", "went_over")
_OWN = {"pack_id": "pack", "pack_hash": "hash", "board": "board", "symptom": "symptom"}


def record_problems(job: Job, events: Sequence[Event]) -> list[str]:
    """What is wrong with a record, each problem naming the event; empty when it is sound."""
    return [*verify_chain(job.id, events), *_end_problems(job, events)] or line_problems(job, events)


def _end_problems(job: Job, events: Sequence[Event]) -> list[str]:
    last = events[-1].seq if events else 0
    if last < job.events:
        lost = f"Event {job.events} was" if last == job.events - 1 else f"Events {last + 1} to {job.events} were"
        return [f"{lost} removed from the end."]
    if last > job.events:
        more = f"Event {last} was" if last == job.events + 1 else f"Events {job.events + 1} to {last} were"
        return [f"{more} added at the end."]
    if (events[-1].hash if events else genesis(job.id)) != job.head and not verify_chain(job.id, events):
        return [f"Event {last} is not the one that was written last."]
    return []


def line_problems(job: Job, events: Sequence[Event]) -> list[str]:
    """Where the job's own line says other than its events.

    A power cut between an event and the line may leave the line one event behind: that is no alteration.
    """
    said: list[str] = []
    packs = [event for event in events if event.kind in IN_A_PACK]
    if packs and all(_differences(job, event) for event in packs[-2:]):
        said += [f"Its line says another {key} than event {packs[-1].seq}." for key in _differences(job, packs[-1])]
    endings = [event for event in events if event.kind == "ended"]
    if job.state == "ended" and endings and endings[-1].data.get("ending") != job.ending:
        said.append(f"Its line says another ending than event {endings[-1].seq}.")
    return said


def _differences(job: Job, event: Event) -> list[str]:
    return [key for own, key in _OWN.items() if key in event.data and event.data[key] != getattr(job, own)]
