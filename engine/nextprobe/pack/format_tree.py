"""A YAML text as a tree of nodes with their places, for laying it out; no data is made of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from typing import Any, NamedTuple

from nextprobe.pack.syntax import flow_fault


class Place(NamedTuple):
    """Line and column, from 0."""

    line: int
    column: int


@dataclass(slots=True)
class Node:
    """A scalar, a list or a mapping (`items`: key, value, key, value ...); `flow` inside or with brackets."""

    kind: str
    start: Place
    end: Place
    flow: bool = False
    style: str = ""
    value: str = ""
    items: list[Node] = field(default_factory=list)

    @property
    def one_line(self) -> bool:
        """Whether it starts and ends in the same line."""
        return self.start.line == self.end.line

    @property
    def pairs(self) -> Iterator[tuple[Node, Node]]:
        """Key and value of each entry of a mapping."""
        return zip(self.items[::2], self.items[1::2], strict=True)


def tree_of(text: str) -> Node | None:
    """The root node of a text that reads without a fault; None where it holds no value."""
    from ruamel.yaml import YAML
    from ruamel.yaml.error import YAMLError

    try:
        return _root(YAML(typ="safe", pure=False).parse(text))
    except YAMLError as fault:
        if not flow_fault(fault):
            raise
        # The C reader refuses `?` and `:` in words inside brackets, which YAML 1.2 allows.
        return _root(YAML(typ="safe", pure=True).parse(text))


def _root(events: Any) -> Node | None:
    found = None
    for event in events:
        if type(event).__name__ not in ("StreamStartEvent", "DocumentStartEvent", "DocumentEndEvent", "StreamEndEvent"):
            found = _node(event, events, within=False)
    return found


def _node(event: Any, events: Any, *, within: bool) -> Node:
    name = type(event).__name__
    start, end = (Place(mark.line, mark.column) for mark in (event.start_mark, event.end_mark))
    if name == "ScalarEvent":
        return Node("scalar", start, end, within, (event.style or "").strip(), event.value)
    node = Node("map" if name == "MappingStartEvent" else "list", start, end, within or bool(event.flow_style))
    for inner in events:
        if type(inner).__name__ in ("MappingEndEvent", "SequenceEndEvent"):
            node.end = Place(inner.end_mark.line, inner.end_mark.column)
            return node
        node.items.append(_node(inner, events, within=node.flow))
    return node
