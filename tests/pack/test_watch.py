"""A watch says what a save changed, and nothing of what an editor does on the way to it."""

from __future__ import annotations

import os
import random
import shutil
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path

import pytest

from nextprobe.errors import Finding
from nextprobe.pack.validate import check_any
from nextprobe.pack.watch import Change, PackWatch, difference
from nextprobe.pack.watch_files import PATIENCE, Looker
from nextprobe.pack.watch_read import KeepingReader
from nextprobe.resources import packs_dir

SOUND = Path(__file__).parent / "sound" / "pack.yaml"


class Editor:
    """A clock whose sleeps are when somebody else acts: at each moment that is due, one act."""

    def __init__(self) -> None:
        self.time = 1000.0
        self.idle = 0.0
        self.acts: list[tuple[float, Callable[[], object]]] = []

    def now(self) -> float:
        return self.time

    def sleep(self, seconds: float) -> None:
        self.time += seconds
        while self.acts and self.acts[0][0] <= self.time:
            self.acts.pop(0)[1]()
        self.idle = 0.0 if self.acts else self.idle + seconds
        if self.idle > 4 * PATIENCE:
            raise KeyboardInterrupt

    def later(self, seconds: float, act: Callable[[], object]) -> None:
        self.acts.append((self.time + seconds, act))


@pytest.fixture
def pack(tmp_path: Path) -> Path:
    path = tmp_path / "pack.yaml"
    shutil.copy(SOUND, path)
    return path


def seen(path: Path, editor: Editor) -> list[Change]:
    found: list[Change] = []
    with suppress(KeyboardInterrupt):
        for change in PackWatch([path], Looker(editor.now, editor.sleep)).changes():
            found.append(change)
    return found


def codes(findings: tuple[Finding, ...]) -> list[str]:
    return [one.code for one in findings]


def replaced(path: Path, old: str, new: str) -> Callable[[], object]:
    return lambda: path.write_text(path.read_text("utf-8").replace(old, new, 1), "utf-8")


def test_new_gone_and_still(pack: Path) -> None:
    editor = Editor()
    editor.later(1, replaced(pack, "rail_missing: 0.97", "rail_mising: 0.97"))
    editor.later(5, replaced(pack, "weight: 2", "wieght: 2"))
    editor.later(9, replaced(pack, "rail_mising: 0.97", "rail_missing: 0.97"))
    first, one, two, three = seen(pack, editor)
    assert (first.new, first.gone, first.still) == ((), (), ())
    assert codes(one.new) == ["NP301"]
    assert (codes(two.new), two.gone, codes(two.still)) == (["NP201"], (), ["NP301"])
    assert (three.new, codes(three.gone), codes(three.still)) == ((), ["NP301"], ["NP201"])


def test_a_finding_that_only_moves_is_still_there(pack: Path) -> None:
    replaced(pack, "rail_missing: 0.97", "rail_mising: 0.97")()
    editor = Editor()
    editor.later(1, replaced(pack, "causes:\n", "\n# a remark\ncauses:\n"))
    _, change = seen(pack, editor)
    assert (change.new, change.gone, codes(change.still)) == ((), (), ["NP301"])


def test_the_same_finding_twice_is_two() -> None:
    one = Finding("NP301", "error", "No such id.", "", "a.yaml", 3, 1, "causes.a")
    assert difference([one, one], [one]) == Change((), (one,), (one,))
    assert difference([one], [one, one]) == Change((one,), (), (one,))


def test_saved_as_it_was_is_no_change(pack: Path) -> None:
    editor = Editor()
    editor.later(1, lambda: pack.write_bytes(pack.read_bytes()))
    editor.later(2, lambda: os.utime(pack))
    assert len(seen(pack, editor)) == 1


def test_a_save_in_halves_is_one_save(pack: Path) -> None:
    text = pack.read_text("utf-8").replace("weight: 2", "wieght: 2")
    editor = Editor()
    editor.later(1, lambda: pack.write_text("", "utf-8"))
    editor.later(1.4, lambda: pack.write_text(text[: len(text) // 2], "utf-8"))
    editor.later(1.7, lambda: pack.write_text(text, "utf-8"))
    _, change = seen(pack, editor)
    assert codes(change.new) == ["NP201"]


def test_a_file_that_is_away_for_a_moment_is_not_missed(pack: Path) -> None:
    text = pack.read_text("utf-8").replace("weight: 2", "wieght: 2")
    editor = Editor()
    editor.later(1, pack.unlink)
    editor.later(1.5, lambda: pack.write_text(text, "utf-8"))
    _, change = seen(pack, editor)
    assert codes(change.new) == ["NP201"]


def test_a_save_by_renaming_is_one_save(pack: Path) -> None:
    fresh = pack.with_suffix(".tmp")
    fresh.write_text(pack.read_text("utf-8").replace("weight: 2", "wieght: 2"), "utf-8")
    editor = Editor()
    editor.later(1, lambda: fresh.replace(pack))
    _, change = seen(pack, editor)
    assert codes(change.new) == ["NP201"]


def test_a_file_that_stays_away_is_said_and_found_again(pack: Path) -> None:
    text = pack.read_text("utf-8")
    editor = Editor()
    editor.later(1, pack.unlink)
    editor.later(PATIENCE + 5, lambda: pack.write_text(text, "utf-8"))
    _, gone, back = seen(pack, editor)
    assert codes(gone.new) == ["NP101"]
    assert (back.new, codes(back.gone)) == ((), ["NP101"])


def test_a_file_that_appears_is_seen(pack: Path) -> None:
    editor = Editor()
    text = "- {name: x, told: {look: sund}, expect: [{first: regulator}]}\n"
    editor.later(1, lambda: (pack.parent / "cases.yaml").write_text(text, "utf-8"))
    _, change = seen(pack, editor)
    assert codes(change.new) == ["NP306"]


def test_an_included_file_is_watched(tmp_path: Path) -> None:
    shutil.copytree(packs_dir(), tmp_path / "packs")
    hazards = tmp_path / "packs" / "common" / "hazards.yaml"
    editor = Editor()
    editor.later(1, replaced(hazards, "signal:", "signl:"))
    first, change = seen(tmp_path / "packs" / "no-picture" / "pack.yaml", editor)
    assert "NP201" in codes(change.new)
    assert set(change.still) <= set(first.new)


#: What an edit may leave behind.
LINES = [
    "",
    "  # a remark",
    "    weight: 3",
    "  more: {}",
    "other:",
    "  - x",
    "    say: 'open",
    "{",
    "    a: {b: c}",
    "---",
]


@pytest.mark.parametrize("seed", range(8))
def test_a_kept_reading_is_a_fresh_reading(pack: Path, seed: int) -> None:
    """The outside measure is the reader that keeps nothing: same findings, data and places after any edit."""
    chance = random.Random(seed)
    whole = pack.read_text("utf-8").splitlines()
    lines = list(whole)
    reader = KeepingReader()
    for _ in range(40):
        at = chance.randrange(len(lines))
        act = chance.randrange(5)
        if act == 0:
            lines.insert(at, chance.choice(LINES))
        elif act == 1:
            del lines[at]
        elif act == 2:
            lines[at] = lines[at][: chance.randrange(len(lines[at]) + 1)]
        elif act == 3:
            lines[at], lines[at - 1] = lines[at - 1], lines[at]
        else:
            lines = list(whole)
        pack.write_text("\n".join(lines) + "\n", "utf-8")
        kept, fresh = check_any(pack, reader), check_any(pack)
        assert kept.findings == fresh.findings
        assert kept.source.data == fresh.source.data
        assert list(_ordered(kept.source.data)) == list(_ordered(fresh.source.data))
        assert kept.source.marks == fresh.source.marks
        assert kept.source.key_marks == fresh.source.key_marks
        if fresh.findings and chance.random() < 0.7:
            lines = list(whole)


def _ordered(value: object) -> Iterator[str]:
    if isinstance(value, dict):
        for key, inner in value.items():
            yield key
            yield from _ordered(inner)


def test_a_small_edit_is_read_without_the_rest(pack: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from nextprobe.pack import watch_read

    reader = KeepingReader()
    check_any(pack, reader)

    def never(*_: object, **__: object) -> None:
        raise AssertionError("the whole file was read")

    monkeypatch.setattr(watch_read, "read_yaml", never)
    for old, new in (
        ("weight: 2", "weight: 3"),
        ("    weight: 3\n", ""),
        ("  cable_loose:\n    title", "  x:\n    title"),
    ):
        replaced(pack, old, new)()
        check_any(pack, reader)
