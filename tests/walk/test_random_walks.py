"""Walks over random small packs under random answers: what must hold at every step, and that they end.

Source: the pack format's section on what it means; the watcher shares no code with the walk.
"""

from __future__ import annotations

import numpy as np
import pytest

from nextprobe import Walk
from tests.walk.drive import FIGURES, answer, start
from tests.walk.watch import Watch

ENDINGS = {"repaired", "referred", "handed_over", "stopped", "unknown", "left"}


def bound(walk: Walk) -> int:
    """No walk may be longer: each option, fact and measurement once, each repair once with its whole proof."""
    pack = walk.pack
    proof = 2 + len(pack.closing) + max((len(repair.prove) for repair in pack.repairs.values()), default=0)
    return len(pack.options) + len(pack.history) + len(pack.measurements) + len(pack.repairs) * proof + 1


def watched(seed: int) -> tuple[str, Watch]:
    walk, data, rng = start(seed)
    watch = Watch(data, walk)
    for _ in range(bound(walk)):
        ask = walk.ask()
        if ask.kind == "done":
            break
        faults = watch.faults(ask)
        assert faults == [], (seed, watch.asked)
        text = answer(rng, ask)
        spent = (walk.minutes, walk.wait, walk.money)
        if text is None:
            walk.skip(ask.id, "for a reason")
            watch.note(ask, None)
            assert (walk.minutes, walk.wait, walk.money) == spent
        else:
            watch.note(ask, walk.tell(ask.id, text))
            more = (ask.minutes, ask.wait, ask.money)
            assert (walk.minutes, walk.wait, walk.money) == pytest.approx(
                [a + b for a, b in zip(spent, more, strict=True)]
            )
    ending = walk.ending
    assert ending is not None, (seed, watch.asked)
    assert ending.what in ENDINGS
    assert watch.wrong_ending(ending) == [], (seed, watch.asked)
    return ending.what, watch


@pytest.mark.parametrize("block", range(10))
def test_every_ask_is_allowed_and_every_walk_ends(block: int) -> None:
    for seed in range(block * 20, block * 20 + 20):
        watched(seed)


def test_the_walks_reach_every_ending_and_every_kind_of_trouble() -> None:
    runs = [watched(seed) for seed in range(160)]
    assert {what for what, _ in runs} >= {"repaired", "referred", "handed_over", "stopped", "unknown"}
    assert any(watch.skipped for _, watch in runs)
    assert any(watch.bars for _, watch in runs)
    assert any(watch.told.get("load_run") == "failed" for _, watch in runs)


@pytest.mark.soak
def test_many_more_walks() -> None:
    for seed in range(10_000, 12_000):
        watched(seed)


@pytest.mark.parametrize("seed", range(40))
def test_asking_changes_nothing_and_what_is_offered_is_taken(seed: int) -> None:
    walk, _, rng = start(seed)
    while True:
        before = (walk.belief(), walk.bench, walk.minutes, walk.money, walk.path, walk.options)
        ask = walk.ask()
        offered = [choice.id for choice in ask.choices] + [choice.say for choice in ask.choices]
        for text in (*offered, *(FIGURES[ask.quantity] if ask.quantity else ())):
            taken = walk.take(ask.id, text)
            assert taken.id == ask.id
            assert sum(taken.outcomes.values()) == pytest.approx(1.0, abs=1e-9)
        assert walk.ask() == ask
        assert (walk.belief(), walk.bench, walk.minutes, walk.money, walk.path, walk.options) == before
        if ask.kind == "done":
            break
        assert ask.choices, ask.id
        text_or_skip = answer(rng, ask)
        if text_or_skip is None:
            walk.skip(ask.id)
        else:
            walk.tell(ask.id, text_or_skip)


@pytest.mark.parametrize("seed", range(40))
def test_undo_and_the_same_again_is_identity(seed: int) -> None:
    walk, _, rng = start(seed)
    while (ask := walk.ask()).kind != "done":
        text = answer(rng, ask)
        if text is None:
            walk.skip(ask.id, "for a reason")
        else:
            walk.tell(ask.id, text)
        belief, bench, minutes, money, wait = walk.belief(), walk.bench, walk.minutes, walk.money, walk.wait
        path = [(one.ask, one.told) for one in walk.path]
        following = walk.ask()
        assert walk.undo() == ask.id
        assert walk.bench == bench  # what was done stays done
        if text is None:
            walk.skip(ask.id, "for a reason")
        else:
            walk.tell(ask.id, text)
        assert walk.belief() == pytest.approx(belief, abs=1e-12)
        assert walk.bench == bench
        assert walk.minutes == pytest.approx(minutes, abs=1e-9)
        assert (walk.money, walk.wait) == pytest.approx((money, wait))
        assert [(one.ask, one.told) for one in walk.path] == path
        assert (walk.ask().kind, walk.ask().id) == (following.kind, following.id)


@pytest.mark.parametrize("seed", range(20))
def test_taking_back_everything_leads_back_to_the_first_belief(seed: int) -> None:
    walk, _, rng = start(seed)
    first = walk.belief()
    answers = 0
    while (ask := walk.ask()).kind != "done":
        text = answer(np.random.default_rng([seed, answers]), ask)
        answers += 1
        if text is None:
            walk.skip(ask.id)
        else:
            walk.tell(ask.id, text)
    for _ in range(answers):
        walk.undo()
    assert walk.belief() == pytest.approx(first, abs=1e-12)
    assert walk.path == ()
    assert rng is not None
