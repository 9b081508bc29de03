"""One way to write a pack's files: what they say, their comments and the order of their keys stay as they are.

Two spaces a level, also for the items of a list below its key; quotes only where a text needs them;
one space after colons and commas, save where values stand in a column; brackets over several lines
as written, and those that make a line longer than 150 columns broken; no trailing blanks, never two
blank lines, and one around each block of several lines at the top. A byte-order mark goes; CRLF line
ends stay where every line has one.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Final

from nextprobe.errors import PackError
from nextprobe.pack.format_edits import Edits, edit
from nextprobe.pack.format_lines import Indents, indent_of
from nextprobe.pack.format_tree import Node, tree_of
from nextprobe.pack.source import read_yaml

#: A line with brackets may be this long; a longer one is filled up to FILL.
LONGEST: Final = 150
FILL: Final = 120
_OTHER_BREAKS = ("\x85", "\u2028", "\u2029")


def format_text(text: str, name: str = "pack.yaml") -> str:
    """`text`, the content of the file `name`, in the one way to write it.

    Raises PackError with the findings where it cannot be read; what it means is then not known.
    """
    before = read_yaml(Path(name), text, shown=name)
    if any(one.severity == "error" for one in before.findings) or any(one in text for one in _OTHER_BREAKS):
        raise PackError(
            f"{name} cannot be formatted.",
            before.findings,
            cure="Nothing was changed. Mend what is named, then try again.",
        )
    plain = text.removeprefix("\ufeff").replace("\r\n", "\n")
    ends = "\r\n" if "\r\n" in text and text.count("\n") == text.count("\r\n") else "\n"
    done = _laid_out(_broken(_laid_out(plain)))
    after = read_yaml(Path(name), done, shown=name)
    if repr(after.data) != repr(before.data) or any(one.severity == "error" for one in after.findings):
        # Never seen; a file is worth more than its layout.
        raise PackError(f"{name} cannot be formatted without a change of what it says.", cure="Nothing was changed.")
    return done.replace("\n", ends)


def _laid_out(text: str) -> str:
    root = tree_of(text)
    if root is None:
        return text
    lines = text.split("\n")
    edits = Edits(lines)
    edit(edits, root)
    indents = Indents(edits)
    indents.lay(root, 0)
    _comments(indents)
    new = [_line(indents, number) for number in range(len(lines))]
    return _spaced(new, indents.kept, _entries(root))


def _line(indents: Indents, number: int) -> str:
    if number in indents.texts:
        body = indents.lines[number].lstrip(" ")
        return " " * indents.new[number] + body if indents.lines[number].strip(" ") else ""
    body = indents.edits.applied(number).strip(" \t")
    if indents.edits.applied(number).endswith("\\ "):
        body += " "  # the blank is a part of the text
    return " " * indents.new.get(number, 0) + body if body else ""


def _comments(indents: Indents) -> None:
    """A comment takes the place of the entry below it, or of the one above in whose column it stood."""
    below: int | None = None
    for number in range(len(indents.lines) - 1, -1, -1):
        if number in indents.entries:
            below = number
        if number in indents.new or not indents.lines[number].lstrip().startswith("#"):
            continue
        column = indent_of(indents.lines[number])
        found = below
        if below is None or indent_of(indents.lines[below]) != column:
            above = (one for one in range(number - 1, -1, -1) if one in indents.entries)
            found = next((one for one in above if indent_of(indents.lines[one]) == column), below)
        indents.new[number] = 0 if found is None else indents.new[found]


@dataclass(frozen=True, slots=True)
class _Entry:
    """An entry at the top: its lines, and whether it is a block of entries or items."""

    first: int
    last: int
    block: bool


def _entries(root: Node) -> list[_Entry]:
    if root.flow or root.kind == "scalar":
        return []
    pairs = root.pairs if root.kind == "map" else ((one, one) for one in root.items)
    return [
        _Entry(
            key.start.line,
            _last(value),
            value.kind != "scalar" and not value.flow and _last(value) > key.start.line,
        )
        for key, value in pairs
    ]


def _last(node: Node) -> int:
    if node.items and not node.flow:
        return max(_last(one) for one in node.items)
    return node.end.line - 1 if node.kind == "scalar" and node.style in ("|", ">") else node.end.line


def _spaced(lines: list[str], kept: set[int], entries: list[_Entry]) -> str:
    """The lines with one blank line around the blocks at the top, and never two."""
    wanted = {_with_comments(lines, two.first, one.last) for one, two in pairwise(entries) if one.block or two.block}
    done: list[str] = []
    for number, line in enumerate(lines):
        after_text = number - 1 in kept
        if number not in kept and not after_text:
            if not line and (not done or not done[-1]):
                continue
            if number in wanted and done[-1]:
                done.append("")
        elif number in wanted and done[-1]:
            done.append("")
        done.append(line)
    while done and not done[-1] and len(lines) - 1 not in kept:
        done.pop()
    return "\n".join(done) + "\n"


def _with_comments(lines: list[str], first: int, above: int) -> int:
    """The line at which the comments right above an entry begin."""
    while first - 1 > above and lines[first - 1].startswith("#"):
        first -= 1
    return first


def _broken(text: str) -> str:
    """The text with its longest bracket lines broken between items."""
    root = tree_of(text)
    lines = text.split("\n")
    if root is None or all(len(line) <= LONGEST for line in lines):
        return text
    for node in sorted(_outer_brackets(root), key=lambda one: one.start, reverse=True):
        line = lines[node.start.line]
        if node.one_line and len(line) > LONGEST and len(node.items) > (2 if node.kind == "map" else 1):
            lines[node.start.line] = _filled(line, node)
    return "\n".join(lines)


def _outer_brackets(node: Node) -> list[Node]:
    if node.flow and node.kind != "scalar":
        return [node]
    return [one for inner in node.items for one in _outer_brackets(inner)]


def _filled(line: str, node: Node) -> str:
    """A bracket's items over as many lines as they need, in the column of the first."""
    step = 2 if node.kind == "map" else 1
    starts = [node.items[index].start.column for index in range(0, len(node.items), step)]
    parts = [line[one:other] for one, other in zip(starts, [*starts[1:], len(line)], strict=True)]
    done, now = [], line[: starts[0]] + parts[0]
    for part in parts[1:]:
        if len((now + part).rstrip()) > FILL:
            done.append(now.rstrip())
            now = " " * (node.start.column + 1) + part
        else:
            now += part
    return "\n".join([*done, now])
