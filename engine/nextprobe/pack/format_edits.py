"""What changes inside the lines of a text: quotes, and the spaces around colons, commas, dashes and brackets."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, field

from nextprobe.pack.format_tree import Node, Place
from nextprobe.pack.format_words import written

_COMMA = re.compile(r"\s*,\s*\Z")
_COLON = re.compile(r"\s*:\s*\Z")


@dataclass(slots=True)
class Edits:
    """For each line the parts that are replaced: (from column, to column, new text)."""

    lines: list[str]
    parts: dict[int, list[tuple[int, int, str]]] = field(default_factory=dict)

    def replace(self, line: int, start: int, end: int, text: str) -> None:
        """Put `text` in the place of the columns from `start` up to `end`."""
        if self.lines[line][start:end] != text:
            self.parts.setdefault(line, []).append((start, end, text))

    def applied(self, line: int) -> str:
        """The line as it is with its edits."""
        text = self.lines[line]
        for start, end, new in sorted(self.parts.get(line, ()), reverse=True):
            text = text[:start] + new + text[end:]
        return text

    def moved(self, place: Place) -> int:
        """By how many columns the edits before `place` move it."""
        return sum(
            len(new) - (end - start) for start, end, new in self.parts.get(place.line, ()) if end <= place.column
        )


def edit(edits: Edits, node: Node) -> None:
    """Note the edits for `node` and everything in it."""
    if node.kind == "scalar":
        if node.one_line:
            text = edits.lines[node.start.line][node.start.column : node.end.column]
            edits.replace(node.start.line, node.start.column, node.end.column, written(node, text))
        return
    if node.flow:
        _brackets(edits, node)
    elif node.kind == "map":
        _colons(edits, node)
    for inner in node.items:
        edit(edits, inner)


def _colons(edits: Edits, node: Node) -> None:
    """One space after a colon, save where the values of a mapping stand in one column."""
    pairs = list(node.pairs)
    columns = [value.start.column if key.end.line == value.start.line else -1 for key, value in pairs]
    for index, (key, value) in enumerate(pairs):
        if columns[index] < 0 or value.start == value.end or not key.one_line:
            continue
        gap = edits.lines[key.end.line][key.end.column : value.start.column]
        if not _COLON.match(gap):
            continue
        aligned = columns.count(columns[index]) > 1 and gap.startswith(":")
        edits.replace(key.end.line, key.end.column, value.start.column, gap if aligned else ": ")


def _brackets(edits: Edits, node: Node) -> None:
    opened = edits.lines[node.start.line][node.start.column : node.start.column + 1]
    inside = [one for one in node.items if one.start != one.end]
    if opened in ("{", "[") and inside:
        _gap(edits, Place(node.start.line, node.start.column + 1), inside[0].start, re.compile(r"\s*\Z"), "")
        _gap(edits, inside[-1].end, Place(node.end.line, node.end.column - 1), re.compile(r"\s*\Z"), "")
    for first, second, comma in _neighbours(node):
        _gap(edits, first.end, second.start, _COMMA if comma else _COLON, ", " if comma else ": ")


def _neighbours(node: Node) -> Iterator[tuple[Node, Node, bool]]:
    """Two items that stand side by side, and whether a comma is between them (or a colon)."""
    if node.kind == "list":
        yield from ((one, two, True) for one, two in zip(node.items, node.items[1:], strict=False))
        return
    last: Node | None = None
    for key, value in node.pairs:
        if last is not None:
            yield last, key, True
        empty = value.start == value.end
        if not empty:
            yield key, value, False
        last = key if empty else value


def _gap(edits: Edits, start: Place, end: Place, shape: re.Pattern[str], text: str) -> None:
    if start.line == end.line and shape.match(edits.lines[start.line][start.column : end.column]):
        edits.replace(start.line, start.column, end.column, text)
