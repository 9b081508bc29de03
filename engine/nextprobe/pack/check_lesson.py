"""A lesson: its pack must be there, and every id and value in it must be the pack's."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from nextprobe.errors import Finding, UsageError
from nextprobe.pack.check_cases import check_options
from nextprobe.pack.check_told import unknown
from nextprobe.pack.checked import Checked, place, started
from nextprobe.pack.compose import compose_pack
from nextprobe.pack.context import Context, Note
from nextprobe.pack.marks import Source
from nextprobe.pack.near import did_you_mean
from nextprobe.pack.reader import Reader
from nextprobe.pack.walkers import words
from nextprobe.resources import bundled_boards, bundled_packs, find_board, find_pack, is_file, packs_dir


def pack_of_lesson(lesson: Path, ref: str) -> Path:
    """The ``pack.yaml`` that a lesson means: beside the lesson, or as find_pack. Raises UsageError."""
    for candidate in (lesson.parent / ref, lesson.parent / ref / "pack.yaml"):
        if is_file(candidate):
            return candidate
    return find_pack(ref)


def board_of_lesson(lesson: Path, ref: str) -> Path:
    """The board sheet that a lesson means: beside the lesson, or as find_board. Raises UsageError."""
    return lesson.parent / ref if is_file(lesson.parent / ref) else find_board(ref)


def check_lesson(path: Path, source: Source, data: Any, reader: Reader, checked: Checked) -> Iterator[Finding]:
    """Findings on the meaning of a lesson; `checked` takes over the files that they depend on."""
    if not isinstance(data, dict):
        return
    board = data.get("board")
    if isinstance(board, str):
        _would_change(checked, path.parent / board, packs_dir() / "boards" / f"{board}.yaml")
        try:
            board_of_lesson(path, board)
        except UsageError:
            note = Note(("board",), f"There is no board sheet `{board}`.", did_you_mean(board, bundled_boards()))
            yield place(source, "NP301", "error", note)
    ref = data.get("pack")
    if not isinstance(ref, str):
        return
    beside = path.parent / ref
    _would_change(checked, beside, beside / "pack.yaml", Path(ref), Path(ref) / "pack.yaml")
    _would_change(checked, packs_dir() / ref / "pack.yaml")
    try:
        composed = compose_pack(pack_of_lesson(path, ref), reader)
    except UsageError:
        note = Note(("pack",), f"There is no pack `{ref}`.", did_you_mean(ref, bundled_packs()))
        yield place(source, "NP301", "error", note)
        return
    if not isinstance(composed.data, dict):
        return
    pack = started(composed, reader.shape(composed, "pack")[1], [])
    checked.depends_on(pack)
    yield from _ids(source, data, pack.context)


def _would_change(checked: Checked, *places: Path) -> None:
    """A file that is not there, and would be taken if it were."""
    checked.absent += [os.path.abspath(one) for one in places if not os.path.lexists(one)]  # noqa: PTH100


def _ids(source: Source, data: dict[str, Any], ctx: Context) -> Iterator[Finding]:
    for word in words(data.get("symptom"), ("symptom",)):
        yield from unknown(source, word.path, word.text, [ctx], ("symptom",), of_key=False)
    named = list(words(data.get("causes"), ("causes",)))
    for word in named:
        yield from unknown(source, word.path, word.text, [ctx], ("cause",), of_key=False, also=("unlisted",))
    if data.get("two") and named and len(named) != 2:
        note = Note(("causes",), f"Two faults are wanted; causes named: {len(named)}.", "Name two, or none.")
        yield place(source, "NP207", "error", note)
    yield from check_options(source, data.get("options"), ("options",), [ctx])
