"""Where things stand in the files: the mark of a value, and a file read with its marks."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any, NamedTuple

from nextprobe.errors import Finding

#: A place in the data: keys and list indices from the top, as ``("causes", "seating", "weight")``.
Path = tuple[str | int, ...]


class Mark(NamedTuple):
    """A place in a file; line and column count from 1."""

    file: str
    line: int
    column: int


@dataclass(slots=True)
class Source:
    """Plain data with the place of every value and key, and what was found while reading.

    ``data`` is a mapping for packs, board sheets, shop and answers files, a list for case files;
    None where nothing could be read. ``files`` holds the text of each file under its shown name,
    ``paths`` where each lies; ``absent`` the files that were looked for and not found.
    ``spoiled`` are places whose value is not what its author meant, with a finding that says so:
    nothing more is said of them. ``misspelt`` are places that are probably there under a wrong key.
    """

    data: Any = None
    marks: dict[Path, Mark] = field(default_factory=dict)
    key_marks: dict[Path, Mark] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)
    files: dict[str, str] = field(default_factory=dict)
    paths: dict[str, str] = field(default_factory=dict)
    absent: list[str] = field(default_factory=list)
    spoiled: set[Path] = field(default_factory=set)
    misspelt: set[Path] = field(default_factory=set)
    _index: dict[Path, list[Path]] = field(default_factory=dict)

    def index(self) -> dict[Path, list[Path]]:
        """All marked paths by their first two parts (or one, where there is no second)."""
        if not self._index:
            for path in {**self.marks, **self.key_marks}:
                self._index.setdefault(path[:2], []).append(path)
                if len(path) > 1:
                    self._index.setdefault(path[:1], []).append(path)
        return self._index

    def is_spoiled(self, path: Path) -> bool:
        """Whether `path` or anything above it has been said to be spoiled."""
        return bool(self.spoiled) and any(path[:length] in self.spoiled for length in range(len(path) + 1))

    def mark(self, path: Path, *, of_key: bool = False) -> Mark:
        """The place of the value (or key) at `path`, or of the nearest thing above it."""
        first, second = (self.key_marks, self.marks) if of_key else (self.marks, self.key_marks)
        while True:
            found = first.get(path) or second.get(path)
            if found is not None:
                return found
            if not path:
                return Mark(next(iter(self.files), ""), 1, 1)
            path = path[:-1]


def shown_path(path: Path) -> str:
    """`path` as it is printed: ``reads[0].gives.low``."""
    text = ""
    for part in path:
        text += f"[{part}]" if isinstance(part, int) else f".{part}" if text else str(part)
    return text
