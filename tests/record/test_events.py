"""The chain: every change to a record is found and named. SHA-256 per FIPS 180-4; the rest is the project's own."""

import math
from dataclasses import replace
from hashlib import sha256
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from nextprobe.errors import StoreError
from nextprobe.record.events import Event, canonical, genesis, make_event, verify_chain

JOB = "2026-03-09-dk4t"


def record(count: int = 6) -> list[Event]:
    events: list[Event] = []
    for seq in range(1, count + 1):
        previous = events[-1].hash if events else genesis(JOB)
        at = f"2026-03-09T10:00:{seq:02}.000Z"
        events.append(make_event(previous, seq, at, "told", {"ask": f"a{seq}", "told": "normal"}))
    return events


def altered(seq: int) -> str:
    return f"Event {seq} was altered{f' (or event {seq - 1} together with its hash)' * (seq > 1)}."


def test_one_spelling_only() -> None:
    assert canonical({"b": 1, "a": ["Ω", 0.5, None, True]}) == '{"a":["Ω",0.5,null,true],"b":1}'


def test_a_hash_can_be_recomputed_by_anyone() -> None:
    first = record(1)[0]
    before = sha256(JOB.encode()).hexdigest()
    text = before + '[1,"2026-03-09T10:00:01.000Z","told",{"ask":"a1","told":"normal"}]'
    assert first.hash == sha256(text.encode()).hexdigest()


@pytest.mark.parametrize(
    "data", [{"x": math.nan}, {"x": math.inf}, {"x": object()}, {"x": "\ud800"}, {1: 1, "a": 2}, [1]]
)
def test_what_is_not_plain_data_is_refused(data: Any) -> None:
    with pytest.raises(StoreError, match="cannot be recorded") as refused:
        make_event("", 1, "", "told", data)
    assert refused.value.cure


def test_an_untouched_record_is_sound() -> None:
    assert verify_chain(JOB, record()) == []
    assert verify_chain(JOB, []) == []


@pytest.mark.parametrize("place", range(6))
@pytest.mark.parametrize("change", [{"kind": "skipped"}, {"at": "2026-03-09T11:00:00.000Z"}, {"data": {"told": "low"}}])
def test_an_altered_event_is_named(place: int, change: dict[str, Any]) -> None:
    events = record()
    events[place] = replace(events[place], **change)
    assert verify_chain(JOB, events) == [altered(place + 1)]


def test_an_altered_event_with_its_hash_made_anew_is_found_behind_it() -> None:
    events = record()
    events[2] = make_event(events[1].hash, 3, events[2].at, "told", {"told": "low"})
    (problem,) = verify_chain(JOB, events)
    assert problem == altered(4)
    assert "event 3 together with its hash" in problem


def test_another_jobs_events_do_not_fit() -> None:
    assert "vent 1 " in verify_chain("2026-03-09-dk4v", record())[0]


@pytest.mark.parametrize("place", range(5))
def test_a_removed_event_is_named(place: int) -> None:
    events = record()
    del events[place]
    assert verify_chain(JOB, events) == [f"Event {place + 1} was removed: event {place + 2} comes next."]


def test_several_removed_events_are_named() -> None:
    events = record()
    assert verify_chain(JOB, [events[0], *events[3:]]) == ["Events 2 to 3 were removed: event 4 comes next."]


@pytest.mark.parametrize("place", range(4))
def test_a_removed_event_with_the_rest_renumbered_is_named(place: int) -> None:
    events = record()
    del events[place]
    renumbered = [replace(event, seq=seq) for seq, event in enumerate(events, 1)]
    assert verify_chain(JOB, renumbered) == [f"Event {place + 1} was removed, and those behind it were renumbered."]


@pytest.mark.parametrize("place", range(6))
def test_an_added_event_is_named(place: int) -> None:
    events = record()
    forged = make_event("0" * 64, place + 1, events[0].at, "told", {"told": "high"})
    events.insert(place, forged)
    renumbered = [replace(event, seq=seq) for seq, event in enumerate(events, 1)]
    assert verify_chain(JOB, renumbered)[0].startswith(f"Event {place + 1} was added")


@pytest.mark.parametrize(("one", "other"), [(1, 2), (2, 4), (0, 5)])
def test_events_that_changed_places_are_named(one: int, other: int) -> None:
    events = record()
    events[one], events[other] = replace(events[other], seq=one + 1), replace(events[one], seq=other + 1)
    (problem,) = verify_chain(JOB, events)
    assert problem.startswith(f"Event {one + 1} was moved")
    assert problem.endswith(f"stands as event {other + 1}.")


def test_a_list_out_of_order_or_with_one_twice_is_named() -> None:
    events = record()
    assert verify_chain(JOB, [events[0], events[2], events[1], *events[3:]])[0] == (
        "Event 3 was moved: it stands before event 2."
    )
    assert verify_chain(JOB, [*events[:3], events[2], *events[3:]])[0] == (
        "Event 3 was added or moved: it stands behind event 3."
    )


plain_data = st.dictionaries(
    st.text(max_size=5),
    st.recursive(
        st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | st.text(),
        lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=3), inner, max_size=3),
        max_leaves=5,
    ),
    max_size=4,
)


@given(datas=st.lists(plain_data, min_size=1, max_size=5), pick=st.integers(0, 4), other=plain_data)
def test_any_data_makes_a_sound_record_and_any_change_of_it_is_found(
    datas: list[dict[str, Any]], pick: int, other: dict[str, Any]
) -> None:
    events: list[Event] = []
    for seq, data in enumerate(datas, 1):
        events.append(make_event(events[-1].hash if events else genesis(JOB), seq, "t", "told", data))
    assert verify_chain(JOB, events) == []
    place = pick % len(events)
    changed = replace(events[place], data=other)
    if canonical(other) != canonical(events[place].data):
        assert verify_chain(JOB, [*events[:place], changed, *events[place + 1 :]]) == [altered(place + 1)]
