"""The durable record of jobs: what was acknowledged is on the disk."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from threading import RLock
from types import TracebackType
from typing import Any, Self

from nextprobe.errors import StoreError
from nextprobe.record.address import store_file
from nextprobe.record.connect import PATIENCE, connect, place_of
from nextprobe.record.events import Event, genesis, make_event
from nextprobe.record.faults import store_error
from nextprobe.record.jobs import Clock, Job, job_id, stamp, utc_now
from nextprobe.record.whole import record_problems

_JOB = "id, opened, pack_id, pack_hash, board, symptom, state, ending, events, head"


def open_store(address: str | None = None, *, clock: Clock = utc_now, patience: float = PATIENCE) -> Store:
    """Open the store at `address`, else at $NEXTPROBE_STORE, else in the user's data folder.

    `clock` gives the time of events, `patience` the seconds to wait for another writer. Raises
    StoreError when the address or the file cannot be used.
    """
    file = store_file(address)
    return Store(connect(file, patience), file, clock)


class Store:
    """Jobs and their events. Every method raises StoreError, with a cure, for what it cannot do.

    One store may be used from several threads. Between processes each job has one writer: who
    appends behind an event of another is told so.
    """

    def __init__(self, connection: sqlite3.Connection, file: Path | None, clock: Clock = utc_now) -> None:
        self.file = file
        self.place = place_of(file)
        self._connection = connection
        self._clock = clock
        self._lock = RLock()
        self._seen: dict[str, int] = {}
        self._node = _node(file)

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
        with self._writing() as db:
            bump = 0
            while db.execute("SELECT 1 FROM jobs WHERE id = ?", (job_id(moment, bump),)).fetchone():
                bump += 1
            name = job_id(moment, bump)
            head, events = genesis(name), []
            for seq, (kind, data) in enumerate(first, 1):
                events.append(make_event(head, seq, stamp(self._clock()), kind, data))
                head = events[-1].hash
            job = Job(name, stamp(moment), pack_id, pack_hash, board or "", symptom, "open", "", len(events), head)
            _keep(db, pack_hash, pack_id, pack_text)
            db.execute(
                f"INSERT INTO jobs ({_JOB}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
                (name, job.opened, pack_id, pack_hash, job.board, symptom, job.state, job.ending, job.events, head),
            )
            db.executemany(
                "INSERT INTO events (job, seq, at, kind, data, hash) VALUES (?, ?, ?, ?, ?, ?)",
                [(name, e.seq, e.at, e.kind, json.dumps(e.data, ensure_ascii=False), e.hash) for e in events],
            )
            if technician:
                db.execute("INSERT INTO people (job, role, name) VALUES (?, 'technician', ?)", (name, technician))
        self._seen[name] = job.events
        return job

    def append(self, job_id: str, kind: str, data: dict[str, Any]) -> Event:
        """Add an event to the job with exactly this id; it is on the disk when this returns.

        Also refused when the job has events that this store has neither read nor written.
        """
        with self._writing() as db:
            row = db.execute("SELECT events, head FROM jobs WHERE id = ?", (job_id,)).fetchone()
            if row is None:
                raise self._unknown(job_id)
            count, head = int(row[0]), str(row[1])
            last = db.execute(
                "SELECT seq, hash FROM events WHERE job = ? ORDER BY seq DESC LIMIT 1", (job_id,)
            ).fetchone()
            if (last or (0, genesis(job_id))) != (count, head):
                raise StoreError(
                    f"The record of job {job_id} does not end with the event {count} that was written last.",
                    f"See `nextprobe jobs verify {job_id}`; put a backup in its place.",
                )
            if self._seen.setdefault(job_id, count) != count:
                raise StoreError(
                    f"Job {job_id} is being worked on elsewhere too: event {self._seen[job_id] + 1} is already there.",
                    "Leave the other walk, then take the job up again.",
                )
            event = make_event(head, count + 1, stamp(self._clock()), kind, data)
            db.execute(
                "INSERT INTO events (job, seq, at, kind, data, hash) VALUES (?, ?, ?, ?, ?, ?)",
                (job_id, event.seq, event.at, kind, json.dumps(event.data, ensure_ascii=False), event.hash),
            )
            db.execute("UPDATE jobs SET events = ?, head = ? WHERE id = ?", (event.seq, event.hash, job_id))
        self._seen[job_id] = event.seq
        return event

    def keep_pack(self, pack_id: str, pack_hash: str, pack_text: str) -> None:
        """Keep a pack's exact text, before a job goes over to it."""
        with self._writing() as db:
            _keep(db, pack_hash, pack_id, pack_text)

    def set_pack(self, job_id: str, pack_id: str, pack_hash: str, board: str, symptom: str) -> None:
        """The job goes on in another pack, whose text is kept already. Its events say so too."""
        with self._writing() as db:
            db.execute(
                "UPDATE jobs SET pack_id = ?, pack_hash = ?, board = ?, symptom = ? WHERE id = ?",
                (pack_id, pack_hash, board, symptom, job_id),
            )

    def end_job(self, job_id: str, ending: str) -> None:
        """Mark the job as ended with `ending`."""
        with self._writing() as db:
            done = db.execute("UPDATE jobs SET state = 'ended', ending = ? WHERE id = ?", (ending, job_id))
            if done.rowcount == 0:
                raise self._unknown(job_id)

    def events(self, job_id: str) -> list[Event]:
        """The job's events in their order. Reading them makes this store the one that goes on from there."""
        rows = self._rows("SELECT seq, at, kind, data, hash FROM events WHERE job = ? ORDER BY seq", (job_id,))
        events = [_event(row) for row in rows]
        for row, event in zip(rows, events, strict=True):
            if event is None:
                raise StoreError(
                    f"Event {row[0]} of job {job_id} cannot be read.",
                    f"See `nextprobe jobs verify {job_id}`; put a backup in its place.",
                )
        if not events:
            self.job(job_id)
        found = [event for event in events if event is not None]
        self._seen[job_id] = found[-1].seq if found else 0
        return found

    def jobs(self) -> list[Job]:
        """All jobs, the newest first."""
        return [Job(*row) for row in self._rows(f"SELECT {_JOB} FROM jobs ORDER BY opened DESC, id DESC")]

    def progress(self) -> dict[str, tuple[int, str]]:
        """For every open job with events: how many steps were told or left out, and when its last event was."""
        steps = "CASE e.kind WHEN 'told' THEN 1 WHEN 'skipped' THEN 1 WHEN 'undone' THEN -1 ELSE 0 END"
        rows = self._rows(
            f"SELECT e.job, SUM({steps}), MAX(e.at) FROM events e JOIN jobs j ON j.id = e.job "
            "WHERE j.state = 'open' GROUP BY e.job"
        )
        return {str(job): (int(told), str(at)) for job, told, at in rows}

    def job(self, job_id: str) -> Job:
        """The job with this id, or the only one whose id begins or ends so."""
        typed = job_id.strip().lower()
        jobs = self.jobs()
        exact = [job for job in jobs if job.id == typed]
        near = exact or [job for job in jobs if typed and (job.id.startswith(typed) or job.id.endswith(typed))]
        if len(near) > 1:
            some = ", ".join(job.id for job in near[:5])
            raise StoreError(
                f"'{job_id}' fits {len(near)} jobs.", f"Give more of the id: {some}{', …' * (len(near) > 5)}"
            )
        if not near:
            raise self._unknown(job_id)
        return near[0]

    def pack_text(self, pack_hash: str) -> str:
        """The exact text of the pack with this hash."""
        rows = self._rows("SELECT text FROM packs WHERE hash = ?", (pack_hash,))
        if not rows:
            raise StoreError(f"No pack with the hash {pack_hash[:12]}… is kept in {self.place}.", "Check the job's id.")
        return str(rows[0][0])

    def people(self, job_id: str) -> dict[str, str]:
        """Who worked on the job: role to name."""
        return {
            str(role): str(name) for role, name in self._rows("SELECT role, name FROM people WHERE job = ?", (job_id,))
        }

    def set_name(self, job_id: str, role: str, name: str) -> None:
        """Keep who the owner or the technician of a job is, apart from the record; a later name replaces it."""
        with self._writing() as db:
            if db.execute("SELECT 1 FROM jobs WHERE id = ?", (job_id,)).fetchone() is None:
                raise self._unknown(job_id)
            db.execute("DELETE FROM people WHERE job = ? AND role = ?", (job_id, role))
            db.execute("INSERT INTO people (job, role, name) VALUES (?, ?, ?)", (job_id, role, name))

    def erase_names(self, job_id: str) -> list[str]:
        """Take out the names kept with the job; the roles whose names are gone. The record stays as it is.

        What was deleted is overwritten in the file, too.
        """
        roles = sorted(self.people(job_id))
        with self._lock:
            self._pragma("secure_delete = ON")
            with self._writing() as db:
                db.execute("DELETE FROM people WHERE job = ?", (job_id,))
            # Until the log is written back, the name still stands in it.
            self._pragma("wal_checkpoint(TRUNCATE)")
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
        with self._writing() as db:
            if db.execute("SELECT 1 FROM jobs WHERE id = ?", (job.id,)).fetchone():
                raise StoreError(
                    f"Job {job.id} is in {self.place} already.", "Leave it, or take it into another store."
                )
            ids = {str(event.data.get("hash")): str(event.data.get("pack", "")) for event in events}
            for hash_, text in packs.items():
                _keep(db, hash_, ids.get(hash_) or job.pack_id, text)
            row = (job.id, job.opened, job.pack_id, job.pack_hash, job.board, job.symptom, job.state, job.ending)
            db.execute(f"INSERT INTO jobs ({_JOB}) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)", (*row, job.events, job.head))
            db.executemany(
                "INSERT INTO events (job, seq, at, kind, data, hash) VALUES (?, ?, ?, ?, ?, ?)",
                [(job.id, e.seq, e.at, e.kind, json.dumps(e.data, ensure_ascii=False), e.hash) for e in events],
            )
            db.executemany(
                "INSERT INTO people (job, role, name) VALUES (?, ?, ?)",
                [(job.id, role, name) for role, name in (people or {}).items()],
            )

    def verify(self, job_id: str) -> list[str]:
        """What is wrong with the job's record, each problem naming the event; empty when it is sound."""
        job = self.job(job_id)
        rows = self._rows("SELECT seq, at, kind, data, hash FROM events WHERE job = ? ORDER BY seq", (job.id,))
        events: list[Event] = []
        for row in rows:
            event = _event(row)
            if event is None:
                return [f"Event {row[0]} was altered: it cannot be read."]
            events.append(event)
        return record_problems(job, events)

    def close(self) -> None:
        """Close the file; closing twice does no harm."""
        with self._lock:
            self._connection.close()

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.close()

    @contextmanager
    def _writing(self) -> Iterator[sqlite3.Connection]:
        """One transaction: all of it is on the disk afterwards, or nothing."""
        with self._lock:
            self._still_there()
            try:
                self._connection.execute("BEGIN IMMEDIATE")
                try:
                    yield self._connection
                    self._connection.execute("COMMIT")
                except BaseException:
                    if self._connection.in_transaction:
                        self._connection.execute("ROLLBACK")
                    raise
            except sqlite3.Error as error:
                raise store_error(error, self.place) from error

    def _rows(self, query: str, values: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
        with self._lock:
            try:
                return self._connection.execute(query, values).fetchall()
            except sqlite3.Error as error:
                raise store_error(error, self.place) from error

    def _pragma(self, text: str) -> None:
        try:
            self._connection.execute(f"PRAGMA {text}").fetchall()
        except sqlite3.Error as error:
            raise store_error(error, self.place) from error

    def _still_there(self) -> None:
        # SQLite goes on writing into a file that was moved or deleted under it, and all would be lost.
        if _node(self.file) != self._node:
            raise StoreError(f"The store {self.place} was moved or deleted.", "Put it back, then open it again.")

    def _unknown(self, job_id: str) -> StoreError:
        from difflib import get_close_matches

        ids = [str(row[0]) for row in self._rows("SELECT id FROM jobs")]
        near = get_close_matches(job_id.strip().lower(), ids, n=1, cutoff=0.7)
        hint = f"Did you mean {near[0]}? " if near else ""
        return StoreError(f"There is no job '{job_id}' in {self.place}.", f"{hint}`nextprobe jobs list` shows them.")


def _keep(db: sqlite3.Connection, pack_hash: str, pack_id: str, text: str) -> None:
    db.execute("INSERT OR IGNORE INTO packs (hash, id, text) VALUES (?, ?, ?)", (pack_hash, pack_id, text))


def _event(row: tuple[Any, ...]) -> Event | None:
    """A row as an event, or None when it is no event."""
    try:
        data = json.loads(row[3])
    except (TypeError, ValueError, RecursionError):
        return None
    texts = all(isinstance(row[column], str) for column in (1, 2, 4))
    return Event(row[0], row[1], row[2], data, row[4]) if isinstance(data, dict) and texts else None


def _node(file: Path | None) -> tuple[int, int]:
    """What tells a file from another at the same path; (0, 0) for none."""
    try:
        found = file.stat() if file is not None else None
    except OSError:
        found = None
    return (found.st_dev, found.st_ino) if found else (0, 0)
