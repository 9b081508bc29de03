"""Which jobs of a store are learnt from, and what of them; the others are counted with the reason."""

from __future__ import annotations

import sqlite3
from pathlib import Path

import pytest

from nextprobe.job import start_job
from nextprobe.learn.case import GoodReading
from nextprobe.learn.gather import BROKEN, OPEN, OTHER, REHEARSAL, gather
from nextprobe.learn.learn import learn
from nextprobe.pack.load import load_pack
from tests.learn.workshop import BULB, FUSE, QUOTED, lead, pack_folder, store_in


def test_an_ended_job_is_a_case(tmp_path: Path) -> None:
    folder = pack_folder(tmp_path)
    with store_in(tmp_path) as store:
        id_ = lead(store, folder, FUSE, took=3.0)
        lead(store, folder, QUOTED)
        found = gather(store, load_pack(folder))
    first, second = found.cases
    assert first.job == id_
    assert first.proven
    told = [(one.id, one.told) for one in first.evidence]
    assert told == [("current", "none"), ("volts", "away"), ("replace_fuse", "gone")]
    assert {one.ask: one.took for one in first.timings} == {"current": 3.0, "replace_fuse": 3.0, "volts": 3.0}
    assert first.good == (GoodReading("volts", 1.0, after=False),)
    assert not second.proven
    assert second.ending == "referred"
    assert not second.good
    assert found.left_out == {}


def test_what_cannot_be_used_is_counted(tmp_path: Path) -> None:
    folder = pack_folder(tmp_path)
    with store_in(tmp_path) as store:
        lead(store, folder, FUSE)
        lead(store, folder, {"current": "none"}, close=False)
        lead(store, "dynamo-light", {}, close=False)
        broken = lead(store, folder, BULB)
        practice = lead(store, folder, BULB, close=False)
        store.append(practice, "rehearsal", {"seed": 1})
        store.append(practice, "ended", {"ending": "repaired", "why": "", "cause": ""})
        store.end_job(practice, "repaired")
    db = sqlite3.connect(tmp_path / "jobs.db")
    db.execute("UPDATE events SET data = replace(data, 'flowing', 'none') WHERE job = ? AND seq = 2", (broken,))
    db.commit()
    db.close()
    with store_in(tmp_path) as store:
        found = gather(store, load_pack(folder))
        assert found.left_out == {OPEN: 1, OTHER: 1, BROKEN: 1, REHEARSAL: 1}
        assert len(found.cases) == 1
        assert len(gather(store, load_pack(folder), rehearsals=True).cases) == 2


def test_what_was_taken_back_does_not_count(tmp_path: Path) -> None:
    folder = pack_folder(tmp_path)
    with store_in(tmp_path) as store:
        walk = start_job(store, load_pack(folder)).walk
        walk.tell("current", "none")
        walk.undo()
        walk.tell("current", "flowing")
        walk.tell("replace_bulb", "done")
        walk.tell("seen", "still")
        walk.leave("no time")
        walk.close()
        case = gather(store, load_pack(folder)).cases[0]
    assert [(one.id, one.told) for one in case.evidence] == [("current", "flowing"), ("replace_bulb", "still")]
    assert case.ending == "left"


def test_an_older_version_counts_as_far_as_it_is_known(tmp_path: Path) -> None:
    """The pack has lost a measurement since: its reading is dropped, the repair still counts."""
    folder = pack_folder(tmp_path)
    with store_in(tmp_path) as store:
        lead(store, folder, FUSE)
        text = (folder / "pack.yaml").read_text(encoding="utf-8")
        begin, end = text.index("  current:"), text.index("  volts:")
        (folder / "pack.yaml").write_text(text[:begin] + text[end:], encoding="utf-8")
        pack = load_pack(folder)
        found = gather(store, pack)
    assert found.older == 1
    case = found.cases[0]
    assert [one.id for one in case.evidence] == ["volts", "replace_fuse"]
    assert case.dropped == 1
    learned = learn(pack, found)
    assert learned.dropped == 1
    assert learned.older == 1
    assert next(one for one in learned.changes if one.path[1:2] == ("fuse",)).seen == pytest.approx(1.0)


def test_an_empty_store_teaches_nothing(tmp_path: Path) -> None:
    folder = pack_folder(tmp_path)
    with store_in(tmp_path) as store:
        learned = learn(load_pack(folder), gather(store, load_pack(folder)))
    assert learned.jobs == 0
    assert learned.changes == ()
