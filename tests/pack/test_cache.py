"""What was checked is kept by content: warm loads import nothing heavy, and every change is noticed."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from nextprobe.pack.cache import load_source, validate_source

SOUND = Path(__file__).parent / "sound" / "pack.yaml"
HEAVY = ("ruamel", "jsonschema", "networkx", "numpy", "textual", "rich", "sqlalchemy")


@pytest.fixture
def store(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "cache"
    monkeypatch.setenv("NEXTPROBE_CACHE", str(folder))
    return folder


@pytest.fixture
def pack(tmp_path: Path) -> Path:
    folder = tmp_path / "packs" / "sound"
    shutil.copytree(SOUND.parent, folder)
    text = (folder / "pack.yaml").read_text("utf-8")
    (folder / "pack.yaml").write_text(text.replace("format: 1\n", "format: 1\ninclude: [more.yaml]\n"), "utf-8")
    (folder / "more.yaml").write_text("hazards: {}\n", "utf-8")
    return folder / "pack.yaml"


def entries(store: Path) -> list[Path]:
    return sorted(store.glob("*.json"))


def test_warm_is_what_cold_was(pack: Path, store: Path) -> None:
    cold = load_source(pack)
    assert len(entries(store)) == 1
    warm = load_source(pack)
    assert warm == cold
    assert list(warm.files.values()) == [pack.read_text("utf-8"), (pack.parent / "more.yaml").read_text("utf-8")]
    assert len(warm.hash) == 64


def test_every_change_is_noticed(pack: Path, store: Path) -> None:
    first = validate_source(pack)
    assert first.findings == ()
    more = pack.parent / "more.yaml"
    more.write_text("hazards: {idle: {signal: NOTICE, say: Idle.}}\n", "utf-8")
    second = validate_source(pack)
    assert [one.code for one in second.findings] == ["NP365"]
    assert second.hash != first.hash
    (pack.parent / "cases.yaml").write_text(
        "- name: one\n  told: {lok: sound}\n  expect: [{first: regulator}]\n", "utf-8"
    )
    assert [one.code for one in validate_source(pack).findings] == ["NP301", "NP365"]
    # Loading a pack for a walk does not look at its cases.
    assert [one.code for one in load_source(pack).findings] == ["NP365"]
    more.unlink()
    assert "NP116" in [one.code for one in validate_source(pack).findings]
    more.write_text("hazards: {}\n", "utf-8")
    assert [one.code for one in validate_source(pack).findings] == ["NP301"]


def test_a_moved_pack_has_the_same_hash(pack: Path, store: Path, tmp_path: Path) -> None:
    before = load_source(pack).hash
    moved = tmp_path / "elsewhere"
    shutil.copytree(pack.parent, moved)
    assert load_source(moved / "pack.yaml").hash == before


@pytest.mark.parametrize("rubbish", [b"", b"{", b"[]", b'{"inputs": {}}', b"\xff\xff", b'{"inputs": []}'])
def test_a_broken_cache_is_not_used(pack: Path, store: Path, rubbish: bytes) -> None:
    cold = load_source(pack)
    (entry,) = entries(store)
    entry.write_bytes(rubbish)
    assert load_source(pack) == cold
    assert json.loads(entry.read_text("utf-8"))["hash"] == cold.hash


def test_a_cache_that_cannot_be_written_is_not_used(
    pack: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    occupied = tmp_path / "file"
    occupied.write_text("not a folder")
    monkeypatch.setenv("NEXTPROBE_CACHE", str(occupied))
    assert load_source(pack).findings == ()
    monkeypatch.setenv("NEXTPROBE_CACHE", "")
    assert load_source(pack).findings == ()
    assert occupied.read_text() == "not a folder"


def test_warm_loading_imports_nothing_heavy(pack: Path, store: Path) -> None:
    program = (
        "import sys; from nextprobe.pack.cache import validate_source, load_source;"
        f"validate_source({str(pack)!r}); load_source({str(pack)!r}); print(*sys.modules)"
    )
    environment = {**os.environ, "NEXTPROBE_CACHE": str(store)}
    for warm in (False, True):
        done = subprocess.run(
            [sys.executable, "-c", program], env=environment, capture_output=True, text=True, check=True
        )
        loaded = {name.split(".")[0] for name in done.stdout.split()}
        assert ("ruamel" in loaded) is not warm
    assert not loaded & set(HEAVY)
