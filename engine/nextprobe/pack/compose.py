"""A pack from its files: `pack.yaml` and what it includes, merged into one mapping with its marks."""

from __future__ import annotations

import hashlib
import os
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path as FilePath
from typing import Any, cast

from nextprobe.errors import Finding
from nextprobe.pack.limits import MAX_FILES
from nextprobe.pack.marks import Mark, Path, Source
from nextprobe.pack.reader import FRESH, Reader
from nextprobe.pack.source import shown_name
from nextprobe.resources import is_file

#: Blocks that hold ids at their second level; `bench` holds them one level deeper.
BLOCKS = (
    "options",
    "history",
    "instruments",
    "skills",
    "hazards",
    "symptoms",
    "effects",
    "causes",
    "measurements",
    "repairs",
    "stops",
    "remarks",
)
BENCH_BLOCKS = ("conditions", "states", "moves")


def content_hash(files: Mapping[str, str]) -> str:
    """SHA-256 over the exact texts, in order; the names do not count, so a moved pack is the same."""
    digest = hashlib.sha256()
    for text in files.values():
        raw = text.encode("utf-8", "surrogatepass")
        digest.update(len(raw).to_bytes(8, "big"))
        digest.update(raw)
    return digest.hexdigest()


def compose_pack(path: FilePath | str, reader: Reader = FRESH) -> Source:
    """Read `path` and its includes into one Source; what does not fit together is a finding.

    Included blocks come first, in the order of ``include``; the pack's own entries follow them.
    Files in the pack's own folder are its own: their ``start`` of a condition wins over a shared one.
    """
    path = FilePath(path)
    shown = shown_name(path)
    root = reader.read(path, shown)
    merged = Source(
        data={}, findings=list(root.findings), files=dict(root.files), paths=dict(root.paths), spoiled=set(root.spoiled)
    )
    merged.marks[()] = Mark(shown, 1, 1)
    if not isinstance(root.data, dict):
        merged.data = root.data
        merged.marks.update(root.marks)
        return merged
    parts = _includes(path, shown, root, merged, reader)
    if not parts:
        # Nothing is joined: the file is the pack as it stands.
        marks = {**root.marks, **merged.marks}
        return replace(merged, data=dict(root.data), marks=marks, key_marks=root.key_marks)
    joiner = _Joiner(merged)
    home = os.path.dirname(shown)  # noqa: PTH120 - shown names are text
    for part in parts:
        joiner.join(part, own=os.path.dirname(next(iter(part.files))) == home)  # noqa: PTH120
    joiner.join(root, own=True)
    return merged


def _includes(path: FilePath, shown: str, root: Source, merged: Source, reader: Reader) -> list[Source]:
    """The included files, read; faults of the list itself are noted in `merged`."""
    listed = root.data.get("include")
    if not isinstance(listed, list):
        return []  # a wrong shape is for the schema to say
    parts: list[Source] = []
    seen = {os.path.realpath(path)}
    for index, name in enumerate(listed):
        mark = root.mark(("include", index))
        if not isinstance(name, str):
            continue
        if len(parts) >= MAX_FILES:
            _say(merged, "NP116", f"More than {MAX_FILES} files are included.", "Join some of them.", mark)
            break
        if FilePath(name).is_absolute() or "\\" in name:
            _say(
                merged,
                "NP116",
                f"`{name}` is no path relative to this file.",
                "Write it with `/` and relative to this file, as ../common/bench.yaml, so that the pack can be moved.",
                mark,
            )
            continue
        target = path.parent / name
        real = os.path.realpath(target)
        if real in seen:
            again = "the pack includes itself" if real == os.path.realpath(path) else "it is included already"
            _say(merged, "NP117", f"`{name}` cannot be included: {again}.", "Delete this entry.", mark)
            continue
        seen.add(real)
        if not is_file(target):
            merged.absent.append(os.path.abspath(target))  # noqa: PTH100
            _say(
                merged,
                "NP116",
                f"There is no file `{name}` beside this one.",
                f"Mend the path; it is relative to {shown}.",
                mark,
            )
            continue
        part = reader.read(target, os.path.normpath(os.path.join(os.path.dirname(shown), name)))  # noqa: PTH118, PTH120
        merged.findings.extend(part.findings)
        merged.spoiled |= part.spoiled
        merged.files.update(part.files)
        merged.paths.update(part.paths)
        if isinstance(part.data, dict):
            if "include" in part.data:
                _say(
                    merged,
                    "NP117",
                    "An included file cannot include others.",
                    f"Name them in the `include` of {shown}.",
                    part.mark(("include",), of_key=True),
                )
                part = replace(part, data={key: value for key, value in part.data.items() if key != "include"})
            parts.append(part)
        elif part.data is not None:
            _say(
                merged,
                "NP119",
                "An included file must hold blocks, such as `hazards:`.",
                "Write the block's name above what stands here.",
                part.mark(()),
            )
    return parts


def _say(merged: Source, code: str, message: str, cure: str, mark: Mark) -> None:
    merged.findings.append(Finding(code, "error", message, cure, mark.file, mark.line, mark.column))


class _Joiner:
    """Joins files into one Source, block by block."""

    def __init__(self, merged: Source) -> None:
        self.merged = merged
        self.own_start: set[str] = set()

    def join(self, part: Source, *, own: bool) -> None:
        """Add what `part` says; `own` for the pack itself."""
        for key, value in part.data.items():
            # Every file may say which format it is written in.
            if key == "format" and (not own or "format" in self.merged.data) and value == 1:
                continue
            if key in BLOCKS and isinstance(value, dict):
                self._block((key,), value, part)
            elif key == "bench" and isinstance(value, dict):
                self._bench(value, part, own=own)
            else:
                self._take((key,), value, part)

    def _bench(self, bench: dict[str, Any], part: Source, *, own: bool) -> None:
        self._open(("bench",), part)
        for key, value in bench.items():
            if key == "conditions" and isinstance(value, dict):
                self._conditions(value, part, own=own)
            elif key in BENCH_BLOCKS and isinstance(value, dict):
                self._block(("bench", key), value, part)
            else:
                self._take(("bench", key), value, part)

    def _block(self, path: Path, block: dict[str, Any], part: Source) -> None:
        self._open(path, part)
        for key, value in block.items():
            self._take((*path, key), value, part)

    def _open(self, path: Path, part: Source) -> dict[Any, Any]:
        """The mapping at `path` of the merged data, made where it is not there yet."""
        here: Any = self.merged.data
        for key in path:
            here = here.setdefault(key, {})
            if not isinstance(here, dict):
                return {}  # the schema says what is wrong with the first one
        if path not in self.merged.marks:
            self.merged.marks[path] = part.mark(path)
            self.merged.key_marks[path] = part.mark(path, of_key=True)
        return cast(dict[Any, Any], here)

    def _take(self, path: Path, value: Any, part: Source) -> None:
        """Put one value at `path`, unless it stands there already."""
        parent = self._open(path[:-1], part) if len(path) > 1 else self.merged.data
        key = path[-1]
        if key in parent:
            first, again = self.merged.mark(path, of_key=True), part.mark(path, of_key=True)
            _say(
                self.merged,
                "NP118",
                f"`{key}` stands here and in {first.file}, line {first.line}.",
                "Delete one of them, or give this one an id of its own.",
                again,
            )
            return
        parent[key] = value
        self._marks(path, part)

    def _marks(self, path: Path, part: Source) -> None:
        depth = len(path)
        index = part.index()
        for mark_path in index.get(path[:2], ()):
            if mark_path[:depth] == path:
                mark = part.marks.get(mark_path)
                if mark is not None:
                    self.merged.marks[mark_path] = mark
                key_mark = part.key_marks.get(mark_path)
                if key_mark is not None:
                    self.merged.key_marks[mark_path] = key_mark

    def _conditions(self, conditions: dict[str, Any], part: Source, *, own: bool) -> None:
        """Values are united in order; the pack's own `start` wins over an included one."""
        block = self._open(("bench", "conditions"), part)
        for name, row in conditions.items():
            path: Path = ("bench", "conditions", name)
            old = block.get(name)
            if not isinstance(old, dict) or not isinstance(row, dict):
                if own and isinstance(row, dict) and "start" in row:
                    self.own_start.add(name)
                # What other files add goes into a copy: a reader may keep the files as they stand.
                self._take(path, _copied(row), part)
                continue
            for key, value in row.items():
                if key == "values" and isinstance(value, list) and isinstance(old.get("values"), list):
                    self._unite((*path, "values"), old["values"], value, part)
                elif key == "start" and own and "start" in old and name not in self.own_start:
                    self.own_start.add(name)
                    old["start"] = value
                    self._marks((*path, "start"), part)
                else:
                    self._take((*path, key), value, part)

    def _unite(self, path: Path, old: list[Any], new: list[Any], part: Source) -> None:
        for index, value in enumerate(new):
            if value not in old:
                self.merged.marks[(*path, len(old))] = part.mark((*path, index))
                old.append(value)


def _copied(row: Any) -> Any:
    """A condition that can be added to."""
    if not isinstance(row, dict):
        return row
    return {key: list(value) if isinstance(value, list) else value for key, value in row.items()}
