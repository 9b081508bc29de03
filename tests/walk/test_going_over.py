"""Started in the wrong pack: one job goes on in the other, with what was told. The house's own promises, no source."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from nextprobe import Walk, load_pack
from nextprobe.errors import NotAllowedError, SituationError
from nextprobe.job import replayed, resume_job, start_job
from nextprobe.pack.pack import Pack
from nextprobe.record.store import Store, open_store


@pytest.fixture(scope="module")
def picture() -> Pack:
    return load_pack("no-picture", "tansy-12")


@pytest.fixture(scope="module")
def reaction() -> Pack:
    return load_pack("no-reaction", "tansy-12")


@pytest.fixture
def store(tmp_path: Path) -> Store:
    return open_store(f"sqlite:///{tmp_path / 'store.db'}")


def silent_id(pack: Pack) -> str:
    return next(m.id for m in pack.measurements.values() if "silent" in m.outcomes and m.outcomes["silent"].see_also)


def test_both_packs_point_to_each_other(picture: Pack, reaction: Pack) -> None:
    def pointed(pack: Pack) -> set[str]:
        return {o.see_also for m in pack.measurements.values() for o in m.outcomes.values() if o.see_also}

    assert pointed(picture) == {"no-reaction"}
    assert pointed(reaction) == {"no-picture"}


def test_what_was_told_counts_in_the_other_pack_and_costs_nothing_again(picture: Pack, reaction: Pack) -> None:
    walk = Walk(picture, lacks=["usb_meter"] if "usb_meter" in picture.instruments else [])
    walk.tell("outside_look", "liquid_dry")
    walk.tell(silent_id(picture), "silent")
    walk.tell("recent_drop", "reported")
    minutes, path = walk.minutes, walk.path
    assert "type `over`" in " ".join(walk.ask().notices)

    came = walk.go_over(reaction)

    assert walk.pack.id == "no-reaction"
    assert came.title == reaction.title
    assert reaction.measurements["outside_look"].title in came.taken
    assert picture.measurements[silent_id(picture)].title in came.left
    assert (walk.minutes, walk.path) == (minutes, path)
    fresh = Walk(reaction)
    fresh.tell("outside_look", "liquid_dry")
    fresh.tell("recent_drop", "reported")
    assert walk.belief() == pytest.approx(fresh.belief(), abs=1e-12)
    assert walk.bench == {**fresh.bench, "supply": "powered"}
    assert walk.ask().id not in ("outside_look", "recent_drop")


def test_the_way_back_finds_all_that_was_told_before(picture: Pack, reaction: Pack) -> None:
    walk = Walk(picture)
    walk.tell("outside_look", "clean")
    walk.tell(silent_id(picture), "silent")
    belief = walk.belief()
    walk.go_over(reaction)
    walk.go_over(picture)
    assert walk.belief() == pytest.approx(belief, abs=1e-12)
    assert walk.see_also == "no-reaction"


def test_a_reading_from_before_a_repair_is_not_brought(picture: Pack, reaction: Pack) -> None:
    walk = Walk(picture)
    walk.tell("outside_look", "liquid_dry")
    walk.tell("full_drain" if "full_drain" in picture.repairs else next(iter(picture.repairs)), "still")
    came = walk.go_over(reaction)
    assert reaction.measurements["outside_look"].title not in came.taken


def test_going_over_can_be_undone_reading_by_reading_and_the_path_stays(picture: Pack, reaction: Pack) -> None:
    walk = Walk(picture)
    walk.tell("outside_look", "clean")
    walk.tell(silent_id(picture), "silent")
    walk.go_over(reaction)
    path = walk.path
    assert walk.undo() == "outside_look"
    assert walk.path == path
    assert walk.ask().id == "outside_look"
    with pytest.raises(NotAllowedError):
        walk.undo()


def test_one_job_holds_both_parts_and_goes_on_where_it_stopped(store: Store, picture: Pack) -> None:
    opened = start_job(store, picture)
    opened.walk.tell("outside_look", "clean")
    with pytest.raises(NotAllowedError, match="No reading points"):
        opened.go_over()
    opened.walk.tell(silent_id(picture), "silent")
    opened.walk.note("The owner is in a hurry.")
    opened.walk.remark("case_crack")
    came = opened.go_over()
    assert "goes on in the pack" in came.say
    opened.walk.tell(opened.walk.ask().id, opened.walk.ask().choices[0].id)

    again = resume_job(store, opened.job.id)
    assert len(store.jobs()) == 1
    assert (again.job.pack_id, again.walk.pack.id) == ("no-reaction", "no-reaction")
    assert again.walk.belief() == pytest.approx(opened.walk.belief(), abs=1e-12)
    assert again.walk.path == opened.walk.path
    assert again.walk.minutes == opened.walk.minutes
    assert again.walk.remarks == ("case_crack",)
    assert again.walk.ask() == opened.walk.ask()
    assert store.verify(opened.job.id) == []


def test_killed_before_the_job_knows_its_pack_it_still_goes_on_in_it(
    store: Store, picture: Pack, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened = start_job(store, picture)
    opened.walk.tell("outside_look", "clean")
    opened.walk.tell(silent_id(picture), "silent")

    def killed(*_: Any) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(store, "set_pack", killed)
    with pytest.raises(KeyboardInterrupt):
        opened.go_over()
    job = store.job(opened.job.id)
    assert job.pack_id == "no-picture"
    assert replayed(store, job).pack.id == "no-reaction"


def test_what_does_not_fit_is_refused_and_nothing_is_recorded(store: Store, picture: Pack, reaction: Pack) -> None:
    opened = start_job(store, picture)
    events = store.job(opened.job.id).events
    with pytest.raises(NotAllowedError, match="already"):
        opened.walk.go_over(picture)
    with pytest.raises(SituationError, match="no symptom"):
        opened.walk.go_over(reaction, symptom="no_such")
    assert store.job(opened.job.id).events == events
    opened.walk.leave("closed")
    with pytest.raises(NotAllowedError, match="ended"):
        opened.walk.go_over(reaction)


def test_the_event_is_plain_data(picture: Pack, reaction: Pack) -> None:
    events: list[tuple[str, dict[str, Any]]] = []
    walk = Walk(picture, sink=lambda kind, data: events.append((kind, data)))
    walk.tell("outside_look", "clean")
    walk.tell(silent_id(picture), "silent")
    walk.go_over(reaction)
    copied = [(kind, data) for kind, data in json.loads(json.dumps(events))]
    assert Walk.replay(reaction, copied).ask() == walk.ask()
