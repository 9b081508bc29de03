"""Which bench holds a job: one at a time, taken over only from a bench that is gone."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime

from nextprobe.errors import StoreError
from nextprobe.record import statements as sql
from nextprobe.record.bench import Bench, is_gone
from nextprobe.record.database import Database
from nextprobe.record.jobs import stamp
from nextprobe.record.pulse import Pulse

SECONDS = 90.0
"""How long a hold lasts without a sign of life; the pulse gives three in that time."""


@dataclass(frozen=True, slots=True)
class Lease:
    """Who holds a job: ``since`` is ISO 8601 in UTC, ``until`` milliseconds since 1970."""

    job: str
    bench: str
    machine: str
    process: str
    since: str
    until: int


class Leases:
    """The holds of one bench. What is called inside a change of the database says so."""

    def __init__(self, database: Database, bench: Bench, seconds: float = SECONDS) -> None:
        self.bench = bench
        self._database = database
        self._seconds = seconds
        self._held: set[str] = set()
        self._pulse = Pulse(self.renew, seconds / 3)

    def take(self, job_id: str) -> str:
        """Hold the job, inside a change; "", or a sentence that says from whom it was taken over.

        Raises StoreError where another bench holds it.
        """
        now = self._database.time()
        found = self._database.rows(sql.LEASE + self._database.locking, {"id": job_id})
        lease = Lease(job_id, *found[0]) if found else None
        if lease and self._own(lease):
            word, since = "", lease.since
        else:
            word, since = _taken_over(lease, now), stamp(datetime.fromtimestamp(now, UTC))
        if lease is None or not self._own(lease) or job_id not in self._held:
            self._database.run(
                sql.TAKE_LEASE,
                {
                    "id": job_id,
                    "bench": self.bench.name,
                    "machine": self.bench.machine,
                    "process": self.bench.process,
                    "since": since,
                    "until": self._until(now),
                },
            )
        self._held.add(job_id)
        self._pulse.start()
        return word

    def let_go(self, job_id: str) -> None:
        """Hold the job no longer, inside a change."""
        self._held.discard(job_id)
        whose = {"machine": self.bench.machine, "process": self.bench.process}
        self._database.run(sql.LET_GO, {"id": job_id, **whose})

    def renew(self) -> None:
        """A sign of life for all that is held."""
        if not self._held:
            return
        whose = {"machine": self.bench.machine, "process": self.bench.process}
        # A sign that could not be given is no harm: the next one may.
        with suppress(StoreError), self._database.writing():
            until = self._until(self._database.time())
            self._database.many(sql.RENEW_LEASE, [{"id": held, "until": until, **whose} for held in sorted(self._held)])

    def close(self) -> None:
        """Let go of all that is held; where that cannot be done, the holds run out by themselves."""
        self._pulse.stop()
        held, self._held = sorted(self._held), set()
        if held:
            with suppress(StoreError), self._database.writing():
                for job_id in held:
                    self.let_go(job_id)

    def _until(self, now: float) -> int:
        return round((now + self._seconds) * 1000)

    def _own(self, lease: Lease) -> bool:
        return (lease.machine, lease.process) == (self.bench.machine, self.bench.process)


def is_held(lease: Lease, now: float) -> bool:
    """Whether the bench that holds the job gave a sign of life in time, as far as can be seen from here."""
    return lease.until > now * 1000 and not is_gone(lease.machine, lease.process)


def refusal(lease: Lease) -> StoreError:
    """What is said to a second bench."""
    return StoreError(
        f"Job {lease.job} is held by {lease.bench} since {_clock(lease.since)} UTC.",
        f"Go on there, or leave the walk there first. A bench that crashed lets go after {round(SECONDS)} seconds.",
    )


def _taken_over(lease: Lease | None, now: float) -> str:
    if lease is None:
        return ""
    if is_held(lease, now):
        raise refusal(lease)
    return f"Taken over from {lease.bench}, which held it since {_clock(lease.since)} UTC and is gone."


def _clock(since: str) -> str:
    return since[:16].replace("T", " ")
