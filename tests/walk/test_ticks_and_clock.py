"""Steps ticked off and the clock beside a step. No outside source: the house's own promises."""

from __future__ import annotations

import json
from typing import Any

import pytest

from nextprobe import Walk, load_pack
from nextprobe.errors import NotAllowedError, UnreadableError
from nextprobe.pack.pack import Pack
from nextprobe.walk.clock import StepClock, typed_minutes
from nextprobe.walk.open_steps import OpenSteps
from nextprobe.walk.show import repair_ask


@pytest.fixture(scope="module")
def pack() -> Pack:
    return load_pack("no-picture", "tansy-12")


@pytest.fixture(scope="module")
def repair(pack: Pack) -> str:
    return next(id_ for id_, one in pack.repairs.items() if len(one.steps) > 2)


def ticked(walk: Walk, repair: str) -> frozenset[int]:
    steps = OpenSteps(walk.pack, walk.situation, walk._state)
    return repair_ask(steps, walk.decider.graph(steps), walk.pack.repairs[repair]).ticked


def test_ticks_are_recorded_shown_and_taken_back(pack: Pack, repair: str) -> None:
    events: list[tuple[str, dict[str, Any]]] = []
    walk = Walk(pack, sink=lambda kind, data: events.append((kind, data)))
    assert walk.tick(repair, 1) == pack.repairs[repair].steps[0]
    walk.tick(repair, 3)
    assert ticked(walk, repair) == {1, 3}
    walk.tick(repair, 3, done=False)
    assert ticked(walk, repair) == {1}
    replayed = Walk.replay(pack, [(kind, data) for kind, data in json.loads(json.dumps(events))])
    assert ticked(replayed, repair) == {1}


def test_a_repair_that_was_told_begins_anew_and_undo_brings_its_ticks_back(pack: Pack, repair: str) -> None:
    walk = Walk(pack)
    walk.tick(repair, 1)
    walk.tell(repair, "still")
    assert ticked(walk, repair) == frozenset()
    walk.undo()
    assert ticked(walk, repair) == {1}


@pytest.mark.parametrize("step", [0, -1, 99])
def test_a_step_that_is_not_there_is_refused(pack: Pack, repair: str, step: int) -> None:
    with pytest.raises(NotAllowedError, match=f"no step {step}"):
        Walk(pack).tick(repair, step)


def test_only_repairs_have_steps(pack: Pack) -> None:
    with pytest.raises(NotAllowedError, match="no step 1"):
        Walk(pack).tick("outside_look", 1)


def test_what_it_took_stands_beside_what_the_pack_says(pack: Pack) -> None:
    walk = Walk(pack)
    walk.tell("outside_look", "clean", took=7.254)
    (step,) = walk.path
    assert step.took == 7.25
    assert step.minutes == pytest.approx(pack.measurements["outside_look"].minutes + 0.5)
    assert walk.minutes == step.minutes
    walk.tell("outside_look", "clean", took=float("nan"))
    assert walk.path[-1].took is None


def test_the_clock_runs_and_is_put_right() -> None:
    now = [100.0]
    clock = StepClock(lambda: now[0])
    now[0] += 90.0
    assert clock.minutes == pytest.approx(1.5)
    clock.correct(7.0)
    now[0] += 60.0
    assert clock.minutes == pytest.approx(8.0)
    clock.begin()
    assert clock.minutes == 0.0


@pytest.mark.parametrize(
    ("typed", "minutes"), [("7", 7), ("7,5", 7.5), (" 7.5 min", 7.5), ("12 minutes", 12), ("0", 0)]
)
def test_minutes_may_be_typed_as_they_are_said(typed: str, minutes: float) -> None:
    assert typed_minutes(typed) == minutes


@pytest.mark.parametrize("typed", ["", "seven", "-1", "1e9", "nan", "inf", "7 h 5"])
def test_what_is_no_number_of_minutes_is_said(typed: str) -> None:
    with pytest.raises(UnreadableError, match="no number of minutes"):
        typed_minutes(typed)
