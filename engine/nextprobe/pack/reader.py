"""How the files of a pack are read and their shape is checked; a watch has a reader that keeps what it read."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from nextprobe.errors import Finding
from nextprobe.pack.marks import Source
from nextprobe.pack.schema import check_shape
from nextprobe.pack.source import read_yaml


class Reader:
    """Reads every file and checks every shape afresh."""

    def read(self, path: Path, shown: str | None = None) -> Source:
        """The file at `path` with its marks; what is wrong with it is in its findings."""
        return read_yaml(path, shown=shown)

    def shape(self, source: Source, kind: str) -> tuple[list[Finding], Any]:
        """Findings on the shape of `source`, and its data without what is misshapen."""
        return check_shape(source, kind)


FRESH = Reader()
