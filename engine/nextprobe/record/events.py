"""The events of a job and the chain that shows when one was changed.

Each event's hash covers its content and the hash before it (a hash chain as in time-stamping,
Haber & Stornetta 1991, from memory); SHA-256 is FIPS 180-4. A chain alone does not show that its
end was cut off: whoever keeps a record keeps its number of events and its last hash too.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from hashlib import sha256
from typing import Any

from nextprobe.errors import StoreError


@dataclass(frozen=True, slots=True)
class Event:
    """One thing that happened on a job.

    ``seq`` counts from 1, ``at`` is ISO 8601 in UTC, ``data`` is plain JSON data, ``hash`` is
    hexadecimal. What kinds there are is the walk's business.
    """

    seq: int
    at: str
    kind: str
    data: dict[str, Any]
    hash: str


def is_rehearsal(events: Iterable[Event]) -> bool:
    """Whether a job was done on a simulated machine."""
    return any(event.kind == "rehearsal" for event in events)


def canonical(value: object) -> str:
    """`value` as JSON with one spelling only: sorted keys, no blanks, no NaN, no escapes.

    Raises StoreError when it is not plain data that JSON and UTF-8 can hold.
    """
    try:
        text = json.dumps(value, sort_keys=True, allow_nan=False, ensure_ascii=False, separators=(",", ":"))
        text.encode()
    except (TypeError, ValueError, RecursionError) as error:
        raise StoreError(
            f"This cannot be recorded: {error}.", "Record texts, finite numbers, lists and maps only."
        ) from error
    return text


def plain(data: object) -> dict[str, Any]:
    """`data` as it will be read back, in its own order: lists for tuples, text for every key.

    Raises StoreError as canonical does.
    """
    canonical(data)
    read = json.loads(json.dumps(data))
    if not isinstance(read, dict):
        raise StoreError("This cannot be recorded: an event's data is a map.", "Give it a map.")
    return read


def genesis(job: str) -> str:
    """The hash that stands before the first event of `job`."""
    return sha256(job.encode()).hexdigest()


def link(previous: str, seq: int, at: str, kind: str, data: dict[str, Any]) -> str:
    """The hash of an event that follows the one whose hash is `previous`."""
    return sha256((previous + canonical([seq, at, kind, data])).encode()).hexdigest()


def make_event(previous: str, seq: int, at: str, kind: str, data: object) -> Event:
    """An event with its place in the chain. Raises StoreError when `data` is not plain."""
    held = plain(data)
    return Event(seq, at, kind, held, link(previous, seq, at, kind, held))


def follows(previous: str, event: Event) -> bool:
    """Whether the event's hash is that of an event behind the hash `previous`."""
    return link(previous, event.seq, event.at, event.kind, event.data) == event.hash


def verify_chain(job: str, events: Sequence[Event]) -> list[str]:
    """What is wrong with a job's events, each problem naming the event; empty when all is sound.

    The check goes on behind a problem where it can, so one change is one problem.
    """
    problems: list[str] = []
    hashes = [genesis(job), *(event.hash for event in events)]
    expected = 1
    told = {event.seq for event in events}
    good = 0
    for place, event in enumerate(events):
        if event.seq != expected:
            # Behind a gap the hash before is unknown, so that link cannot be judged.
            problems.append(_misplaced(event.seq, expected, told))
        elif place >= good and not follows(hashes[place], event):
            from nextprobe.record.broken import broken

            problem, good = broken(hashes[: place + 1], events, place)
            problems.append(problem)
            if not good:
                return problems
        expected = max(expected, event.seq + 1)
    return problems


def _misplaced(seq: int, expected: int, told: set[int]) -> str:
    if seq < expected:
        return f"Event {seq} was added or moved: it stands behind event {expected - 1}."
    if expected in told:
        return f"Event {seq} was moved: it stands before event {expected}."
    gap = f"Event {expected} was" if seq == expected + 1 else f"Events {expected} to {seq - 1} were"
    return f"{gap} removed: event {seq} comes next."
