"""Where each line of a text starts: two columns a level, and what continues a line moves with it."""

from __future__ import annotations

from dataclasses import dataclass, field

from nextprobe.pack.format_edits import Edits
from nextprobe.pack.format_tree import Node, Place

STEP = 2


def indent_of(line: str) -> int:
    """How many spaces a line starts with."""
    return len(line) - len(line.lstrip(" "))


@dataclass(slots=True)
class Indents:
    """The new indent of every line that is no comment and not blank.

    `entries` are the lines that begin an entry or item, `kept` those that go on with a text (no
    blank line of theirs may go) and `texts` those of a text after `|` or `>`.
    """

    edits: Edits
    new: dict[int, int] = field(default_factory=dict)
    entries: set[int] = field(default_factory=set)
    kept: set[int] = field(default_factory=set)
    texts: set[int] = field(default_factory=set)

    @property
    def lines(self) -> list[str]:
        """The text as it was."""
        return self.edits.lines

    def column(self, place: Place) -> int:
        """The new column of a place whose line has its indent already."""
        old = self.lines[place.line]
        return place.column + self.new.get(place.line, indent_of(old)) - indent_of(old) + self.edits.moved(place)

    def lay(self, node: Node, indent: int) -> None:
        """Lay out `node`, whose entries or items start at `indent`."""
        if node.kind == "map" and not node.flow:
            for key, value in node.pairs:
                self._begin(key.start, indent)
                if value.start != value.end:
                    beside = value.start.line == key.end.line and (value.flow or value.kind == "scalar")
                    self._part(value, indent, key.start.column, beside=beside)
        elif node.kind == "list" and not node.flow:
            for item in node.items:
                dash = self._dash(node, item)
                self._begin(dash, indent)
                if item.start.line == dash.line and item.start.column > dash.column:
                    self.edits.replace(dash.line, dash.column + 1, item.start.column, " ")
                self._part(item, indent, dash.column, beside=False)
        else:
            self._begin(node.start, indent)
            self._follow(node, max(0, indent - STEP))

    def _part(self, node: Node, indent: int, was: int, *, beside: bool) -> None:
        """What belongs to an entry that starts at `indent` and started at column `was`."""
        if node.kind == "scalar" and node.style in ("|", ">"):
            self._block_text(node, indent, was)
        elif beside:
            self._follow(node, indent)
        else:
            self.lay(node, indent + STEP)

    def _begin(self, place: Place, indent: int) -> None:
        """`place` is at `indent` where nothing stands before it in its line."""
        if not self.lines[place.line][: place.column].strip():
            self.new[place.line] = indent
            self.entries.add(place.line)

    def _dash(self, node: Node, item: Node) -> Place:
        column = node.start.column
        for line in range(item.start.line, node.start.line - 1, -1):
            if self.lines[line][column : column + 1] == "-" and self.lines[line][:column].strip(" -") == "":
                return Place(line, column)
        return node.start

    def _follow(self, node: Node, indent: int) -> None:
        """The further lines of a bracket, which keep their distance to it, or of a text."""
        rest = range(node.start.line + 1, node.end.line + 1)
        if node.kind == "scalar":
            self.kept.update(rest)
            self.new.update(dict.fromkeys(rest, indent + STEP))
            return
        self._keep_texts(node)
        by = self.column(node.start) - node.start.column
        for line in rest:
            if self.lines[line].strip():
                self.new[line] = max(indent + 1, indent_of(self.lines[line]) + by)

    def _keep_texts(self, node: Node) -> None:
        """Inside brackets too, the blank lines of a text are a part of it."""
        if node.kind == "scalar":
            self.kept.update(range(node.start.line + 1, node.end.line + 1))
        for inner in node.items:
            self._keep_texts(inner)

    def _block_text(self, node: Node, indent: int, was: int) -> None:
        """The lines of a text after `|` or `>`: all move alike."""
        head = self.lines[node.start.line][node.start.column : node.start.column + 3]
        last = node.end.line if node.end.column == 0 else node.end.line + 1
        rest = list(range(node.start.line + 1, min(last, len(self.lines))))
        if "+" not in head:
            while rest and not self.lines[rest[-1]].strip():
                rest.pop()
        filled = [indent_of(self.lines[line]) for line in rest if self.lines[line].strip()]
        digit = next((int(one) for one in head[1:] if one.isdigit()), 0)
        base, to = (was + digit, indent + digit) if digit else (filled[0] if filled else 0, indent + STEP)
        for line in rest:
            self.kept.add(line)
            self.texts.add(line)
            self.new[line] = max(0, indent_of(self.lines[line]) - base + to) if self.lines[line].strip(" ") else 0
