"""Jobs from elsewhere taken into a store, once they are known to be sound."""

from __future__ import annotations

from nextprobe.errors import StoreError
from nextprobe.interchange.job_lines import JobRecord
from nextprobe.interchange.job_lines_read import Parcel
from nextprobe.interchange.replay import pack_hashes
from nextprobe.record import Job
from nextprobe.record.store import Store


def take(store: Store, parcel: Parcel) -> list[tuple[str, str]]:
    """Take in the jobs of a sound parcel: each job's id and what became of it.

    A job that is here already with the same record is left as it is. Raises StoreError, before anything is taken,
    where one is here with another record.
    """
    here = {job.id: job for job in store.jobs()}
    for one in parcel.jobs:
        if one.job.id in here and not _same(here[one.job.id], one.job):
            raise _other(here[one.job.id], one, store)
    said: list[tuple[str, str]] = []
    for one in parcel.jobs:
        if one.job.id in here:
            said.append((one.job.id, f"is here already, the same {_events(one.job)}"))
            continue
        packs = {hash_: parcel.packs[hash_] for hash_ in pack_hashes(one.job, one.events)}
        store.import_job(one.job, one.events, packs, one.people)
        said.append((one.job.id, f"taken, {_events(one.job)}, last hash {one.job.head}"))
    return said


def _same(here: Job, there: Job) -> bool:
    return (here.events, here.head) == (there.events, there.head)


def _other(here: Job, one: JobRecord, store: Store) -> StoreError:
    ours = {event.hash for event in store.events(here.id)}
    theirs = {event.hash for event in one.events}
    if ours <= theirs:
        how = f"its first {_events(here)} are here, and it went on elsewhere"
    elif theirs <= ours:
        how = "it went on here since it was exported"
    else:
        how = "the two went apart"
    return StoreError(
        f"Job {here.id} is here already with another record: {how}.",
        "Nothing was taken. Import it into a store of its own: set NEXTPROBE_STORE.",
    )


def _events(job: Job) -> str:
    return f"{job.events} {'event' if job.events == 1 else 'events'}"
