"""A file that was read and checked: what the commands, the loader and the cache pass on."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from nextprobe.errors import Finding
from nextprobe.pack.context import Context, Note
from nextprobe.pack.marks import Source, shown_path


@dataclass(slots=True)
class Checked:
    """A source, its data without misshapen parts, and all findings.

    ``inputs`` are the files that the findings depend on, ``absent`` those that would change them
    if they appeared, ``folders`` those whose list of names matters.
    """

    source: Source
    data: Any
    findings: list[Finding]
    inputs: list[str] = field(default_factory=list)
    absent: list[str] = field(default_factory=list)
    folders: list[str] = field(default_factory=list)

    @property
    def context(self) -> Context:
        """The data as the rules see it."""
        return Context(self.source, self.data)

    def depends_on(self, other: Checked) -> None:
        """Take over what the findings of `other` depend on."""
        self.inputs += [path for path in other.inputs if path not in self.inputs]
        self.absent += [path for path in other.absent if path not in self.absent]
        self.folders += [path for path in other.folders if path not in self.folders]


def started(source: Source, data: Any, findings: Iterable[Finding]) -> Checked:
    """A file that has been read; its inputs are its own files."""
    return Checked(source, data, list(findings), list(source.paths.values()), list(source.absent))


def place(source: Source, code: str, severity: str, note: Note) -> Finding:
    """The finding for a note about `source`."""
    mark = source.mark(note.path, of_key=note.of_key)
    return Finding(code, severity, note.message, note.cure, *mark, path=shown_path(note.path))


def in_order(findings: Iterable[Finding]) -> list[Finding]:
    """Findings by file and place, each once."""
    return sorted(dict.fromkeys(findings), key=lambda one: (one.file, one.line, one.column, one.code, one.message))
