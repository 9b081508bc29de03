"""Whoever takes a job up finds the step that stood there, though it was planned ahead. The house's own promise."""

from __future__ import annotations

from pathlib import Path

import pytest

from nextprobe import load_pack
from nextprobe.job import resume_job, start_job
from nextprobe.record.store import open_store
from nextprobe.walk import Walk
from nextprobe.walk.decide import Decider, Decision


def others(walk: Walk) -> list[str]:
    """Steps that might be next, without the one that is."""
    return [one.id for one in walk.ask().ranking if one.kind == "measure" and one.id != walk.ask().id]


def ahead(walk: Walk, id_: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """As if a deeper plan, made ahead, had said that `id_` is next."""
    decided = Decider._decided
    walk._ask = None

    def deeper(self: Decider, *args: object) -> Decision:
        decision = decided(self, *args)  # type: ignore[arg-type]
        found = Decision("measure", id_, decision.ranking, expected=decision.expected)
        self.ahead = found
        return found

    monkeypatch.setattr(Decider, "_decided", deeper)
    assert walk.ask().id == id_
    monkeypatch.undo()


def test_the_same_step_stands_when_the_job_is_taken_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    pack = load_pack("dynamo-light")
    with open_store(f"sqlite:///{tmp_path / 'jobs.db'}") as store:
        opened = start_job(store, pack)
        walk = opened.walk
        while not others(walk):
            ask = walk.ask()
            walk.tell(ask.id, ask.choices[0].id)
        other = others(walk)[0]
        ahead(walk, other, monkeypatch)
        walk.note("Killed here.")
        assert [event.kind for event in store.events(opened.job.id)][-2:] == ["planned", "noted"]
        opened.let_go()
        again = resume_job(store, opened.job.id)
        assert again.walk.ask().id == other
        # Once it is answered it is planned as ever, and so it is once that is taken back.
        again.walk.skip(other, "no time")
        assert again.walk.ask().id != other
        again.walk.undo()
        assert again.walk.ask().id == Walk.replay(pack, again.walk.events()).ask().id
        assert store.verify(opened.job.id) == []


def test_a_step_that_the_quick_plan_does_not_even_price_stands_too() -> None:
    walk = Walk(load_pack("no-picture", "tansy-12"))
    while not walk.ask().ranking:
        walk.tell(walk.ask().id, walk.ask().choices[0].id)
    priced = {one.id for one in walk.ask().ranking}
    told = {step.ask for step in walk.path}
    other = next(id_ for id_ in ("panel_glow", "lock_key", "lid_travel") if id_ not in priced | told)
    walk.replay_on("planned", {"ask": other, "kind": "measure"})
    assert walk.ask().id == other
    walk.replay_on("planned", {"ask": "refer", "kind": "refer"})
    assert walk.ask().kind == "refer"


def test_a_step_that_is_not_open_any_more_is_planned_anew() -> None:
    walk = Walk(load_pack("dynamo-light"))
    usual = walk.ask().id
    walk.replay_on("planned", {"ask": "no_such_step", "kind": "measure"})
    assert walk.ask().id == usual
