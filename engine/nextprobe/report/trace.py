"""A record gone through event by event, with the walk as it stood before each, also where it went over to a pack."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from nextprobe.errors import UnreadableError
from nextprobe.interchange.replay import Replay, live
from nextprobe.record import Event
from nextprobe.record.whole import IN_A_PACK
from nextprobe.walk import Walk


def stages(replay: Replay, events: Sequence[Event]) -> Iterator[tuple[Event, Walk]]:
    """Each event that still counts, with the walk as it stood before it; what was taken back is out.

    A start and a going over come with the walk that they begin.

    The walk is one that goes on: look at it before the next is asked for. Raises PackError where a pack's text cannot
    be read, ToldError where the record does not begin with a start.
    """
    kept = {event.seq for event in live(events)}
    walk: Walk | None = None
    for event in events:
        if event.kind in IN_A_PACK:
            walk = Walk.replay(replay.pack(str(event.data["hash"])), [(event.kind, event.data)])
            yield event, walk
            continue
        if walk is None:
            raise UnreadableError("The record does not begin with a start.", "It cannot be reported.")
        if event.seq in kept or event.kind not in ("told", "skipped", "undone"):
            yield event, walk
        walk.replay_on(event.kind, event.data)
