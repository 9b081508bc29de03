"""A rehearsal as a job: recorded, sealed until its end, taken up again, judged. Common practice, no source."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import pytest

from nextprobe import load_pack
from nextprobe.cli.job_path import in_words
from nextprobe.errors import NotAllowedError, SituationError, UnreadableError
from nextprobe.interchange.ords import ords_rows
from nextprobe.pack.pack import Pack
from nextprobe.record.store import Store, open_store
from nextprobe.rehearse.lesson import Goal
from nextprobe.rehearse.make import Hidden
from nextprobe.rehearse.rehearsal import Rehearsal, Setting, resume_rehearsal, start_rehearsal
from nextprobe.rehearse.result import by_trainee, next_seed, result_of, results
from nextprobe.rehearse.sealed import seal, unseal
from nextprobe.resources import lessons_dir

BURNT = Hidden(9, ("bulb_burnt",), slips=0.0)


@pytest.fixture
def store(tmp_path: Path) -> Iterator[Store]:
    with open_store(f"sqlite:///{tmp_path / 'jobs.db'}") as opened:
        yield opened


@pytest.fixture(scope="module")
def pack() -> Pack:
    return load_pack(lessons_dir() / "torch")


def to_the_end(rehearsal: Rehearsal, most: int = 99) -> Rehearsal:
    for _ in range(most):
        ask = rehearsal.walk.ask()
        if ask.kind == "done":
            break
        rehearsal.tell(ask.id, rehearsal.reading(ask))
    return rehearsal


def test_what_is_hidden_is_not_said_before_the_end(store: Store, pack: Pack) -> None:
    rehearsal = start_rehearsal(store, pack, Setting(BURNT, lesson="first-steps", title="First steps"))
    events = store.events(rehearsal.opened.job.id)
    assert [event.kind for event in events] == ["started", "rehearsal"]
    assert "bulb" not in json.dumps([event.data for event in events])
    assert in_words(events[1]) == "A rehearsal on a simulated machine: First steps, seed 9"
    to_the_end(rehearsal).finish()
    last = store.events(rehearsal.opened.job.id)[-1]
    assert last.kind == "revealed"
    assert last.data["causes"] == ["bulb_burnt"]
    assert in_words(last) == "What it was: Bulb burnt out"
    assert store.verify(rehearsal.opened.job.id) == []


def test_it_is_judged_beside_the_engine_on_the_same_machine(store: Store, pack: Pack) -> None:
    result = to_the_end(start_rehearsal(store, pack, Setting(BURNT))).finish()
    assert (result.ending, result.named, result.cured) == ("repaired", "bulb_burnt", True)
    assert result.causes == ("bulb_burnt",)
    # Every step was the engine's, so it cost what the engine costs.
    assert result.minutes == result.engine_minutes
    assert (result.passed, result.marks, result.hints) == (True, 10, 0)


def test_a_hint_is_recorded_and_costs_a_mark(store: Store, pack: Pack) -> None:
    rehearsal = start_rehearsal(store, pack, Setting(BURNT, "free", hints=1))
    assert rehearsal.hint().id == rehearsal.walk.ask().id
    with pytest.raises(NotAllowedError, match="no hint left"):
        rehearsal.hint()
    result = to_the_end(rehearsal).finish()
    assert (result.hints, result.marks) == (1, 9)


def test_it_goes_on_with_the_same_machine(store: Store, pack: Pack) -> None:
    whole = to_the_end(start_rehearsal(store, pack, Setting(Hidden(5, slips=0.4))))
    begun = to_the_end(start_rehearsal(store, pack, Setting(Hidden(5, slips=0.4), "free", hints=3)), 2)
    begun.hint()
    resumed = resume_rehearsal(store, begun.opened.job.id)
    assert (resumed.setting.mode, resumed.hints, resumed.machine.fault) == ("free", 1, begun.machine.fault)
    to_the_end(resumed)
    assert [(s.ask, s.told) for s in resumed.walk.path] == [(s.ask, s.told) for s in whole.walk.path]


def test_a_repair_taken_back_stays_done_on_the_machine(store: Store, pack: Pack) -> None:
    rehearsal = start_rehearsal(store, pack, Setting(BURNT))
    rehearsal.tell("renew_bulb", "done")
    rehearsal.walk.undo()
    resumed = resume_rehearsal(store, rehearsal.opened.job.id)
    assert not resumed.machine.shows


def test_who_tells_that_it_is_gone_while_it_is_not_has_not_passed(store: Store, pack: Pack) -> None:
    rehearsal = start_rehearsal(store, pack, Setting(BURNT))
    rehearsal.tell("renew_cells", "done")
    rehearsal.tell("seen", "gone")
    result = rehearsal.finish()
    assert (result.ending, result.cured, result.passed, result.marks) == ("repaired", False, False, 0)


@pytest.mark.parametrize(
    ("goal", "passed"),
    [(Goal("repaired", 60.0), True), (Goal("repaired", 0.5), False), (Goal("referred"), False), (Goal(), True)],
)
def test_the_goal_decides(store: Store, pack: Pack, goal: Goal, passed: bool) -> None:
    assert to_the_end(start_rehearsal(store, pack, Setting(BURNT, goal=goal))).finish().passed is passed


def test_quoting_at_once_is_no_way_to_pass_where_the_engine_repairs(store: Store, pack: Pack) -> None:
    rehearsal = start_rehearsal(store, pack, Setting(BURNT))
    rehearsal.tell("refer", "done")
    assert rehearsal.finish().passed is False


def test_an_end_that_was_never_revealed_has_its_result_all_the_same(store: Store, pack: Pack) -> None:
    rehearsal = to_the_end(start_rehearsal(store, pack, Setting(BURNT)))
    with pytest.raises(NotAllowedError, match="has not ended"):
        start_rehearsal(store, pack, Setting(BURNT)).finish()
    rehearsal.walk.close()
    result = result_of(store.events(rehearsal.opened.job.id))
    assert (result.causes, result.cured, result.engine_minutes) == (("bulb_burnt",), None, None)


def test_finishing_twice_records_once(store: Store, pack: Pack) -> None:
    rehearsal = to_the_end(start_rehearsal(store, pack, Setting(BURNT)))
    assert rehearsal.finish() == rehearsal.finish()
    assert [event.kind for event in store.events(rehearsal.opened.job.id)].count("revealed") == 1


def test_results_by_trainee(store: Store, pack: Pack) -> None:
    for who in ("Bo", "Ada", "Ada"):
        to_the_end(start_rehearsal(store, pack, Setting(BURNT, lesson="first-steps"), technician=who)).finish()
    start_rehearsal(store, pack, Setting(BURNT), technician="Bo")
    kept = by_trainee(results(store))
    assert {who: [one.result is not None for one in of] for who, of in kept.items()} == {
        "Ada": [True, True],
        "Bo": [True, False],
    }
    assert len(results(store, "ada")) == 2
    assert next_seed(results(store, "Ada"), "first-steps", (7, 8, 9)) == 9
    assert next_seed(results(store, "Bo"), "first-steps", (7, 8, 9)) == 8


def test_nothing_is_recorded_where_the_pack_has_no_such_machine(store: Store, pack: Pack) -> None:
    with pytest.raises(SituationError):
        start_rehearsal(store, pack, Setting(Hidden(1, ("rust",))))
    assert store.jobs() == []


def test_another_job_is_no_rehearsal(store: Store, pack: Pack) -> None:
    from nextprobe.job import start_job

    with pytest.raises(NotAllowedError, match="is no rehearsal"):
        resume_rehearsal(store, start_job(store, pack).job.id)


def test_a_seal_opens_and_a_broken_one_is_said() -> None:
    assert unseal(seal({"a": ["b"]})) == {"a": ["b"]}
    with pytest.raises(UnreadableError, match="cannot be read"):
        unseal("###")


def test_a_rehearsal_is_no_open_repair_data(store: Store, pack: Pack) -> None:
    to_the_end(start_rehearsal(store, pack, Setting(BURNT))).finish()
    assert ords_rows(store, store.jobs()) == []


def test_a_rehearsal_goes_to_another_machine_and_stays_one(store: Store, pack: Pack) -> None:
    rehearsal = to_the_end(start_rehearsal(store, pack, Setting(BURNT)))
    result = rehearsal.finish()
    job = store.job(rehearsal.opened.job.id)
    with open_store("sqlite:///:memory:") as other:
        other.import_job(job, store.events(job.id), {job.pack_hash: store.pack_text(job.pack_hash)})
        assert [one.result for one in results(other)] == [result]
