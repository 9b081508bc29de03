"""What became of an event whose hash does not fit: altered, removed, added or moved."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from nextprobe.record.events import Event, follows, link

_FARTHEST = 50
"""So many removed or added events in a row are still recognised as such; a change beyond is found all the same."""


def broken(hashes: Sequence[str], events: Sequence[Event], place: int) -> tuple[str, int]:
    """What is wrong at `place` of `events`, and the place at which the check can go on; 0 where it cannot.

    hashes: those that stand before each event up to `place`, the job's own first. A hash covers the event's number, so
    what was moved or renumbered still fits its old place.
    """
    event, rest = events[place], events[place + 1 :]
    said = _moved(hashes[-1], event, rest) or _added(hashes, events, place)
    if said:
        return said, 0
    seq = event.seq
    if not rest or follows(event.hash, rest[0]):
        before = f" (or event {seq - 1} together with its hash)" if seq > 1 else ""
        return f"Event {seq} was altered{before}.", place + 1
    if follows(link(hashes[-1], seq, event.at, event.kind, event.data), rest[0]):
        return f"Event {seq} was altered: its hash is another one.", place + 2
    for gap in range(1, _FARTHEST):
        if follows(event.hash, replace(rest[0], seq=rest[0].seq + gap)):
            return f"Event {seq} was removed, and those behind it were renumbered.", 0
    return _several(events, place)


def _moved(previous: str, event: Event, rest: Sequence[Event]) -> str:
    """What is said where the event, or the one that belongs here, stands elsewhere; "" where neither does."""
    seq = event.seq
    before = event.hash
    for other in rest:
        here = link(previous, seq, other.at, other.kind, other.data)
        there = link(before, other.seq, event.at, event.kind, event.data)
        before = other.hash
        if (here, there) == (event.hash, other.hash):
            return f"Event {seq} was moved: what was recorded as event {seq} stands as event {other.seq}."
        if here == other.hash:
            came = _recorded_as(event, rest)
            if not came:
                return ""  # it was never recorded: what belongs here was only pushed back
            if other.seq == seq + 1 and came > other.seq:
                return f"Event {seq} was moved: it was recorded as event {came}."
            return f"Event {seq} was moved: what was recorded as event {seq} stands as event {other.seq}."
    return ""


def _recorded_as(event: Event, rest: Sequence[Event]) -> int:
    """The number under which the event was recorded behind one of `rest`; 0 where it was not."""
    for other in rest:
        for seq in (event.seq + 1, other.seq, other.seq + 1):
            if follows(other.hash, replace(event, seq=seq)):
                return seq
    return 0


def _added(hashes: Sequence[str], events: Sequence[Event], place: int) -> str:
    """What is said where an event from here on follows one before those that were put in between, else ""."""
    for event in events[place : place + _FARTHEST]:
        for old in range(place, max(-1, place - _FARTHEST), -1):
            first = events[old].seq
            if first < event.seq and follows(hashes[old], replace(event, seq=first)):
                one = f"Event {first} was" if first == event.seq - 1 else f"Events {first} to {event.seq - 1} were"
                return f"{one} added: what was recorded as event {first} now stands behind."
    return ""


def _several(events: Sequence[Event], place: int) -> tuple[str, int]:
    """Several events in a row that were altered: the next two that fit one another show where that ends."""
    seq = events[place].seq
    for later in range(place + 1, len(events) - 1):
        one, after = events[later], events[later + 1]
        if one.seq != seq + later - place or after.seq != one.seq + 1:
            break
        if follows(one.hash, after):
            return f"Events {seq} to {one.seq} were altered.", later + 1
    return f"From event {seq} on this is not what was recorded: something was altered, added or removed.", 0
