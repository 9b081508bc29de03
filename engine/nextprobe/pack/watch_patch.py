"""A file read again after an edit: only the entries that the edit touches are read by the YAML reader.

The lines before and after an edit are unchanged, and so is what they mean, when the edit lies between
two keys of one block mapping: reading is in the same state at each of those keys as before. The text
between them is read by itself, under its block's name. Whatever is not as plain as that is refused,
and the file is read as a whole.
"""

from __future__ import annotations

from typing import Any, NamedTuple, cast

from nextprobe.pack.limits import MAX_NODES
from nextprobe.pack.marks import Mark, Path, Source
from nextprobe.pack.source import read_yaml

#: Line breaks of YAML that a split at newlines does not see.
_OTHER_BREAKS = ("\x85", "\u2028", "\u2029")


class _Region(NamedTuple):
    """Entries of one block that an edit may touch: lines from `first` up to `end` of the old text."""

    block: str
    ids: list[str]
    first: int
    end: int
    column: int


def patched(old: Source, name: str, text: str) -> Source | None:
    """`old`, a file without findings, as it reads with the new `text`; None where it must be read as a whole."""
    was = old.files.get(name)
    if was is None or old.findings or old.spoiled or not isinstance(old.data, dict):
        return None
    if not (_plain_breaks(was) and _plain_breaks(text)) or len(old.marks) + len(old.key_marks) > MAX_NODES // 2:
        return None
    before, now = was.split("\n"), text.split("\n")
    top, bottom = _common(before, now)
    region = _region(old, before, top, len(before) - bottom)
    if region is None:
        return None
    shift = len(now) - len(before)
    part = _read(region, now[region.first : region.end + shift])
    if part is None:
        return None
    return _joined(old, name, text, region, part, shift)


def _plain_breaks(text: str) -> bool:
    return text.count("\r") == text.count("\r\n") and not any(one in text for one in _OTHER_BREAKS)


def _common(before: list[str], now: list[str]) -> tuple[int, int]:
    """How many lines are the same at the top, and how many of the rest at the bottom."""
    most = min(len(before), len(now))
    top = next((index for index in range(most) if before[index] != now[index]), most)
    bottom = 0
    while bottom < most - top and before[-1 - bottom] == now[-1 - bottom]:
        bottom += 1
    return top, bottom


def _region(old: Source, lines: list[str], top: int, end: int) -> _Region | None:
    """The entries around lines `top` up to `end`; None where they are not keys of one block mapping."""
    keys = sorted((mark.line - 1, mark.column - 1, path) for path, mark in old.key_marks.items() if len(path) <= 2)
    # What is written right above an entry may belong to the entry before it.
    first = max((index for index, (line, _, _) in enumerate(keys) if line < top), default=None)
    if first is None or len(keys[first][2]) != 2:
        return None
    line, column, path = keys[first]
    block = str(path[0])
    after = next((index for index in range(first + 1, len(keys)) if keys[index][0] >= end), len(keys))
    inside = keys[first:after]
    stop = keys[after][0] if after < len(keys) else len(lines)
    opened, first_key = old.marks.get((block,)), old.key_marks.get((block, next(iter(old.data[block]), "")))
    if opened is None or opened != first_key:
        return None  # written in brackets
    ends = [keys[after]] if after < len(keys) else []
    if any(len(one[2]) != 2 or one[2][0] != block for one in inside):
        return None
    if any(lines[at][:indent].strip() for at, indent, _ in (*inside, *ends)):
        return None
    if ends and len(ends[0][2]) == 2 and ends[0][2][0] != block:
        return None
    return _Region(block, [str(one[2][1]) for one in inside], line, stop, column)


def _read(region: _Region, lines: list[str]) -> Source | None:
    """The lines of a region under their block's name, where they read without any finding."""
    part = read_yaml("part.yaml", f"{region.block}:\n" + "\n".join(lines), shown="")
    rows = part.data.get(region.block) if isinstance(part.data, dict) else None
    if part.findings or not isinstance(rows, dict) or len(part.data) != 1 or not rows:
        return None
    columns = {part.key_marks[(region.block, key)].column - 1 for key in rows}
    return part if columns == {region.column} else None


def _joined(old: Source, name: str, text: str, region: _Region, part: Source, shift: int) -> Source | None:
    block, gone = region.block, set(region.ids)
    new: dict[str, Any] = part.data[block]
    rows: dict[str, Any] = {}
    for key, row in old.data[block].items():
        if key == region.ids[0]:
            rows.update(new)
        if key not in gone:
            if key in new:
                return None  # the same id twice is for the whole reading to say
            rows[key] = row
    file = next(iter(old.marks.values())).file
    return Source(
        {**old.data, block: rows},
        _marks(old.marks, part.marks, region, file, shift),
        _marks(old.key_marks, part.key_marks, region, file, shift),
        files={name: text},
        paths=dict(old.paths),
    )


def _marks(old: dict[Path, Mark], new: dict[Path, Mark], region: _Region, file: str, shift: int) -> dict[Path, Mark]:
    gone = {(region.block, id_) for id_ in region.ids}
    kept = {path: mark for path, mark in old.items() if path[:2] not in gone}
    if shift:
        kept = {
            path: Mark(file, mark.line + shift, mark.column) if mark.line > region.end else mark
            for path, mark in kept.items()
        }
    # The part has one line of its own, the block's name, above its first.
    moved = {path: Mark(file, mark.line + region.first - 1, mark.column) for path, mark in new.items() if len(path) > 1}
    return cast(dict[Path, Mark], {**kept, **moved})
