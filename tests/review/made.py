"""Packs and jobs for reviews: one whose every figure is reckoned by hand, with cautions and an order to keep."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Any

from nextprobe import Walk
from nextprobe.interchange.replay import Replay
from nextprobe.job import OpenJob, start_job
from nextprobe.pack.load import load_pack
from nextprobe.pack.pack import Pack
from nextprobe.record import Event
from nextprobe.record.events import genesis, make_event
from nextprobe.record.store import Store

#: Two causes alike, one reading that tells them apart, one that tells nothing, two repairs that never fail.
HAND = """\
format: 1
id: hand
title: By hand
version: 1.0.0
source: {kind: estimate, doubt: 2, note: invented}
misread: 0
unlisted: 0
symptoms: {dark: {title: Dark, seen: {minutes: 1, how: Look.}}}
causes:
  left: {title: Left broken, weight: 1, leads_to: {dark: 1}}
  right: {title: Right broken, weight: 1, leads_to: {dark: 1}}
measurements:
  which:
    title: Which side?
    minutes: 1
    outcomes: {on_left: {say: Left}, on_right: {say: Right}}
    reads: [{when: left, gives: {on_left: 1}}, {otherwise: {on_right: 1}}]
  coin:
    title: Toss a coin
    minutes: 2
    outcomes: {heads: {say: Heads}, tails: {say: Tails}}
    reads: [{otherwise: {heads: 0.5, tails: 0.5}}]
  scale: {title: Weigh it, minutes: 3}
repairs:
  mend_left: {title: Mend left, minutes: 10, fixes: {left: 1}}
  mend_right: {title: Mend right, minutes: 10, fixes: {right: 1}}
refer: {title: Quote, minutes: 500}
"""

#: The same with a look that always comes first, a reading that wants another, and a caution before a repair.
ORDERED = (
    HAND.replace("id: hand", "id: ordered").replace(
        "  scale: {title: Weigh it, minutes: 3}\n",
        """\
  around: {title: Look around, minutes: 1, outcomes: {fine: {say: Fine}, odd: {say: Odd}},
           reads: [{otherwise: {fine: 0.9, odd: 0.1}}]}
  deeper: {title: Look deeper, minutes: 2, after: [coin], outcomes: {shiny: {say: Shiny}, dull: {say: Dull}},
           reads: [{when: left, gives: {shiny: 0.8, dull: 0.2}}, {otherwise: {shiny: 0.3, dull: 0.7}}]}
""",
    )
    + """\
always_first: [around]
hazards: {glass: {signal: CAUTION, say: Splinters fly when the old glass comes out so cover it and your eyes first.}}
"""
).replace("{title: Mend left, minutes: 10,", "{title: Mend left, minutes: 10, hazards: [glass],")


def written(folder: Path, text: str) -> Pack:
    """The pack of a text, from a file."""
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / "pack.yaml"
    path.write_text(text, encoding="utf-8")
    return load_pack(str(path))


def job(store: Store, pack: Pack, told: Sequence[tuple[str, str]], *, name: str | None = None) -> OpenJob:
    """A job in which this was told, one after another, whatever was asked, and closed where it has ended."""
    opened = start_job(store, pack, technician=name)
    for id_, text in told:
        opened.walk.ask()
        opened.walk.tell(id_, text)
    opened.walk.close()
    return opened


class Kept(Replay):
    """Replays records of one pack that is at hand."""

    def __init__(self, pack: Pack) -> None:
        super().__init__(lambda _: "")
        self._only = pack

    def pack(self, hash_: str) -> Pack:
        """The pack, whatever its hash."""
        return self._only


def chain(recorded: Sequence[tuple[str, dict[str, Any]]]) -> list[Event]:
    """Kinds and data as the events of a record."""
    head, events = genesis("made"), []
    for seq, (kind, data) in enumerate(recorded, 1):
        events.append(make_event(head, seq, "2026-01-01T00:00:00.000Z", kind, data))
        head = events[-1].hash
    return events


def chained(walk: Walk) -> list[Event]:
    """The events of a walk as a record holds them."""
    return chain(walk.events())
