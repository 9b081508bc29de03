"""What is shown of a step before anything is weighed is what the walk then asks. The house's own promise."""

from __future__ import annotations

from pathlib import Path

from nextprobe import Walk, load_pack
from nextprobe.job import resume_job, start_job
from nextprobe.record.store import open_store
from tests.walk.drive import answer, start


def test_a_step_in_sight_is_the_step_that_is_asked() -> None:
    seen = {"first": 0, "planned": 0, "unknown": 0}
    for seed in range(16):
        walk, _, rng = start(seed)
        for _ in range(40):
            sight = walk.at_sight()
            ask = walk.ask()
            made = walk.decider.made
            if ask.kind == "done":
                assert sight is None
                break
            if made is not None:
                # Only the record can say what the plan chose.
                assert sight is None
                again = Walk.replay(walk.pack, [*walk.events(), ("planned", {"ask": made.id, "kind": made.kind})])
                sight = again.at_sight()
                assert again.ask().at_sight == ask.at_sight
            assert sight is None or sight == ask.at_sight
            seen["unknown" if sight is None else "first" if made is None else "planned"] += 1
            told = answer(rng, ask)
            if told is None:
                walk.skip(ask.id)
            else:
                walk.tell(ask.id, told)
    # Hidden is what the belief decides: an option that only some causes of a repair or a quote depend on.
    assert min(seen["first"], seen["planned"]) > seen["unknown"] > 0, seen


def test_a_job_that_is_taken_up_has_its_step_in_sight(tmp_path: Path) -> None:
    with open_store(f"sqlite:///{tmp_path / 'jobs.db'}") as store:
        opened = start_job(store, load_pack("no-picture", "tansy-12"))
        walk = opened.walk
        while not walk.ask().ranking:
            walk.tell(walk.ask().id, walk.ask().choices[0].id)
        stood = walk.ask()
        opened.let_go()
        opened.let_go()  # left once more: it is recorded once
        assert [event.kind for event in store.events(opened.job.id)].count("planned") == 1
        again = resume_job(store, opened.job.id).walk
        assert again.at_sight() == stood.at_sight
        assert again.ask().at_sight == stood.at_sight
        assert store.verify(opened.job.id) == []


def test_a_step_that_is_not_known_or_not_open_is_not_in_sight() -> None:
    walk = Walk(load_pack("no-picture", "tansy-12"))
    while not walk.ask().ranking:
        walk.tell(walk.ask().id, walk.ask().choices[0].id)
    assert walk.at_sight() is None
    for id_ in ("no_such_step", walk.path[0].ask):
        walk.replay_on("planned", {"ask": id_, "kind": "measure"})
        assert walk.at_sight() is None
