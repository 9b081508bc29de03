"""Jobs as JSON Lines, to be taken up on another machine: packs, records, and names of people where they are wanted.

The first line says what the file is and the last one how many lines stand before it and their SHA-256 (FIPS 180-4),
so that a cut-off end shows. Between them each pack has a line, and each job one, followed by one for each event.
Everything but ASCII is escaped: no way of sending a file changes it.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass, field, replace
from hashlib import sha256
from typing import TYPE_CHECKING

from nextprobe.interchange.replay import Replay, pack_hashes
from nextprobe.record import Event, Job
from nextprobe.record.whole import IN_A_PACK
from nextprobe.version import __version__

if TYPE_CHECKING:
    from nextprobe.record.store import Store

FORMAT = 1
KIND = "jobs"


@dataclass(frozen=True)
class JobRecord:
    """All there is of a job: its line in the store, its events, who worked on it.

    belief: the probability of each cause when it was written, None where it could not be replayed.
    """

    job: Job
    events: tuple[Event, ...]
    people: Mapping[str, str] = field(default_factory=dict)
    belief: Mapping[str, float] | None = None


def job_lines(store: Store, jobs: Iterable[Job], *, names: bool = True) -> Iterator[str]:
    """The lines of a file with `jobs`, without line ends; `names`: with those of people.

    Raises StoreError where a record cannot be read.
    """
    digest, count = sha256(), 0
    for line in _lines(store, list(jobs), names):
        text = _json(line)
        digest.update(text.encode() + b"\n")
        count += 1
        yield text
    yield _json({"end": {"lines": count, "sha256": digest.hexdigest()}})


def _lines(store: Store, jobs: list[Job], names: bool) -> Iterator[dict[str, object]]:
    yield {"nextprobe": KIND, "format": FORMAT, "version": __version__, "jobs": len(jobs), "names": names}
    kept: set[str] = set()
    replay = Replay(store.pack_text)
    for job in jobs:
        events = store.events(job.id)
        for hash_ in pack_hashes(job, events):
            if hash_ not in kept:
                kept.add(hash_)
                yield {"pack": {"hash": hash_, "text": store.pack_text(hash_)}}
        line: dict[str, object] = {"job": asdict(settled(job, events)), "belief": replay.belief(job, events)}
        if names:
            line["people"] = store.people(job.id)
        yield line
        for event in events:
            yield {"event": {"job": job.id, **asdict(event)}}


def settled(job: Job, events: Sequence[Event]) -> Job:
    """The job's line as its events say it: a bench that lost its power between the two leaves the line behind."""
    data: Mapping[str, object] = next((e.data for e in reversed(events) if e.kind in IN_A_PACK), {})
    return replace(
        job,
        pack_id=str(data.get("pack", job.pack_id)),
        pack_hash=str(data.get("hash", job.pack_hash)),
        board=str(data.get("board", job.board)),
        symptom=str(data.get("symptom", job.symptom)),
    )


def _json(line: Mapping[str, object]) -> str:
    return json.dumps(line, allow_nan=False, separators=(",", ":"))
