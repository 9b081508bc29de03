"""Changes in a YAML text, number by number and source by source: every other sign of it stays as it is."""

from __future__ import annotations

import json
import re
from collections.abc import Mapping
from typing import Any

from nextprobe.pack.format_tree import Node, Place, tree_of
from nextprobe.pack.marks import Path

_PLAIN = re.compile(r"[A-Za-z][A-Za-z0-9 _./;()+-]*[A-Za-z0-9_./;()+-]|[A-Za-z]|[0-9]{4}-[0-9]{2}-[0-9]{2}")
_FIGURE_WORDS = re.compile(r"[0-9][0-9.]* [a-zA-Z]+")
_SWITCHES = {"on", "off", "yes", "no", "true", "false", "null", "y", "n"}


class YamlText:
    """A text and what is to change in it. Raises KeyError for a place that the text does not have."""

    def __init__(self, text: str) -> None:
        self.text = text
        self._starts = [0]
        for line in text.split("\n"):
            self._starts.append(self._starts[-1] + len(line) + 1)
        self._root = tree_of(text)
        self._edits: list[tuple[int, int, str]] = []

    def has(self, path: Path) -> bool:
        """Whether the text holds a value at `path`."""
        try:
            self._pair(path)
        except KeyError:
            return False
        return True

    def put(self, path: Path, written: str) -> None:
        """Write `written` in the place of the scalar at `path`."""
        _, value = self._pair(path)
        self._edits.append((self._at(value.start), self._at(value.end), written))

    def put_source(self, entry: Path, written: str, beside: Path) -> None:
        """Write the source of the entry; where it has none, beside the value at `beside`, which lies in it."""
        if self.has((*entry, "source")):
            _, value = self._pair((*entry, "source"))
            self._edits.append((self._at(value.start), self._at(_end(value)), written))
            return
        holder = self._root if not entry else self._pair(entry)[1]
        key, value = self._pair(beside[: len(entry) + 1])
        if holder is not None and holder.flow:
            end = self._at(holder.end) - 1
            self._edits.append((end, end, f", source: {written}"))
            return
        # Behind the line of a value that ends there, or before a block of lines.
        block = value.kind != "scalar" and not value.flow
        line = key.start.line if block else value.end.line + 1
        indent = " " * key.start.column
        at = min(self._starts[line], len(self.text))
        newline = "" if at == 0 or self.text[at - 1] == "\n" else "\n"
        self._edits.append((at, at, f"{newline}{indent}source: {written}\n"))

    def edited(self) -> str:
        """The text with all changes."""
        text = self.text
        for start, end, new in sorted(self._edits, key=lambda one: (one[0], one[1]), reverse=True):
            text = text[:start] + new + text[end:]
        return text

    def _pair(self, path: Path) -> tuple[Node, Node]:
        node, key = self._root, None
        for part in path:
            if node is None or node.kind != "map":
                raise KeyError(path)
            found = next(((one, value) for one, value in node.pairs if one.value == part), None)
            if found is None:
                raise KeyError(path)
            key, node = found
        if node is None or key is None:
            raise KeyError(path)
        return key, node

    def _at(self, place: Place) -> int:
        return self._starts[place.line] + place.column


def _end(node: Node) -> Place:
    """Where a value ends; a block ends with its last scalar, not where the next entry begins."""
    return node.end if node.flow or node.kind == "scalar" or not node.items else _end(node.items[-1])


def flow(value: Any) -> str:
    """Plain data as one line of YAML."""
    if isinstance(value, Mapping):
        return "{" + ", ".join(f"{flow(key)}: {flow(inner)}" for key, inner in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(flow, value)) + "]"
    if isinstance(value, bool) or value is None:
        return json.dumps(value)
    if isinstance(value, (int, float)):
        return f"{value:g}" if isinstance(value, float) and value == float(f"{value:g}") else repr(value)
    text = str(value)
    plain = (_PLAIN.fullmatch(text) or _FIGURE_WORDS.fullmatch(text)) and text.lower() not in _SWITCHES
    return text if plain else json.dumps(text, ensure_ascii=False)
