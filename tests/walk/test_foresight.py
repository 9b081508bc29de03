"""Thinking ahead beside a walk: ready when it is told, never in its way. The house's own promises, no source."""

from __future__ import annotations

import threading

import pytest

from nextprobe import Walk, load_pack
from nextprobe.pack.pack import Pack


@pytest.fixture(scope="module")
def pack() -> Pack:
    return load_pack("no-picture", "tansy-12")


def at_a_planned_step(pack: Pack) -> Walk:
    walk = Walk(pack)
    while not walk.ask().leads:
        walk.tell(walk.ask().id, walk.ask().choices[0].id)
    return walk


def planned_anew(*_: object) -> None:
    raise AssertionError("planned anew")


def never() -> bool:
    return False


def test_every_answer_is_ready_and_is_what_would_have_been_asked(pack: Pack, monkeypatch: pytest.MonkeyPatch) -> None:
    outcomes = [choice.id for choice in at_a_planned_step(pack).ask().choices]
    for outcome in outcomes:
        walk, other = at_a_planned_step(pack), at_a_planned_step(pack)
        ask = walk.ask()
        assert walk.foresight().run(never, seconds=0.0) == 1
        monkeypatch.setattr(walk.decider, "_decided", planned_anew)
        for one in (walk, other):
            one.tell(ask.id, outcome)
        assert walk.ask() == other.ask()


def test_thinking_longer_is_followed_and_never_worse(pack: Pack) -> None:
    walk, other = at_a_planned_step(pack), at_a_planned_step(pack)
    ask = walk.ask()
    assert walk.foresight().run(never, seconds=3.0) >= 2
    for one in (walk, other):
        one.tell(ask.id, ask.leads[0].outcome)
    assert walk.ask().expected < other.ask().expected


def test_the_walk_is_told_and_asked_while_it_thinks(pack: Pack) -> None:
    walk, other = at_a_planned_step(pack), at_a_planned_step(pack)
    over = threading.Event()
    threads = []
    for _ in range(6):
        thread = threading.Thread(target=walk.foresight().run, args=(over.is_set, 20.0))
        thread.start()
        threads.append(thread)
        ask = walk.ask()
        if ask.kind == "done":
            break
        answer = ask.choices[0].id
        over.set()
        for one in (walk, other):
            one.tell(ask.id, answer)
        over = threading.Event()
        assert walk.ask().kind in ("measure", "history", "option", "check", "repair", "refer")
        assert walk.belief() == pytest.approx(other.belief(), abs=1e-12)
        assert walk.path == other.path
    over.set()
    for thread in threads:
        thread.join(30)
        assert not thread.is_alive()


def test_nothing_is_recorded_or_told_by_it(pack: Pack) -> None:
    events: list[str] = []
    walk = Walk(pack, sink=lambda kind, data: events.append(kind))
    path, bench = walk.path, walk.bench
    walk.foresight().run(never, seconds=0.0)
    assert events == ["started"]
    assert (walk.path, walk.bench) == (path, bench)


def test_it_ends_at_once_where_it_is_over_already(pack: Pack) -> None:
    assert Walk(pack).foresight().run(lambda: True) == 0


def test_an_ended_walk_needs_none(pack: Pack) -> None:
    walk = Walk(pack)
    walk.leave("closed")
    assert walk.foresight().run(never, seconds=0.0) == 1


def test_after_a_failed_repair_two_faults_are_foreseen_too(pack: Pack) -> None:
    walk = at_a_planned_step(pack)
    walk.foresight().run(never, seconds=2.5)
    walk.tell(next(iter(pack.repairs)), "still")
    ask = walk.ask()
    assert walk.foresight().run(never, seconds=2.5) >= 2
    walk.tell(ask.id, ask.choices[0].id)
    assert walk.ask().kind != "done"
