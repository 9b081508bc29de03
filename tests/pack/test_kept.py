"""A pack that was kept with a job is the same pack wherever one stands. No outside source: the house's own promise."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from nextprobe import load_pack
from nextprobe.pack.load import content_hash, kept_text, pack_from_kept


def test_the_hash_is_that_of_the_texts_wherever_one_stands(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    here = load_pack("no-picture", "tansy-12")
    monkeypatch.chdir(tmp_path)
    there = load_pack("no-picture", "tansy-12")
    assert here.hash == there.hash
    assert here.hash != load_pack("no-picture").hash != load_pack("no-picture", "brindle-14").hash


def test_one_letter_more_is_another_pack() -> None:
    files = {"packs/lamp/pack.yaml": "id: lamp\n", "packs/lamp/bench.yaml": "bench: {}\n"}
    moved = {name.replace("packs/lamp", "elsewhere"): text for name, text in reversed(files.items())}
    assert content_hash(files) == content_hash(moved)
    assert content_hash(files) != content_hash({**files, "packs/lamp/bench.yaml": "bench: {} \n"})
    assert content_hash(files) != content_hash({**files, "packs/lamp/more.yaml": ""})


def test_what_was_kept_is_read_as_the_same_pack() -> None:
    pack = load_pack("dynamo-light")
    assert pack_from_kept(kept_text(pack)).hash == pack.hash


def test_a_pack_kept_by_an_older_version_goes_by_the_hash_that_it_was_kept_under() -> None:
    kept = json.loads(kept_text(load_pack("dynamo-light")))
    old = pack_from_kept(json.dumps({**kept, "format": 1})).hash
    assert old != pack_from_kept(json.dumps(kept)).hash
    assert old == pack_from_kept(json.dumps({**kept, "format": 1})).hash
