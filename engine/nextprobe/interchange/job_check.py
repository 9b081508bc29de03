"""Whether jobs from elsewhere are as they were written: the chain, the packs, the belief. Nothing is taken here."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from itertools import pairwise

from nextprobe.errors import NextprobeError
from nextprobe.interchange.job_lines import JobRecord
from nextprobe.interchange.job_lines_read import Parcel
from nextprobe.interchange.replay import Replay, pack_hashes
from nextprobe.record import Event, Job
from nextprobe.record.whole import record_problems
from nextprobe.version import __version__

#: Two replays of one record differ by no more than this, whatever machine they run on.
ALIKE = 1e-12
#: What is not of one job.
WHOLE_FILE = ""


def problems(parcel: Parcel, say: Callable[[int], None] = lambda _: None) -> list[tuple[str, str]]:
    """What is wrong, each as the job's id ('' for the file itself) and a sentence; empty when all is sound.

    say: told how many jobs are replayed, which takes about half a second for each one in a pack of real size.
    """
    replay = Replay(parcel.packs.__getitem__)
    found = [(one.job.id, said) for one in parcel.jobs for said in _order_problems(one.events)]
    found += [(one.job.id, said) for one in parcel.jobs for said in record_problems(one.job, _sorted(one.events))]
    found += [(one.job.id, said) for one in parcel.jobs if (said := _unended(one.job, one.events))]
    ids = [one.job.id for one in parcel.jobs]
    found += [(id_, "It stands in the file twice.") for id_ in dict.fromkeys(ids) if ids.count(id_) > 1]
    found += [(WHOLE_FILE, said) for hash_ in parcel.packs if (said := _pack_problem(hash_, replay))]
    for one in parcel.jobs:
        lacking = [hash_ for hash_ in pack_hashes(one.job, one.events) if hash_ not in parcel.packs]
        found += [(one.job.id, f"The text of its pack is missing ({hash_[:12]}…).") for hash_ in lacking]
    if not found:
        for number, one in enumerate(parcel.jobs, 1):
            said = _belief_problem(one, parcel, replay)
            found += [(one.job.id, said)] if said else []
            say(number)
    if not found and parcel.whole:
        found.append((WHOLE_FILE, parcel.whole))
    return found


def _unended(job: Job, events: Sequence[Event]) -> str:
    """What is said of a line that has ended where no event has."""
    told = any(event.kind == "ended" for event in events)
    return "Its line says that it has ended, but no event does." if job.state == "ended" and not told else ""


def _order_problems(events: Sequence[Event]) -> list[str]:
    """Events that stand elsewhere in the file than their numbers say; the chain is judged in the numbers' order."""
    return [
        f"Event {event.seq} was moved: it stands behind event {before.seq}."
        for before, event in pairwise(events)
        if event.seq <= before.seq
    ]


def _sorted(events: Sequence[Event]) -> list[Event]:
    return sorted(events, key=lambda event: event.seq)


def _pack_problem(hash_: str, replay: Replay) -> str:
    try:
        same = replay.pack(hash_).hash == hash_
    except NextprobeError as error:
        return f"The text of the pack {hash_[:12]}… cannot be read: {error.message}"
    return "" if same else f"The text of the pack {hash_[:12]}… was altered."


def _belief_problem(one: JobRecord, parcel: Parcel, replay: Replay) -> str:
    """A belief that differs is the pack's data altered, unless another nextprobe reckoned it."""
    if one.belief is None:
        return ""
    here = replay.belief(one.job, one.events)
    if here is None:
        return "It cannot be replayed: its pack or an event was altered."
    off = difference(one.belief, here)
    if off <= ALIKE or parcel.version != __version__:
        return ""
    return f"Replayed it gives another belief than was written (by {off:.2g}): its pack was altered."


def difference(one: Mapping[str, float], other: Mapping[str, float]) -> float:
    """How far two beliefs are apart: the greatest difference of a probability."""
    return max((abs(one.get(cause, 0.0) - other.get(cause, 0.0)) for cause in {*one, *other}), default=0.0)
