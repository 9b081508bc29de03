"""What a store tells of its jobs; nothing is changed by reading."""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from typing import Any

from nextprobe.errors import StoreError
from nextprobe.record import statements as sql
from nextprobe.record.database import Database, Row
from nextprobe.record.events import Event
from nextprobe.record.jobs import Job
from nextprobe.record.lease import Lease, is_held
from nextprobe.record.whole import record_problems


class Reader:
    """Jobs and their events, as they stand in a database. Every method raises StoreError, with a cure."""

    def __init__(self, database: Database) -> None:
        self.database = database

    @property
    def place(self) -> str:
        """How messages call the store."""
        return self.database.place

    def jobs(self) -> list[Job]:
        """All jobs, the newest first."""
        return [Job(*row) for row in self.database.rows(sql.JOBS)]

    def progress(self) -> dict[str, tuple[int, str]]:
        """For every open job with events: how many steps were told or left out, and when its last event was."""
        return {str(job): (int(told), str(at)) for job, told, at in self.database.rows(sql.PROGRESS)}

    def job(self, job_id: str) -> Job:
        """The job with this id, or the only one whose id begins or ends so."""
        typed = job_id.strip().lower()
        found = self.database.rows(sql.ONE_JOB, {"id": typed})
        if not found and typed:
            plain = typed.replace("!", "!!").replace("%", "!%").replace("_", "!_")
            found = self.database.rows(sql.JOBS_LIKE, {"start": f"{plain}%", "finish": f"%{plain}"})
        near = [Job(*row) for row in found]
        if len(near) > 1:
            some = ", ".join(job.id for job in near[:5])
            raise StoreError(
                f"'{job_id}' fits {len(near)} jobs.", f"Give more of the id: {some}{', …' * (len(near) > 5)}"
            )
        if not near:
            raise self.unknown(job_id)
        return near[0]

    def only_job(self) -> str:
        """The id of the only job in the store; "" where there is none, or more than one."""
        ids = [str(row[0]) for row in self.database.rows(sql.TWO_IDS)]
        return ids[0] if len(ids) == 1 else ""

    def read_events(self, job_id: str) -> list[Event]:
        """The events of the job with exactly this id, in their order."""
        rows = self.database.rows(sql.EVENTS, {"id": job_id})
        events = [event_of(row) for row in rows]
        for row, event in zip(rows, events, strict=True):
            if event is None:
                raise StoreError(
                    f"Event {row[0]} of job {job_id} cannot be read.",
                    f"See `nextprobe jobs verify {job_id}`; put a backup in its place.",
                )
        if not events and not self.database.rows(sql.END_OF_JOB, {"id": job_id}):
            raise self.unknown(job_id)
        return [event for event in events if event is not None]

    def pack_text(self, pack_hash: str) -> str:
        """The exact text of the pack with this hash."""
        rows = self.database.rows(sql.PACK_TEXT, {"hash": pack_hash})
        if not rows:
            raise StoreError(f"No pack with the hash {pack_hash[:12]}… is kept in {self.place}.", "Check the job's id.")
        return str(rows[0][0])

    def people(self, job_id: str) -> dict[str, str]:
        """Who worked on the job: role to name."""
        return {str(role): str(name) for role, name in self.database.rows(sql.PEOPLE, {"id": job_id})}

    def held(self) -> list[Lease]:
        """Which jobs are held by a bench just now, in the order of their ids."""
        now = self.database.time()
        return [lease for lease in (Lease(*row) for row in self.database.rows(sql.LEASES)) if is_held(lease, now)]

    def verify(self, job_id: str) -> list[str]:
        """What is wrong with the job's record, each problem naming the event; empty when it is sound."""
        job = self.job(job_id)
        return _problems(job, self.database.rows(sql.EVENTS, {"id": job.id}))

    def verify_all(self) -> Iterator[tuple[Job, list[str]]]:
        """Every job in the order of its id, and what is wrong with its record: as of one moment, read in one go.

        Nothing can be written before it is read to its end.
        """
        for job, rows in self._all():
            yield job, _problems(job, rows)

    def records(self) -> Iterator[tuple[Job, list[Event]]]:
        """Every job in the order of its id, with its events: as of one moment, read in one go.

        An event that cannot be read is left out: ``verify_all`` names it. Nothing can be written before all is read.
        """
        for job, rows in self._all():
            yield job, [event for event in map(event_of, rows) if event is not None]

    def _all(self) -> Iterator[tuple[Job, list[Row]]]:
        with self.database.snapshot():
            rows = (row for chunk in self.database.chunks(sql.select("events")) for row in chunk)
            row = next(rows, None)
            for chunk in self.database.chunks(sql.select("jobs")):
                for job in (Job(*found) for found in chunk):
                    own: list[Row] = []
                    while row is not None and row[0] <= job.id:
                        # An event of a job that is not there belongs to none.
                        own += [row[1:]] if row[0] == job.id else []
                        row = next(rows, None)
                    yield job, own

    def unknown(self, job_id: str) -> StoreError:
        """What is said of a job that is not there."""
        from difflib import get_close_matches

        ids = [str(row[0]) for row in self.database.rows(sql.SOME_IDS)]
        near = get_close_matches(job_id.strip().lower(), ids, n=1, cutoff=0.7)
        hint = f"Did you mean {near[0]}? " if near else ""
        return StoreError(f"There is no job '{job_id}' in {self.place}.", f"{hint}`nextprobe jobs list` shows them.")


def _problems(job: Job, rows: Sequence[Row]) -> list[str]:
    events: list[Event] = []
    for row in rows:
        event = event_of(row)
        if event is None:
            return [f"Event {row[0]} was altered: it cannot be read."]
        events.append(event)
    return record_problems(job, events)


def event_of(row: Row) -> Event | None:
    """A row as an event, or None when it is no event."""
    try:
        data: Any = json.loads(row[3])
    except (TypeError, ValueError, RecursionError):
        return None
    texts = all(isinstance(row[column], str) for column in (1, 2, 4))
    return Event(row[0], row[1], row[2], data, row[4]) if isinstance(data, dict) and texts else None


def row_of(job_id: str, event: Event) -> dict[str, Any]:
    """An event as the values of its row."""
    data = json.dumps(event.data, ensure_ascii=False)
    return {"job": job_id, "seq": event.seq, "at": event.at, "kind": event.kind, "data": data, "hash": event.hash}
