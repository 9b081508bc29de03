"""One pass over the YAML events of a file: plain data, the place of every value, and findings.

Nothing of the YAML library but its events is used: size, depth and number of nodes are bounded
before anything is built, aliases are never expanded and a tag never constructs anything.
"""

from __future__ import annotations

import os
from pathlib import Path as FilePath
from typing import Any

from nextprobe.pack.decode import clean, finding_at, read_text
from nextprobe.pack.limits import MAX_DEPTH, MAX_FINDINGS, MAX_NODES
from nextprobe.pack.marks import Mark, Path, Source
from nextprobe.pack.scalars import Plain, is_switch, resolve
from nextprobe.pack.syntax import explain_syntax, flow_fault

__all__ = ["Mark", "Source", "read_yaml", "shown_name"]

#: So many lines of a word that stands in many are named.
SHOWN = 12


def shown_name(path: FilePath) -> str:
    """The name under which a file is shown: relative to the working folder where it lies below it."""
    absolute = os.path.abspath(path)  # noqa: PTH100 - keeps links as they were given
    here = os.getcwd()  # noqa: PTH109
    return os.path.relpath(absolute, here) if absolute.startswith(here + os.sep) else str(path)


def read_yaml(path: FilePath | str, text: str | None = None, shown: str | None = None) -> Source:
    """Read one YAML file (or `text` as if it stood there) with positions.

    Never raises for what stands in the file: every defect is in ``findings``, and ``data`` is what
    could be read beside it (None where nothing could).
    """
    path = FilePath(path)
    name = shown or shown_name(path)
    whole, found = read_text(path, name) if text is None else clean(text, name)
    source = Source(findings=found, files={name: whole or ""}, paths={name: os.path.abspath(path)})  # noqa: PTH100
    if whole is not None:
        _Reader(source, name, whole).run()
    return source


class _TooMuchError(Exception):
    """Reading stops here; the finding is already noted."""


class _Reader:
    """Builds plain data from the events of one file."""

    def __init__(self, source: Source, file: str, text: str) -> None:
        self.source = source
        self.file = file
        self.text = text
        self.lines: list[str] | None = None
        self.nodes = 0
        #: Bare on, off, yes or no, with line and column from 0.
        self.switches: list[tuple[str, int, int]] = []

    def run(self) -> None:
        from ruamel.yaml import YAML
        from ruamel.yaml.error import YAMLError

        if not self.text.strip():
            self._empty()
            return
        before = len(self.source.findings)
        try:
            try:
                self._document(YAML(typ="safe", pure=False).parse(self.text))
            except YAMLError as fault:
                if not flow_fault(fault):
                    raise
                # The C reader refuses `?` and `:` in words inside brackets, which YAML 1.2 allows.
                del self.source.findings[before:]
                self.switches.clear()
                self.nodes = 0
                self._document(YAML(typ="safe", pure=True).parse(self.text))
        except _TooMuchError:
            self.source.data = None
        except YAMLError as fault:
            self.source.data = None
            self.source.findings.append(explain_syntax(fault, self.file, self.text))
        except (ValueError, RecursionError) as fault:
            self.source.data = None
            self.say("NP106", f"This is no YAML: {fault}.", "Write the place again.", 0, 0)
        self._switched()

    def say(self, code: str, message: str, cure: str, line: int, column: int) -> None:
        """Note an error at a place that counts from 0, as the events do."""
        self.source.findings.append(finding_at(code, message, cure, self.file, line + 1, column + 1))
        if len(self.source.findings) > MAX_FINDINGS:
            raise _TooMuchError

    def _empty(self) -> None:
        self.say("NP105", "The file is empty.", "Write at least `format: 1` and what follows from it.", 0, 0)

    def _document(self, events: Any) -> None:
        documents = 0
        for event in events:
            kind = type(event).__name__
            if kind == "DocumentStartEvent":
                documents += 1
                if documents > 1:
                    mark = event.start_mark
                    self.say(
                        "NP109",
                        "A second document starts here.",
                        "Keep one document a file: delete the `---` line or move what follows into a file of its own.",
                        mark.line,
                        mark.column,
                    )
                    return
            elif kind not in ("StreamStartEvent", "StreamEndEvent", "DocumentEndEvent"):
                self.source.data = self._node(event, kind, events, (), 1)
        if documents == 0:
            self._empty()

    def _node(self, event: Any, kind: str, events: Any, path: Path, depth: int) -> Any:
        """The value that starts with `event`; reads on to its end."""
        mark = event.start_mark
        self.nodes += 1
        if depth > MAX_DEPTH or self.nodes > MAX_NODES:
            what = f"deeper than {MAX_DEPTH} levels" if depth > MAX_DEPTH else f"more than {MAX_NODES} values"
            self.say(
                "NP102",
                f"The file nests or holds too much: {what}.",
                "A pack needs neither; look for a bracket that is never closed, or split the file.",
                mark.line,
                mark.column,
            )
            raise _TooMuchError
        self.source.marks[path] = Mark(self.file, mark.line + 1, mark.column + 1)
        before = len(self.source.findings) + len(self.switches)
        if kind == "AliasEvent":
            self.say(
                "NP107",
                f"`*{event.anchor}` repeats another place.",
                "Write the value out: packs use no anchors, aliases or merge keys, so that every value has one place.",
                mark.line,
                mark.column,
            )
            self.source.spoiled.add(path)
            return None
        if event.anchor is not None:
            self.say(
                "NP107",
                f"`&{event.anchor}` marks a place to repeat.",
                "Delete the anchor and write the value out wherever it is needed.",
                mark.line,
                mark.column,
            )
        if event.tag is not None and event.tag != "!":
            self.say(
                "NP108",
                f"The tag `{event.tag}` asks for a type.",
                "Delete the tag: the key decides what is read; put text into quotes.",
                mark.line,
                mark.column,
            )
        if kind == "ScalarEvent":
            value = self._scalar(event)
            if len(self.source.findings) + len(self.switches) > before:
                self.source.spoiled.add(path)
            return value
        return self._mapping(events, path, depth) if kind == "MappingStartEvent" else self._list(events, path, depth)

    def _scalar(self, event: Any) -> Plain:
        text: str = event.value
        if event.style:
            return text
        mark, end = event.start_mark, event.end_mark
        if end.line != mark.line:
            self._swallowed(mark.line, end.line)
        if is_switch(text):
            self.switches.append((text, mark.line, mark.column))
            return text
        value, fault = resolve(text)
        if fault:
            self.say(
                "NP112",
                f"`{text}` {fault}.",
                "Write plain decimal digits (1000, 17, 0.5), a unit where one belongs (90 min), or quotes around text.",
                mark.line,
                mark.column,
            )
        return value

    def _switched(self) -> None:
        """One finding for each such word, at its first place: who renames a value does so in all of them at once."""
        places: dict[str, list[tuple[int, int]]] = {}
        for text, line, column in self.switches:
            places.setdefault(text, []).append((line, column))
        for text, ((line, column), *others) in places.items():
            rest = list(dict.fromkeys(str(other + 1) for other, _ in others if other != line))
            more = f" and {len(rest) - SHOWN} more" if len(rest) > SHOWN else ""
            also = f" So too in line{'s' if len(rest) > 1 else ''} {', '.join(rest[:SHOWN])}{more}." if rest else ""
            cure = f'Write it in quotes ("{text}") or choose a plainer word, such as fitted, absent, powered.{also}'
            message = f"A bare `{text}` is a word here and a boolean for other tools."
            self.source.findings.append(finding_at("NP111", message, cure, self.file, line + 1, column + 1))
        if places:
            self.source.findings.sort(key=lambda one: (one.line, one.column))

    def _swallowed(self, first: int, last: int) -> None:
        """A plain text over several lines, one of which begins as a list item does."""
        if self.lines is None:
            self.lines = self.text.splitlines()
        for number in range(first + 1, min(last + 1, len(self.lines))):
            line = self.lines[number]
            if line.lstrip().startswith("- "):
                self.say(
                    "NP113",
                    "This `-` is read as a part of the text above it, not as a list item.",
                    "Put the `-` under that of the item before (a list starts on a line of its own), or use quotes.",
                    number,
                    len(line) - len(line.lstrip()),
                )

    def _list(self, events: Any, path: Path, depth: int) -> list[Any]:
        items: list[Any] = []
        for event in events:
            kind = type(event).__name__
            if kind == "SequenceEndEvent":
                break
            items.append(self._node(event, kind, events, (*path, len(items)), depth + 1))
        return items

    def _mapping(self, events: Any, path: Path, depth: int) -> dict[str, Any]:
        items: dict[str, Any] = {}
        for event in events:
            kind = type(event).__name__
            if kind == "MappingEndEvent":
                break
            key = self._key(event, kind, events, path, depth)
            place = event.start_mark
            value_event = next(events)
            known = key in items
            if key is None:
                self.source.spoiled.add(path)
            if known or key is None:
                noted, switched = len(self.source.findings), len(self.switches)
                self._skip(value_event, events, depth)
                if key is None:  # the key alone has been said to be wrong
                    del self.source.findings[noted:]
                    del self.switches[switched:]
            if known:
                first = self.source.key_marks[(*path, str(key))]
                self.say(
                    "NP110",
                    f"`{key}` stands twice in one mapping; the first is in line {first.line}.",
                    "Rename one of them, or join the two.",
                    place.line,
                    place.column,
                )
            elif key is not None:
                self.source.key_marks[(*path, key)] = Mark(self.file, place.line + 1, place.column + 1)
                items[key] = self._node(value_event, type(value_event).__name__, events, (*path, key), depth + 1)
        return items

    def _skip(self, event: Any, events: Any, depth: int) -> None:
        """Read over the value that starts with `event`, keeping nothing of it but its findings."""
        marks, keys, spoiled = self.source.marks, self.source.key_marks, self.source.spoiled
        self.source.marks, self.source.key_marks, self.source.spoiled = {}, {}, set()
        try:
            self._node(event, type(event).__name__, events, (), depth + 1)
        finally:
            self.source.marks, self.source.key_marks, self.source.spoiled = marks, keys, spoiled

    def _key(self, event: Any, kind: str, events: Any, path: Path, depth: int) -> str | None:
        """The key as text, or None where it is none."""
        mark = event.start_mark
        if kind != "ScalarEvent":
            self._skip(event, events, depth)
            self.say("NP114", "A key must be one plain word.", "Write `key: value`.", mark.line, mark.column)
            return None
        text: str = event.value
        if text == "<<" and not event.style:
            self.say(
                "NP107",
                "`<<` merges another mapping into this one.",
                "Write the keys out: packs use no anchors, aliases or merge keys.",
                mark.line,
                mark.column,
            )
            return None
        self.nodes += 1
        if not text:
            self.say("NP114", "There is no key before the colon.", "Write `key: value`.", mark.line, mark.column)
            return None
        self._scalar(event)
        return text
