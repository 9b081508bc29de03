"""What is said of a record that was tampered with: which event was altered, removed, added or moved.

Each case is made by hand from a sound chain; that its event is named is the project's own rule, no outside source.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

import pytest

from nextprobe.record.events import Event, genesis, make_event, verify_chain

JOB = "2026-03-09-dk4t"


def record(count: int = 8) -> list[Event]:
    events: list[Event] = []
    for seq in range(1, count + 1):
        previous = events[-1].hash if events else genesis(JOB)
        events.append(make_event(previous, seq, f"2026-03-09T10:00:{seq:02}.000Z", "told", {"ask": f"a{seq}"}))
    return events


def renumbered(events: Sequence[Event]) -> list[Event]:
    return [replace(event, seq=seq) for seq, event in enumerate(events, 1)]


def forged(previous: str, seq: int) -> Event:
    return make_event(previous, seq, "2026-03-09T11:00:00.000Z", "told", {"ask": "forged"})


def altered(events: list[Event], *seqs: int) -> list[Event]:
    return [replace(event, data={"ask": "other"}) if event.seq in seqs else event for event in events]


CASES: list[tuple[str, Callable[[list[Event]], list[Event]], list[str]]] = [
    (
        "only a hash",
        lambda e: [*e[:2], replace(e[2], hash="0" * 64), *e[3:]],
        ["Event 3 was altered: its hash is another one."],
    ),
    ("three in a row", lambda e: altered(e, 3, 4, 5), ["Events 3 to 5 were altered."]),
    (
        "three in a row and one more",
        lambda e: altered(e, 2, 3, 6),
        ["Events 2 to 3 were altered.", "Event 6 was altered (or event 5 together with its hash)."],
    ),
    (
        "one put in with a hash that fits",
        lambda e: renumbered([*e[:3], forged(e[2].hash, 4), *e[3:]]),
        ["Event 4 was added: what was recorded as event 4 now stands behind."],
    ),
    (
        "two put in that fit one another",
        lambda e: renumbered([*e[:3], (one := forged(e[2].hash, 4)), forged(one.hash, 5), *e[3:]]),
        ["Events 4 to 5 were added: what was recorded as event 4 now stands behind."],
    ),
    (
        "two put in with any hash",
        lambda e: renumbered([*e[:3], forged("0" * 64, 4), forged("1" * 64, 5), *e[3:]]),
        ["Events 4 to 5 were added: what was recorded as event 4 now stands behind."],
    ),
    (
        "one put to the front",
        lambda e: renumbered([*e[:3], e[6], *e[3:6], e[7]]),
        ["Event 4 was moved: it was recorded as event 7."],
    ),
    (
        "one put back",
        lambda e: renumbered([*e[:2], *e[3:6], e[2], *e[6:]]),
        ["Event 3 was moved: what was recorded as event 3 stands as event 6."],
    ),
    (
        "what two events say, but not their hashes, exchanged",
        lambda e: [
            *e[:3],
            replace(e[3], at=e[4].at, data=e[4].data),
            replace(e[4], at=e[3].at, data=e[3].data),
            *e[5:],
        ],
        ["Event 4 was moved: what was recorded as event 4 stands as event 5."],
    ),
]


@pytest.mark.parametrize(("change", "said"), [case[1:] for case in CASES], ids=[case[0] for case in CASES])
def test_what_was_done_is_named(change: Callable[[list[Event]], list[Event]], said: list[str]) -> None:
    assert verify_chain(JOB, record()) == []
    assert verify_chain(JOB, change(record())) == said


def test_no_tampering_goes_unseen() -> None:
    sound = record()
    for one in range(8):
        for other in range(8):
            if one != other:
                events = list(sound)
                events.insert(other, events.pop(one))
                assert verify_chain(JOB, events)
                assert verify_chain(JOB, renumbered(events))
