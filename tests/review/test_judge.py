"""The judge on records as they come: what the record says was asked, and jobs in which anything may happen."""

from __future__ import annotations

from math import isfinite
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from nextprobe import Walk
from nextprobe.errors import NextprobeError, UnreadableError
from nextprobe.pack.pack import Pack
from nextprobe.record import Event
from nextprobe.review.judge import Judge
from tests.review.made import HAND, Kept, chain, chained, written
from tests.walk.drive import start, step


def judged(pack: Pack, events: list[Event]) -> Judge:
    judge = Judge(Kept(pack))
    for event in events:
        judge.take(event)
    judge.deepen()
    return judge


def test_what_the_record_says_was_asked_is_believed(tmp_path: Path) -> None:
    """At the bench a deeper plan may have asked for it: who did as asked lost nothing by choice."""
    pack = written(tmp_path, HAND)
    walk = Walk(pack)
    walk.tell("coin", "heads")
    events = [(kind, dict(data)) for kind, data in walk.events()]
    assert "asked" not in events[1][1]
    assert judged(pack, chain(events)).steps[0].regret == pytest.approx(2.0)
    events[1][1]["asked"] = "coin"
    assert judged(pack, chain(events)).steps[0].verdict == "paid"


def test_a_walk_keeps_what_was_asked(tmp_path: Path) -> None:
    walk = Walk(written(tmp_path, HAND))
    asked = walk.ask().id
    walk.tell("coin", "heads")
    assert walk.events()[1][1]["asked"] == asked == "which"


def test_a_record_without_a_start_is_refused(tmp_path: Path) -> None:
    pack = written(tmp_path, HAND)
    walk = Walk(pack)
    walk.tell("coin", "heads")
    with pytest.raises(UnreadableError):
        Judge(Kept(pack)).take(chained(walk)[1])


@pytest.mark.parametrize("seed", range(8))
def test_whatever_was_done_every_step_is_there_and_every_figure_a_number(seed: int) -> None:
    """Random packs; steps asked, steps not asked, skips, undo, another bench: nothing of it breaks a review."""
    recorded: list[tuple[str, dict[str, Any]]] = []
    walk, _, rng = start(seed, lambda kind, data: recorded.append((kind, data)))
    for _ in range(20):
        try:
            if walk.ask().kind == "done":
                break
            _anything(walk, rng)
        except NextprobeError:
            continue
    events = chain(recorded)
    steps = judged(walk.pack, events).steps
    assert len(steps) == sum(event.kind in ("told", "skipped") for event in events)
    for one in steps:
        assert one.regret >= 0.0
        assert one.doubt >= 0.0
        assert all(map(isfinite, (one.difference, one.doubt, one.expected, one.turned or 0.0)))
    assert sum(one.taken_back for one in steps) == sum(event.kind == "undone" for event in events)


def _anything(walk: Walk, rng: np.random.Generator) -> None:
    pack, what = walk.pack, rng.random()
    if what < 0.4:
        step(walk, rng)
    elif what < 0.5:
        walk.undo()
    elif what < 0.6:
        walk.set_bench({"cover": "removed"})
    elif what < 0.7:
        walk.skip(str(rng.choice([*pack.measurements, *pack.repairs])), "for a reason")
    elif what < 0.85:
        id_ = str(rng.choice([key for key, one in pack.measurements.items() if not one.is_check]))
        walk.tell(id_, str(rng.choice(list(pack.measurements[id_].outcomes))), took=0.5)
    else:
        walk.tell(str(rng.choice(list(pack.repairs))), str(rng.choice(["done", "given_up", "still"])))
