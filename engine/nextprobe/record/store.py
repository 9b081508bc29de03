"""The durable record of jobs: what was acknowledged is on the disk."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import asdict
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import Any, Self

from nextprobe.errors import StoreError
from nextprobe.record import statements as sql
from nextprobe.record.address import is_shared, store_address, store_file
from nextprobe.record.bench import Bench, this_bench
from nextprobe.record.connect import PATIENCE
from nextprobe.record.database import Database, UnsureError
from nextprobe.record.events import Event, genesis, make_event, plain
from nextprobe.record.jobs import Clock, Job, job_id, stamp, utc_now
from nextprobe.record.lease import SECONDS, Leases
from nextprobe.record.reader import Reader, event_of, row_of
from nextprobe.record.whole import record_problems


def open_store(
    address: str | None = None,
    *,
    clock: Clock = utc_now,
    patience: float = PATIENCE,
    bench: str | None = None,
    lease: float = SECONDS,
) -> Store:
    """Open the store at `address`, else at $NEXTPROBE_STORE, else in the user's data folder.

    `clock` gives the time of events, `patience` the seconds to wait for another writer, `bench` the name under which
    jobs are held, for `lease` seconds after the last sign of life. Raises StoreError when the address, the file or the
    server cannot be used.
    """
    return Store(open_database(address, patience), clock, this_bench(bench), lease)


def open_database(address: str | None = None, patience: float = PATIENCE) -> Database:
    """The database behind a store's address. Raises StoreError."""
    given = store_address(address)
    if is_shared(given):
        from nextprobe.record.shared import SharedDatabase

        return SharedDatabase(given, patience)
    from nextprobe.record.sqlite_file import SqliteDatabase

    return SqliteDatabase(store_file(given), patience)


class Store(Reader):
    """Jobs and their events. Every method raises StoreError, with a cure, for what it cannot do.

    One store may be used from several threads. Of several processes one holds a job and writes to it: who appends to
    a job that another holds, or behind an event of another, is told so.
    """

    def __init__(
        self, database: Database, clock: Clock = utc_now, bench: Bench | None = None, lease: float = SECONDS
    ) -> None:
        super().__init__(database)
        self._clock = clock
        self._leases = Leases(database, bench or this_bench(), lease)
        self._seen: dict[str, int] = {}
        self._unsure: dict[str, Event] = {}

    @property
    def file(self) -> Path | None:
        """The file of SQLite; None for a store in memory or on a server."""
        found = getattr(self.database, "file", None)
        return found if isinstance(found, Path) else None

    def create_job(
        self,
        pack_id: str,
        pack_hash: str,
        pack_text: str,
        board: str | None,
        symptom: str,
        technician: str | None,
        at: datetime | None = None,
        first: Sequence[tuple[str, dict[str, Any]]] = (),
    ) -> Job:
        """Open a job, with the pack's exact text kept beside it. `technician` stands apart from the record.

        first: kind and data of its first events; the job and all of them are on the disk when this returns, or nothing.
        """
        moment = at or self._clock()
        with self.database.writing():
            self._keep(pack_hash, pack_id, pack_text)
            bump, done = 0, 0
            while not done:
                name = job_id(moment, bump)
                events = self._chained(name, first)
                head = events[-1].hash if events else genesis(name)
                job = Job(name, stamp(moment), pack_id, pack_hash, board or "", symptom, "open", "", len(events), head)
                done = self.database.run(sql.ADD_JOB, asdict(job))
                bump += 1
            self.database.many(sql.ADD_EVENT, [row_of(name, event) for event in events])
            if technician:
                self.database.run(sql.ADD_PERSON, {"job": name, "role": "technician", "name": technician})
            self._leases.take(name)
        self._seen[name] = job.events
        return job

    def hold(self, job_id: str) -> str:
        """Hold the job with exactly this id; "", or a sentence for the screen where it was taken over after a crash.

        Raises StoreError where another bench holds it: the message names it.
        """
        with self.database.writing():
            if not self.database.rows(sql.END_OF_JOB + self.database.locking, {"id": job_id}):
                raise self.unknown(job_id)
            return self._leases.take(job_id)

    def let_go(self, job_id: str) -> None:
        """Hold the job no longer, so that another bench can take it up. Closing the store lets go of all.

        Where it cannot be written down, the hold runs out by itself.
        """
        with suppress(StoreError), self.database.writing():
            self._leases.let_go(job_id)

    def append(self, job_id: str, kind: str, data: dict[str, Any]) -> Event:
        """Add an event to the job with exactly this id; it is on the disk when this returns.

        Also refused when the job has events that this store has neither read nor written, or is held elsewhere.
        """
        event: Event | None = None
        try:
            with self.database.writing():
                count, head = self._end(job_id)
                written = self._written(job_id, count, kind, data)
                if written:
                    return written
                event = make_event(head, count + 1, stamp(self._clock()), kind, data)
                self.database.run(sql.ADD_EVENT, row_of(job_id, event))
                self.database.run(sql.MOVE_END, {"id": job_id, "events": event.seq, "head": event.hash})
        except UnsureError:
            if event is not None:
                self._unsure[job_id] = event
            raise
        self._seen[job_id] = event.seq
        return event

    def keep_pack(self, pack_id: str, pack_hash: str, pack_text: str) -> None:
        """Keep a pack's exact text, before a job goes over to it."""
        with self.database.writing():
            self._keep(pack_hash, pack_id, pack_text)

    def set_pack(self, job_id: str, pack_id: str, pack_hash: str, board: str, symptom: str) -> None:
        """The job goes on in another pack, whose text is kept already. Its events say so too."""
        values = {"id": job_id, "pack_id": pack_id, "pack_hash": pack_hash, "board": board, "symptom": symptom}
        with self.database.writing():
            self.database.run(sql.SET_PACK, values)

    def end_job(self, job_id: str, ending: str) -> None:
        """Mark the job as ended with `ending`; it is held no longer."""
        with self.database.writing():
            if self.database.run(sql.END_JOB, {"id": job_id, "ending": ending}) == 0:
                raise self.unknown(job_id)
            self._leases.let_go(job_id)

    def events(self, job_id: str) -> list[Event]:
        """The job's events in their order. Reading them makes this store the one that goes on from there."""
        found = self.read_events(job_id)
        self._seen[job_id] = found[-1].seq if found else 0
        self._unsure.pop(job_id, None)
        return found

    def set_name(self, job_id: str, role: str, name: str) -> None:
        """Keep who the owner or the technician of a job is, apart from the record; a later name replaces it."""
        with self.database.writing():
            if not self.database.rows(sql.END_OF_JOB + self.database.locking, {"id": job_id}):
                raise self.unknown(job_id)
            self.database.run(sql.FORGET_PERSON, {"id": job_id, "role": role})
            self.database.run(sql.ADD_PERSON, {"job": job_id, "role": role, "name": name})

    def erase_names(self, job_id: str) -> list[str]:
        """Take out the names kept with the job; the roles whose names are gone. The record stays as it is.

        What was deleted is overwritten in the file, too.
        """
        roles = sorted(self.people(job_id))
        self.database.erase(sql.FORGET_PEOPLE, {"id": job_id})
        return roles

    def import_job(
        self, job: Job, events: Sequence[Event], packs: Mapping[str, str], people: Mapping[str, str] | None = None
    ) -> None:
        """Take in a job of another store as it is: its line, its events, its packs' texts by hash, names by role.

        Raises StoreError, and takes nothing, where its chain is not sound, a pack is missing or its id is taken.
        """
        problems = record_problems(job, events)
        if not problems and job.pack_hash not in packs:
            problems = ["The text of its pack is missing."]
        if problems:
            raise StoreError(f"Job {job.id} cannot be taken in. {problems[0]}", "Export it again where it is.")
        with self.database.writing():
            ids = {str(event.data.get("hash")): str(event.data.get("pack", "")) for event in events}
            # In one order everywhere: two benches that take jobs in at once never wait for each other in a ring.
            for hash_ in sorted(packs):
                self._keep(hash_, ids.get(hash_) or job.pack_id, packs[hash_])
            if self.database.run(sql.ADD_JOB, asdict(job)) == 0:
                raise StoreError(
                    f"Job {job.id} is in {self.place} already.", "Leave it, or take it into another store."
                )
            self.database.many(sql.ADD_EVENT, [row_of(job.id, event) for event in events])
            named = [{"job": job.id, "role": role, "name": name} for role, name in (people or {}).items()]
            self.database.many(sql.ADD_PERSON, named)

    def close(self) -> None:
        """Let go of the jobs that are held, and close; closing twice does no harm."""
        self._leases.close()
        self.database.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    def _end(self, job_id: str) -> tuple[int, str]:
        """Number and hash of the job's last event, inside a change, once this bench holds it."""
        found = self.database.rows(sql.END_OF_JOB + self.database.locking, {"id": job_id})
        if not found:
            raise self.unknown(job_id)
        count, head, state = int(found[0][0]), str(found[0][1]), found[0][2]
        last = self.database.rows(sql.LAST_EVENT, {"id": job_id})
        if (last[0] if last else (0, genesis(job_id))) != (count, head):
            raise StoreError(
                f"The record of job {job_id} does not end with the event {count} that was written last.",
                f"See `nextprobe jobs verify {job_id}`; put a backup in its place.",
            )
        if state == "open":
            self._leases.take(job_id)
        return count, head

    def _written(self, job_id: str, count: int, kind: str, data: dict[str, Any]) -> Event | None:
        """The event, where it was written when the connection broke; None where it is to be written now.

        Raises StoreError where the job has events that this store does not know.
        """
        unsure = self._unsure.pop(job_id, None)
        seen = self._seen.setdefault(job_id, count)
        if unsure and count == unsure.seq == seen + 1:
            last = event_of(self.database.rows(sql.LAST_WHOLE, {"id": job_id})[0])
            if last == unsure and (kind, plain(data)) == (unsure.kind, unsure.data):
                self._seen[job_id] = count
                return last
        if seen != count and unsure:
            raise StoreError(
                f"Event {count} of job {job_id} was recorded when the connection broke, and this one is another.",
                "Take the job up again.",
            )
        if seen != count:
            raise StoreError(
                f"Job {job_id} is being worked on elsewhere too: event {seen + 1} is already there.",
                "Leave the other walk, then take the job up again.",
            )
        return None

    def _chained(self, name: str, first: Sequence[tuple[str, dict[str, Any]]]) -> list[Event]:
        events: list[Event] = []
        for seq, (kind, data) in enumerate(first, 1):
            before = events[-1].hash if events else genesis(name)
            events.append(make_event(before, seq, stamp(self._clock()), kind, data))
        return events

    def _keep(self, pack_hash: str, pack_id: str, text: str) -> None:
        self.database.run(sql.KEEP_PACK, {"hash": pack_hash, "id": pack_id, "text": text})
