"""A record replayed without a store: which packs it needs, and what is believed at its end."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import TYPE_CHECKING

from nextprobe.errors import NextprobeError
from nextprobe.record import Event, Job
from nextprobe.record.whole import IN_A_PACK

if TYPE_CHECKING:
    from nextprobe.pack.pack import Pack


def pack_hashes(job: Job, events: Sequence[Event]) -> list[str]:
    """The hashes of all packs that the record names, in their order, each once."""
    named = [str(event.data.get("hash", "")) for event in events if event.kind in IN_A_PACK]
    return list(dict.fromkeys([*named, job.pack_hash]))


def live(events: Sequence[Event]) -> list[Event]:
    """What was told and skipped, in its order, without what was taken back."""
    kept: list[Event] = []
    open_: list[Event | None] = []
    for event in events:
        if event.kind in ("told", "skipped"):
            open_.append(event)
        elif event.kind == "undone" and open_:
            open_.pop()
        elif event.kind == "went_over":
            # Only what counts in the new pack can be taken back there, and it is told anew in it.
            kept += [one for one in open_ if one is not None]
            open_ = [None for _ in event.data.get("carried", ())]
    return [*kept, *(one for one in open_ if one is not None)]


class Replay:
    """Replays records on the packs whose kept text `pack_text` gives by their hash; each is read once."""

    def __init__(self, pack_text: Callable[[str], str]) -> None:
        self._pack_text = pack_text
        self._packs: dict[str, Pack] = {}

    def pack(self, hash_: str) -> Pack:
        """The pack with this hash. Raises PackError where its text cannot be read, and what `pack_text` raises."""
        from nextprobe.pack.load import pack_from_kept

        if hash_ not in self._packs:
            self._packs[hash_] = pack_from_kept(self._pack_text(hash_))
        return self._packs[hash_]

    def belief(self, job: Job, events: Sequence[Event]) -> dict[str, float] | None:
        """The probability of each cause at the end of the record, and of ``unlisted``.

        None where the record cannot be replayed: its pack is not one that this nextprobe reads, or an event is not.
        """
        from nextprobe.walk import Walk

        named = [str(event.data.get("hash", "")) for event in events if event.kind in IN_A_PACK]
        told = [(event.kind, event.data) for event in events]
        try:
            pack = self.pack(named[-1] if named else job.pack_hash)
            walk = Walk.replay(pack, told) if told else Walk(pack, job.symptom)
            return {cause: float(chance) for cause, chance in walk.belief().items()}
        except (NextprobeError, LookupError, TypeError, ValueError, AttributeError):
            return None
